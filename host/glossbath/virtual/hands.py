"""The hands of a virtual person: words become what they do at the virtual rig.

Nothing here touches the firmware; it notices through its pins and chips, as on a real rig.
"""

from __future__ import annotations

from collections.abc import Callable

from glossbath.errors import InputError

from .virtual import VirtualRig

_HAND_C = 33.0


def _arm(rig: VirtualRig, held: bool) -> None:
    rig.hand.holds_arm = held


def _stop(rig: VirtualRig, pressed: bool) -> None:
    rig.mains.stop_pressed = pressed


def _float(rig: VirtualRig, down: bool) -> None:
    rig.float_held_down = down


def _hands(rig: VirtualRig, willing: bool) -> None:
    rig.hand.willing = willing


def _paddle(rig: VirtualRig, off: bool) -> None:
    rig.plant.stirrer.belt_off = off


def _shaft(rig: VirtualRig, held: bool) -> None:
    rig.plant.stirrer.jammed = held
    if held:
        rig.plant.stirrer.belt_off = False


def _thermistor(rig: VirtualRig, cut: bool) -> None:
    rig.low_voltage.ntc_open = cut


def _mains(rig: VirtualRig, on: bool) -> None:
    rig.mains.supply_on = on


def _jumper(rig: VirtualRig, there: bool) -> None:
    rig.mains.load_jumper = there


def _knob(rig: VirtualRig, on: bool) -> None:
    rig.mains.cooker_off = not on


def _bulb(rig: VirtualRig, celsius: float | None) -> None:
    rig.mains.first.dipped_c = celsius


def _second(rig: VirtualRig, celsius: float | None) -> None:
    rig.mains.second.dipped_c = celsius


def _cool_second(rig: VirtualRig) -> None:
    # Somebody waits as long as it takes.
    rig.mains.second.dipped_c = rig.mains.second.bulb_c = rig.plant.room_c


def _pump(rig: VirtualRig, off: bool) -> None:
    rig.low_voltage.pump_unplugged = off


def _drip(rig: VirtualRig) -> None:
    rig.plant.stirrer.seized = True


def _plug(rig: VirtualRig, name: str, is_in: bool) -> None:
    if name in rig.chips:
        rig.chips[name].inject("" if is_in else "absent")
    elif rig.platinum is not None:  # its chip stays and sees an open element
        rig.platinum.inject("" if is_in else "open")


def _cut_power(rig: VirtualRig, seconds: str) -> None:
    try:
        rig.lose_power(round(float(seconds) * 1000))
    except (ValueError, OverflowError):
        raise InputError(f"A virtual hand cannot cut the power for {seconds!r} s.") from None


def _seed(rig: VirtualRig, grams: str) -> None:
    try:
        kg = float(grams) / 1000
    except ValueError:
        raise InputError(f"A virtual hand cannot weigh {grams!r} g of seed.") from None
    rig.plant.add_chocolate(kg, rig.plant.room_c)


_WORDS: dict[str, Callable[[VirtualRig], None]] = {
    "unplug": lambda rig: rig.wire.unplug(),
    "plug": lambda rig: rig.wire.plug(),
    "mains off": lambda rig: _mains(rig, False),
    "mains on": lambda rig: _mains(rig, True),
    "put jumper": lambda rig: _jumper(rig, True),
    "take jumper": lambda rig: _jumper(rig, False),
    "knob off": lambda rig: _knob(rig, False),
    "knob on": lambda rig: _knob(rig, True),
    "return bulb": lambda rig: _bulb(rig, None),
    "reset thermostat": lambda rig: rig.mains.first.reset(),
    "cool second": _cool_second,
    "return second": lambda rig: _second(rig, None),
    "reset second": lambda rig: rig.mains.second.reset(),
    "hands off": lambda rig: _hands(rig, False),
    "hands on": lambda rig: _hands(rig, True),
    "press arm": lambda rig: _arm(rig, True),
    "release arm": lambda rig: _arm(rig, False),
    "press stop": lambda rig: _stop(rig, True),
    "release stop": lambda rig: _stop(rig, False),
    "take lid": lambda rig: rig.plant.set_lid(True),
    "put lid": lambda rig: rig.plant.set_lid(False),
    "sink float": lambda rig: _float(rig, True),
    "free float": lambda rig: _float(rig, False),
    "paddle off": lambda rig: _paddle(rig, True),
    "paddle on": lambda rig: _paddle(rig, False),
    "pump off": lambda rig: _pump(rig, True),
    "pump on": lambda rig: _pump(rig, False),
    "drip water": _drip,
    "hold shaft": lambda rig: _shaft(rig, True),
    "free shaft": lambda rig: _shaft(rig, False),
    "cut thermistor": lambda rig: _thermistor(rig, True),
    "mend thermistor": lambda rig: _thermistor(rig, False),
}


def obey(rig: VirtualRig, line: str) -> None:
    """Do what a line says: one of the words above, `seed GRAMS` of set chocolate, `dip bulb
    CELSIUS` or `dip second CELSIUS` for a thermostat's bulb, `cut power SECONDS`, or `warm NAME`,
    `dip NAME CELSIUS`, `return NAME`, `pull NAME`, `mend NAME` for a probe; NAME may be `at-bath`
    and so on for whichever probe lies there.

    Raises InputError for another line.
    """
    action = _WORDS.get(line)
    if action is not None:
        action(rig)
        return
    words = line.split()
    if len(words) == 3 and words[:2] == ["cut", "power"]:
        _cut_power(rig, words[2])
        return
    if len(words) == 2 and words[0] == "seed":
        _seed(rig, words[1])
        return
    if len(words) == 3 and words[0] == "dip" and words[1] in ("bulb", "second"):
        dip = _bulb if words[1] == "bulb" else _second
        dip(rig, float(words[2]))
        return
    if len(words) >= 2 and words[1].removeprefix("at-") in rig.probes:
        verb, name, *rest = words
        if name.startswith("at-"):
            name = rig.probe_at(name.removeprefix("at-"))
        if verb == "warm":
            rig.probes[name].dip(_HAND_C)
        elif verb == "dip" and len(rest) == 1:
            rig.probes[name].dip(float(rest[0]))
        elif verb == "return":
            rig.probes[name].mend()
        elif verb in ("pull", "mend"):
            _plug(rig, name, verb == "mend")
        else:
            raise InputError(f"A virtual hand cannot {line!r} with a probe.")
        return
    raise InputError(f"A virtual hand does not know {line!r}.")
