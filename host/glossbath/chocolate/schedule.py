"""When to switch on so that the chocolate is ready at a given time. The clock is an argument."""

from __future__ import annotations

from datetime import datetime, timedelta

import msgspec

from glossbath.errors import InputError


class Start(msgspec.Struct, frozen=True):
    """When to switch on so that the chocolate is ready at a given time."""

    ready_at: datetime
    start_at: datetime
    """Enough even for the long end of the plan."""
    in_time: bool
    ready_from: datetime
    ready_until: datetime | None
    """When the chocolate is ready if started at the later of `start_at` and now."""

    def sentences(self) -> list[str]:
        """The answer in words."""
        clock = "%Y-%m-%d %H:%M"
        until = "perhaps never" if self.ready_until is None else f"{self.ready_until:{clock}}"
        span = f"it will be ready between {self.ready_from:{clock}} and {until}."
        if self.in_time:
            return [f"Switch on at {self.start_at:{clock}}: {span}"]
        return [
            f"It may be too late for {self.ready_at:{clock}}: switch on now and {span}",
        ]


def start(least_s: float, most_s: float | None, ready_at: datetime, now: datetime) -> Start:
    """When to switch on for `ready_at`, seen from `now` (both aware or both naive), where the
    chocolate is ready least_s to most_s after that; most_s None: perhaps never."""
    if (ready_at.tzinfo is None) != (now.tzinfo is None):
        raise InputError("The time to be ready and the clock must both name a time zone or none.")
    if not (ready_at > now):
        raise InputError(
            f"The time to be ready must lie after now, {now:%Y-%m-%d %H:%M}, "
            f"not at {ready_at:%Y-%m-%d %H:%M}."
        )
    longest_s = least_s if most_s is None else most_s
    wanted = ready_at - timedelta(seconds=longest_s)
    begin = max(wanted, now)
    return Start(
        ready_at=ready_at,
        start_at=begin,
        in_time=wanted >= now,
        ready_from=begin + timedelta(seconds=least_s),
        ready_until=None if most_s is None else begin + timedelta(seconds=most_s),
    )
