"""What an identification looks for in bath and body, and what their probes would show by it."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import msgspec
import numpy as np

from ..model import UNCERTAIN, Contents, Nodes, RigModel, water
from ..model.rig import LIMITS
from .bowl import Bowl, spread_of
from .solution import Unknown, by_ratio, within
from .trace import STEP_S, Trace, late

if TYPE_CHECKING:
    from numpy.typing import NDArray

_ALWAYS = {
    "heater_w": 1.0,
    "body_j_per_k": 0.5,
    "body_bath_w_per_k": 0.7,
    "room_w_per_k": 0.4,
    "chill_w_per_k": 0.8,
    "probe_lag_s": 0.5,
}
"""Relative spreads among rigs about the model so far; engineering choices, far wider than what a
good record leaves."""
_WALL = (
    by_ratio("wall_w_per_k", 60.0, 0.8),
    Unknown("element_lag_s", 40.0, 60.0, 0.0, 600.0, False),
    Unknown("body_probe_over_k", 0.0, 15.0, -5.0, 60.0, False),
    Unknown("bath_probe_body_share", 0.05, 0.15, -0.4, 0.6, False),
)
_FADE = (
    Unknown("chill_middle", 0.0, 1.0, -4.0, 2.0, False),
    Unknown("chill_late", 0.0, 1.0, -4.0, 2.0, False),
)
FADE = _FADE
STRUCTURES = ((), _FADE, _WALL, (*_WALL, *_FADE))
"""What a rig may need beside one temperature of its body: a wall that conducts, an element that
lags, probes near the element or the wall; and chill that changes while its pump runs: logarithms
of what is left of it in the middle and at the end."""
_OF_BOWL = ("still_w_per_k", "stirred_w_per_k", "bowl_room_w_per_k")
_SCALE_UNCERTAINTY = 0.02
"""Uncertainty of a weighed mass of water, which scales all else; a kitchen scale and a ladle."""
_MOST_UNCERTAIN = 1.0
_ROOM_SPREAD_K, _ROOM_C = 8.0, (-5.0, 45.0)
BODY_WEIGHT = 0.3
"""Of the body's misfit against the bath's: its probe measures only the place that it touches."""


class Interval(msgspec.Struct, frozen=True):
    """A value and the ends of its confidence interval, in the unit of its field's name."""

    value: float
    low: float
    high: float


class Known(msgspec.Struct, frozen=True):
    """What is known beforehand: it gives the fit its scale.

    contents is what lies in the bowl. room_c is the air's temperature in °C; None: what the
    room probe says, or else it is found with the rest. base is the model so far: what an
    experiment does not show stays as it is there.
    """

    water_kg: float
    contents: Contents
    room_c: float | None = None
    base: RigModel = RigModel.default()

    def described(self) -> RigModel:
        """The model so far, with this water and a body and losses that grow with its surface.
        Raises InputError for a mass that is implausible."""
        base = msgspec.structs.replace(
            self.base, water_kg=self.water_kg, bowl_kg=self.contents.kg
        ).check()
        if self.base.measured:
            return base
        size = (self.water_kg / self.base.water_kg) ** (2.0 / 3.0)
        grown = ("body_j_per_k", "body_bath_w_per_k", "room_w_per_k")
        return msgspec.structs.replace(
            base, **{name: getattr(base, name) * size for name in grown}
        )


