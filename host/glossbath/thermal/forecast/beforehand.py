"""The plan before a start: what will not be reached in this kitchen, and what would help.

A phase is said not to be reachable only when it is not even with everything that is uncertain
taken in its favour; where only the expected course fails, it is said that it may not be. Of a rig
that was never measured much is uncertain, so that little is certain but what the room and the ice
decide.
"""

from __future__ import annotations

import msgspec

from glossbath.chocolate import limits
from glossbath.chocolate.phase import PhasePlan
from glossbath.recipe import Recipe
from glossbath_board.model import Model

from ..model import Contents, RigModel, board_values, chocolate
from .ahead import HEAT_UNCERTAINTY, Start, nodes_at, program_of
from .course import Course, run
from .shortfall import ice_that_takes

MOST_ICE_KG = 20.0
TAP_C = (0.0, 40.0)
PLENTY_KG = 50.0
"""Of ice: more than any cycle melts."""
_STRAYS_K = 0.3
"""A hold that leaves its window by more is not kept; what the display's last digit and a probe
may tell; engineering choice."""
_ROOM_K, _ROOM_GUESS_K = 1.0, 3.0
"""How well a room is known that was measured or said, and one that was guessed; engineering
choice."""
_COLDEST_TAP_C = 8.0
"""Of a tap of which nothing is known; from memory."""
_SURE_SHARE, _STRANGE_SHARE = 0.3, 0.5
"""How far a rig that was measured may at least be from its model over hours, with a lid that is
lifted and water that evaporates; and one that was never measured from the reference rig.
Engineering choices, tried on random kitchens."""
_ICE_SHARE = 0.2
"""Of the ice, how well it is known what it does: ice that is gone a degree too early leaves hours
of cooling to the room, in which the chocolate gives off heat as it sets. Engineering choice."""
COOLING = ("cool", "hold")


class Kitchen(msgspec.Struct, frozen=True):
    """What is known of the kitchen: room and tap water in °C, ice in the bucket in kg; None for
    what nobody has said. room_known: measured or said, not guessed."""

    room_c: float
    room_known: bool = True
    tap_c: float | None = None
    ice_kg: float | None = None

    def check(self) -> Kitchen:
        """This kitchen; raises InputError with the first thing that no kitchen has."""
        limits.celsius("room", self.room_c, limits.ROOM_C)
        if self.tap_c is not None:
            limits.celsius("tap water", self.tap_c, TAP_C)
        if self.ice_kg is not None:
            limits.number("ice", self.ice_kg, 0.0, MOST_ICE_KG, "kg")
        return self

    @property
    def bucket_c(self) -> float:
        """The water in the bucket: from the tap, or as warm as the room where it was not said."""
        return self.room_c if self.tap_c is None else self.tap_c


class Beginning(msgspec.Struct, frozen=True):
    """A cycle that has not begun. steering is what the board takes its rig for; None: model."""

    recipe: Recipe
    model: RigModel
    start: Start
    batch_kg: float
    kitchen: Kitchen
    steering: RigModel | None = None

    @property
    def chills(self) -> bool:
        """Whether the rig has a chill bucket."""
        return self.model.chill_w_per_k > 0.0

    @property
    def contents(self) -> Contents:
        """What will lie in the bowl; raises InputError where that is implausible."""
        return chocolate(self.batch_kg, self.recipe.fat_share, self.recipe.chocolate)

    def phase(self, name: str) -> PhasePlan:
        """A phase of the recipe."""
        return next(phase for phase in self.recipe.phases if phase.name == name)

    def with_ice(self, kg: float) -> Beginning:
        """The same with that much ice in the bucket."""
        kitchen = msgspec.structs.replace(self.kitchen, ice_kg=kg)
        return msgspec.structs.replace(self, kitchen=kitchen)

    def course(self, contents: Contents | None = None) -> Course:
        """What will happen, with plenty of ice where nobody has said how much there is."""
        kitchen, start = self.kitchen, self.start
        ice_kg = PLENTY_KG if kitchen.ice_kg is None else kitchen.ice_kg
        model = msgspec.structs.replace(self.model, ice_kg=ice_kg if self.chills else 0.0)
        nodes = nodes_at(model, contents or self.contents, start, kitchen.room_c)
        nodes.warm_bucket(model.bucket_j_per_k * kitchen.bucket_c)
        board_model = Model(board_values(self.steering or self.model))
        return run(program_of(self.recipe, self.batch_kg), nodes, board_model)

    def missed(self, course: Course) -> str:
        """The phase that this course does not reach or keep, or nothing."""
        if course.stuck:
            return course.stuck
        return "hold" if self.strays_after_s(course) is not None else ""

    def strays_after_s(self, course: Course) -> float | None:
        """How long (s) after its beginning the hold gets too warm, or None where it is kept."""
        if "hold" not in course.phases_s:
            return None
        begin_s = course.total_s - course.phases_s["hold"]
        high_c = self.phase("hold").window.high_c + _STRAYS_K
        over = (time_s for time_s, celsius, _ in course.curve if time_s > begin_s
                and celsius > high_c)  # fmt: skip
        first_s = next(over, None)
        return None if first_s is None else first_s - begin_s


