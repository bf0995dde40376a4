"""Least squares with weak prior knowledge: what a record hardly shows stays where rigs usually are
instead of running off to a corner."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from .intervals import reach, standard_errors

if TYPE_CHECKING:
    from numpy.typing import NDArray

_FTOL = 3e-5
"""Of the squares' sum: far finer than noise, and half the time of the usual 1e-8."""
_MOST_STEPS = 40
_ROBUST_K = 0.1
"""Residuals beyond this count less, so that a short disturbance shows instead of hiding."""
_PRIOR_K = 1.0
"""A value one spread from the usual costs as much as a residual of this once: a thousand residuals
of a tenth outweigh it."""


_HAIR = 1e-9
"""So that an end is still inside after its logarithm was taken."""


class Unknown(NamedTuple):
    """One number that is looked for, as it is fitted: where it usually is and how widely it
    spreads (one standard deviation), and its ends. logarithm: fitted as that, so that the spread
    is relative."""

    name: str
    usual: float
    spread: float
    low: float
    high: float
    logarithm: bool = True


def by_ratio(name: str, usual: float, spread: float, factor: float = 50.0) -> Unknown:
    """A number above 0, found as its logarithm, at most a factor from the usual one."""
    far = math.log(factor)
    return Unknown(name, math.log(usual), spread, math.log(usual) - far, math.log(usual) + far)


def within(unknown: Unknown, low: float, high: float) -> Unknown:
    """The same number, with no end beyond low and high, which are in its own unit."""
    if unknown.logarithm:
        low = math.log(low) + _HAIR if low > 0.0 else -math.inf
        high = math.log(high) - _HAIR
    return unknown._replace(low=max(unknown.low, low), high=min(unknown.high, high))


class Solution:
    """Unknowns at their best. x is as fitted."""

    def __init__(
        self,
        unknowns: Sequence[Unknown],
        misfit_k: Callable[[dict[str, float]], NDArray[np.float64]],
        begin: dict[str, float] | None = None,
    ) -> None:
        """misfit_k gives residuals in K for values by name; begin are values, as fitted, to begin
        with in place of the usual ones."""
        from scipy.optimize import least_squares

        self.unknowns = tuple(unknowns)
        usual = np.array([it.usual for it in unknowns])
        self._spread = np.array([it.spread for it in unknowns])
        ends = np.array([it.low for it in unknowns]), np.array([it.high for it in unknowns])
        first = np.array([(begin or {}).get(it.name, it.usual) for it in unknowns])

        def residuals(x: NDArray[np.float64]) -> NDArray[np.float64]:
            prior = _PRIOR_K * (x - usual) / self._spread
            return np.concatenate((misfit_k(self.values(x)), prior))

        # A trial far off may run away to infinity; least_squares sees that and steps back.
        with np.errstate(over="ignore", invalid="ignore"):
            found = least_squares(
                residuals,
                np.clip(first, *ends),
                bounds=ends,
                x_scale="jac",
                loss="soft_l1",
                f_scale=_ROBUST_K,
                ftol=_FTOL,
                max_nfev=_MOST_STEPS,
            )
        self.x: NDArray[np.float64] = found.x
        self._jacobian: NDArray[np.float64] = np.array(found.jac, dtype=np.float64)

    @property
    def fitted(self) -> dict[str, float]:
        """As fitted, by name."""
        return {it.name: value for it, value in zip(self.unknowns, self.x.tolist(), strict=True)}

    def values(self, x: NDArray[np.float64] | None = None) -> dict[str, float]:
        """By name, in their own units."""
        at = self.x if x is None else x
        return {
            it.name: math.exp(value) if it.logarithm else value
            for it, value in zip(self.unknowns, at.tolist(), strict=True)
        }

    def errors(self, misfit_k: NDArray[np.float64], crowding: float) -> dict[str, float]:
        """Standard errors as fitted, by name, from the data's residuals (n,) and the priors."""
        data = self._jacobian[: len(self._jacobian) - len(self.unknowns)]
        found = standard_errors(data, misfit_k, crowding, self._spread)
        return {it.name: e for it, e in zip(self.unknowns, found.tolist(), strict=True)}

    def ends(
        self, errors: dict[str, float], n: int, crowding: float
    ) -> dict[str, tuple[float, float, float]]:
        """Value and ends of the confidence interval by name; n residuals. Each prior counts as one
        more observation."""
        p = len(self.unknowns)
        wide = reach(n + round(p * crowding), p, crowding)
        made = {}
        for it, value in zip(self.unknowns, self.x.tolist(), strict=True):
            margin = wide * errors[it.name]
            three = (value, value - margin, value + margin)
            made[it.name] = tuple(math.exp(one) for one in three) if it.logarithm else three
        return made  # type: ignore[return-value]
