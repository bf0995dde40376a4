"""Finds a rig's heat model in the record of an experiment, by least squares."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from glossbath.client.messages import Reading

from ..model import RigModel
from .intervals import crowding_of, evidence, reach, standard_errors
from .quality import check_quality
from .trace import LEAST_FALL_K, Trace, chill_fall_k, trace_of
from .unknowns import FADE, STRUCTURES, Interval, Known, Unknowns

if TYPE_CHECKING:
    from numpy.typing import NDArray

_FTOL = 3e-5
"""Of the squares' sum: far finer than noise, and half the time of the usual 1e-8."""
_MOST_STEPS = 40
_ROBUST_K = 0.1
"""Residuals beyond this count less, so that a short disturbance shows instead of hiding."""
_NOISE_K = 0.07
"""Root mean square of the worst probe: noise and the steps of a 12-bit probe make 0.03 to 0.06."""
_NEAR_K = 0.8
"""A worse fit may have strayed into a corner."""
_CHILL_KNOWN = 0.3


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
    def remarks(self) -> list[str]:
        """Sentences about what the experiment has not shown, and what to repeat for it."""
        known = self.model.uncertainty("chill_w_per_k")
        if "chill_w_per_k" not in self.intervals:
            return ["The bath was hardly chilled, so the chill stays as it was: repeat with ice."]
        if known > _CHILL_KNOWN:
            return [
                f"The chill is known to {known:.0%} only, as when its ice ran out: repeat with "
                "more ice, or run a cycle with ice."
            ]
        return []

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

    Of STRUCTURES the one with the best evidence is taken (see `evidence`). What even that leaves
    over, such as layers in the bath, widens the intervals. Raises InputError, with the reason,
    when the record cannot give a model that control can lean on: too short, hardly any heating, a
    stuck or faulty probe, or a disturbance.
    """
    trace = trace_of(readings)
    chilled = chill_fall_k(trace) >= LEAST_FALL_K
    best: _Fitted | None = None
    for structure in STRUCTURES:
        changing = structure[-1:] == FADE[-1:]
        if best is not None and best.at_noise:
            break
        if changing and not chilled:
            continue
        if structure == FADE and best is not None and best.near:
            continue  # only chill that ran out leaves so much over that it must be looked at first
        begin = best.x_by_name() if best is not None and best.near else {}
        fitted = _Fitted(Unknowns(trace, known, structure, chilled, begin))
        if best is None or fitted.better_than(best):
            best = fitted
    assert best is not None
    return best.identified()


class _Fitted:
    """One structure, fitted."""

    def __init__(self, start: Unknowns) -> None:
        from scipy.optimize import least_squares

        self._start = start
        # A trial far off may run away to infinity; least_squares sees that and steps back.
        with np.errstate(over="ignore", invalid="ignore"):
            found = least_squares(
                start.residuals,
                start.first,
                bounds=start.bounds,
                x_scale="jac",
                loss="soft_l1",
                f_scale=_ROBUST_K,
                ftol=_FTOL,
                max_nfev=_MOST_STEPS,
            )
        self._x: NDArray[np.float64] = found.x
        self._jacobian: NDArray[np.float64] = np.array(found.jac, dtype=np.float64)
        self._predicted_c = start.predict(found.x)
        self.misfit_k = start.trace.celsius - self._predicted_c
        self.crowding = crowding_of(self.misfit_k)

    @property
    def at_noise(self) -> bool:
        """Whether nothing is left over for a richer structure to explain."""
        return float((self.misfit_k * self.misfit_k).mean(axis=0).max()) < _NOISE_K**2

    @property
    def near(self) -> bool:
        """Whether a richer structure may begin from here."""
        return float((self.misfit_k * self.misfit_k).mean(axis=0).max()) < _NEAR_K**2

    def x_by_name(self) -> dict[str, float]:
        """The unknowns as found, for a richer structure to begin with."""
        return dict(zip(self._start.names, self._x.tolist(), strict=True))

    def better_than(self, simpler: _Fitted) -> bool:
        """Whether the evidence is for this structure against a simpler one."""
        crowding = max(self.crowding, simpler.crowding)
        return evidence(self.misfit_k, len(self._x), crowding) < evidence(
            simpler.misfit_k, len(simpler._x), crowding
        )

    def identified(self) -> Identified:
        """The model to keep; raises InputError where it should not be."""
        start, x, misfit_k = self._start, self._x, self.misfit_k
        errors = standard_errors(self._jacobian, misfit_k.T.ravel(), self.crowding)
        wide = reach(misfit_k.size, len(x), self.crowding)
        intervals = start.intervals(x, errors, wide)
        check_quality(start.trace, misfit_k, start.model(x), start.contents, intervals)
        rms_k = float(np.sqrt((misfit_k * misfit_k).mean()))
        model = start.learned(x, errors)
        return Identified(model, intervals, rms_k, self.crowding, start.trace, self._predicted_c)