def ice_needed_kg(begin: Beginning) -> float:
    """Ice (kg, rounded up) that keeps the bucket at 0 °C for as long as this cycle chills, in the
    cooling or, where the room would warm the chocolate in its hold, to the end; 0 where the rig
    does not chill. Its heat of fusion is the model's, with its source there."""
    if not begin.chills:
        return 0.0
    plenty = begin.with_ice(PLENTY_KG).course()
    if plenty.stuck:
        return 0.0
    warm = begin.kitchen.room_c > begin.phase("hold").window.low_c
    taken_j = plenty.bucket_j if warm else plenty.ice_j
    return ice_that_takes(taken_j + begin.model.bucket_j_per_k * begin.kitchen.bucket_c)


def certain(begin: Beginning, phase: str) -> bool:
    """Whether the phase is missed even with all that is uncertain in its favour."""
    cooling = phase in COOLING
    if not begin.model.measured and not cooling:
        return False  # its cooker may be any
    return bool(turned(begin, cooling, 1.0))


def doubtful(begin: Beginning) -> bool:
    """Whether what is uncertain could make a cycle miss a phase of cooling."""
    return turned(begin, True, -1.0) in COOLING


def turned(begin: Beginning, cooling: bool, favour: float) -> str:
    """What is missed with all that is uncertain in favour (1) or disfavour (-1) of heating, or of
    cooling; in between, a part of it."""
    model, kitchen = begin.model, begin.kitchen
    room_k = favour * (_ROOM_K if kitchen.room_known else _ROOM_GUESS_K)
    room_c = min(50.0, max(0.0, kitchen.room_c + (-room_k if cooling else room_k)))
    tap_c = kitchen.tap_c
    if tap_c is None:
        tap_c = min(_COLDEST_TAP_C, kitchen.room_c) if favour > 0.0 else kitchen.room_c

    def other(name: str, sign: float) -> float:
        known = max(_SURE_SHARE, 2.0 * model.uncertainty(name))
        strange = favour > 0.0 and not model.measured
        share = _STRANGE_SHARE if strange else known
        return float(getattr(model, name) * (1.0 + favour * sign * share))

    helps = cooling and kitchen.room_c < begin.phase("cool").window.low_c
    rig = msgspec.structs.replace(
        model,
        heater_w=other("heater_w", 1.0),
        body_j_per_k=other("body_j_per_k", -1.0),
        room_w_per_k=other("room_w_per_k", 1.0 if helps else -1.0),
        chill_w_per_k=other("chill_w_per_k", 1.0),
        stirred_w_per_k=other("stirred_w_per_k", 1.0),
    )
    ice_kg = kitchen.ice_kg
    if ice_kg is not None:
        ice_kg *= 1.0 + favour * _ICE_SHARE
    place = msgspec.structs.replace(kitchen, room_c=room_c, tap_c=tap_c, ice_kg=ice_kg)
    changed = msgspec.structs.replace(begin, model=rig, kitchen=place)
    return changed.missed(changed.course(begin.contents.taking(1.0 - favour * HEAT_UNCERTAINTY)))
