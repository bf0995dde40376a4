"""Finds a rig's heat model in the record of an experiment, by least squares."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from glossbath.client.messages import Reading

from ..model import RigModel
from .bowl import Bowl
from .intervals import crowding_of, evidence
from .quality import check_quality
from .solution import Solution
from .trace import LEAST_FALL_K, Trace, chill_fall_k, trace_of
from .unknowns import FADE, STRUCTURES, Interval, Known, Rig, weighted

if TYPE_CHECKING:
    from numpy.typing import NDArray

_NOISE_K = 0.07
"""Root mean square of the worst probe: noise and the steps of a 12-bit probe make 0.03 to 0.06."""
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

    First the bowl, from the bath that was measured; then bath and body, with the bowl as it was
    measured. Of STRUCTURES the one with the best evidence is taken (see `evidence`). What even
    that leaves over, such as layers in the bath, widens the intervals. Raises InputError, with the
    reason, when the record cannot give a model that control can lean on: too short, hardly any
    heating, a stuck or faulty probe, or a disturbance.
    """
    trace = trace_of(readings)
    chilled = chill_fall_k(trace) >= LEAST_FALL_K
    room_c = trace.room_c if known.room_c is None else known.room_c
    bowl = Bowl(trace, known.contents, known.described(), room_c)
    best: _Fitted | None = None
    for structure in STRUCTURES:
        if best is not None and best.at_noise:
            break
        if structure[-1:] == FADE[-1:] and not chilled:
            continue
        begin = None if best is None else best.solution.fitted
        fitted = _Fitted(Rig(trace, known, bowl, structure, chilled), trace, bowl, begin)
        if best is None or fitted.better_than(best):
            best = fitted
    assert best is not None
    return best.identified()


class _Fitted:
    """One structure, fitted."""

    def __init__(self, rig: Rig, trace: Trace, bowl: Bowl, begin: dict[str, float] | None) -> None:
        self._rig, self._trace, self._bowl = rig, trace, bowl
        self.solution = Solution(rig.unknowns, rig.misfit_k, begin)
        self._values = self.solution.values()
        self._predicted_c = rig.predict(self._values)
        self.misfit_k = trace.celsius[:, 1:] - self._predicted_c
        self.crowding = crowding_of(self.misfit_k)

    @property
    def at_noise(self) -> bool:
        """Whether nothing is left over for a richer structure to explain."""
        return float((self.misfit_k * self.misfit_k).mean(axis=0).max()) < _NOISE_K**2

    def better_than(self, simpler: _Fitted) -> bool:
        """Whether the evidence is for this structure against a simpler one."""
        crowding = max(self.crowding, simpler.crowding)
        mine, other = (
            evidence(weighted(it.misfit_k), len(it.solution.x), crowding) for it in (self, simpler)
        )
        return mine < other

    def identified(self) -> Identified:
        """The model to keep; raises InputError where it should not be."""
        bowl, trace, misfit_k = self._bowl, self._trace, weighted(self.misfit_k)
        errors = self.solution.errors(misfit_k, self.crowding)
        ends = self.solution.ends(errors, len(misfit_k), self.crowding) | bowl.ends
        intervals = {name: Interval(*three) for name, three in ends.items()}
        known_k = np.column_stack((bowl.misfit_k, self.misfit_k))
        model = self._rig.model(self._values)
        check_quality(trace, known_k, model, bowl.contents, intervals)
        predicted_c = np.column_stack((bowl.predicted_c, self._predicted_c))
        rms_k = float(np.sqrt((known_k * known_k).mean()))
        learned = self._rig.learned(self._values, errors).check()
        return Identified(learned, intervals, rms_k, self.crowding, trace, predicted_c)
