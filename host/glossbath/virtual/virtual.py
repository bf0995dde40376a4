"""The virtual rig: one world (plant, chips, mains, wire) and the real firmware living in it.

`step` lets the firmware run one pass and the world one sleep. Faults are put into the plant, the
chips, the mains or the wire by setting what is broken there; the firmware is never touched.
"""

from __future__ import annotations

import contextlib
import os
import random
import time
from dataclasses import dataclass, field
from pathlib import Path

from glossbath_board.profiles import PROFILES
from glossbath_board.settings import COMMISSIONED, VERSION
from glossbath_board.store import Record

from .actuators import Actuators
from .bench import Bench, PowerLost
from .chips import Ds18b20, OneWireBus
from .engine import Engine, micropython_is_here
from .hand import Hand
from .low_voltage import LowVoltage
from .mains import Mains
from .parameters import PlantParameters
from .plants import AnyParameters, plant_of
from .platinum import Element, Max31865
from .probe import Probe
from .room_sensor import RoomSensor
from .timekeeper import Timekeeper
from .wire import AnyWire

_PINS = PROFILES["rpi_pico"]
_UNIQUE_ID = b"VIRTUAL\x01"
_PWRON, _WDT = 1, 3
_PASS_MS = 250
_PROBES = ("chocolate", "bath", "body")
_PATIENCE_S = 0.05
_FLOAT_KG = 1.5  # the level switch sits half way down the crock; estimate


def rom(number: int) -> bytes:
    """A DS18B20's ROM code with its CRC, for a made-up serial number."""
    return Ds18b20.rom_for(number)


@dataclass
class Options:
    """How the virtual rig is set up. seed makes noise repeatable."""

    parameters: AnyParameters = field(default_factory=PlantParameters)
    micropython: bool = True
    heap_bytes: int = 2_000_000  # what MicroPython gets for its heap
    seed: int = 1
    probe_noise_c: float = 0.02
    probe_tau_s: float = 8.0
    probe_offset_c: dict[str, float] = field(default_factory=dict)
    """How far each probe is off, by name."""
    begin: dict[str, float] = field(default_factory=dict)
    """What the plant begins with besides its parameters, such as chocolate_c."""
    body_is_ntc: bool = False
    """The body's probe is the thermistor on the converter, not a chip on the wire."""
    platinum: Element | None = None
    """The chocolate's probe is this, at a MAX31865, in place of a chip on the wire."""
    limits: dict[str, int] = field(default_factory=dict)
    """Limits in the rig's settings, by cut-off."""
    commissioned: bool = True
    """Flash has the settings of a rig that was commissioned; else it has none."""


