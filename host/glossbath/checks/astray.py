"""Chocolate that strays from its window while it is held for work."""

from __future__ import annotations

from collections.abc import Iterator

from glossbath.chocolate.phase import PhasePlan

from . import limits
from .finding import Finding, Lasting, caution


class Astray:
    """Looks at the chocolate of a hold, once that has begun."""

    def __init__(self) -> None:
        self._lasting = Lasting()
        self._reached = False

    def look(self, chocolate_c: float, phase: PhasePlan, now_ms: int) -> Iterator[Finding]:
        """Judge a reading (°C) taken in this phase."""
        if phase.name != "hold":
            self._reached = False
            return
        low_c, high_c = phase.window.low_c, phase.window.high_c
        self._reached = self._reached or low_c <= chocolate_c <= high_c
        for name, out_c, where in (
            ("cold", low_c - chocolate_c, f"below {low_c:g}"),
            ("warm", chocolate_c - high_c, f"above {high_c:g}"),
        ):
            out = self._reached and out_c > limits.ASTRAY_C
            if self._lasting.for_ms(name, out, now_ms) >= limits.ASTRAY_MS:
                yield caution("hold-astray", f"{chocolate_c:.1f} °C, {where} °C")
