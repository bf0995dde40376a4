"""The forecast during a cycle: how long it still takes, and why the rig does not follow it."""

from __future__ import annotations

import msgspec

from glossbath.chocolate.phase import kept_before
from glossbath.client.messages import Reading
from glossbath.errors import InputError
from glossbath.recipe import Recipe
from glossbath_board.model import Model

from ..model import Contents, Nodes, RigModel, board_values, chocolate
from .account import Account
from .ahead import CURVE_POINTS, program_of
from .causes import Finding, corrected
from .course import Course, Place, run, thinned
from .judge import Judge
from .reach import Reach
from .shortfall import Shortfall
from .spread import Countdown, Range, Spread

RENEW_S = 60.0
UNREACHED = "this phase cannot be reached as things are"
NO_PROBE = "a probe gives no usable value"
STUCK = "as far as this rig is known, {phase} would not end in its time"
STALLED = "the cycle goes on more slowly than what is known of this rig explains"
_ROOM_C = 22.0
_ROOMS_C = (10.0, 32.0)


class Outlook(msgspec.Struct, frozen=True):
    """What is expected after a reading. None: nothing can be said.

    curve is (time_s, chocolate °C) from now on, on the readings' clock, in at most CURVE_POINTS
    points; renewed says whether it is a new one. problem is one sentence when the phase cannot be
    reached as things are, what would help included. finding is why the rig does not follow its
    forecast, or None while it does. phase_range_s and cycle_range_s are low and high of what is
    left; where that is None in a cycle, unknown says why, in a few words.
    """

    phase_left_s: float | None = None
    cycle_left_s: float | None = None
    phase_range_s: Range | None = None
    cycle_range_s: Range | None = None
    unknown: str = ""
    curve: list[tuple[float, float]] = []
    renewed: bool = False
    finding: Finding | None = None
    problem: str = ""


