"""The host's limits and estimates, each with its reason.

They are the host's own: none is taken from the board. Where a limit says "seen", the number was
the extreme of healthy cycles of dark, milk and white on virtual rigs of 0.5 to 6 kg and 120 to
400 W, with heat transfers 40 % either way, in rooms of 15 to 35 °C.
"""

from __future__ import annotations

# Temperatures in °C.
CHOCOLATE_OVER_C = 0.25
"""Above the recipe's own limit: four steps of a probe, so that the board is first."""
BATH_CEILING_C = 60.5
BATH_OVER_C = 3.0
"""Above the warmest bath the recipe asks for; 0.3 °C seen."""
BODY_CEILING_C = 96.0
BODY_OVER_BATH_C, BODY_OVER_BATH_FACTOR = 8.0, 1.6
BODY_OVER_BATH_UNKNOWN_C, BODY_OVER_BATH_MOST_C = 40.0, 60.0
"""Body above bath: more means that no water carries the heat away. A crock of 14 mm shows 35 °C at
360 W (distributed rig), and a cooker shows the same each time it heats at full power: so the limit
is the rig's own figure by the factor and some more, from its model or from what it has shown in
this cycle while the bath took the heat up; the third until then, and at most the last."""
TAKEN_UP_S, TAKEN_UP_SHARE = 180, 0.6
"""The bath takes the heat up when it rises at this share of the body's pace for so long."""
BODY_UNDER_BATH_C, BODY_UNDER_BATH_MS = 2.5, 120_000
"""Bath above body, which heats it; 1 °C seen. Hot water that is poured in makes more for a minute
and a half; what lasts is a probe in the wrong place."""
BODY_UNDER_BATH_HEATED_C, HEATED_S, HEATED_FULL_S = 1.0, 60, 12.0
"""The same with heat on for a fifth of the last minute, when body is above bath."""

# Rises that last through each third of a span, so that something poured in does not count.
BATH_RISE_C_MIN, BATH_RISE_S = 4.0, 90
"""1.4 °C/min seen."""
CHOCOLATE_RISE_C_MIN, CHOCOLATE_RISE_S = 6.0, 60
"""2.4 °C/min seen."""
BODY_RISE_C_MIN, BODY_RISE_S = 15.0, 60
"""6.5 °C/min seen."""
JUMP_C, JUMP_S = 4.0, 15
"""Nothing in the rig warms or cools a bowl that fast; a probe that was moved does."""

# The rig as the host estimates it; see `figures` for what it is made of.
BODY_MEAN_SHARE = 0.5
"""Of the body's excess over the bath in its mean: the probe sits on the hot side of the wall."""
SOLID_C, SOLID_J_PER_KG = 26.0, 26_000.0
"""Chocolate colder than the one is set, and takes up at least the other when it melts: six tenths
of 28 % fat with 157 kJ/kg (Beckett, 4th ed., "Useful Physical Constants")."""
CHOCOLATE_J_PER_KG_K = 1_600.0
STILL_W_PER_K = 2.0
"""Bath to 1 kg of chocolate with the stirrer off, as it is after a stop; with mass to the 2/3."""
ROOM_W_PER_K, ROOM_C = 1.5, 30.0
"""A warm room and the lower end of what a whole cooker loses (common practice, no source)."""

STORED_OVER_C, STORED_MS = 0.4, 10_000
"""Of the forecast peak above the recipe's limit; 0.3 °C seen with cookers of up to 600 W."""
UNASKED_W, UNASKED_S, UNASKED_AFTER_S = 60.0, 150, 210
"""Heat gained while none is asked; 20 W seen, in a room warmer than the bath, and 50 W for some
minutes from the element and the outer wall of a heavy crock."""
LOST_W, LOST_S, LOST_AFTER_S = 150.0, 180, 30
"""Heat lost while no chill is asked; 60 W seen."""
CHILL_SHARE_OF_EXPECTED, CHILL_S, CHILL_LEAST_J = 0.4, 120, 12_000.0
"""Heat that chill takes, of what it should; 0.9 seen."""
FULL_HEAT, FULL_HEAT_S = 0.97, 180
NO_HEAT_K = 0.5
"""Body above bath after three minutes of full heat; 1.4 °C seen with a 126 W cooker."""
COOKER_W_PER_K = 2.0
WEAK_HEAT_SHARE = 0.6
"""Of the heat seen before in this cycle; 0.73 seen, half a mains wave gives 0.5."""

# Heat flows from warm to cold: a chocolate probe that does otherwise is not in the chocolate.
UPHILL_BATH_K = 2.0
UPHILL_FALL_C, UPHILL_FALL_S = 0.5, 240
"""Pieces that are put into molten chocolate cool it for a minute or two."""
UPHILL_RISE_C, UPHILL_RISE_S = 1.0, 120
ANSWER_S, ANSWER_BATH_K, ANSWER_SHARE = 300, 6.0, 0.04
"""Of the change that the bath must cause; 0.15 seen, in the flattest part of melting."""
ANSWER_THIRD_SHARE = 0.10
"""The same for each third of the time, where a probe's steps are coarser."""
MELTED_S, MELTED_BATH_K, MELTED_SHARE, MELTED_THIRD_SHARE = 150, 2.5, 0.3, 0.5
"""The same once no fat takes up heat: 1.1 seen stirred, which leaves 0.4 for a still stirrer."""
FED_C, FED_S, FED_FOR_MS = 0.5, 30, 600_000
"""A fall like this beside a warmer bath means pieces that were put in and have to melt first."""
MELTED_C, SETTING_C = 37.0, 32.0
"""All fat is liquid above the one; crystals that form may hold chocolate warm below the other."""
STIR_LIGHT_SHARE, STIR_SAMPLES = 0.6, 8
"""Of the stirrer's usual current: chocolate thins by 4 % a kelvin, a belt that jumps off takes
the whole load at once."""
WITHHELD_K, WITHHELD_MS = 1.5, 20_000
"""A bath this far below its target gets heat, unless the board withholds it."""

EXPLAINED_K = 24.0
"""The board withholds heat from a body that is far above its bath until it has come back to some
28 °C above it: a thick crock passes on no more, and nobody need look."""
ASTRAY_C, ASTRAY_MS = 1.0, 180_000
"""Outside the hold's window by so much for so long, crystals form that should not, or melt: common
practice, no source."""

# Times in ms.
LATE_MS = 4_000
"""Readings come each second."""
STALE_MS = 10_000
"""The board's lease has run out by then, whatever was on its way."""
OLD_MS = 3_000
"""A reading that took this much longer on its way than others is old news."""
OBEY_MS = 4_000
"""A board that was told to stop must be seen to have stopped within this time."""
FAULT_MS = 1_500
"""One damaged answer of a probe is nothing to tell a person; two in a row are."""
BLIND_MS = 15_000
"""The board ends a cycle some ten seconds after a probe has failed."""
ABSENT_MS = 2_000
GONE_MS = 6_500
"""Without the host for longer than this the board's lease is over."""
WALL_JUMP_MS = 2_000
UNLEASED_MS = 4_000
PHASE_LATE_MS = 10_000
"""The board ends a phase that took too long; the host looks a little later."""
NOISY_LINES, NOISY_MS = 10, 30_000
"""One damaged line in three seconds: a good cable damages none in a day."""
