"""The rig's probes: which chip is the chocolate's, the bath's, the body's."""

from .reading import Reading
from .sensors.ds18b20 import Ds18b20Bus
from .settings import PROBES, Settings


class Probes:
    """The three readings and the bus that fills them. An unbound probe stays a fault."""

    def __init__(self, wire, settings: Settings) -> None:  # type: ignore[no-untyped-def]
        self.chocolate = Reading(PROBES[0])
        self.bath = Reading(PROBES[1])
        self.body = Reading(PROBES[2])
        readings = (self.chocolate, self.bath, self.body)
        self._bus = Ds18b20Bus(
            wire, [(settings.probe(reading.name) or b"", reading) for reading in readings]
        )

    def step(self, now_ms: int) -> None:
        """Let the bus do its part of this pass."""
        self._bus.step(now_ms)