class Forecaster:
    """Follows one cycle. Call `update` with every reading; it costs a new course once in renew_s
    of the readings' time, when the phase changes, and when a cause is found or over."""

    def __init__(
        self,
        recipe: Recipe,
        model: RigModel,
        batch_kg: float,
        room_c: float | None = None,
        renew_s: float = RENEW_S,
        steering: RigModel | None = None,
        ice_kg: float | None = None,
        tap_c: float | None = None,
        judged: bool = True,
    ) -> None:
        """room_c in °C; None: the room probe's, or else a guess from the first reading. steering
        is what the board takes the rig for; None: the same model. ice_kg and tap_c (°C) are what
        was filled into the chill bucket; None: the model's ice at 0 °C, tap water as warm as the
        room. judged: the model is known well enough to say that something is wrong with the rig.

        Raises InputError for a model or a batch that is implausible.
        """
        self._phases = recipe.phases
        self._contents = chocolate(batch_kg, recipe.fat_share, recipe.chocolate)
        if ice_kg is not None:
            model = msgspec.structs.replace(model, ice_kg=ice_kg)
        self._model = model.check()
        self._filled, self._tap_c = ice_kg is not None, tap_c
        self._board_model = Model(board_values(steering or model))
        self._program = program_of(recipe, batch_kg)
        self._judge = Judge(model)
        self._judged = judged
        self._reach = Reach(model, self._contents)
        self._short: Shortfall | None = None
        self._room_c = room_c
        self._room_known = room_c is not None
        self._renew_s = renew_s
        self._account: Account | None = None
        self._index = -1
        self._course: Course | None = None
        self._code = ""
        self._made_s = 0.0
        self._curve: list[tuple[float, float]] = []
        self._spread: Spread | None = None
        self._countdown = Countdown()

    def update(self, reading: Reading) -> Outlook:
        """What is expected after this reading."""
        if reading.state not in ("running", "held"):
            return Outlook(finding=self._judge.finding)
        if not 0 <= reading.phase_index < len(self._phases):
            return Outlook()
        account = self._account or self._begin(reading)
        if reading.phase_index != self._index:
            self._index = reading.phase_index
            self._course = None
            self._countdown.restart()
        assert self._room_c is not None
        phase = self._phases[self._index]
        self._short = self._reach.look(reading, phase, self._room_c, self._room_known)
        block = account.add_reading(reading)
        if block is not None and self._judged:
            self._judge.look(block)
        if self._spread is not None:
            self._spread.step()
        renewed = self._due(reading) and self._renew(reading, account)
        return self._outlook(reading, renewed)

    def add_ice(self, kg: float) -> None:
        """A person has put ice into the bucket, in kg; all is looked at anew. What was there
        before is gone where the chill was."""
        finding, there_kg = self._judge.finding, self._model.ice_kg
        gone = self._short is not None or (finding is not None and finding.code == "ice-gone")
        if gone and self._account is not None and self._room_c is not None:
            self._account.spend(self._bucket_j(self._room_c))
            there_kg = 0.0
        self._model = msgspec.structs.replace(self._model, ice_kg=there_kg + kg)
        self._judge = Judge(self._model)
        self._reach = Reach(self._model, self._contents)
        self._short = self._course = self._spread = None
        self._countdown.restart()

    def _begin(self, reading: Reading) -> Account:
        if self._room_c is None:
            self._room_c = room_of(reading)
            self._room_known = reading.room_c is not None
        self._account = Account(self._model, self._contents, self._room_c)
        return self._account

    def _due(self, reading: Reading) -> bool:
        finding = self._judge.finding
        changed = (finding.code if finding else "") != self._code
        old = not (0.0 <= reading.time_s - self._made_s < self._renew_s)
        return changed or old or self._course is None

    def _renew(self, reading: Reading, account: Account) -> bool:
        """A new course from this reading on; False where it has no temperatures to start from."""
        if reading.chocolate_c is None or reading.bath_c is None or reading.body_c is None:
            return False
        finding = self._judge.finding
        model = corrected(self._model, finding, self._judge.amount)
        place = Place(self._index, reading.phase_elapsed_s, reading.dwell_s or 0.0)
        solid_share, chill_j = account.solid_share, account.chill_j
        chocolate_c, bath_c, body_c = reading.chocolate_c, reading.bath_c, reading.body_c

        def ahead(model: RigModel, contents: Contents, room_c: float) -> Course:
            nodes = Nodes(
                model,
                contents,
                room_c=room_c,
                chocolate_c=chocolate_c,
                bath_c=bath_c,
                body_c=body_c,
                solid_share=solid_share,
            )
            nodes.warm_bucket(chill_j + self._bucket_j(room_c))
            return run(self._program, nodes, self._board_model, place)

        assert self._room_c is not None
        try:
            self._course = course = ahead(model, self._contents, self._room_c)
        except InputError:
            return False
        if self._spread is None:
            self._spread = Spread(self._model, self._contents, self._room_c, course, ahead)
        self._code = finding.code if finding else ""
        self._made_s = reading.time_s
        points = thinned(course.curve, CURVE_POINTS)
        self._curve = [
            (round(reading.time_s + after_s, 1), round(celsius, 2))
            for after_s, celsius, _ in points
        ]
        return True

    def _outlook(self, reading: Reading, renewed: bool) -> Outlook:
        course, finding = self._course, self._judge.finding
        short = self._short
        problem = self._problem(short) if short is not None else ""
        curve = [] if course is None else self._curve
        blank = Outlook(curve=curve, renewed=renewed, finding=finding, problem=problem)
        if problem:
            return msgspec.structs.replace(blank, unknown=UNREACHED)
        if course is None:
            return msgspec.structs.replace(blank, unknown=NO_PROBE)
        if course.stuck:
            return msgspec.structs.replace(blank, unknown=STUCK.format(phase=course.stuck))
        left = self._left(reading, course)
        phase_s, cycle_s = left[self._phases[self._index].name], sum(left.values())
        if reading.state == "held":
            self._countdown.restart()
        else:
            self._countdown.add(reading.time_s, phase_s)
        if self._countdown.stalled:
            return msgspec.structs.replace(blank, unknown=STALLED)
        assert self._spread is not None
        around = self._spread.around({self._phases[self._index].name: phase_s})
        return msgspec.structs.replace(
            blank,
            phase_left_s=phase_s,
            cycle_left_s=cycle_s,
            phase_range_s=self._countdown.stretched(around, phase_s),
            cycle_range_s=self._countdown.stretched(self._spread.around(left), phase_s),
        )

    def _problem(self, short: Shortfall) -> str:
        kept = kept_before(self._phases, self._index)
        again_c = kept.target_c if kept is not None else None
        return short.sentence(self._model, self._contents, again_c)

    def _bucket_j(self, room_c: float) -> float:
        """Heat in the water that was filled into the bucket, where a person has said what was."""
        if not self._filled:
            return 0.0
        return self._model.bucket_j_per_k * (room_c if self._tap_c is None else self._tap_c)

    def _left(self, reading: Reading, course: Course) -> dict[str, float]:
        """What is left of this phase and of those to come, in s."""
        name = self._phases[self._index].name
        since_s = 0.0 if reading.state == "held" else reading.time_s - self._made_s
        return {**course.phases_s, name: max(0.0, course.phases_s.get(name, 0.0) - since_s)}


def room_of(reading: Reading) -> float:
    """The room's temperature: as read, or that of a rig that has not been used yet."""
    if reading.room_c is not None:
        return reading.room_c
    celsius = [it for it in (reading.bath_c, reading.chocolate_c) if it is not None]
    coldest_c = min(celsius, default=_ROOM_C)
    return coldest_c if _ROOMS_C[0] <= coldest_c <= _ROOMS_C[1] else _ROOM_C
