"""What a maker sees and what the record shows, with the cause that the trade's books give for it.

Written from the sources beside each case, for the diagnosis to be measured against.
"""

from __future__ import annotations

PRACTICE = "common practice, no source"
MCGEE = "McGee, On Food and Cooking (2004), tempering and its tests"
GREWELING = "Greweling, Chocolates and Confections (2007)"
AFOAKWA_2009 = "Afoakwa et al., J. Food Eng. 91:571 (2009), abstract: under-tempered at 18 °C"
KINTA = "Kinta and Hartel, JAOCS 87:19 (2010), abstract: too few seeds"
AFOAKWA_2008 = "Afoakwa et al., J. Food Eng. 89:128 (2008), abstract: over-tempering"
GISSLEN = "Gisslen, Professional Baking (2008), Molding Chocolate"
FOOD_INFO = "food-info.net (Wageningen University), How do you store chocolate"
BRITANNICA = "Encyclopaedia Britannica, Cocoa: care and storage"
WALSTRA = "Walstra, Physical Chemistry of Foods: V to VI, warm or swinging store"
ALI = "Ali et al., Food Chem. 72:491 (2001), abstract: filled dark chocolate"
WILLE = "Wille and Lutton, JAOCS 43:491 (1966), abstract: bloom goes with form VI"
ANSEL = "Ansel, a pastry book (2014): water seizes"
TRAINING = "a training text after Hickman and Blackburn: incompatible fat"
HANDBOOK = "a confectionery handbook: coatings that cool too fast crack"
COOKBOOK = "a cooking book: overheated milk protein stays lumpy"
CYCLES = "Food Structure, abstract: cocoa butter blooms at the third cycle of 20 and 33 °C"

CASES: tuple[tuple[str, str, str], ...] = (
    ("dull soft at_once dip_bad", "under-tempered", MCGEE),
    ("streaks soft at_once stuck", "under-tempered", GISSLEN),
    ("haze days cool smooth dip_bad", "under-tempered", AFOAKWA_2009),
    ("spots days smooth not_cooled", "under-tempered", KINTA),
    ("crumbly dull dip_bad not_cooled", "under-tempered", MCGEE),
    ("streaks days not_cooled soft", "under-tempered", GREWELING),
    ("soft stuck days dip_bad cool", "under-tempered", GISSLEN),
    ("grainy dull at_once dip_bad", "under-tempered", MCGEE),
    ("dull streaks at_once dip_slow", "under-tempered", MCGEE),
    ("haze at_once not_cooled smooth", "under-tempered", AFOAKWA_2009),
    ("streaks at_once worked_warm cooled_well", "temper lost", GREWELING),
    ("dull soft worked_warm cooled_well", "temper lost", GREWELING),
    ("stuck streaks worked_warm dip_good", "temper lost", GREWELING),
    ("soft days worked_warm smooth", "temper lost", GREWELING),
    ("thick dull held_long worked_well", "over-tempered", MCGEE),
    ("thick crumbly dull held_long", "over-tempered", MCGEE),
    ("thick stuck dull too_cold", "over-tempered", AFOAKWA_2008),
    ("dull marks thick at_once held_long", "over-tempered", AFOAKWA_2008),
    ("thick dip_fast dull", "over-tempered", PRACTICE),
    ("bubbles thick held_long", "over-tempered", PRACTICE),
    ("dull spots at_once mould_warm dip_good", "set too slowly", PRACTICE),
    ("dull streaks room_warm mould_warm dip_good worked_well", "set too slowly", PRACTICE),
    ("stuck dull mould_warm dip_good", "set too slowly", GISSLEN),
    ("stuck room_warm dip_good at_once", "set too slowly", GISSLEN),
    ("spots marks room_warm mould_warm at_once dip_good", "set too slowly", PRACTICE),
    ("dull marks mould_cold dip_good at_once", "moulds too cold", PRACTICE),
    ("dull mould_cold", "moulds too cold", PRACTICE),
    ("cracked at_once dip_good", "moulds too cold", HANDBOOK),
    ("cracked refrigerator at_once", "moulds too cold", HANDBOOK),
    ("cracked mould_cold", "moulds too cold", HANDBOOK),
    ("rough haze refrigerator", "sugar bloom", FOOD_INFO),
    ("sticky damp", "sugar bloom", FOOD_INFO),
    ("rough damp days", "sugar bloom", BRITANNICA),
    ("rough spots room_damp refrigerator dip_good", "sugar bloom", FOOD_INFO),
    ("sticky rough days refrigerator filled", "sugar bloom", TRAINING),
    ("haze rough weeks damp", "sugar bloom", BRITANNICA),
    ("grainy rough refrigerator days", "sugar bloom", FOOD_INFO),
    ("haze smooth warm weeks", "fat bloom from storage", BRITANNICA),
    ("haze changing weeks dip_good", "fat bloom from storage", WALSTRA),
    ("spots smooth changing weeks", "fat bloom from storage", WALSTRA),
    ("dull haze warm changing days dip_good", "fat bloom from storage", CYCLES),
    ("smooth haze warm months dip_good", "fat bloom from storage", BRITANNICA),
    ("melted soft smooth", "melted and set again", MCGEE),
    ("melted streaks warm days", "melted and set again", MCGEE),
    ("melted dull warm haze", "melted and set again", MCGEE),
    ("filled haze weeks smooth", "oil from the filling", ALI),
    ("filled soft weeks", "oil from the filling", ALI),
    ("filled spots weeks cool", "oil from the filling", PRACTICE),
    ("haze months cool smooth", "age", WILLE),
    ("dull months cool dip_good", "age", WILLE),
    ("thick seized", "water in the batch", ANSEL),
    ("thick crumbly seized", "water in the batch", ANSEL),
    ("thick grainy at_once seized", "water in the batch", ANSEL),
    ("marks stuck dip_good at_once", "moulds not clean", GISSLEN),
    ("marks spots dip_good worked_well", "moulds not clean", PRACTICE),
    ("fingerprints dull days", "handling", PRACTICE),
    ("fingerprints marks room_warm", "handling", PRACTICE),
    ("soft haze weeks cool dip_good other_fat", "incompatible fat", TRAINING),
    ("soft dull other_fat", "incompatible fat", GREWELING),
    ("patchy streaks at_once", "seed mixed unevenly", KINTA),
    ("patchy spots days dip_good", "seed mixed unevenly", KINTA),
    ("bubbles at_once dip_good", "air in the moulds", PRACTICE),
    ("bubbles marks worked_well", "air in the moulds", PRACTICE),
    ("grainy overheated", "overheated", COOKBOOK),
    ("grainy thick overheated", "overheated", COOKBOOK),
)
