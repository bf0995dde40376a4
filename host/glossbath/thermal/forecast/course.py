"""The course of a recipe on a modelled rig, from any moment on to its end.

It is led by the board's own controller and counted by the board's own cycle, in longer steps than
on the board, so forecast and rig cannot disagree about what the rig will do next.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from glossbath_board import cycle as states
from glossbath_board.control import Control
from glossbath_board.cycle import Cycle
from glossbath_board.estimate import Estimate
from glossbath_board.model import Model
from glossbath_board.program import Program

from ..model import Nodes

_STEP_MS = 5_000
_HOLD_STEP_MS = 15_000
"""Holding changes slowly; still a quarter of the fastest lag."""
_SETTLED_MS = 900_000
"""Of a hold: from then on nothing changes any more."""


@dataclass
class Course:
    """What will happen. Times in s from the beginning of the course.

    phases_s has the seconds each phase takes from then on; curve (time_s, chocolate °C, bath °C);
    heat_j what the heater gives; ice_j the heat into the ice up to the end of cooling, bucket_j up
    to the end of all. stuck names the phase that does not end in its time, or is empty.
    """

    phases_s: dict[str, float] = field(default_factory=dict)
    curve: list[tuple[float, float, float]] = field(default_factory=list)
    heat_j: float = 0.0
    ice_j: float = 0.0
    bucket_j: float = 0.0
    stuck: str = ""

    @property
    def total_s(self) -> float:
        """Until the end of the last phase."""
        return sum(self.phases_s.values())


@dataclass
class Place:
    """Where in a program a course begins: the phase, for how long it has run, and for how long
    the chocolate has been in its window. Times in s."""

    index: int = 0
    phase_s: float = 0.0
    dwell_s: float = 0.0


class _Seen(Estimate):
    """What the board's controller reads of a probe, without the probe."""

    def __init__(self, celsius: float) -> None:
        self.known = True
        self.celsius = celsius
        self.slope_c_s = 0.0

    def moved(self, celsius: float, dt_s: float) -> None:
        """A step later."""
        self.slope_c_s = (celsius - self.celsius) / dt_s
        self.celsius = celsius


def run(program: Program, nodes: Nodes, board_model: Model, place: Place | None = None) -> Course:
    """Let the nodes go through the program from place on, or from its beginning.

    board_model is what the board thinks of its rig, which need not be what the nodes are. A phase
    that outlasts its timeout is where the course ends.
    """
    cycle = _cycle(program, place or Place())
    chocolate, bath, body = (
        _Seen(celsius) for celsius in (nodes.chocolate_c, nodes.bath_c, nodes.body_probe_c)
    )
    control = Control(chocolate, bath, body, cycle, board_model)
    course = Course()
    begin_j, now_ms = nodes.ice_j, 0
    kg = nodes.contents.kg
    while cycle.state == states.RUNNING:
        phase = cycle.phase
        course.curve.append((now_ms / 1000, nodes.chocolate_c, nodes.bath_c))
        if cycle.phase_ms > phase.timeout_ms:
            course.stuck = phase.name
            break
        step_ms = _step_ms(cycle, nodes)
        if step_ms > _HOLD_STEP_MS:
            _rest(nodes, course, step_ms / 1000)
        else:
            control.step(phase, step_ms)
            nodes.step(
                step_ms / 1000,
                control.heat_permille / 1000,
                control.chill_permille / 1000,
                nodes.model.bowl_w_per_k(phase.stir_permille / 1000, kg),
            )
        chocolate.moved(nodes.chocolate_c, step_ms / 1000)
        bath.moved(nodes.bath_c, step_ms / 1000)
        body.moved(nodes.body_probe_c, step_ms / 1000)
        now_ms += step_ms
        course.phases_s[phase.name] = course.phases_s.get(phase.name, 0.0) + step_ms / 1000
        if phase.name in ("melt", "soak", "cool"):
            course.ice_j = nodes.ice_j - begin_j
        cycle.step(step_ms, round(nodes.chocolate_c * 1000))
    course.curve.append((now_ms / 1000, nodes.chocolate_c, nodes.bath_c))
    course.heat_j += nodes.heat_j
    course.bucket_j = nodes.ice_j - begin_j
    return course


def _cycle(program: Program, place: Place) -> Cycle:
    cycle = Cycle()
    for event in ("start", "armed", "proven"):
        cycle.handle(event)
    cycle.program = program
    cycle.index = place.index
    cycle.phase_ms = round(place.phase_s * 1000)
    cycle.dwell_ms = round(place.dwell_s * 1000)
    return cycle


def _step_ms(cycle: Cycle, nodes: Nodes) -> int:
    """How far to go at once: to the end of a settled hold, else a step, cut at a dwell's end. No
    hold settles in a room that warms its bath, since ice runs out."""
    phase = cycle.phase
    left_ms: int = phase.dwell_ms - cycle.dwell_ms
    if phase.name != "hold":
        return min(_STEP_MS, max(left_ms, 250))
    settled = cycle.dwell_ms >= _SETTLED_MS and nodes.room_c < nodes.bath_c
    if settled and left_ms > _HOLD_STEP_MS:
        return left_ms
    return min(_HOLD_STEP_MS, max(left_ms, 250))


def _rest(nodes: Nodes, course: Course, seconds: float) -> None:
    """A settled hold: the heater gives what is lost, or nothing where the room is warmer."""
    model = nodes.model
    lost_w = model.room_w_per_k * (nodes.bath_c - nodes.room_c)
    lost_w += model.bowl_room_w_per_k * (nodes.chocolate_c - nodes.room_c)
    course.heat_j += seconds * min(model.heater_w, max(0.0, lost_w))


def thinned(
    points: list[tuple[float, float, float]], most: int
) -> list[tuple[float, float, float]]:
    """At most that many of the points, first and last among them, evenly spread."""
    every = math.ceil((len(points) - 1) / max(1, most - 1)) if len(points) > most else 1
    kept = points[:-1:every]
    return [*kept, points[-1]] if points else []
