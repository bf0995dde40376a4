"""Finds a rig's heat model in the record of an experiment, by least squares."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import msgspec
import numpy as np

from glossbath.client.messages import Reading

from ..model import UNCERTAIN, Contents, Nodes, RigModel
from .intervals import crowding_of, reach, standard_errors
from .quality import check_quality
from .trace import STEP_S, Trace, trace_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

_SUBSTEPS = 2
_FOUND = (
    "heater_w",
    "body_j_per_k",
    "body_bath_w_per_k",
    "room_w_per_k",
    "chill_w_per_k",
    "still_w_per_k",
    "stirred_w_per_k",
    "bowl_room_w_per_k",
    "probe_lag_s",
)
_LINEAR = {"bowl_room_w_per_k": 5.0}
"""What may be nothing at all, and its upper end; the rest are found as logarithms."""
_OF_BOWL = ("still_w_per_k", "stirred_w_per_k", "bowl_room_w_per_k")
_SCALE_UNCERTAINTY = 0.02
"""Uncertainty of a weighed mass of water, which scales all else; a kitchen scale and a ladle."""
_FTOL = 1e-5
"""Of the squares' sum: far finer than noise, and half the time of the usual 1e-8."""
_ROBUST_K = 0.1
"""Residuals beyond this count less, so that a short disturbance shows instead of hiding."""
_FAR = 4.0
"""Logarithms: what is found may differ from the reference rig's by a factor of 50."""
_FACTOR = 0.7
"""Of the contents' heat capacity: half to double what the handbook says."""
_MOST_MARGIN = 50.0
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


@dataclass(frozen=True)
class Identified:
    """What was found. Arrays: time_s (n), measured_c and predicted_c (n, 3) in °C in the order
    chocolate, bath, body. intervals has 95 % confidence by Student's t, one for each value found;
    `room_c` among them when it was not known, and with chocolate `contents_factor`, its heat
    capacity over that of the handbook. crowding: see `glossbath.thermal.tuning.intervals`."""

    model: RigModel
    intervals: dict[str, Interval]
    rms_k: float
    crowding: float
    trace: Trace
    predicted_c: NDArray[np.float64]

    @property
    def time_s(self) -> NDArray[np.float64]:
        """The middle of each step."""
        return self.trace.time_s

    @property
    def measured_c(self) -> NDArray[np.float64]:
        """What the probes said."""
        return self.trace.celsius


def fit(readings: Iterable[Reading], known: Known) -> Identified:
    """Identify a rig from a commissioning experiment's readings (see `identify_recipe`).

    Raises InputError, with the reason, when the record cannot give a trustworthy model: too short,
    no heating or chilling, a stuck or faulty probe, or more misfit than a lidded, undisturbed rig
    shows.
    """
    from scipy.optimize import least_squares

    trace = trace_of(readings)
    start = _Start(trace, known)
    found = least_squares(
        start.residuals,
        start.first,
        bounds=start.bounds,
        x_scale="jac",
        loss="soft_l1",
        f_scale=_ROBUST_K,
        ftol=_FTOL,
    )
    predicted_c = start.predict(found.x)
    misfit = trace.celsius - predicted_c
    crowding = crowding_of(misfit)
    jacobian: NDArray[np.float64] = np.array(found.jac, dtype=np.float64)
    errors = standard_errors(jacobian, misfit.T.ravel(), crowding)
    intervals = start.intervals(found.x, errors, reach(misfit.size, len(found.x), crowding))
    check_quality(trace, misfit, start.model(found.x), start.contents, intervals)
    rms_k = float(np.sqrt((misfit * misfit).mean()))
    model = start.learned(found.x, errors)
    return Identified(model, intervals, rms_k, crowding, trace, predicted_c)


