"""What an identification looks for: the unknowns of a fit, and what probes would show by them."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import msgspec
import numpy as np

from ..model import UNCERTAIN, Contents, Nodes, RigModel
from .trace import STEP_S, Trace

if TYPE_CHECKING:
    from numpy.typing import NDArray

_ALWAYS = (*UNCERTAIN, "bowl_room_w_per_k", "probe_lag_s")
_WALL = ("wall_w_per_k", "element_lag_s", "body_probe_over_k", "bath_probe_body_share")
FADE = ("chill_middle", "chill_late")
STRUCTURES = ((), FADE, _WALL, (*_WALL, *FADE))
"""What a rig may need beside one temperature of its body: a wall that conducts, an element that
lags, probes near the element or the wall; and chill that changes while its pump runs: logarithms
of what is left of it in the middle and at the end."""
_STARTS = {"wall_w_per_k": 60.0, "element_lag_s": 40.0, "bath_probe_body_share": 0.05}
_LINEAR = {
    "bowl_room_w_per_k": (0.0, 5.0),
    "element_lag_s": (0.0, 600.0),
    "bath_probe_body_share": (-0.4, 0.6),
    "body_probe_over_k": (-5.0, 60.0),
    "chill_middle": (-4.0, 2.0),
    "chill_late": (-4.0, 2.0),
}
"""What may be nothing at all, and its ends; the rest are found as logarithms."""
_OF_BOWL = ("still_w_per_k", "stirred_w_per_k", "bowl_room_w_per_k")
_SCALE_UNCERTAINTY = 0.02
"""Uncertainty of a weighed mass of water, which scales all else; a kitchen scale and a ladle."""
_FAR = 4.0
"""Logarithms: what is found may differ from the reference rig's by a factor of 50."""
_FACTOR = 0.7
"""Of the contents' heat capacity: half to double what the handbook says."""
_MOST_MARGIN = 50.0
_MOST_UNCERTAIN = 1.0
_ROOM_C = (-5.0, 45.0)


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


