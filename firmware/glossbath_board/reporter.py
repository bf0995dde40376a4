"""Reports to the host: at once what happened, each second how the rig is, each ten seconds how the
board fares. report.py has the messages, this their times.
"""

from . import report
from .cycle import Cycle
from .limits import LEASE_MS
from .link import Link
from .output import Allowed
from .settings import Settings
from .supervisor import Supervisor

if False:  # for the type checker alone
    from .kinds import Loop, Probes


class Reporter:
    """Puts messages into link. allowed is what outputs are driven by; probes has room and
    humidity."""

    def __init__(
        self, link: Link, hello: dict, settings: Settings, probes: "Probes", allowed: Allowed
    ) -> None:
        self._link = link
        self._hello = hello
        self._settings = settings
        self._probes = probes
        self._allowed = allowed
        self._also = ""
        self._absent_ms = 0
        self._reading_ms = 0
        self._health_ms = 0

    def greet(self, cycle: Cycle, supervisor: Supervisor, now_ms: int) -> None:
        """Report who this board is, which trip stands, and what it is about."""
        hello = dict(self._hello)
        hello["lv"] = self._settings.level
        self._link.post(hello)
        if supervisor.trip:
            self._link.post(report.trip(supervisor, now_ms))
        self._link.post(report.state(cycle))

    def also(self, code: str, trip: str) -> None:
        """Another cut-off has had its time under a trip; each is reported once."""
        if code not in (self._also, trip):
            self._also = code
            self._link.post(report.also(code))

    def forget(self) -> None:
        """The trip is cleared."""
        self._also = ""

    def note_absence(self, age_ms: int | None, in_hold: bool) -> None:
        """Report to a host that is back for how long a hold went on without it; age_ms is the
        lease's, or None where no host ever had one."""
        if age_ms is None:
            return
        if age_ms > LEASE_MS:
            if in_hold:
                self._absent_ms = age_ms
        elif self._absent_ms:
            self._link.post(report.alone(self._absent_ms))
            self._absent_ms = 0

    def step(self, loop: "Loop", dt_ms: int) -> None:
        """Post what is due, dt_ms after the last time. loop is the Loop that reports."""
        self._reading_ms += dt_ms
        if self._reading_ms >= report.READING_MS:
            self._reading_ms = 0
            self._link.post(
                report.reading(
                    loop.facts, loop.cycle, loop.control, self._allowed, loop.supervisor.trip
                )
            )
        self._health_ms += dt_ms
        if self._health_ms >= report.HEALTH_MS:
            self._health_ms = 0
            probes = self._probes
            self._link.post(report.health(loop, self._link, probes.room, probes.humidity))
