"""The firmware's own control chain against the virtual plant, in one process and without a wire.

What the loop does in a pass is done here in the same order with the same classes: readings,
estimates, cycle, control, supervisor, outputs. Left out are what control never sees: frames,
bytes on the 1-Wire line, the host. A test holds the result against the whole virtual rig.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Protocol

from glossbath.client import messages
from glossbath.virtual.actuators import Actuators
from glossbath.virtual.plants import AnyPlant
from glossbath.virtual.probe import Probe
from glossbath_board import cycle as states
from glossbath_board.control import Control
from glossbath_board.cycle import Cycle
from glossbath_board.estimate import BATH_SPAN_S, Estimate
from glossbath_board.facts import Facts
from glossbath_board.limits import PASS_MS
from glossbath_board.model import Model
from glossbath_board.output import Allowed, Outputs
from glossbath_board.program import Phase, Program
from glossbath_board.reading import Reading
from glossbath_board.supervisor import Supervisor

CONVERSION_PASSES = 3
"""A DS18B20 answers three passes after it was asked (see the firmware's driver)."""
NAMES = ("chocolate", "bath", "body")
_RECORD_MS = 1_000
_SUPPLY_MV = 12_000


class Controller(Protocol):
    """What the chain needs of a controller."""

    @property
    def heat_permille(self) -> int: ...
    @property
    def chill_permille(self) -> int: ...
    @property
    def stir_permille(self) -> int: ...

    def step(self, phase: Phase | None, dt_ms: int) -> None: ...


class Estimator(Protocol):
    """What renews the estimates of a controller."""

    def step(self, now_ms: int) -> None: ...


Event = tuple[float, Callable[["Chain"], None]]
"""Seconds after the start, and what happens to the rig then."""
Build = Callable[[dict[str, Reading], Cycle], tuple[Controller, Sequence[Estimator]]]


@dataclass
class Trace:
    """What happened, once a second. Times in s, temperatures in °C (true ones), shares 0 to 1."""

    time_s: list[float] = field(default_factory=list)
    phase: list[str] = field(default_factory=list)
    chocolate_c: list[float] = field(default_factory=list)
    layer_c: list[float] = field(default_factory=list)
    bath_c: list[float] = field(default_factory=list)
    heat_share: list[float] = field(default_factory=list)
    chill_share: list[float] = field(default_factory=list)
    entered_s: dict[str, float] = field(default_factory=dict)
    end: str = ""

    def of(self, *phases: str, layer: bool = False) -> list[float]:
        """True chocolate temperatures within these phases, of the core or of the wall's layer."""
        pairs = zip(self.phase, self.layer_c if layer else self.chocolate_c, strict=True)
        return [celsius for name, celsius in pairs if name in phases]


class Probes:
    """Three probes and the rhythm in which their chips answer."""

    def __init__(self, plant: AnyPlant, seed: int, noise_c: float, tau_s: float) -> None:
        self.readings = {name: Reading(name) for name in NAMES}
        self._sources: tuple[Callable[[], float], ...] = (
            lambda: plant.seen_c("chocolate"),
            lambda: plant.seen_c("bath"),
            lambda: plant.seen_c("body"),
        )
        self.probes = [
            Probe(source(), tau_s=tau_s, noise_c=noise_c, rng=random.Random(seed * 10 + at))
            for at, source in enumerate(self._sources)
        ]
        self._pass = 0
        self._taken_ms = 0
        self._coming = [0, 0, 0]

    def follow(self, dt_s: float) -> None:
        """Let the elements follow what they are in."""
        for probe, source in zip(self.probes, self._sources, strict=True):
            probe.step(dt_s, source())

    def step(self, now_ms: int) -> None:
        """Convert together, then answer one a pass."""
        if self._pass == 0:
            self._taken_ms = now_ms
            self._coming = [
                math.floor(probe.celsius() * 16.0 + 0.5) * 125 // 2 for probe in self.probes
            ]
        elif self._pass >= CONVERSION_PASSES:
            at = self._pass - CONVERSION_PASSES
            self.readings[NAMES[at]].good(self._coming[at], self._taken_ms)
        self._pass = (self._pass + 1) % (CONVERSION_PASSES + len(NAMES))


def project(values: list[int] | None) -> Build:
    """The firmware's control with a model of these values, or the reference rig's."""

    def build(
        readings: dict[str, Reading], cycle: Cycle
    ) -> tuple[Controller, Sequence[Estimator]]:
        chocolate = Estimate(readings["chocolate"])
        bath = Estimate(readings["bath"], BATH_SPAN_S)
        body = Estimate(readings["body"], BATH_SPAN_S)
        control = Control(chocolate, bath, body, cycle, Model(values))
        return control, [chocolate, bath, body]

    return build


class _Pin:
    """One output line."""

    def __init__(self) -> None:
        self.level = 0

    def value(self, level: int) -> None:
        self.level = level


class Chain:
    """One rig under one controller.

    plant is stepped; program is what the board was given; build makes controller and estimates
    from the readings and the cycle. Without supervision nothing trips and nothing is withheld, so
    that a cycle which is lost shows how far it went. Iterate for what a keeper would show of it,
    a reading a second, until its end or until a phase has had its time.
    """

    def __init__(
        self,
        plant: AnyPlant,
        program: Program,
        build: Build,
        *,
        seed: int = 1,
        noise_c: float = 0.02,
        tau_s: float = 8.0,
        supervised: bool = True,
        events: Sequence[Event] | None = None,
    ) -> None:
        self.plant = plant
        self._supervised = supervised
        self.probes = Probes(plant, seed, noise_c, tau_s)
        readings = self.probes.readings
        self.cycle = Cycle()
        self.control, self.estimates = build(readings, self.cycle)
        self._current, self._supply = Reading("stir_current"), Reading("supply")
        self.facts = Facts(
            readings["chocolate"],
            readings["bath"],
            readings["body"],
            self._current,
            self._supply,
        )
        self.facts.settings_fault = self.facts.files_fault = ""
        self.supervisor = Supervisor(self.facts)
        self.supervisor.lower("chocolate-hot", program.max_mc)
        self._pins = {name: _Pin() for name in ("heat", "relay", "chill", "stir", "lamp")}
        self.outputs = Outputs(self._pins)
        self._allowed = Allowed()
        self._actuators = Actuators()
        self.now_ms = 0
        self.trace = Trace()
        self._program = program
        self._events = sorted(events or (), key=lambda event: event[0])

    def run(self, most_s: float) -> Trace:
        """Run the program to its end, a trip, or most_s (s)."""
        for _ in self._passes(most_s):
            pass
        return self.trace

    def __iter__(self) -> Iterator[messages.Reading]:
        for elapsed_ms in self._passes(math.inf):
            phase = self.cycle.phase
            if phase is not None and self.cycle.phase_ms > phase.timeout_ms:
                return
            if (elapsed_ms + PASS_MS) % _RECORD_MS == 0:
                yield self._reading(elapsed_ms / 1000)

    def readings(self) -> list[messages.Reading]:
        """All readings of the whole cycle."""
        return list(self)

    def phase_times_s(self) -> dict[str, float]:
        """How long each phase took."""
        begins = list(self.trace.entered_s.items())
        return {name: after - begin for (name, begin), (_, after) in pairwise(begins)}

    def _passes(self, most_s: float) -> Iterator[int]:
        """Milliseconds since the start, after each pass of the board and before what it does."""
        for _ in range(2 * (CONVERSION_PASSES + len(NAMES))):
            self._sense()
            self._world()
        self._begin()
        begin_ms = self.now_ms
        while self.cycle.state in states.HEATING and self.now_ms - begin_ms < most_s * 1000:
            elapsed_ms = self.now_ms - begin_ms
            while self._events and self._events[0][0] * 1000 <= elapsed_ms:
                self._events.pop(0)[1](self)
            if elapsed_ms % _RECORD_MS == 0:
                self._record(elapsed_ms / 1000)
            self._pass()
            yield elapsed_ms
            self._world()
        self._record((self.now_ms - begin_ms) / 1000)
        self.trace.end = self.supervisor.trip or self.cycle.state

    def _begin(self) -> None:
        for event in ("start", "armed", "proven"):
            self.cycle.handle(event)
        self.cycle.program = self._program
        self._entered()

    def _sense(self) -> None:
        self.now_ms += PASS_MS
        self.probes.step(self.now_ms)
        for estimate in self.estimates:
            estimate.step(self.now_ms)

    def _pass(self) -> None:
        self._sense()
        cycle = self.cycle
        if cycle.step(PASS_MS, self.probes.readings["chocolate"].milli):
            self._entered()
        self.control.step(cycle.phase, PASS_MS)
        if self._supervised:
            self._supervise()
        else:
            self._allow_all()
        self.outputs.drive(self._allowed, PASS_MS)

    def _supervise(self) -> None:
        self._tell_facts()
        row = self.supervisor.check(PASS_MS)
        if row is not None:
            self.outputs.off()
            self.supervisor.latch(row.code)
            self.cycle.handle("trip")
            self.facts.state = self.cycle.state
        self.supervisor.allow(self.control, self._allowed)  # type: ignore[arg-type]

    def _allow_all(self) -> None:
        allowed, control = self._allowed, self.control
        allowed.relay = self.cycle.state in states.HEATING
        allowed.heat_permille = control.heat_permille
        allowed.chill_permille = control.chill_permille
        allowed.stir_permille = control.stir_permille

    def _entered(self) -> None:
        if self.cycle.phase is not None:
            self.supervisor.lower("phase-time", self.cycle.phase.timeout_ms)

    def _tell_facts(self) -> None:
        """What a rig without a fault in its wiring shows the supervisor."""
        facts, outputs, cycle = self.facts, self.outputs, self.cycle
        self._current.good(round(self.plant.stir_current_ma), self.now_ms)
        self._supply.good(_SUPPLY_MV, self.now_ms)
        facts.now_ms = self.now_ms
        facts.lease_age_ms = 0
        facts.follow_outputs(outputs.heat_on, outputs.stir_on, PASS_MS)
        facts.load_on = outputs.heat_on
        facts.stop_ready = facts.water_ok = True
        facts.lid_on = not self.plant.lid_open
        facts.state = cycle.state
        facts.phase_ms = cycle.phase_ms
        facts.run_ms = cycle.run_ms
        allowed = self._allowed
        facts.plausibility.step(
            facts.state,
            allowed.heat_permille,
            allowed.chill_permille,
            outputs.heat_on,
            PASS_MS,
        )

    def _world(self) -> None:
        actuators = self._actuators
        actuators.heat_share = float(self.outputs.heat_on)
        actuators.chill_share = float(self._pins["chill"].level)
        actuators.stir_share = float(self._pins["stir"].level)
        self.plant.step(PASS_MS / 1000, actuators)
        self.probes.follow(PASS_MS / 1000)

    def _record(self, elapsed_s: float) -> None:
        trace = self.trace
        name = self.cycle.phase.name if self.cycle.phase else self.cycle.state
        trace.entered_s.setdefault(name, elapsed_s)
        trace.time_s.append(elapsed_s)
        trace.phase.append(name)
        trace.chocolate_c.append(self.plant.chocolate_c)
        trace.layer_c.append(self.plant.layer_c)
        trace.bath_c.append(self.plant.bath_c)
        trace.heat_share.append(self.control.heat_permille / 1000)
        trace.chill_share.append(self.control.chill_permille / 1000)

    def _reading(self, time_s: float) -> messages.Reading:
        """What a keeper would show: the probes' words, the phase, the shares allowed."""
        celsius = {name: self.probes.readings[name].milli / 1000 for name in NAMES}
        phase, allowed = self.cycle.phase, self._allowed
        return messages.Reading(
            time_s=time_s,
            wall="",
            chocolate_c=celsius["chocolate"],
            bath_c=celsius["bath"],
            body_c=celsius["body"],
            target_c=phase.target_mc / 1000 if phase else None,
            bath_target_c=None,
            heat_share=allowed.heat_permille / 1000,
            chill_share=allowed.chill_permille / 1000,
            stir_share=allowed.stir_permille / 1000,
            state=self.cycle.state,
            phase=phase.name if phase else "",
            phase_index=self.cycle.index,
            phase_elapsed_s=self.cycle.phase_ms / 1000,
            phase_left_s=None,
            cycle_left_s=None,
            dwell_s=self.cycle.dwell_ms / 1000,
        )
