"""The shortest time in which any controller could bring a linear system through given stages.

Time is cut into steps. Whether a number of steps is enough is a linear programme: find inputs
within their limits that keep the states within theirs. Bisection finds the fewest steps. The
answer is a lower bound up to one step: no controller is faster on that system.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.linalg import expm
from scipy.optimize import linprog
from scipy.sparse import csc_array, hstack

Array = npt.NDArray[np.float64]
_OPTIMAL, _INFEASIBLE = 0, 2
_PATIENCE_S = 20.0


@dataclass(frozen=True)
class System:
    """x' = a x + b u + c, with inputs u >= 0 for which mix x + gate u <= most at every step."""

    a: Array
    b: Array
    c: Array
    mix: Array
    gate: Array
    most: Array

    def discrete(self, dt: float) -> tuple[Array, Array, Array]:
        """The step matrices for inputs that are constant within dt; exact."""
        n, m = self.b.shape
        block = np.zeros((n + m + 1, n + m + 1))
        block[:n, :n] = self.a
        block[:n, n : n + m] = self.b
        block[:n, n + m] = self.c
        step = expm(block * dt)
        return step[:n, :n], step[:n, n : n + m], step[:n, n + m]


@dataclass(frozen=True)
class Stage:
    """steps of a system with states kept within low and high at the end of each step.

    arrive_low and arrive_high hold for the last step alone.
    """

    system: System
    steps: int
    low: Array
    high: Array
    arrive_low: Array
    arrive_high: Array

    def bounds(self) -> tuple[Array, Array]:
        """Lowest and highest states at the end of every step, arrays of (steps, states)."""
        low = np.tile(self.low, (self.steps, 1))
        high = np.tile(self.high, (self.steps, 1))
        low[-1] = np.maximum(low[-1], self.arrive_low)
        high[-1] = np.minimum(high[-1], self.arrive_high)
        return low, high


def _scatter(blocks: Array, back: int, wide: int, tall: int) -> csc_array:
    """A sparse matrix with blocks[k] in block row k and block column k - back."""
    rows, columns = blocks.shape[1:]
    k, i, j = (axis.ravel() for axis in np.indices(blocks.shape))
    keep = k >= back
    entries = (blocks.ravel()[keep], ((k * rows + i)[keep], ((k - back) * columns + j)[keep]))
    return csc_array(entries, shape=(tall * rows, wide * columns))


def path(start: Array, stages: list[Stage], dt: float) -> Array | None:
    """States after every step of one way through the stages, or None when there is no way.

    The unknowns are the states after each step, then the inputs within each step.
    """
    counts = [stage.steps for stage in stages]
    total = sum(counts)
    steps = [stage.system.discrete(dt) for stage in stages]
    a, b, c = (np.repeat(np.stack(parts), counts, 0) for parts in zip(*steps, strict=True))
    mix, gate, most = (
        np.repeat(np.stack([getattr(stage.system, name) for stage in stages]), counts, 0)
        for name in ("mix", "gate", "most")
    )
    low, high = (np.vstack(side) for side in zip(*(s.bounds() for s in stages), strict=True))
    if np.any(low > high):
        return None
    c[0] += a[0] @ start
    most[0] -= mix[0] @ start
    n, m = b.shape[1:]
    unit = np.tile(np.eye(n), (total, 1, 1))
    moves = _scatter(unit, 0, total, total) - _scatter(a, 1, total, total)
    states = np.column_stack([low.ravel(), high.ravel()])
    inputs = np.column_stack([np.zeros(total * m), np.full(total * m, np.inf)])
    problem = {
        "c": np.zeros(total * (n + m)),
        "A_eq": hstack([moves, -_scatter(b, 0, total, total)]),
        "b_eq": c.ravel(),
        "A_ub": hstack([_scatter(mix, 1, total, total), _scatter(gate, 0, total, total)]),
        "b_ub": most.ravel(),
        "bounds": np.vstack([states, inputs]),
    }
    # The simplex method sometimes ends without a verdict near the edge of what is possible, or
    # goes round for ever; the interior-point method is slower and gives one.
    for method in ("highs", "highs-ipm"):
        found = linprog(**problem, method=method, options={"time_limit": _PATIENCE_S})
        if found.status == _INFEASIBLE:
            return None
        if found.status == _OPTIMAL:
            assert found.x is not None
            way: Array = found.x[: total * n].reshape(total, n)
            return way
    raise RuntimeError(f"the linear programme gave no answer: {found.message}")


def fewest(enough: Callable[[int], bool], guess: int, most: int) -> int | None:
    """The smallest count in 1..most for which enough() holds, given that more never harms."""
    low, high = 0, max(1, guess)
    while not enough(high):
        if high >= most:
            return None
        low, high = high, min(most, 2 * high)
    while high - low > 1:
        middle = (low + high) // 2
        if enough(middle):
            high = middle
        else:
            low = middle
    return high