class Unknowns:
    """The fit's unknowns as a vector: _ALWAYS and what the structure adds, most of them as
    logarithms; then °C of the room if unknown; then, unless the bowl holds water, the logarithm of
    the contents' heat capacity over the assumed. Without chill its two stay as they are."""

    def __init__(
        self,
        trace: Trace,
        known: Known,
        structure: tuple[str, ...],
        chilled: bool,
        begin: dict[str, float],
    ) -> None:
        self.trace = trace
        self.contents = known.contents
        self._known = known.base
        self._base = msgspec.structs.replace(
            known.base, water_kg=known.water_kg, bowl_kg=known.contents.kg
        ).check()
        self._room_c = trace.room_c if known.room_c is None else known.room_c
        self._latent = known.contents.latent_j_per_kg > 0.0
        self._begin_c = trace.celsius[:3].mean(axis=0)
        self._found = tuple(
            name for name in (*_ALWAYS, *structure) if chilled or name != "chill_w_per_k"
        )
        unknowns = [self._unknown(name) for name in self._found]
        self.names = list(self._found)
        if self._room_c is None:
            self.names.append("room_c")
            unknowns.append((float(np.clip(self._begin_c[1], *_ROOM_C)), *_ROOM_C))
        if self._latent:
            self.names.append("contents_factor")
            unknowns.append((0.0, -_FACTOR, _FACTOR))
        first, low, high = (np.array(column) for column in zip(*unknowns, strict=True))
        for at, name in enumerate(self.names):
            first[at] = begin.get(name, first[at])
        self.first, self.bounds = np.clip(first, low, high), (low, high)

    def _unknown(self, name: str) -> tuple[float, float, float]:
        """First value and ends of one of the model's numbers, as it is fitted."""
        known = getattr(self._base, name, 0.0) or _STARTS.get(name, 0.0)
        if name in _LINEAR:
            return (known, *_LINEAR[name])
        return math.log(known), math.log(known) - _FAR, math.log(known) + _FAR

    def _values(self, x: NDArray[np.float64]) -> dict[str, float]:
        return {
            name: float(value) if name in _LINEAR else math.exp(float(value))
            for name, value in zip(self._found, x, strict=False)
        }

    def model(self, x: NDArray[np.float64]) -> RigModel:
        """The rig these unknowns mean, with the chill that it had at the start."""
        values = self._values(x)
        for name in FADE:
            values.pop(name, None)
        return msgspec.structs.replace(self._base, **values)

    def learned(self, x: NDArray[np.float64], errors: NDArray[np.float64]) -> RigModel:
        """The model to keep, with its uncertainties. Water takes heat from a wall far better than
        chocolate does, so a bowl of water says nothing about the bowl of chocolate."""
        model, names = self.model(x), [name for name in self._found if name in UNCERTAIN]
        uncertainties = dict(self._known.uncertainty_shares)
        error_of = dict(zip(self.names, errors.tolist(), strict=True))
        if not self._latent:
            names = [name for name in names if name not in _OF_BOWL]
            kept = {name: getattr(self._known, name) for name in (*_OF_BOWL, "bowl_kg")}
            model = msgspec.structs.replace(model, **kept)
        for name in names:
            error = min(error_of[name], _MOST_UNCERTAIN)
            uncertainties[name] = math.hypot(error, _SCALE_UNCERTAINTY)
        chill = self.chill_left(x)
        if chill is not None:
            flowing = self.trace.chill_share * chill
            mean = float(flowing.sum() / self.trace.chill_share.sum())
            squares = np.average((chill - mean) ** 2, weights=self.trace.chill_share)
            spread = math.sqrt(float(squares))
            model = msgspec.structs.replace(model, chill_w_per_k=model.chill_w_per_k * mean)
            uncertain = math.hypot(uncertainties["chill_w_per_k"], spread / mean)
            uncertainties["chill_w_per_k"] = min(_MOST_UNCERTAIN, uncertain)
        return msgspec.structs.replace(model, uncertainty_shares=uncertainties)

    def _room(self, x: NDArray[np.float64]) -> float:
        return float(x[len(self._found)]) if self._room_c is None else self._room_c

    def _filled(self, x: NDArray[np.float64]) -> Contents:
        if not self._latent:
            return self.contents
        factor = math.exp(float(x[-1]))
        return msgspec.structs.replace(self.contents, kg=self.contents.kg * factor)

    def _nodes(self, x: NDArray[np.float64]) -> Nodes:
        chocolate_c, bath_c, body_c = self._begin_c.tolist()
        return Nodes(
            self.model(x),
            self._filled(x),
            room_c=self._room(x),
            chocolate_c=chocolate_c,
            bath_c=bath_c,
            body_c=body_c,
        )

    def chill_left(self, x: NDArray[np.float64]) -> NDArray[np.float64] | None:
        """The chill at each step over that at the start, where it is found to change."""
        values = self._values(x)
        if FADE[0] not in values:
            return None
        run = np.cumsum(self.trace.chill_share)
        ends = [0.0, *(values[name] for name in FADE)]
        left: NDArray[np.float64] = np.interp(run / max(run[-1], 1e-9), (0.0, 0.5, 1.0), ends)
        return np.exp(left)

    def predict(self, x: NDArray[np.float64]) -> NDArray[np.float64]:
        """What the probes of such a rig say, (n, 3) in °C."""
        return predicted(self._nodes(x), self.trace, self.chill_left(x))

    def residuals(self, x: NDArray[np.float64]) -> NDArray[np.float64]:
        """Measured less predicted, probe by probe, in K."""
        return (self.trace.celsius - self.predict(x)).T.ravel()

    def intervals(
        self, x: NDArray[np.float64], errors: NDArray[np.float64], wide: float
    ) -> dict[str, Interval]:
        """Confidence intervals: symmetrical in what was fitted, so in the logarithm for most."""
        made = {}
        for name, value, error in zip(self.names, x.tolist(), errors.tolist(), strict=True):
            margin = min(wide * error, _MOST_MARGIN)
            ends = (value, value - margin, value + margin)
            if name not in _LINEAR and name != "room_c":
                ends = (math.exp(ends[0]), math.exp(ends[1]), math.exp(ends[2]))
            made[name] = Interval(*ends)
        return made


def predicted(
    nodes: Nodes, trace: Trace, chill_left: NDArray[np.float64] | None = None
) -> NDArray[np.float64]:
    """What the probes say as the nodes go through the trace's inputs, (n, 3) in °C; chill_left is
    the chill at each step over the model's."""
    from scipy.signal import lfilter

    model = nodes.model
    chill = trace.chill_share if chill_left is None else trace.chill_share * chill_left
    rows = []
    inputs = zip(trace.heat_share.tolist(), chill.tolist(), trace.stir_share.tolist(), strict=True)
    for heat, chill_share, stir in inputs:
        nodes.step(STEP_S, heat, chill_share, model.bowl_w_per_k(stir, nodes.contents.kg))
        rows.append((nodes.chocolate_c, nodes.bath_probe_c, nodes.body_probe_c))
    follow = -math.expm1(-STEP_S / max(model.probe_lag_s, 1e-3))
    start = trace.celsius[0] * (1.0 - follow)
    shown, _ = lfilter(
        [follow], [1.0, follow - 1.0], np.array(rows), axis=0, zi=start[np.newaxis, :]
    )
    return np.asarray(shown, dtype=np.float64)
