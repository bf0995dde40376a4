"""Switches and other yes-or-no inputs: arm, stop, lid, water level, load sense.

Each is wired so that current flows, and the pin is at its active level, only in the state that
permits something; an external resistor pulls it to the other level. A broken wire therefore
always reads as off, and off is the safe side:

    input   on means                    a broken wire reads as
    arm     button pressed              not pressed: heat stays off
    stop    stop button not pressed     pressed: stop
    lid     lid on                      lid off
    water   enough water                too little water
    load    voltage at the outlet       no voltage: the test at every start, which has to see
                                        voltage once, fails
"""

if False:  # for the type checker alone
    from ..kinds import InputPin, SwitchPins


class Switch:
    """One input, judged once a pass.

    pin has value() -> 0 or 1. on is True, False, or None while unknown: before the first pass and
    when the pin cannot be read, so whoever needs a switch asks `on is True`. It turns on after
    on_passes passes in a row at the active level and off after off_passes at the other; at 250 ms
    a pass a contact's bouncing is long over. off_passes above 1 is for a float that rocks.
    """

    def __init__(
        self, pin: "InputPin", active_level: int = 1, on_passes: int = 2, off_passes: int = 1
    ) -> None:
        self._pin = pin
        self._active_level = active_level
        self._on_passes = on_passes
        self._off_passes = off_passes
        self._in_row = 0
        self.on: bool | None = None

    def step(self, now_ms: int) -> None:
        """Look at the pin. Never raises: a pin that cannot be read makes the switch unknown."""
        try:
            active = self._pin.value() == self._active_level
        except Exception:
            self.on = None
            self._in_row = 0
            return
        if active:
            self._count(True, self._on_passes)
        elif self.on is None:
            self._settle(False)  # nothing to be careful about: off is the safe side
        else:
            self._count(False, self._off_passes)

    def _count(self, level: bool, passes: int) -> None:
        if self.on is level:
            self._in_row = 0
            return
        self._in_row += 1
        if self._in_row >= passes:
            self._settle(level)

    def _settle(self, level: bool) -> None:
        self.on = level
        self._in_row = 0


class Switches:
    """arm, stop, lid, load and water, each with `on`: True, False, or None when unknown."""

    def __init__(self, pins: "SwitchPins") -> None:
        self.arm = Switch(pins.arm)
        self.stop = Switch(pins.stop)
        self.lid = Switch(pins.lid, on_passes=12)  # the stirrer waits until hands are away
        self.load = Switch(pins.load, on_passes=1)  # no contact that bounces; on is the alarm
        self.water = Switch(pins.water, off_passes=8)  # a float rocks when the bath is stirred
        self._all = (self.arm, self.stop, self.lid, self.load, self.water)

    def step(self, now_ms: int) -> None:
        """Look at every input once."""
        for switch in self._all:
            switch.step(now_ms)
