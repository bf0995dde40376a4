"""What will not be reached, in words: why, and what would help."""

from __future__ import annotations

import math

import msgspec

from ..model import Contents, RigModel
from ..model.nodes import ICE_LATENT_J_PER_KG

_SPARE = 1.2
"""More ice than the heat asks for, rounded up: some melts before the pump brings it; engineering
choice."""
_WEAK_SHARE = 0.4
"""Of its known power: what gives less is named as the cause."""
_LEAST_KG = 0.1
DOINGS = {"melt": "melting", "cool": "cooling", "reheat": "reheating"}


class Shortfall(msgspec.Struct, frozen=True):
    """A phase that cannot succeed as things are. Temperatures in °C: what is needed; where the
    bath is at best when the phase's time is over (end_c) and in any time (final_c); bath,
    chocolate and room now. left_s is the time left in the phase (s), power_w what heater or ice
    water seem to give or take. stands: the chocolate does not move any more although the bath is
    where it should be."""

    phase: str
    cooling: bool
    needed_c: float
    end_c: float
    final_c: float
    bath_c: float
    chocolate_c: float
    room_c: float
    left_s: float
    power_w: float
    stands: bool = False

    def sentence(self, model: RigModel, contents: Contents, again_c: float | None = None) -> str:
        """What, why, and what would help. again_c (°C): from where a cooling that is given up is
        begun again, which takes the more ice; None: it is not."""
        way = "chill" if self.cooling else "heat"
        doing = DOINGS.get(self.phase, self.phase)
        comes = f"the bath comes to {self.end_c:.1f} °C at best in the {self.left_s / 60:.0f} min"
        comes += " that are left"
        if self.stands:
            now = f"{self.chocolate_c:.1f} °C, its bath at {self.bath_c:.1f} °C"
            comes = f"the chocolate has stood still at {now}"
        what = (
            f"This cannot be reached: the {doing} needs {self.needed_c:.1f} °C, and at full {way} "
            f"{comes}."
        )
        helps = self._cooler(model, contents, again_c) if self.cooling else self._warmer()
        return f"{what} {self._why(model)} {helps}"

    def _why(self, model: RigModel) -> str:
        if not self.cooling:
            return f"The cooker gives the bath about {self.power_w:.0f} W now."
        room = ""
        if self.room_c > self.needed_c - 1.0:
            room = f", and the room has {self.room_c:.0f} °C"
        if self.power_w < _WEAK_SHARE * model.chill_w_per_k * self.bath_c:
            return (
                f"The chill takes only about {self.power_w:.0f} W: its pump stands, or its ice is "
                f"gone{room}."
            )
        return f"The chill takes about {self.power_w:.0f} W{room}."

    def _cooler(self, model: RigModel, contents: Contents, again_c: float | None) -> str:
        from_c = self.needed_c if again_c is None else again_c
        now_c = (max(from_c, self.bath_c), max(from_c, self.chocolate_c))
        kg = ice_for(model, contents, now_c, self.needed_c, self.room_c)
        others = ["a smaller batch", "a cooler room"]
        if self.final_c < self.needed_c and not self.stands:
            others.append("a longer time for this phase")
        return (
            f"What would help: about {kg:.1f} kg of ice in the chill water with its pump running "
            f"and its hoses free; else {', '.join(others[:-1])} or {others[-1]}."
        )

    def _warmer(self) -> str:
        longer = ", a smaller batch or a longer time for this phase"
        return (
            "What would help: the lid on, the cooker at its full heat, a stronger one, a warmer "
            f"room{longer if self.final_c > self.needed_c else ' or less water'}."
        )


def heat_to_draw_j(
    model: RigModel, contents: Contents, now_c: tuple[float, float], to_c: float
) -> float:
    """Heat (J) to be drawn from bath and cooker at now_c[0], and from the bowl's contents at
    now_c[1], until all has to_c (°C)."""
    bath_c, chocolate_c = now_c
    drawn_j = model.store_j_per_k * max(0.0, bath_c - to_c)
    if chocolate_c > to_c:
        drawn_j += contents.enthalpy_j(chocolate_c, 0.0) - contents.enthalpy_j(to_c, 0.0)
    return drawn_j


def ice_for(
    model: RigModel,
    contents: Contents,
    now_c: tuple[float, float],
    to_c: float,
    room_c: float,
) -> float:
    """Ice (kg) that suffices to bring bath and chocolate at now_c to to_c (°C), rounded up.

    Its heat of fusion is the model's, with its source there. What the room brings in meanwhile is
    counted for as long as the chill at its known strength takes; and the bucket's own water, which
    is as warm as bath or room once its ice is gone.
    """
    drawn_j = heat_to_draw_j(model, contents, now_c, to_c)
    middle_c = 0.5 * (now_c[0] + to_c)
    seconds = drawn_j / max(1.0, model.chill_w_per_k * middle_c)
    room_w = model.room_w_per_k * max(0.0, room_c - to_c) + model.ice_room_w_per_k * room_c
    bucket_j = model.bucket_j_per_k * max(to_c, room_c)
    needed_j = drawn_j + bucket_j + seconds * room_w
    return max(_LEAST_KG, ice_that_takes(needed_j))


def ice_that_takes(heat_j: float) -> float:
    """Ice (kg) that melts by this heat, and some to spare, rounded up to 0.1 kg."""
    kg = _SPARE * heat_j / ICE_LATENT_J_PER_KG
    return math.ceil(kg * 10.0 - 1e-6) / 10.0
