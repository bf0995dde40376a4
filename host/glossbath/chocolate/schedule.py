"""When to switch on so that the chocolate is ready at a given time. The clock is an argument."""

from __future__ import annotations

from datetime import datetime, timedelta

import msgspec

from glossbath.errors import InputError

from .plan import Plan


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


def start(plan: Plan, ready_at: datetime, now: datetime) -> Start:
    """When to switch on for `ready_at`, seen from `now` (both aware or both naive)."""
    if (ready_at.tzinfo is None) != (now.tzinfo is None):
        raise InputError("The time to be ready and the clock must both name a time zone or none.")
    if not (ready_at > now):
        raise InputError(
            f"The time to be ready must lie after now, {now:%Y-%m-%d %H:%M}, "
            f"not at {ready_at:%Y-%m-%d %H:%M}."
        )
    longest = plan.ready_s.most if plan.ready_s.most is not None else plan.ready_s.nominal
    wanted = ready_at - timedelta(seconds=longest)
    begin = max(wanted, now)
    return Start(
        ready_at=ready_at,
        start_at=begin,
        in_time=wanted >= now,
        ready_from=begin + timedelta(seconds=plan.ready_s.least),
        ready_until=None
        if plan.ready_s.most is None
        else begin + timedelta(seconds=plan.ready_s.most),
    )
