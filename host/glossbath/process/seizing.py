"""Listens to the stirrer of a running cycle and says when water has got into the chocolate."""

from __future__ import annotations

from collections import deque
from statistics import median

from glossbath.chocolate import seizure
from glossbath.client.messages import Reading
from glossbath.errors import InputError

EVERY_S = 10.0
"""How often the series is judged; it costs about a millisecond."""
KEEP_S = seizure.SETTLE_S + EVERY_S + 5.0
SAYS_WITHIN_S = seizure.DETECTION_S + 2 * EVERY_S
"""A batch that seizes within seconds is told at most this long after it began: a climb must still
be there at a second look."""
USUAL_POINTS = 30
"""Judgements, five minutes of them, whose median is the usual load: a lump that has passed is no
load that could come back."""
AS_BEFORE_SHARE = 1.25
"""A climb after a sudden fall is the old load again up to this share of the current before the
fall; above it lies what seizing adds to it (engineering choice, no source)."""

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
        self._looks = 0
        self._fallen_ma: float | None = None
        """What the motor drew before it suddenly lost its load, as without its belt."""
        self._levels: deque[float] = deque(maxlen=USUAL_POINTS)
        self._returning = False

    def judge(self, reading: Reading) -> seizure.Seizure | None:
        """One reading; the finding when this one shows that the batch has seized."""
        if self._found or reading.state not in ("running", "held"):
            return None
        series, now_s = self._series, reading.time_s
        if reading.stir_ma is not None:
            self._last = now_s, reading.stir_ma
        if self._last is None or not 0 <= now_s - self._last[0] <= seizure.REST_S:
            series.clear()
            return None
        if series and not 0 < now_s - series[-1][0] <= seizure.LONGEST_GAP_S:
            series.clear()
        series.append((now_s, self._last[1], reading.stir_share))
        while now_s - series[0][0] > KEEP_S:
            series.popleft()
        if abs(now_s - self._judged_s) < EVERY_S:
            return None
        self._judged_s = now_s
        self._levels.append(self._last[1])
        found = self._second_look(self._detect())
        self._found = found is not None
        return found

    def _second_look(self, seen: seizure.Seizure | None) -> seizure.Seizure | None:
        """What was seen, once it was seen twice in a row and is no load that came back."""
        if seen is not None and self._came_back(seen):
            self._returning, seen = True, None
        elif self._returning:
            self._returning, self._fallen_ma = False, None  # the climb is over
        self._looks = self._looks + 1 if seen is not None else 0
        return seen if self._looks > 1 else None

    def _came_back(self, seen: seizure.Seizure) -> bool:
        """Whether this climb only makes good a sudden fall earlier in this cycle."""
        if self._fallen_ma is None or seen.after_ma is None:
            return False
        return seen.after_ma <= AS_BEFORE_SHARE * self._fallen_ma

    def _detect(self) -> seizure.Seizure | None:
        if len(self._series) < seizure.LEAST_POINTS:
            return None
        times, current, shares = zip(*self._series, strict=True)
        try:
            # A fall is a climb in a series that runs backwards.
            back = [times[-1] - time for time in reversed(times)]
            fall = seizure.detect(back, current[::-1], shares[::-1])
            found = seizure.detect(times, current, shares)
        except InputError:
            return None  # a current that no motor has: the board's own cut-offs see to it
        if fall.verdict == "seized":
            usual_ma = min(fall.after_ma or 0.0, median(self._levels))
            self._fallen_ma = max(self._fallen_ma or 0.0, usual_ma)
        if found.before_ma is None:
            return None
        recent = [ma for at, ma, _ in self._series if times[-1] - at <= seizure.AFTER_S]
        stays = median(recent) >= found.before_ma * (1 + seizure.STEP_SHARE)
        return found if stays else None