class _Start:
    """The fit's unknowns as a vector: _FOUND, most of them as logarithms; then °C of the room if
    unknown; then, unless the bowl holds water, the logarithm of the contents' heat capacity over
    the assumed."""

    def __init__(self, trace: Trace, known: Known) -> None:
        self._trace = trace
        self.contents = known.contents
        self._known = known.base
        self._base = msgspec.structs.replace(
            known.base, water_kg=known.water_kg, bowl_kg=known.contents.kg
        ).check()
        self._room_c = trace.room_c if known.room_c is None else known.room_c
        self._latent = known.contents.latent_j_per_kg > 0.0
        self._begin_c = trace.celsius[:3].mean(axis=0)
        unknowns = []
        for name in _FOUND:
            value = getattr(self._base, name)
            if name in _LINEAR:
                unknowns.append((value, 0.0, _LINEAR[name]))
            else:
                unknowns.append((math.log(value), math.log(value) - _FAR, math.log(value) + _FAR))
        if self._room_c is None:
            unknowns.append((float(np.clip(self._begin_c[1], *_ROOM_C)), *_ROOM_C))
        if self._latent:
            unknowns.append((0.0, -_FACTOR, _FACTOR))
        self.first, low, high = (np.array(column) for column in zip(*unknowns, strict=True))
        self.bounds = (low, high)

    def model(self, x: NDArray[np.float64]) -> RigModel:
        """The rig these unknowns mean."""
        values = {
            name: float(value) if name in _LINEAR else math.exp(float(value))
            for name, value in zip(_FOUND, x, strict=False)
        }
        return msgspec.structs.replace(self._base, **values)

    def learned(self, x: NDArray[np.float64], errors: NDArray[np.float64]) -> RigModel:
        """The model to keep, with its uncertainties. Water takes heat from a wall far better than
        chocolate does, so a bowl of water says nothing about the bowl of chocolate."""
        model, names = self.model(x), list(_FOUND)
        uncertainties = dict(self._known.uncertainty_shares)
        if not self._latent:
            names = [name for name in _FOUND if name not in _OF_BOWL]
            kept = {name: getattr(self._known, name) for name in (*_OF_BOWL, "bowl_kg")}
            model = msgspec.structs.replace(model, **kept)
        for name in names:
            if name in UNCERTAIN:
                error = float(errors[_FOUND.index(name)])
                uncertainties[name] = math.hypot(error, _SCALE_UNCERTAINTY)
        return msgspec.structs.replace(model, uncertainty_shares=uncertainties)

    def _room(self, x: NDArray[np.float64]) -> float:
        return float(x[len(_FOUND)]) if self._room_c is None else self._room_c

    def _filled(self, x: NDArray[np.float64]) -> Contents:
        if not self._latent:
            return self.contents
        factor = math.exp(float(x[-1]))
        return msgspec.structs.replace(self.contents, kg=self.contents.kg * factor)

    def predict(self, x: NDArray[np.float64]) -> NDArray[np.float64]:
        """What the probes of such a rig say, (n, 3) in °C."""
        chocolate_c, bath_c, body_c = self._begin_c.tolist()
        nodes = Nodes(
            self.model(x),
            self._filled(x),
            room_c=self._room(x),
            chocolate_c=chocolate_c,
            bath_c=bath_c,
            body_c=body_c,
        )
        # A trial far off may run away to infinity; least_squares sees that and steps back.
        with np.errstate(over="ignore", invalid="ignore"):
            return predicted(nodes, self._trace)

    def residuals(self, x: NDArray[np.float64]) -> NDArray[np.float64]:
        """Measured less predicted, probe by probe, in K."""
        return (self._trace.celsius - self.predict(x)).T.ravel()

    def intervals(
        self, x: NDArray[np.float64], errors: NDArray[np.float64], wide: float
    ) -> dict[str, Interval]:
        """Confidence intervals: symmetrical in what was fitted, so in the logarithm for most."""
        names = [*_FOUND]
        if self._room_c is None:
            names.append("room_c")
        if self._latent:
            names.append("contents_factor")
        made = {}
        for name, value, error in zip(names, x.tolist(), errors.tolist(), strict=True):
            margin = min(wide * error, _MOST_MARGIN)
            ends = (value, value - margin, value + margin)
            if name not in _LINEAR and name != "room_c":
                ends = (math.exp(ends[0]), math.exp(ends[1]), math.exp(ends[2]))
            made[name] = Interval(*ends)
        return made


def predicted(nodes: Nodes, trace: Trace) -> NDArray[np.float64]:
    """What the probes say as the nodes go through the trace's inputs, (n, 3) in °C."""
    from scipy.signal import lfilter

    model = nodes.model
    dt_s = STEP_S / _SUBSTEPS
    rows = []
    inputs = zip(
        trace.heat_share.tolist(),
        trace.chill_share.tolist(),
        trace.stir_share.tolist(),
        strict=True,
    )
    for heat, chill, stir in inputs:
        bowl_w_per_k = model.bowl_w_per_k(stir, nodes.contents.kg)
        for _ in range(_SUBSTEPS):
            nodes.step(dt_s, heat, chill, bowl_w_per_k)
            rows.append((nodes.chocolate_c, nodes.bath_c, nodes.body_c))
    truth = np.array(rows)
    follow = -math.expm1(-dt_s / max(model.probe_lag_s, 1e-3))
    start = trace.celsius[0] * (1.0 - follow)
    shown, _ = lfilter([follow], [1.0, follow - 1.0], truth, axis=0, zi=start[np.newaxis, :])
    means: NDArray[np.float64] = shown.reshape(-1, _SUBSTEPS, 3).mean(axis=1)
    return means
