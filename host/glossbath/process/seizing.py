"""Listens to the stirrer of a running cycle and says when water has got into the chocolate."""

from __future__ import annotations

from collections import deque

from glossbath.chocolate import seizure
from glossbath.client.messages import Reading
from glossbath.errors import InputError

EVERY_S = 10.0
"""How often the series is judged; it costs about a millisecond."""
KEEP_S = seizure.SETTLE_S + EVERY_S + 5.0
SAYS_WITHIN_S = seizure.DETECTION_S + EVERY_S
"""A batch that seizes within seconds is told at most this long after it began."""

CODE = "seized"
PRIORITY = "medium"


def words(found: seizure.Seizure) -> tuple[str, str, str]:
    """The alarm: what happened, what the rig did, what to do now."""
    happened, *remedy = found.sentences()
    return happened, "Nothing was changed: the cycle goes on.", " ".join(remedy)


class Seizing:
    """One cycle's stirrer current. Seizing is found once; a batch does not recover from it."""

    def __init__(self) -> None:
        self._series: deque[tuple[float, float, float]] = deque()
        self._judged_s = 0.0
        self._last: tuple[float, float] | None = None
        """When a current was last seen in s, and what it was in mA."""
        self._found = False

    def judge(self, reading: Reading) -> seizure.Seizure | None:
        """One reading; the finding when this one shows that the batch has seized."""
        if self._found or reading.state not in ("running", "held"):
            return None
        series, now_s = self._series, reading.time_s
        if reading.stir_ma is not None:
            self._last = now_s, reading.stir_ma
        known = self._last is not None and 0 <= now_s - self._last[0] <= seizure.REST_S
        if not known or (series and not 0 < now_s - series[-1][0] <= seizure.LONGEST_GAP_S):
            series.clear()
        if self._last is None or not known:
            return None
        series.append((now_s, self._last[1], reading.stir_share))
        while now_s - series[0][0] > KEEP_S:
            series.popleft()
        if abs(now_s - self._judged_s) < EVERY_S:
            return None
        self._judged_s = now_s
        found = self._detect()
        self._found = found is not None
        return found

    def _detect(self) -> seizure.Seizure | None:
        if len(self._series) < seizure.LEAST_POINTS:
            return None
        times, current, shares = zip(*self._series, strict=True)
        try:
            found = seizure.detect(times, current, shares)
        except InputError:
            return None  # a current that no motor has: the board's own cut-offs see to it
        return found if found.verdict == "seized" else None
