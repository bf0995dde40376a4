"""Chocolate seized by water, seen in the current of the stirrer's motor.

A few drops of water make the chocolate stiffen within seconds, so the current climbs like a step
and stays up. Thickening while crystals grow takes many minutes; a lump passes in seconds. The
detector tells the three apart by comparing two medians half a minute apart.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import inf
from statistics import median
from typing import Literal

import msgspec

from glossbath.errors import InputError

from . import trace

BEFORE_S = 60.0
"""Span of the median that stands for the time before."""
GAP_S = 30.0
"""Time between the two spans, in which a step climbs."""
AFTER_S = 20.0
"""Span of the median that stands for now."""
STEP_SHARE = 0.4
"""Climb that counts, as a share of the current before (engineering choice, no source)."""
DETECTION_S = GAP_S + AFTER_S
"""A step that climbs by half within 15 s is found at most this long after it began."""
SETTLE_S = GAP_S + AFTER_S + BEFORE_S
"""After a change of stirrer speed nothing is judged for this long."""
SPEED_STEP_SHARE = 0.05
LONGEST_GAP_S = 5.0
LEAST_POINTS = 5
REST_S = 20.0
"""A motor that is pulsed has no current while it rests; the last one counts for so long."""


Water = Literal["bath", "drinking", "unknown"]
"""Whose water: of the bath, coil or ice; clean drinking water; not known."""


class Seizure(msgspec.Struct, frozen=True):
    """What a current series shows."""

    verdict: Literal["seized", "normal", "too short"]
    found_at_s: float | None
    """When the detector was sure; the step began up to DETECTION_S before."""
    before_ma: float | None
    after_ma: float | None

    def sentences(self, water: Water = "unknown") -> list[str]:
        """The finding, and what can be done; `water`: whose it was."""
        if self.verdict == "too short":
            return [f"The series is too short to judge: it needs {SETTLE_S:.0f} s at one speed."]
        if self.verdict == "normal":
            return ["The current shows no sudden climb: nothing points to water."]
        return [
            f"The stirrer's current climbed from {self.before_ma:.0f} to {self.after_ma:.0f} mA "
            f"within {DETECTION_S:.0f} s and stayed up: water may have got in.",
            *remedy(water),
        ]


_DISCARD = (
    "Discard the batch: water of bath, coil or ice bucket is warm, standing and not for drinking, "
    "chocolate gets no step that kills germs, and its fat shelters them (Codex CXC 75-2015; Bean "
    "and Post 2014: most outbreaks come from water that got in). Clean bowl and tools, dry them."
)
_RESCUE = (
    "Only a batch seized by clean drinking water may become something else: with warm cream or "
    "drinking water, a fifth of its mass or more, stirred in at once, it is smooth again as "
    "ganache or sauce (common practice, no source). Keep it cold and use it the same day."
)


def remedy(water: Water) -> list[str]:
    """What to do with a seized batch, by whose water it was."""
    advice = {
        "bath": [_DISCARD],
        "drinking": [_RESCUE],
        "unknown": [
            "Whose water was it? If it came from the bath, the coil or the ice, or if you do not "
            "know:",
            _DISCARD,
            _RESCUE,
        ],
    }
    return [
        "Were stirrer or belt just put back, or chocolate, seed or a tool put in? Then this is "
        "their load: if the chocolate flows and shines, go on.",
        "Otherwise stop the stirrer, keep the heat low, and look: seized chocolate is a stiff, "
        "dull paste.",
        "If it is, it cannot be tempered any more, and more stirring does not help.",
        *advice[water],
        "Find where the water came from: steam, a wet tool, a splash of the bath.",
    ]


def detect(
    times_s: Sequence[float],
    current_ma: Sequence[float],
    stir_share: Sequence[float] | None = None,
) -> Seizure:
    """Look for a lasting step of the current at unchanged stirrer speed.

    A climb by half within 15 s is found within DETECTION_S; thickening that takes five minutes or
    longer to double the current, and lumps that pass within 8 s, are not taken for it.

    `times_s` rising, at most 5 s apart; `current_ma` of the motor; `stir_share` asked of it at the
    same times, None for a constant speed. Raises InputError for a series that cannot be used.
    """
    trace.check(
        "stirrer current", times_s, current_ma,
        unit="mA", low=0.0, high=20_000.0, longest_gap_s=LONGEST_GAP_S,
        least_points=LEAST_POINTS,
    )  # fmt: skip
    if stir_share is not None and len(stir_share) != len(times_s):
        raise InputError(
            f"The stirrer speed has {len(stir_share)} values for {len(times_s)} times: give one "
            "for each."
        )
    judged = False
    steady_from_s = times_s[0]
    for i, now_s in enumerate(times_s):
        if stir_share is not None and i and _changed(stir_share[i - 1], stir_share[i]):
            steady_from_s = now_s
        stopped = stir_share is not None and stir_share[i] <= 0
        if stopped or now_s - steady_from_s < SETTLE_S:
            continue
        judged = True
        before = _median(times_s, current_ma, i, AFTER_S + GAP_S, SETTLE_S)
        after = _median(times_s, current_ma, i, 0.0, AFTER_S)
        if before > 0 and after >= before * (1 + STEP_SHARE):
            return Seizure("seized", now_s, before, after)
    return Seizure("normal" if judged else "too short", None, None, None)


def detect_pulsed(
    times_s: Sequence[float],
    current_ma: Sequence[float | None],
    stir_share: Sequence[float],
) -> Seizure:
    """`detect` for a whole record of a pulsed motor: None where the motor rested.

    Each stretch without a longer gap is judged by itself; the first seizure counts. Raises
    InputError for a series that cannot be used.
    """
    trace.check(
        "stirrer's speed", times_s, stir_share,
        unit="(share)", low=0.0, high=1.0, longest_gap_s=inf, least_points=1,
    )  # fmt: skip
    found = Seizure("too short", None, None, None)
    for times, current, shares in _stretches(times_s, current_ma, stir_share):
        judged = detect(times, current, shares)
        if judged.verdict == "seized":
            return judged
        found = judged if judged.verdict == "normal" else found
    return found


def _stretches(
    times_s: Sequence[float],
    current_ma: Sequence[float | None],
    stir_share: Sequence[float],
) -> list[tuple[list[float], list[float], list[float]]]:
    """Stretches without a gap, a resting motor filled with its last current."""
    found: list[tuple[list[float], list[float], list[float]]] = []
    last: tuple[float, float] | None = None
    for time, current, share in zip(times_s, current_ma, stir_share, strict=True):
        last = last if current is None else (time, current)
        if last is None or not (0 <= time - last[0] <= REST_S):
            continue
        if not found or not (0 < time - found[-1][0][-1] <= LONGEST_GAP_S):
            found.append(([], [], []))
        for series, value in zip(found[-1], (time, last[1], share), strict=True):
            series.append(value)
    return [stretch for stretch in found if len(stretch[0]) >= LEAST_POINTS]


def _changed(before: float, after: float) -> bool:
    return not (abs(after - before) <= SPEED_STEP_SHARE)


def _median(
    times_s: Sequence[float], values: Sequence[float], now: int, youngest_s: float, oldest_s: float
) -> float:
    """Median of the values whose age at index `now` lies between the two limits."""
    found = []
    for i in range(now, -1, -1):
        age_s = times_s[now] - times_s[i]
        if age_s > oldest_s:
            break
        if age_s >= youngest_s:
            found.append(values[i])
    return median(found)