class Rig:
    """Bath and body of one structure. The chocolate that was measured draws heat from the bath by
    what the bowl's own fit has found, so that a bowl which melts in its own way does no harm."""

    def __init__(
        self, trace: Trace, known: Known, bowl: Bowl, structure: tuple[Unknown, ...], chilled: bool
    ) -> None:
        self._trace, self._bowl, self._known = trace, bowl, known.base
        self._base = bowl.model
        self._room_c = trace.room_c if known.room_c is None else known.room_c
        self._begin_c = trace.celsius[:3].mean(axis=0).tolist()
        names = [name for name in _ALWAYS if chilled or name != "chill_w_per_k"]
        unknowns = [
            *(by_ratio(name, getattr(self._base, name), _ALWAYS[name]) for name in names),
            *structure,
        ]
        self.unknowns = [
            within(it, *LIMITS[it.name][:2]) if it.name in LIMITS else it for it in unknowns
        ]
        if self._room_c is None:
            usual = float(np.clip(self._begin_c[1], *_ROOM_C))
            self.unknowns.append(Unknown("room_c", usual, _ROOM_SPREAD_K, *_ROOM_C, False))

    def model(self, values: dict[str, float]) -> RigModel:
        """The rig these values mean, with the chill that it had at the start."""
        of_model = {n: v for n, v in values.items() if n in self._base.__struct_fields__}
        return msgspec.structs.replace(self._base, **of_model)

    def chill_left(self, values: dict[str, float]) -> NDArray[np.float64] | None:
        """The chill at each step over that at the start, where it is found to change."""
        if _FADE[0].name not in values:
            return None
        run = np.cumsum(self._trace.chill_share)
        ends = [0.0, *(values[it.name] for it in _FADE)]
        left: NDArray[np.float64] = np.interp(run / max(run[-1], 1e-9), (0.0, 0.5, 1.0), ends)
        return np.exp(left)

    def predict(self, values: dict[str, float]) -> NDArray[np.float64]:
        """What the probes of bath and body show of such a rig, (n, 2) in °C. The chocolate comes
        as late as its probe shows it; heat and chill are made as late, and so is all that follows.
        """
        trace, model = self._trace, self.model(values)
        left = self.chill_left(values)
        chill = trace.chill_share if left is None else trace.chill_share * left
        chocolate_c, bath_c, body_c = self._begin_c
        nodes = Nodes(
            model,
            water(model.bowl_kg),
            room_c=values["room_c"] if self._room_c is None else self._room_c,
            chocolate_c=chocolate_c,
            bath_c=bath_c,
            body_c=body_c,
        )
        heating, chilling = (late(it, model.probe_lag_s) for it in (trace.heat_share, chill))
        inputs = (heating, chilling, self._bowl.w_per_k, trace.celsius[:, 0])
        rows = []
        for heat, cold, to_bowl, measured_c in zip(*(it.tolist() for it in inputs), strict=True):
            nodes.chocolate_c = measured_c
            nodes.step(STEP_S, heat, cold, to_bowl)
            rows.append((nodes.bath_probe_c, nodes.body_probe_c))
        return np.array(rows)

    def misfit_k(self, values: dict[str, float]) -> NDArray[np.float64]:
        """Measured less predicted, bath then body in their weights, in K."""
        return weighted(self._trace.celsius[:, 1:] - self.predict(values))

    def learned(self, values: dict[str, float], errors: dict[str, float]) -> RigModel:
        """The model to keep, with its uncertainties. Water takes heat from a wall far better than
        chocolate does, so a bowl of water says nothing about the bowl of chocolate."""
        model, bowl = self.model(values), self._bowl
        uncertainties = dict(self._known.uncertainty_shares)
        for name in (name for name in errors if name in UNCERTAIN):
            error = min(errors[name], _MOST_UNCERTAIN)
            uncertainties[name] = math.hypot(error, _SCALE_UNCERTAINTY)
        if bowl.contents.latent_j_per_kg > 0.0:
            for name in _OF_BOWL[:2]:
                uncertainties[name] = math.hypot(spread_of(bowl, name), _SCALE_UNCERTAINTY)
        else:
            kept = {name: getattr(self._known, name) for name in (*_OF_BOWL, "bowl_kg")}
            model = msgspec.structs.replace(model, **kept)
        chill = self.chill_left(values)
        if chill is not None:
            share = self._trace.chill_share
            mean = float((share * chill).sum() / share.sum())
            spread = math.sqrt(float(np.average((chill - mean) ** 2, weights=share)))
            model = msgspec.structs.replace(model, chill_w_per_k=model.chill_w_per_k * mean)
            uncertain = math.hypot(uncertainties["chill_w_per_k"], spread / mean)
            uncertainties["chill_w_per_k"] = min(_MOST_UNCERTAIN, uncertain)
        return msgspec.structs.replace(model, uncertainty_shares=uncertainties)


def weighted(misfit_k: NDArray[np.float64]) -> NDArray[np.float64]:
    """Misfits of bath and body (n, 2) in their weights, bath first, (2 n)."""
    return np.concatenate((misfit_k[:, 0], BODY_WEIGHT * misfit_k[:, 1]))
