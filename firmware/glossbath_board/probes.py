"""The rig's probes: which chip is the chocolate's, the bath's, the body's; and the converters."""

from .reading import Reading
from .sensors.analog import AnalogInput, divider_full_scale_mv, shunt_full_scale_ma
from .sensors.ds18b20 import Ds18b20Bus
from .sensors.ntc import Ntc
from .settings import PROBES, Settings

# The parts of the wiring: hardware/wiring.toml, [scale].
_REFERENCE_MV = 3_300
_STIR_FULL_SCALE_MA = shunt_full_scale_ma(_REFERENCE_MV, 50, 20)
_SUPPLY_FULL_SCALE_MV = divider_full_scale_mv(_REFERENCE_MV, 39_000, 10_000)
_SUPPLY_LIVE_COUNT = 4_096  # 1 V: below it the divider's wire is off, or the supply is


class Probes:
    """The readings and what fills them. An unbound probe stays a fault.

    stir_current is in mA, supply in mV, the others in m°C.
    """

    def __init__(self, wire, stir_adc, supply_adc, ntc_adc, settings: Settings) -> None:  # type: ignore[no-untyped-def]
        self.chocolate = Reading(PROBES[0])
        self.bath = Reading(PROBES[1])
        self.body = Reading(PROBES[2])
        self.stir_current = Reading("stir_current")
        self.supply = Reading("supply")
        on_wire = [self.chocolate, self.bath]
        self._converters = [
            AnalogInput(stir_adc, self.stir_current, _STIR_FULL_SCALE_MA),
            AnalogInput(
                supply_adc, self.supply, _SUPPLY_FULL_SCALE_MV, live_count=_SUPPLY_LIVE_COUNT
            ),
        ]
        if settings.body_is_ntc:
            self._converters.append(Ntc(ntc_adc, self.body))
        else:
            on_wire.append(self.body)
        self._bus = Ds18b20Bus(
            wire, [(settings.probe(reading.name) or b"", reading) for reading in on_wire]
        )

    def step(self, now_ms: int) -> None:
        """Let every sensor do its part of this pass."""
        self._bus.step(now_ms)
        for converter in self._converters:
            converter.step(now_ms)