class VirtualRig:
    """A rig in folder (its flash and its port live there); wire is where a host connects."""

    def __init__(self, folder: Path, wire: AnyWire, options: Options) -> None:
        self.plant = plant_of(options.parameters, **options.begin)
        self.mains = Mains()
        self.low_voltage = LowVoltage()
        self.hand = Hand()
        self.wire = wire
        self.now_ms = 0
        self.resets = 0
        self.ticks_offset_ms = 0
        self.stall_ms = 0
        """How long the board's processor is held up in every pass."""
        self.lid_switch_ok = True
        self.lid_switch_bridged = False
        self.float_held_down = False
        self.float_held_up = False
        self._stalled_ms = 0
        self._dark_until_ms: int | None = None
        self._options = options
        self._actuators = Actuators()
        self._connect()
        self._flash = folder / "flash"
        self.engine = Engine(
            self._flash, options.micropython and micropython_is_here(), options.heap_bytes
        )
        self._commission()
        self._start(_PWRON)

    def _connect(self) -> None:
        """Put the probes into their places and their chips onto the buses."""
        plant, options = self.plant, self._options
        self._sources = {
            "chocolate": lambda: plant.seen_c("chocolate"),
            "bath": lambda: plant.seen_c("bath"),
            "body": lambda: plant.seen_c("body"),
        }
        self._places = {name: name for name in _PROBES}
        self.probes = {
            name: Probe(
                self._sources[name](),
                tau_s=options.probe_tau_s,
                offset_c=options.probe_offset_c.get(name, 0.0),
                noise_c=options.probe_noise_c,
                rng=random.Random(options.seed * 10 + at),
            )
            for at, name in enumerate(_PROBES)
        }
        self.chips = {
            name: Ds18b20(rom(at + 1), self._reader(name))
            for at, name in enumerate(_PROBES)
            if name != "chocolate" or options.platinum is None
        }
        self.platinum = None
        if options.platinum is not None:
            self.platinum = Max31865(options.platinum, self._reader("chocolate"))
        self.bus = OneWireBus(list(self.chips.values()))
        self.room_sensor = RoomSensor(lambda: plant.room_c, lambda: plant.room_rh_percent)

    def _reader(self, name: str):  # type: ignore[no-untyped-def]
        return lambda: self.probes[name].celsius()

    def _commission(self) -> None:
        """Write the settings a commissioned rig has in flash, if there are none yet."""
        record = Record(str(self._flash), "settings")
        if self._options.commissioned and record.load() is None:
            bound = {name: chip.rom.hex() for name, chip in self.chips.items()}
            if self._options.platinum is not None:
                bound["chocolate"] = self._options.platinum.setting
            if self._options.body_is_ntc:
                bound["body"] = "ntc"
            record.save(
                {
                    "v": VERSION,
                    "rig": "virtual",
                    "level": COMMISSIONED,
                    "probes": bound,
                    "limits": self._options.limits,
                }
            )

    def _start(self, cause: int) -> None:
        self.engine.start()
        self.bench = Bench(
            self.engine.bench_in,
            self.engine.bench_out,
            self.bus,
            self.room_sensor,
            None if self.platinum is None else (self.platinum, _PINS["cs"]),
            _UNIQUE_ID,
            cause,
        )

    def restart(self, cause: int = _PWRON) -> None:
        """Power off and on, or a reset: pins go back to inputs and the firmware starts anew."""
        self.lose_power(0)
        self._dark_until_ms = None
        self._start(cause)

    def lose_power(self, for_ms: int) -> None:
        """The board's own supply is away for that long; then the firmware starts anew."""
        self.engine.stop()
        self.bench.levels.clear()
        self.resets += 1
        self._stalled_ms = 0
        self._dark_until_ms = self.now_ms + for_ms

    def close(self) -> None:
        """Cut the power and pull the cable."""
        self.engine.stop()
        self.wire.close()

    def pin(self, signal: str) -> bool:
        """The level of one of the firmware's outputs."""
        return self.bench.levels.get(_PINS[signal], 0) == 1

    @property
    def relay_edge_age_ms(self) -> int | None:
        """ms since the relay line's last edge."""
        at = self.bench.edges_ms.get(_PINS["relay"])
        return None if at is None else self.now_ms - at

    @property
    def heat_share(self) -> float:
        """Share of the heater's power that flows now."""
        return self.mains.heat_share(self.relay_edge_age_ms, self.pin("heat"))

    def step(self, keeper: Timekeeper | None = None) -> None:
        """One pass of the firmware, then the world goes on for as long as it sleeps."""
        if self._dark_until_ms is not None:
            self._step_without_power(keeper, self._dark_until_ms)
            return
        try:
            ms = self.bench.turn(self.now_ms + self._stalled_ms) + self._stalled_ms
        except PowerLost:
            self.restart(_WDT)
            return
        self._from_board()
        if keeper is not None:
            keeper.tick(self.now_ms)
            keeper.pace(self.now_ms)
        self._pass_time(ms)
        if self.bench.bites(self.now_ms):
            self.restart(_WDT)
            return
        self._to_board(keeper)
        with contextlib.suppress(PowerLost):
            ticks = self.now_ms + self.ticks_offset_ms
            self._stalled_ms = self.stall_ms
            self.bench.let_go(ticks, self._read_inputs(), self._read_analog(), self.stall_ms)

    def _step_without_power(self, keeper: Timekeeper | None, until_ms: int) -> None:
        if keeper is not None:
            keeper.tick(self.now_ms)
            keeper.pace(self.now_ms)
        self._pass_time(min(_PASS_MS, until_ms - self.now_ms))
        self.wire.take()
        if self.now_ms >= until_ms:
            self._dark_until_ms = None
            self._start(_PWRON)

    def _from_board(self) -> None:
        with contextlib.suppress(BlockingIOError):
            while data := os.read(self.engine.usb_in, 65536):
                self.wire.send(data)

    def _to_board(self, keeper: Timekeeper | None) -> None:
        data = self.wire.take()
        if keeper is not None and self.wire.plugged:
            until = time.monotonic() + _PATIENCE_S
            while self.wire.received < keeper.written and time.monotonic() < until:
                data += self.wire.take()
        if data:
            with contextlib.suppress(BlockingIOError, BrokenPipeError):
                os.write(self.engine.usb_out, data)

    def _pass_time(self, ms: int) -> None:
        actuators = self._actuators
        self.mains.relay_line_high = self.pin("relay")
        actuators.heat_share = self.heat_share
        stopped = self.mains.stop_pressed or self.mains.control_dead
        actuators.chill_share = self.low_voltage.chill_share(self.pin("chill"), stopped)
        actuators.stir_share = self.low_voltage.stir_share(self.pin("stir"), stopped)
        left_ms = ms
        while left_ms > 0:
            slice_ms = min(left_ms, _PASS_MS)
            self.plant.step(slice_ms / 1000, actuators)
            self.mains.step(slice_ms / 1000, self.plant.body_c)
            for name, probe in self.probes.items():
                probe.step(slice_ms / 1000, self._sources[name]())
            left_ms -= slice_ms
        self.now_ms += ms

    def _read_inputs(self) -> int:
        self.mains.relay_line_high = self.pin("relay")
        levels = {
            "arm": self.hand.arm_pressed(self.pin("lamp"), self.now_ms),
            "stop": self.mains.coil_fed,
            "lid": self.lid_switch_bridged or (self.lid_switch_ok and not self.plant.lid_open),
            "load": self.mains.sensed(self.relay_edge_age_ms, self.pin("heat")),
            "water": self._float_floats(),
        }
        mask = 0
        for name, high in levels.items():
            mask |= high << _PINS[name]
        return mask

    def _float_floats(self) -> bool:
        free = not self.float_held_down and self.plant.water_kg > _FLOAT_KG
        return self.float_held_up or free

    def swap_probes(self, one: str, other: str) -> None:
        """Somebody put two probes into each other's place."""
        places, sources = self._places, self._sources
        places[one], places[other] = places[other], places[one]
        sources[one], sources[other] = sources[other], sources[one]

    def probe_at(self, place: str) -> str:
        """The name of the probe that lies where the one called `place` should."""
        return next(name for name, at in self._places.items() if at == place)

    def _read_analog(self) -> tuple[int, int, int]:
        body_c = self.plant.seen_c("body")
        if self._options.body_is_ntc:
            body_c = self.probes["body"].celsius()
        stir, supply, ntc = self.low_voltage.counts(self.plant.stir_current_ma, body_c)
        return stir, 0 if self.mains.control_dead else supply, ntc
