"""Every item of the desk as a form: its fields with their limits, and the command that answers.

Limits are those of the command itself, so that a field refuses at once what the command would.
"""

from __future__ import annotations

from glossbath.forms.fields import Choice, Field, File, Number, Pair, Parts, Signs, Text, YesNo
from glossbath.forms.form import Item

from . import COMMANDS
from .options import KindName

PLAN, WORK, TEST, ROOM, BACK = (
    "Before a batch",
    "While you work",
    "Is it in temper?",
    "The room",
    "Looking back",
)

KG = Number(
    name="kg", label="Chocolate", unit="kg", low=0.01, high=100, typed="1", live="batch_kg"
)
KIND = Choice(name="kind", label="Kind of chocolate", words=KindName, typed="dark", live="kind")
FAT = Number(name="fat", label="Fat", unit="%", low=15, high=70, optional=True)
AT = Number(name="at_c", label="Chocolate now", unit="°C", low=20, high=60, live="chocolate_c")
SEED = Number(name="seed_c", label="Seed", unit="°C", low=-20, high=29, typed="20", live="room_c")
BUTTER = YesNo(name="butter", label="Cocoa butter seed")
COOL = Pair(name="cool", label="Own cooling window", unit="°C", low=20, high=34, optional=True)
WORKING = Pair(name="work", label="Own working window", unit="°C", low=20, high=34, optional=True)
OWN = (KIND, COOL, WORKING)
SHARE = Number(name="share", label="Part to pour out", unit="%", low=10, high=95, typed="66.7")
WATER = Number(
    name="water_kg", label="Water of the bath", unit="kg", low=0.01, high=100, typed="3"
)
CROCK = Number(name="crock_kg", label="Crock", unit="kg", low=0, high=100, typed="3")
WATTS = Number(name="watts", label="Heater", unit="W", low=20, high=2000, typed="250")
LOSS = Number(name="loss", label="Heat loss", unit="W/K", low=0.1, high=50, typed="2")
CHILL = Number(name="chill", label="Chill coil", unit="W", low=0, high=2000, typed="0")
RH = Number(name="rh", label="Humidity", unit="%", low=1, high=100, live="rh_percent")
READINGS = File(name="file", label="CSV file", example="readings.csv", live="readings")


def _number(
    name: str, label: str, unit: str, low: float, high: float, typed: str = "", live: str = ""
) -> Number:
    return Number(name=name, label=label, unit=unit, low=low, high=high, typed=typed, live=live)


def _maybe(name: str, label: str, unit: str, low: float, high: float, live: str = "") -> Number:
    return Number(name=name, label=label, unit=unit, low=low, high=high, live=live, optional=True)


def _room(name: str) -> Number:
    return _number(name, "Air of the room", "°C", 0, 50, "20", "room_c")


def _bath(from_c: str, to_c: str) -> tuple[Field, ...]:
    return (
        _number("from_c", "From", "°C", 0, 100, from_c),
        _number("to_c", "To", "°C", 0, 100, to_c),
        WATER,
        CROCK,
        _number("kg", "Liquid chocolate", "kg", 0, 100, "0", "batch_kg"),
    )


def _composition() -> tuple[Field, ...]:
    return (
        KIND,
        _maybe("cocoa", "Cocoa, as on the label", "%", 0, 100),
        _maybe("cocoa_butter", "Cocoa butter", "%", 0, 100),
        _maybe("sugar", "Sugar", "%", 0, 100),
        _number("milk", "Milk solids with fat", "%", 0, 100, "0"),
        _number("milk_fat", "Milk fat", "%", 0, 100, "0"),
    )


def _item(name: str, title: str, group: str, *fields: Field, recorded: str = "") -> Item:
    return Item(name, title, group, COMMANDS[name], fields, recorded)


