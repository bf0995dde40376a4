"""The rig's yes-or-no inputs; each reads as off when its wire is broken."""

from .sensors.switch import Switch


class Switches:
    """arm, stop, lid, load and water, each with `on`: True, False, or None when unknown."""

    def __init__(self, pins) -> None:  # type: ignore[no-untyped-def]
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
