"""Too hot, and getting hot too fast."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from . import limits
from .finding import Finding, caution, trip
from .window import Window


class Ceilings:
    """The temperatures (°C) that this cycle must never reach."""

    def __init__(self, max_c: float, warmest_bath_c: float) -> None:
        self.chocolate_c = max_c + limits.CHOCOLATE_OVER_C
        self.bath_c = min(limits.BATH_CEILING_C, warmest_bath_c + limits.BATH_OVER_C)
        self.body_c = limits.BODY_CEILING_C


def too_hot(
    ceilings: Ceilings, chocolate_c: float | None, bath_c: float | None, body_c: float | None
) -> Iterator[Finding]:
    """Any of the three above its ceiling; one without a value is judged elsewhere."""
    for name, celsius, ceiling_c in (
        ("chocolate", chocolate_c, ceilings.chocolate_c),
        ("bath", bath_c, ceilings.bath_c),
        ("cooker body", body_c, ceilings.body_c),
    ):
        if celsius is not None and not celsius <= ceiling_c:
            yield trip("host-hot", f"{name} {celsius:.1f} °C, limit {ceiling_c:.1f} °C")


def too_fast(window: Window) -> Iterator[Finding]:
    """A rise that goes on through the whole span, and a chocolate reading that jumps."""
    for name, field, c_min, span_s in (
        ("chocolate", 1, limits.CHOCOLATE_RISE_C_MIN, limits.CHOCOLATE_RISE_S),
        ("bath", 2, limits.BATH_RISE_C_MIN, limits.BATH_RISE_S),
        ("cooker body", 3, limits.BODY_RISE_C_MIN, limits.BODY_RISE_S),
    ):
        points = window.thirds(span_s)
        if points is None:
            continue
        each_c = c_min * span_s / 180
        values = [point[field] for point in points]
        if all(after - before > each_c for before, after in pairwise(values)):
            rate = (values[-1] - values[0]) / span_s * 60
            yield trip("host-rise", f"{name} {rate:.1f} °C a minute, limit {c_min:.0f}")
    newest, before = window.newest(), window.before(limits.JUMP_S)
    if newest is not None and before is not None:
        jump_c = newest.chocolate_c - before.chocolate_c
        if not -limits.JUMP_C < jump_c < limits.JUMP_C:
            yield caution("reading-jumped", f"{jump_c:+.1f} °C in {limits.JUMP_S} s")
