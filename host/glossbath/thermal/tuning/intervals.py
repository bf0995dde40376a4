"""How well a least-squares fit knows its parameters."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

CONFIDENCE = 0.95


def standard_errors(
    jacobian: NDArray[np.float64],
    residuals: NDArray[np.float64],
    crowding: float = 1.0,
    prior: NDArray[np.float64] | None = None,
) -> NDArray[np.float64]:
    """Standard error of each of p parameters, from the (n, p) Jacobian and n residuals at the
    optimum of an unweighted least-squares fit: the root of the diagonal of s² (JᵀJ)⁻¹.

    crowding: how many neighbouring residuals tell as much as one; see `crowding_of`. A parameter
    that the data do not know at all gets infinity. prior (p): the standard deviations known
    before, each of which is one more observation.
    """
    n, p = jacobian.shape
    if prior is not None:
        variance = float(residuals @ residuals) / n
        known = jacobian.T @ jacobian / (variance * crowding) + np.diag(prior**-2.0)
        return np.asarray(np.sqrt(np.diag(np.linalg.inv(known))), dtype=np.float64)
    free = max(1.0, n / crowding - p)
    variance = float(residuals @ residuals) / crowding / free
    size = np.sqrt((jacobian * jacobian).sum(axis=0))
    shown = size > 0.0
    spread = np.full(p, np.inf)
    scaled = jacobian[:, shown] / size[shown]
    try:
        spread[shown] = np.diag(np.linalg.inv(scaled.T @ scaled)) / size[shown] ** 2
    except np.linalg.LinAlgError:
        return spread
    return np.sqrt(np.where(spread > 0.0, spread * variance * crowding, np.inf))


def evidence(misfit_k: NDArray[np.float64], p: int, crowding: float) -> float:
    """The Bayesian information criterion of a fit with p parameters, up to a constant; of two the
    lower has the evidence. misfit_k (n, k) counts as n k/crowding independent residuals.

    Source: G. Schwarz, Estimating the dimension of a model, Ann. Statist. 6 (1978) 461-464.
    """
    n = misfit_k.size / crowding
    return n * float(np.log((misfit_k * misfit_k).mean())) + p * float(np.log(max(n, 2.0)))


def crowding_of(residuals: NDArray[np.float64]) -> float:
    """How many neighbours among residuals (n, k) tell as much as one: 1 + 2 (r1 + r2 + ...), the
    integrated autocorrelation, summed up to its first value not above 0; mean of the k columns.

    For a first-order autoregressive series this is (1 + r)/(1 - r); at least 1.
    """
    n = len(residuals)
    centred = residuals - residuals.mean(axis=0)
    spectrum = np.fft.rfft(centred, 2 * n, axis=0)
    sums = np.fft.irfft(spectrum * spectrum.conj(), axis=0)[:n]
    totals = []
    for column in sums.T:
        if not column[0] > 0.0:
            totals.append(1.0)
            continue
        r = column / column[0]
        ends = np.flatnonzero(r <= 0.0)
        totals.append(1.0 + 2.0 * float(r[1 : ends[0] if len(ends) else n].sum()))
    return float(np.mean(totals))


def reach(n: int, p: int, crowding: float = 1.0) -> float:
    """Standard errors on each side of a value that hold the truth with CONFIDENCE, after
    Student's t-distribution with n/crowding - p degrees of freedom."""
    from scipy.stats import t

    free = max(1.0, n / crowding - p)
    return float(t.ppf(0.5 + CONFIDENCE / 2.0, free))