ITEMS: tuple[Item, ...] = (
    _item(
        "batch", "Plan a batch: times, heat, ice, water", PLAN,
        KG,
        Text(name="rig", label="On which rig", example="rig", typed="rig", live="rig"),
        KIND, FAT,
        _maybe("water_kg", "Own water", "kg", 0.05, 20),
        _maybe("watts", "Own heater", "W", 20, 3000),
        _maybe("crock_kg", "Own crock", "kg", 0.2, 50),
        _maybe("crock_l", "Volume of the crock", "l", 0.5, 100),
        _maybe("loss", "Own heat loss", "W/K", 0.1, 50),
        _maybe("ice", "Ice at hand", "kg", 0, 100),
        _number("chocolate", "Chocolate at the start", "°C", 0, 60, "20", "chocolate_c"),
        _number("water", "Water at the start", "°C", 0, 60, "20", "bath_c"),
        _room("room"),
        Text(name="ready", label="To be ready at", example="14:30", optional=True),
    ),
    _item("windows", "Melt, cooling and working windows", PLAN, *_composition()),
    _item("names", "Names on a label: minimum contents", PLAN, *_composition()),
    _item(
        "heat", "Heat that a batch takes", PLAN,
        KG,
        _number("from_c", "From", "°C", -20, 80, "20", "chocolate_c"),
        _number("to_c", "To", "°C", -20, 80, "48"),
        KIND, FAT,
        _number("solid", "Solid part of the fat", "%", 0, 100, "100"),
        _number("water_kg", "Water of the bath", "kg", 0, 100, "3"),
        CROCK,
    ),
    _item(
        "heater", "How long the heater takes", PLAN,
        WATTS, *_bath("20", "50"), LOSS, _room("room"),
    ),
    _item(
        "cooling", "How long cooling takes", PLAN, *_bath("50", "27"), LOSS, CHILL, _room("room")
    ),
    _item(
        "ice", "Ice or cold water for the bath", PLAN,
        *_bath("45", "27"),
        _number("cold_water", "Cold water from the tap", "°C", 0, 40, "15"),
    ),
    _item(
        "mix", "What warm and cold parts come to", PLAN,
        Parts(name="parts", label="Parts, kg@°C", example="2@45 1@15"),
        _number("ice", "Ice", "kg", 0, 100, "0"),
    ),
    _item("seed", "How much seed to stir in", WORK, KG, AT, SEED, BUTTER, KIND, FAT, WORKING),
    _item(
        "seen", "Was the seed added? Read from a trace", WORK,
        READINGS,
        _number("asked_at", "Seeded at", "s", 0, 86_400),
        KG, AT, SEED, BUTTER, KIND, FAT, WORKING,
    ),
    _item("slab", "How much to pour on the slab", WORK, KG, AT, SHARE, *OWN),
    _item(
        "back", "Back from the slab: go round again?", WORK,
        _number("slab_c", "The part on the slab", "°C", 15, 60, "", "chocolate_c"),
        _number("kept_c", "The part kept", "°C", 15, 60),
        SHARE, *OWN,
    ),
    _item(
        "hold", "A batch being held", WORK,
        _number("at_c", "Chocolate now", "°C", 0, 80, "", "chocolate_c"),
        _number("held", "Held for", "min", 0, 10_080, "0", "held_min"),
        YesNo(name="thicker", label="It has thickened"),
        *OWN,
    ),
    _item(
        "remelt", "The way back into temper", WORK,
        _number("at_c", "Chocolate now", "°C", 0, 80, "", "chocolate_c"),
        YesNo(name="good", label="Its last dip test was good"),
        *OWN,
    ),
    _item(
        "hot", "It got too hot: can it be saved?", WORK,
        _number("at_c", "Hottest chocolate", "°C", 0, 200, "", "chocolate_c"),
        _number("minutes", "How long so hot", "min", 0, 1440, "0"),
        KIND,
    ),
    _item("seized", "Has water got in? Read from the stirrer", WORK, READINGS),
    _item(
        "dip", "What a dip test says", TEST,
        _maybe("set_after", "Set after (empty: not set)", "min", 0.02, 1440),
        _number("watched", "Watched for", "min", 0.02, 1440, "10"),
        YesNo(name="streaks", label="It shows streaks"),
        YesNo(name="dull", label="It is dull"),
        _room("room"),
        recorded="dip",
    ),
    _item(
        "look", "A dip test under way: what to look at", TEST,
        _number("elapsed", "Since the dip", "min", 0, 1440),
    ),
    _item(
        "curve", "A cooling curve: bend and slope", TEST,
        File(name="file", label="CSV file", example="curve.csv"),
        Text(name="column", label="Its temperature column", example="chocolate_c",
             typed="chocolate_c"),
        _maybe("over_below", "Over-tempered below", "°C/min", -30, 30),
        _maybe("under_above", "Under-tempered above", "°C/min", -30, 30),
        recorded="curve",
    ),
    _item(
        "calibrate", "Own limits for cooling curves", TEST,
        File(name="file", label="CSV file", example="samples.csv"),
    ),
    _item("crystals", "Predicted crystals so far", TEST, READINGS),
    _item(
        "room", "The air: dew point and what it means", ROOM,
        _number("room_c", "Air of the room", "°C", 0, 50, "", "room_c"),
        RH,
        _number("altitude", "Above the sea", "m", -400, 5000, "0"),
    ),
    _item(
        "sweat", "Will cold chocolate sweat?", ROOM,
        _number("chocolate", "The cold chocolate", "°C", -30, 40),
        _number("room_c", "Air of the room", "°C", 0, 50, "", "room_c"),
        RH,
        _number("thickness", "Its thickness", "mm", 1, 100, "10"),
        YesNo(name="bare", label="Not in a closed box"),
    ),
    _item(
        "dry", "Water a dehumidifier must take out", ROOM,
        _number("volume", "Volume of the room", "m³", 1, 10_000),
        _number("room_c", "Air of the room", "°C", 0, 50, "", "room_c"),
        RH,
        _number("to_rh", "Humidity wanted", "%", 5, 100, "45"),
        _number("changes", "Air changes", "per hour", 0, 20, "0.5"),
        _maybe("outside_c", "Air outside", "°C", -30, 50),
        _maybe("outside_rh", "Humidity outside", "%", 1, 100),
    ),
    _item(
        "bloom", "Why did it turn white, dull or soft?", BACK,
        Signs(name="signs", label="Signs"),
        File(name="cycle", label="Folder of its cycle", example="/cycles/one", live="folder",
             optional=True),
        _maybe("coolest", "Coolest while cooling", "°C", 0, 60),
        _maybe("warmest", "Warmest while used", "°C", 0, 60),
        _maybe("held", "Held for", "min", 0, 10_080),
        YesNo(name="dip_good", label="The dip test was good", typed="", optional=True),
        _maybe("room", "Air of the room", "°C", 0, 50, "room_c"),
        _maybe("rh", "Humidity", "%", 0, 100, "rh_percent"),
        _maybe("mould", "Moulds", "°C", -20, 60),
        *OWN,
    ),
    _item(
        "learn", "What went with good results", BACK,
        File(name="file", label="CSV file", example="cycles.csv", optional=True),
        File(name="cycles", label="or folder of cycles", example="/cycles", live="cycles",
             optional=True),
        Text(name="chocolate", label="Chocolate or recipe", example="Dark", live="recipe"),
    ),
)  # fmt: skip
"""In the order of a day in the kitchen."""
