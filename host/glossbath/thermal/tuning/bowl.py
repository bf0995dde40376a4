"""What is in the bowl, from its own probe: the bath that was measured beside it drives it, so that
nothing else of the rig has to be known and an error of the bath is none of the bowl's.

Both probes are of one kind. What the bath's shows late moves the bowl as late as the bowl's own
probe shows it, so that their lag is no part of this.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import msgspec
import numpy as np

from ..model import Contents, Nodes, RigModel
from .intervals import crowding_of
from .solution import Solution, Unknown, by_ratio
from .trace import STEP_S, Trace

if TYPE_CHECKING:
    from numpy.typing import NDArray

_MELTED_K = 1.5
"""Above the end of melting all is liquid and the contents follow a law that is well known."""
_MELTING_WEIGHT = 0.3
"""Of what is measured before: how pieces melt differs from bowl to bowl."""
_ANY = (
    by_ratio("still_w_per_k", 1.0, 1.0),
    by_ratio("stirred_w_per_k", 1.0, 1.0),
    Unknown("bowl_room_w_per_k", 0.1, 0.15, 0.0, 5.0, False),
)
"""The first two: over those of the model so far."""
_MELTING = (
    by_ratio("contents_factor", 1.0, 0.05, 1.4),
    by_ratio("latent_factor", 1.0, 0.04, 1.1),
    Unknown("melt_low_k", -3.0, 3.0, -15.0, 5.0, False),
    Unknown("melt_high_k", 0.0, 1.5, -5.0, 6.0, False),
    by_ratio("solid_touch_share", 0.55, 0.5, 4.0),
)
"""A batch is weighed and its fat's heat known (Beckett) to about so much; where its fat begins to
melt differs more, and a bowl holds pieces in more ways than one (engineering choices)."""


_TOLD = ("still_w_per_k", "stirred_w_per_k", "bowl_room_w_per_k", "contents_factor")


class Bowl:
    """Found are its heat transfer and how its contents melt.

    predicted_c (n) is what its probe would show; w_per_k (n) the heat transfer from bath to
    contents at each step; misfit_k (n) measured less predicted, 0 before all was liquid. ends has
    value, low and high of what a person is told, at 95 % confidence.
    """

    def __init__(
        self, trace: Trace, contents: Contents, base: RigModel, room_c: float | None
    ) -> None:
        """room_c None: the contents lose their little to a room as warm as they began."""
        self.contents, self._base, self._trace = contents, base, trace
        self._begin_c = float(trace.celsius[:3, 0].mean())
        self._room_c = min(self._begin_c, 40.0) if room_c is None else room_c
        melts = contents.latent_j_per_kg > 0.0
        measured = trace.celsius[:, 0]
        weight = np.ones(len(measured))
        if melts:
            weight[: _liquid_from(measured, contents.melt_high_c + _MELTED_K)] = _MELTING_WEIGHT
        self.solution = Solution(
            (*_ANY, *_MELTING) if melts else _ANY,
            lambda values: weight * (measured - self._run(values)[0]),
        )
        values = self.solution.values()
        self.predicted_c, self.w_per_k = self._run(values)
        self.model = self._model(values)
        self.misfit_k = np.where(weight < 1.0, 0.0, measured - self.predicted_c)
        known = self.misfit_k[weight == 1.0] if bool((weight == 1.0).any()) else self.misfit_k
        self.crowding = crowding_of(known[:, np.newaxis])
        self.errors = self.solution.errors(known, self.crowding)
        ends = self.solution.ends(self.errors, len(known), self.crowding)
        self.ends = {name: three for name, three in ends.items() if name in _TOLD}
        for name in ("still_w_per_k", "stirred_w_per_k"):
            usual = base.bowl_w_per_k(float(name == "stirred_w_per_k"), contents.kg)
            value, low, high = self.ends[name]
            self.ends[name] = (usual * value, usual * low, usual * high)

    def _model(self, values: dict[str, float]) -> RigModel:
        base, kg = self._base, self.contents.kg
        return msgspec.structs.replace(
            base,
            bowl_kg=kg,
            still_w_per_k=values["still_w_per_k"] * base.bowl_w_per_k(0.0, kg),
            stirred_w_per_k=values["stirred_w_per_k"] * base.bowl_w_per_k(1.0, kg),
            bowl_room_w_per_k=values["bowl_room_w_per_k"],
        )

    def _filled(self, values: dict[str, float]) -> Contents:
        found = self.contents
        if "latent_factor" not in values:
            return found
        low_c = found.melt_low_c + values["melt_low_k"]
        return msgspec.structs.replace(
            found,
            kg=found.kg * values["contents_factor"],
            latent_j_per_kg=found.latent_j_per_kg * values["latent_factor"],
            melt_low_c=low_c,
            melt_high_c=max(found.melt_high_c + values["melt_high_k"], low_c + 2.0),
            solid_touch_share=values["solid_touch_share"],
        )

    def _run(self, values: dict[str, float]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """What the probe would show, and the heat transfer that brought it there."""
        model, contents = self._model(values), self._filled(values)
        nodes = Nodes(
            model,
            contents,
            room_c=self._room_c,
            chocolate_c=self._begin_c,
            bath_c=self._begin_c,
            body_c=self._begin_c,
        )
        celsius, w_per_k = [], []
        bath = self._trace.celsius[:, 1].tolist()
        for bath_c, stir in zip(bath, self._trace.stir_share.tolist(), strict=True):
            to_bowl = model.bowl_w_per_k(stir, self.contents.kg)
            w_per_k.append(to_bowl * nodes.touch_share)
            nodes.bath_c = bath_c
            nodes.step(STEP_S, 0.0, 0.0, to_bowl)
            celsius.append(nodes.chocolate_c)
        return np.array(celsius), np.array(w_per_k)


def _liquid_from(celsius: NDArray[np.float64], liquid_c: float) -> int:
    """The first step at which all was liquid; 0 where it never was: then all counts alike."""
    above = np.flatnonzero(celsius > liquid_c)
    return int(above[0]) if len(above) else 0


def spread_of(bowl: Bowl, name: str) -> float:
    """Relative standard uncertainty of one of the bowl's two heat transfers."""
    return min(1.0, math.hypot(bowl.errors[name], bowl.errors.get("contents_factor", 0.0)))
