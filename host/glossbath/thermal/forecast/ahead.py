"""The forecast before heating: how long, how much energy, how much ice, and how sure."""

from __future__ import annotations

import math
from collections.abc import Iterator

import msgspec

from glossbath.errors import InputError
from glossbath.recipe import Recipe
from glossbath.recipe.program import board_program
from glossbath_board.errors import OrderError
from glossbath_board.model import Model
from glossbath_board.program import Program

from ..model import UNCERTAIN, Contents, Nodes, RigModel, board_values, chocolate
from ..model.nodes import ICE_LATENT_J_PER_KG
from .course import Course, run, thinned

CURVE_POINTS = 200
WIDE = 2.0
"""Standard uncertainties on each side: about 95 of 100."""
HEAT_UNCERTAINTY = 0.15
"""Of the heat that chocolate takes: composition models differ from the handbook by this much."""
_ROOM_UNCERTAINTY_K = 2.0
_J_PER_KWH = 3.6e6


class Amount(msgspec.Struct, frozen=True):
    """A value and its uncertainty, plus or minus, in which about 95 of 100 come out."""

    value: float
    uncertainty: float


class PhaseTime(msgspec.Struct, frozen=True):
    """How long one phase takes, in s."""

    name: str
    seconds: Amount


class Start(msgspec.Struct, frozen=True):
    """Temperatures before heating, in °C."""

    chocolate_c: float
    bath_c: float
    body_c: float


class Forecast(msgspec.Struct, frozen=True):
    """What a recipe will do on a rig.

    ready_s is how long until the hold begins, when the chocolate can be used. curve is (time_s,
    chocolate °C, bath °C) in at most CURVE_POINTS points. ice_kg is what melts in the bucket up to
    the end of cooling. stuck names a phase that would not end in its time, or is empty. problem is
    one sentence, or empty when all will end.
    """

    phases: tuple[PhaseTime, ...]
    ready_s: Amount
    total_s: Amount
    curve: tuple[tuple[float, float, float], ...]
    energy_kwh: Amount
    ice_kg: Amount
    stuck: str
    problem: str

    def sentences(self) -> list[str]:
        """The forecast in words."""
        phases = ", ".join(f"{phase.name} {_minutes(phase.seconds)}" for phase in self.phases)
        if self.stuck:
            return [self.problem, f"Until then, in minutes: {phases}."]
        made = [
            f"It takes {_minutes(self.total_s)} min: {phases}.",
            f"The chocolate is ready to use after {_minutes(self.ready_s)} min.",
            f"It needs {_amount(self.energy_kwh, 2)} kWh of heat and "
            f"{_amount(self.ice_kg, 1)} kg of ice.",
        ]
        return [*made, self.problem] if self.problem else made


def forecast(
    recipe: Recipe, model: RigModel, start: Start, batch_kg: float, room_c: float
) -> Forecast:
    """The course of a recipe from start on, in a room of room_c (°C), lid on.

    Uncertainties are those of the model, 15 % of the chocolate's heat and 2 K of room, each varied
    alone and added by squares. Raises InputError for values that are implausible.
    """
    if not (0.0 <= room_c <= 50.0):
        raise InputError(f"The room is {room_c:g} °C, outside 0 to 50 °C; give it in °C.")
    contents = chocolate(batch_kg, recipe.fat_share, recipe.chocolate)
    program = program_of(recipe, batch_kg)
    board_model = Model(board_values(model.check()))

    def course(model: RigModel, contents: Contents, room_c: float) -> Course:
        return run(program, nodes_at(model, contents, start, room_c), board_model)

    expected = course(model, contents, room_c)
    others = [course(*changed) for changed in varied(model, contents, room_c)]

    def amount(of: list[float]) -> Amount:
        return Amount(of[0], WIDE * math.sqrt(sum((value - of[0]) ** 2 for value in of[1:])))

    courses = [expected, *others]
    ice_kg = amount([each.ice_j / ICE_LATENT_J_PER_KG for each in courses])
    return Forecast(
        phases=tuple(
            PhaseTime(name, amount([each.phases_s.get(name, seconds) for each in courses]))
            for name, seconds in expected.phases_s.items()
        ),
        ready_s=amount([each.total_s - each.phases_s.get("hold", 0.0) for each in courses]),
        total_s=amount([each.total_s for each in courses]),
        curve=tuple(thinned(expected.curve, CURVE_POINTS)),
        energy_kwh=amount([each.heat_j / _J_PER_KWH for each in courses]),
        ice_kg=ice_kg,
        stuck=expected.stuck,
        problem=_problem(recipe, expected, ice_kg, model),
    )


def program_of(recipe: Recipe, batch_kg: float) -> Program:
    """The recipe as the board runs it; raises InputError where the board would refuse it."""
    try:
        return board_program(recipe, batch_kg)
    except OrderError as error:
        raise InputError(
            f"The board would refuse this: {error.field} must be from {error.low} to "
            f"{error.high}; change the recipe or the batch."
        ) from error


def nodes_at(model: RigModel, contents: Contents, start: Start, room_c: float) -> Nodes:
    """A rig about to begin; raises InputError for values that are implausible."""
    return Nodes(
        model,
        contents,
        room_c=room_c,
        chocolate_c=start.chocolate_c,
        bath_c=start.bath_c,
        body_c=start.body_c,
    )


def varied(
    model: RigModel, contents: Contents, room_c: float
) -> Iterator[tuple[RigModel, Contents, float]]:
    """Everything that is uncertain, larger by one standard uncertainty, one at a time."""
    for name in UNCERTAIN:
        value = getattr(model, name) * (1.0 + model.uncertainty(name))
        yield msgspec.structs.replace(model, **{name: value}), contents, room_c
    yield model, contents.taking(1.0 + HEAT_UNCERTAINTY), room_c
    yield model, contents, room_c + _ROOM_UNCERTAINTY_K


def _problem(recipe: Recipe, course: Course, ice_kg: Amount, model: RigModel) -> str:
    if course.stuck:
        phase = next(plan for plan in recipe.phases if plan.name == course.stuck)
        advice = {
            "melt": "put the lid on, or use a smaller batch or a warmer start",
            "cool": "fill in more ice, or let the bath be colder",
        }.get(phase.name, "widen its window or its bath limits, or allow more time")
        minutes = f"{phase.timeout_s / 60:.0f} min"
        return f"Phase {phase.name} would not end within its {minutes}: {advice}."
    needed_kg = ice_kg.value + ice_kg.uncertainty
    if needed_kg > model.ice_kg:
        return (
            f"The ice may run out: up to {needed_kg:.1f} kg melt, and {model.ice_kg:.1f} kg are "
            "assumed; fill in more."
        )
    return ""


def _amount(amount: Amount, decimals: int) -> str:
    return f"{amount.value:.{decimals}f} ± {amount.uncertainty:.{decimals}f}"


def _minutes(seconds: Amount) -> str:
    minutes, uncertainty = round(seconds.value / 60), round(seconds.uncertainty / 60)
    return f"{minutes} ± {uncertainty}" if uncertainty else f"{minutes}"
