"""The dip test: a knife tip dipped in chocolate, watched against the clock.

Tempered chocolate sets within a few minutes to a clean, even surface; chocolate out of temper
takes many minutes and turns streaky or grainy (McGee, On Food and Cooking, "Testing for temper").
"""

from __future__ import annotations

from typing import Literal

import msgspec

from glossbath.errors import InputError

from . import limits

SETS_WITHIN_S = 300.0
"""Common practice, no source: dull-set in three to five minutes at 18 to 22 °C."""
OVER_WITHIN_S = 60.0
"""Common practice, no source: a dip that sets at once is thick with crystals."""
STREAKS_BY_S = 600.0
"""Common practice, no source: streaks show by about ten minutes."""
ROOM_C = (18.0, 22.0)

Result = Literal["in temper", "out of temper", "not sure"]


class DipClock(msgspec.Struct, frozen=True):
    """Where a running dip test stands."""

    elapsed_s: float
    until_set_s: float
    """Left until it should have set; 0 when that time is over."""
    until_streaks_s: float
    """Left until streaks would show."""
    line: str

    def sentences(self) -> list[str]:
        """What to look at now."""
        return [self.line]


class DipResult(msgspec.Struct, frozen=True):
    """The verdict of one dip test."""

    result: Result
    set_after_s: float | None
    room_c: float
    lines: list[str]

    def sentences(self) -> list[str]:
        """The verdict in words."""
        return list(self.lines)


def clock(dipped_at_s: float, now_s: float) -> DipClock:
    """Where a test stands that was dipped at `dipped_at_s`; both in s on one clock.

    Raises InputError when the dip lies in the future or more than a day back.
    """
    elapsed = limits.number("time since the dip", now_s - dipped_at_s, 0.0, 86_400.0, "s")
    to_set, to_streaks = max(0.0, SETS_WITHIN_S - elapsed), max(0.0, STREAKS_BY_S - elapsed)
    if to_set > 0:
        line = f"Leave it: it should set within the next {_clock(to_set)}."
    elif to_streaks > 0:
        line = f"It should have set by now: look again for streaks in {_clock(to_streaks)}."
    else:
        line = "Look at it now: set, even and glossy, or dull and streaky?"
    return DipClock(elapsed, to_set, to_streaks, line)


def judge(
    set_after_s: float | None, *, watched_s: float, streaks: bool, dull: bool, room_c: float
) -> DipResult:
    """The verdict of a dip test.

    `set_after_s`: when it had set, None if it has not; `watched_s`: how long it was watched;
    `room_c`: air where it lay. Raises InputError for implausible times and temperatures.
    """
    limits.number("time watched", watched_s, 1.0, 86_400.0, "s")
    limits.celsius("room", room_c, limits.ROOM_C)
    if set_after_s is not None and not (0 < set_after_s <= watched_s):
        raise InputError(
            f"The dip must have set after 0 min and within the {watched_s / 60:g} min it was "
            f"watched, not after {set_after_s / 60:g} min."
        )
    result, lines = _verdict(set_after_s, watched_s, streaks, dull)
    low, high = ROOM_C
    if not (low <= room_c <= high):
        slower = "slower" if room_c > high else "faster"
        lines.append(
            f"The room of {room_c:g} °C makes everything set {slower} than the five minutes "
            f"that hold at {low:g} to {high:g} °C: repeat the test there."
        )
        late = set_after_s is None or set_after_s > SETS_WITHIN_S
        misled = (result == "in temper" and room_c < low) or (
            result == "out of temper" and room_c > high and late and not streaks
        )
        result = "not sure" if misled else result
    return DipResult(result, set_after_s, room_c, lines)


def _verdict(
    set_after_s: float | None, watched_s: float, streaks: bool, dull: bool
) -> tuple[Result, list[str]]:
    if streaks:
        return "out of temper", ["Streaks mean that it is not in temper: go round again."]
    if set_after_s is None:
        if watched_s < SETS_WITHIN_S:
            left = _clock(SETS_WITHIN_S - watched_s)
            return "not sure", [f"It has not set yet: watch it for another {left}."]
        return "out of temper", [
            f"It has not set in {_clock(watched_s)}; tempered chocolate sets within five minutes."
        ]
    if set_after_s > SETS_WITHIN_S:
        return "out of temper", [
            f"It took {_clock(set_after_s)} to set; tempered chocolate takes at most five minutes."
        ]
    if set_after_s < OVER_WITHIN_S:
        return "not sure", [
            f"It set within {_clock(set_after_s)}, which is a sign of over-tempering, above all "
            "if it runs thick from the knife. Warm the batch by half a degree and test again."
        ]
    if dull:
        return "not sure", [
            "It set in time but dull: it may be over-tempered or the knife may have been wet or "
            "cold. Warm the batch by half a degree and test again."
        ]
    lines = [f"It set clean in {_clock(set_after_s)}: it is in temper."]
    if watched_s < STREAKS_BY_S:
        lines.append(
            f"Look again in {_clock(STREAKS_BY_S - watched_s)}: streaks may show by ten minutes."
        )
    return "in temper", lines


def _clock(seconds: float) -> str:
    whole = round(seconds)
    minutes, rest = divmod(whole, 60)
    if minutes == 0:
        return f"{rest} s"
    return f"{minutes} min {rest} s" if rest else f"{minutes} min"
