"""The rig's probes: which chip is the chocolate's, the bath's, the body's; and the converters."""

from .reading import NONE_YET, Reading
from .sensors.analog import AnalogInput, divider_full_scale_mv, shunt_full_scale_ma
from .sensors.ds18b20 import Ds18b20Bus, find_chips
from .sensors.ntc import Ntc
from .sensors.sht3x import Sht3x
from .settings import PROBES, Settings

if False:  # for the type checker alone
    from collections.abc import Callable

    from .kinds import Adc, I2c, Select, Spi, Ticks, Wire
    from .sensors.max31865 import Max31865

# The parts of the wiring: hardware/wiring.toml, [scale].
_REFERENCE_MV = 3_300
_STIR_FULL_SCALE_MA = shunt_full_scale_ma(_REFERENCE_MV, 50, 20)
_SUPPLY_FULL_SCALE_MV = divider_full_scale_mv(_REFERENCE_MV, 39_000, 10_000)
_SUPPLY_LIVE_COUNT = 4_096  # 1 V: below it the divider's wire is off, or the supply is

_REFERENCE_PERCENT = 430  # the MAX31865's resistor: 430 Ohm for Pt100, 4300 Ohm for Pt1000

MOST_CHIPS = 8  # on the wire at once; a rig has three


class Corrected(Reading):
    """A reading in m°C, corrected before anything else sees it: offset and gain of one probe."""

    def __init__(self, name: str) -> None:
        super().__init__(name)
        self.correct(0, 0)

    def correct(self, offset_mc: int, gain_ppm: int) -> None:
        """Correct from the next value on by offset_mc and gain_ppm millionths of the value."""
        self._offset_mc = offset_mc
        self._gain_ppm = gain_ppm

    def good(self, milli: int, now_ms: int) -> None:
        """Keep a value taken at now_ms, corrected."""
        # Quarters, since the product of 175 °C and 2 % has to fit the board's 30-bit integers.
        by_gain = (milli // 4 * self._gain_ppm + 125_000) // 250_000
        super().good(milli + self._offset_mc + by_gain, now_ms)


class Probes:
    """The readings and what fills them. An unbound probe stays a fault.

    stir_current is in mA, supply in mV, humidity in m%RH, the others in m°C. The room's sensor may
    be absent.
    """

    def __init__(
        self,
        wire: "Wire",
        stir_adc: "Adc",
        supply_adc: "Adc",
        ntc_adc: "Adc",
        i2c: "I2c",
        spi: "Callable[[], tuple[Spi, Select]]",
        settings: Settings,
        ticks: "Ticks",
    ) -> None:
        """spi() gives the platinum probe's bus and chip select; asked only where it is used.
        ticks() is the board's clock in ms, for chips that must be left alone for a while."""
        self._ticks = ticks
        self.chocolate = Corrected(PROBES[0])
        self.bath = Corrected(PROBES[1])
        self.body = Corrected(PROBES[2])
        self.stir_current = Reading("stir_current")
        self.supply = Reading("supply")
        self.room = Reading("room")
        self.humidity = Reading("humidity")
        self._room_sensor = Sht3x(i2c, self.room, self.humidity)
        self._converters = (
            AnalogInput(stir_adc, self.stir_current, _STIR_FULL_SCALE_MA),
            AnalogInput(
                supply_adc, self.supply, _SUPPLY_FULL_SCALE_MV, live_count=_SUPPLY_LIVE_COUNT
            ),
        )
        self._wire = wire
        self._ntc_adc = ntc_adc
        self._spi = spi
        self._survey: Ds18b20Bus | None = None
        self._surveyed: list = []
        self.use(settings)

    def use(self, settings: Settings) -> None:
        """Bind and correct the probes as the settings say."""
        on_wire = []
        self._ntc: Ntc | None = None
        self._platinum: Max31865 | None = None
        for reading in (self.chocolate, self.bath, self.body):
            offset_mc, gain_ppm = settings.correction(reading.name)
            reading.correct(offset_mc, gain_ppm)
            reading.bad(NONE_YET)
            if reading is self.body and settings.body_is_ntc:
                self._ntc = Ntc(self._ntc_adc, reading)
            elif reading is self.chocolate and settings.platinum:
                self._platinum = self._platinum_chip(*settings.platinum)
            else:
                on_wire.append((settings.probe(reading.name) or b"", reading))
        self._bus = Ds18b20Bus(self._wire, on_wire, self._ticks)

    def _platinum_chip(self, ohm: int, wires: int, mains_hz: int) -> "Max31865":
        # Imported where a rig has one: the others keep its memory.
        from .sensors.max31865 import Max31865

        bus, select = self._spi()
        return Max31865(
            bus, select, self.chocolate, wires, ohm, ohm * _REFERENCE_PERCENT // 100, mains_hz
        )

    def step(self, now_ms: int) -> None:
        """Let every sensor do its part of this pass."""
        if self._survey is not None:
            self._survey.step(now_ms)
            if not any(reading.fault == NONE_YET for reading in self._surveyed):
                self._survey = None
                self._bus.begin()
        else:
            self._bus.step(now_ms)
        self._room_sensor.step(now_ms)
        for converter in self._converters:
            converter.step(now_ms)
        if self._ntc is not None:
            self._ntc.step(now_ms)
        if self._platinum is not None:
            self._platinum.step(now_ms)

    def survey(self) -> list:
        """Look for every chip on the wire, bound or not, and read each once, uncorrected.

        Returns a Reading for each, named by its ROM code in hex; they are filled when `surveying`
        is over, and until then the bound probes grow old. A search takes some 15 ms a chip: for
        use at rest only. Whatever the wire raises goes through.
        """
        roms = find_chips(self._wire)[:MOST_CHIPS]
        self._surveyed = [Reading(rom_text(rom)) for rom in roms]
        self._survey = Ds18b20Bus(self._wire, zip(roms, self._surveyed), self._ticks, once=True)
        return self._surveyed

    @property
    def surveying(self) -> bool:
        """Whether the chips of a survey are being read."""
        return self._survey is not None


def rom_text(rom: bytes) -> str:
    """A ROM code as hex digits."""
    return "".join("%02x" % byte for byte in rom)
