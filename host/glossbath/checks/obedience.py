"""Whether the board does what it was ordered to do, and nothing else."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from glossbath.board.state import Raw
from glossbath.chocolate.phase import PhasePlan

from . import limits
from .finding import Finding, Lasting, trip

HEATING = ("running", "held")
BUSY = ("waiting", "testing", "running", "held")
_TWICE_MS = 900
_SETTLE_MS = 2_900
_SLACK_C = 0.25


def _wrong(detail: str) -> Finding:
    return trip("host-contradiction", detail)


class Obedience:
    """What was ordered against what is reported.

    phases is the recipe of the cycle that this host started, empty while there is none.
    """

    def __init__(self, phases: Sequence[PhasePlan], cycle: str) -> None:
        self._phases = phases
        self._cycle = cycle
        self._stop_ms: int | None = None
        self._lease_ms: int | None = None
        self._index = 0
        self._entered_ms: int | None = None
        self._back: int | None = None
        """The phase before, while the board may go back to it."""
        self._lasting = Lasting()
        self.alone_ms = 0
        """For how long the board may go on without a lease now."""

    def stop_ordered(self, now_ms: int) -> None:
        """A stop has been sent; the first one counts."""
        if self._stop_ms is None:
            self._stop_ms = now_ms

    def stop_seen(self) -> None:
        """The board rests: the stop has been obeyed."""
        self._stop_ms = None

    def back_ordered(self, index: int) -> None:
        """The order to go back to the phase of that number has been sent."""
        self._back = index

    def lease_sent(self, now_ms: int) -> None:
        """The lease has just been renewed."""
        self._lease_ms = now_ms

    def look(self, raw: Raw, cycle: str, now_ms: int) -> Iterator[Finding]:
        """Judge a reading; cycle is the name of the cycle that the board says it runs."""
        busy = raw.state in BUSY
        lasts = self._lasting.for_ms
        if self._stop_ms is not None and now_ms - self._stop_ms > limits.OBEY_MS:
            if raw.heat_share > 0:
                yield _wrong("heat after a stop")
            elif busy:
                yield _wrong(f"{raw.state} after a stop")
        if raw.heat_share > 0 and raw.faults:
            yield _wrong("heat without a trustworthy probe")
        idle_heat = raw.heat_share > 0 and raw.state not in HEATING
        if lasts("idle heat", idle_heat, now_ms) >= _TWICE_MS:
            yield _wrong(f"heat while {raw.state}")
        stranger = busy and not self._phases
        if lasts("stranger", stranger, now_ms) >= _TWICE_MS:
            yield _wrong(f"{raw.state} without having been started from here")
        other = busy and bool(self._phases) and bool(cycle) and cycle != self._cycle
        if lasts("other", other, now_ms) >= _TWICE_MS:
            yield _wrong("it runs another cycle than the one started from here")
        if self._phases and raw.state in HEATING:
            yield from self._recipe(raw, now_ms)

    def _recipe(self, raw: Raw, now_ms: int) -> Iterator[Finding]:
        unleased_ms = now_ms - (self._lease_ms if self._lease_ms is not None else now_ms)
        if raw.heat_share > 0 and unleased_ms > limits.STALE_MS + self.alone_ms:
            yield _wrong("heat without a lease")
        if raw.index == self._back:
            self._index, self._entered_ms, self._back = raw.index, now_ms, None
        if not self._index <= raw.index < len(self._phases):
            yield _wrong(f"phase number {raw.index + 1} after number {self._index + 1}")
            return
        if raw.index > self._index or self._entered_ms is None:
            self._index, self._entered_ms = raw.index, now_ms
        phase = self._phases[self._index]
        if raw.state == "held":
            # The recipe waits, and so does its time limit.
            self._entered_ms = now_ms - raw.phase_ms
        in_phase_ms = now_ms - self._entered_ms
        if in_phase_ms > phase.timeout_s * 1000 + limits.PHASE_LATE_MS:
            yield _wrong(f"phase {phase.name} goes on after its time limit")
        yield from self._target(raw, phase, now_ms)

    def _target(self, raw: Raw, phase: PhasePlan, now_ms: int) -> Iterator[Finding]:
        target_c = raw.bath_target_c
        low_c, high_c = phase.bath_low_c - _SLACK_C, phase.bath_high_c + _SLACK_C
        off = target_c is not None and not low_c <= target_c <= high_c
        # A target is renewed each second, so it may be the phase before's for a moment.
        if self._lasting.for_ms(f"target {phase.name}", off, now_ms) >= _SETTLE_MS:
            yield _wrong(f"bath target {target_c:.1f} °C, not of phase {phase.name}")
