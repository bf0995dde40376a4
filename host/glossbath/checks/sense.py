"""Whether the probes can be believed: fault words, and readings that heat could not cause."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import NamedTuple

from . import limits
from .finding import Finding, Lasting, caution, trip
from .window import Window


class Faults:
    """Fault words of the probes, as soon as they last."""

    def __init__(self) -> None:
        self._lasting = Lasting()

    def look(self, faults: dict[str, str], now_ms: int) -> Iterator[Finding]:
        """faults maps a probe (chocolate, bath, body) to the board's word."""
        for probe in ("chocolate", "bath", "body"):
            word = faults.get(probe)
            lasts_ms = self._lasting.for_ms(probe, word is not None, now_ms)
            if lasts_ms >= limits.BLIND_MS:
                yield trip("host-blind", f"{probe}, {limits.BLIND_MS // 1000} s")
            elif lasts_ms >= limits.FAULT_MS:
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


class AgainstHeat:
    """Finds a chocolate reading that moves against the heat, or not at all where it must."""

    def __init__(self, batch_kg: float) -> None:
        self._batch_kg = batch_kg
        self._fed_ms: int | None = None

    def look(self, window: Window, melted: bool) -> Iterator[Finding]:
        """Judge the newest reading; melted: the recipe has been through melting, so no more fat
        takes up heat, except that of pieces which somebody puts in."""
        newest = window.newest()
        if newest is None:
            return
        self._notice_feeding(window)
        fed = self._fed_ms is not None and newest.ms - self._fed_ms < limits.FED_FOR_MS
        yield from _uphill(window)
        yield from _unanswered(window, self._batch_kg, _MELTING)
        oldest = window.before(limits.MELTED_S)
        if oldest is None or fed:
            return
        if melted or oldest.chocolate_c > limits.MELTED_C:
            yield from _unanswered(window, self._batch_kg, _MELTED)

    def _notice_feeding(self, window: Window) -> None:
        newest, before = window.newest(), window.before(limits.FED_S)
        if newest is None or before is None:
            return
        fell_c = before.chocolate_c - newest.chocolate_c
        if fell_c >= limits.FED_C and newest.bath_c >= before.chocolate_c:
            self._fed_ms = newest.ms


def _uphill(window: Window) -> Iterator[Finding]:
    for span_s, side, change_c, sentence in (
        (
            limits.UPHILL_FALL_S,
            -1.0,
            limits.UPHILL_FALL_C,
            "chocolate reads falling although the bath is warmer",
        ),
        (
            limits.UPHILL_RISE_S,
            1.0,
            limits.UPHILL_RISE_C,
            "chocolate reads rising although the bath is colder",
        ),
    ):
        points = window.thirds(span_s)
        if points is None:
            continue
        above_k = [side * (point.chocolate_c - point.bath_c) for point in points]
        steps = [side * (b.chocolate_c - a.chocolate_c) for a, b in pairwise(points)]
        steadily = all(step > change_c / 6.0 for step in steps)
        if min(above_k) > limits.UPHILL_BATH_K and steadily and sum(steps) > change_c:
            yield trip("host-implausible", sentence)


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
