"""How one cycle went, by the chocolate's true temperature."""

from __future__ import annotations

import math
from dataclasses import dataclass

from chain import Trace

from glossbath_board.program import Program

HOT_AFTER_REHEAT_C = 34.0
"""Form V does not survive above 34 °C (Greweling, Chocolates and Confections, 2007)."""
COLD_BELOW_WINDOW_K = 1.0
NEVER_S = math.inf


@dataclass(frozen=True)
class Verdict:
    """Temperatures in °C, beyond the phase's target, NaN where the cycle did not come so far;
    ready_s is when the hold began."""

    ready_s: float
    over_c: float
    under_c: float
    hold_p95_c: float
    hold_worst_c: float
    end: str
    lost: bool


def quantile(values: list[float], share: float) -> float:
    """The smallest of values that share of them do not exceed; NaN for none."""
    if not values:
        return math.nan
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, math.ceil(share * len(ordered)) - 1)]


def judge(trace: Trace, program: Program) -> Verdict:
    """What a maker would say of this trace.

    A batch is lost when the chocolate was above the recipe's maximum, above 34 °C once the reheat
    had begun, a kelvin below the cooling window, or when the cycle did not complete.
    """
    targets = {phase.name: phase.target_mc / 1000 for phase in program.phases}
    cool = next(phase for phase in program.phases if phase.name == "cool")
    cold_c = cool.low_mc / 1000 - COLD_BELOW_WINDOW_K
    after = trace.of("reheat", "hold")
    cooled = trace.of("cool", "reheat", "hold")
    errors = [abs(celsius - targets["hold"]) for celsius in trace.of("hold")]
    lost = (
        trace.end != "complete"
        or max(trace.chocolate_c) > program.max_mc / 1000
        or max(after, default=0.0) > HOT_AFTER_REHEAT_C
        or min(cooled, default=cold_c) < cold_c
    )
    return Verdict(
        ready_s=NEVER_S if lost else trace.entered_s["hold"],
        over_c=max(after, default=math.nan) - targets["hold"],
        under_c=targets["cool"] - min(cooled, default=math.nan),
        hold_p95_c=quantile(errors, 0.95),
        hold_worst_c=max(errors, default=math.nan),
        end=trace.end,
        lost=lost,
    )
