"""Whether the probes can be believed: fault words, and readings that heat could not cause."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import NamedTuple

from . import limits
from .finding import Finding, Lasting, caution, trip
from .window import Window

_THIRD = 1.0 / 3.0


class Faults:
    """Fault words of the probes, as soon as they last."""

    def __init__(self) -> None:
        self._lasting = Lasting()

    def look(self, faults: dict[str, str], now_ms: int) -> Iterator[Finding]:
        """faults maps a probe (chocolate, bath, body) to the board's word."""
        for probe in ("chocolate", "bath", "body"):
            word = faults.get(probe)
            lasts_ms = self._lasting.for_ms(probe, word is not None, now_ms)
            if lasts_ms >= limits.FAULT_MS:
                yield caution(f"bad-{probe}", word or "")


class _Answer(NamedTuple):
    """How chocolate must answer: when the bath is bath_k (K) apart for span_s (s), by share of
    what a still wall lets through; third_share is for one third of the time."""

    span_s: float
    bath_k: float
    share: float
    third_share: float


_MELTING = _Answer(
    limits.ANSWER_S, limits.ANSWER_BATH_K, limits.ANSWER_SHARE, limits.ANSWER_THIRD_SHARE
)
_MELTED = _Answer(
    limits.MELTED_S, limits.MELTED_BATH_K, limits.MELTED_SHARE, limits.MELTED_THIRD_SHARE
)


def against_heat(window: Window, batch_kg: float, melted: bool) -> Iterator[Finding]:
    """A chocolate reading that moves against the heat, or not at all where it must.

    melted: the recipe has been through melting, so no more fat takes up heat.
    """
    yield from _uphill(window)
    yield from _unanswered(window, batch_kg, _MELTING)
    oldest = window.before(limits.MELTED_S)
    if oldest is not None and (melted or oldest.chocolate_c > limits.MELTED_C):
        yield from _unanswered(window, batch_kg, _MELTED)


def _uphill(window: Window) -> Iterator[Finding]:
    points = window.thirds(limits.UPHILL_S)
    if points is None:
        return
    apart_k = [point.bath_c - point.chocolate_c for point in points]
    values = [point.chocolate_c for point in points]
    steps = [after - before for before, after in pairwise(values)]
    change_c = values[-1] - values[0]
    falls = all(step < -_THIRD * limits.UPHILL_FALL_C / 2 for step in steps)
    rises = all(step > _THIRD * limits.UPHILL_RISE_C / 2 for step in steps)
    warm_bath = all(k > limits.UPHILL_BATH_K for k in apart_k)
    cold_bath = all(k < -limits.UPHILL_BATH_K for k in apart_k)
    if warm_bath and falls and change_c < -limits.UPHILL_FALL_C:
        yield trip("host-implausible", "chocolate reads falling although the bath is warmer")
    if cold_bath and rises and change_c > limits.UPHILL_RISE_C:
        yield trip("host-implausible", "chocolate reads rising although the bath is colder")


def _unanswered(window: Window, batch_kg: float, answer: _Answer) -> Iterator[Finding]:
    points = window.thirds(answer.span_s)
    if points is None:
        return
    apart_k = [point.bath_c - point.chocolate_c for point in points]
    side = 1.0 if apart_k[0] > 0.0 else -1.0
    if not all(side * k >= answer.bath_k for k in apart_k):
        return
    if side < 0.0 and points[3].chocolate_c < limits.SETTING_C:
        return  # crystals that form may keep it warm
    flowed_j = limits.STILL_W_PER_K * batch_kg ** (2.0 / 3.0) * answer.span_s
    flowed_j *= sum(abs(k) for k in apart_k) / len(apart_k)
    must_c = side * flowed_j / (limits.CHOCOLATE_J_PER_KG_K * batch_kg)
    # Chocolate that is put in hides the answer in one third, not in all.
    shares = [(b.chocolate_c - a.chocolate_c) / must_c for a, b in pairwise(points)]
    hidden = any(share > answer.third_share / 3 for share in shares)
    if not hidden and not sum(shares) >= answer.share:
        yield trip("host-implausible", "chocolate reads still although the bath must move it")
