"""What the temperatures did, kept small: lowest and highest per span of time.

A cycle may last a day and a virtual one may report hundreds of times a second. The spans double
whenever there are too many, so the whole cycle is always there and memory never grows.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from glossbath.chocolate.phase import Window
from glossbath.client.messages import Reading


@dataclass
class Range:
    """Lowest and highest value seen in °C; None while there was none."""

    low_c: float | None = None
    high_c: float | None = None

    def widen(self, celsius: float | None) -> None:
        """Widen to hold a value."""
        if celsius is not None:
            self.low_c = celsius if self.low_c is None else min(self.low_c, celsius)
            self.high_c = celsius if self.high_c is None else max(self.high_c, celsius)

    def join(self, other: Range) -> None:
        """Widen to hold another range."""
        if other.low_c is None or other.high_c is None:
            return
        if self.low_c is None or other.low_c < self.low_c:
            self.low_c = other.low_c
        if self.high_c is None or other.high_c > self.high_c:
            self.high_c = other.high_c


@dataclass
class Column:
    """One span of time of the trend."""

    time_s: float
    """Begin of the span, on the clock of the readings."""
    chocolate: Range = field(default_factory=Range)
    bath: Range = field(default_factory=Range)
    target_c: float | None = None
    window: Window | None = None

    def join(self, other: Column) -> None:
        """Take in the column that follows."""
        self.chocolate.join(other.chocolate)
        self.bath.join(other.bath)
        self.target_c = other.target_c
        self.window = other.window


class Trend:
    """Readings since the cycle began, in at most `most` columns of equal span."""

    def __init__(self, most: int = 720, span_s: float = 1.0) -> None:
        self.most = most
        self.span_s = span_s
        self._columns: list[Column] = []

    @property
    def columns(self) -> list[Column]:
        """Oldest first."""
        return self._columns

    def add(self, reading: Reading, window: Window | None) -> None:
        """Take one reading and the window that held for it."""
        begin_s = reading.time_s // self.span_s * self.span_s
        if not self._columns or begin_s > self._columns[-1].time_s:
            self._columns.append(Column(begin_s))
        column = self._columns[-1]
        column.chocolate.widen(reading.chocolate_c)
        column.bath.widen(reading.bath_c)
        column.target_c = reading.target_c
        column.window = window
        while len(self._columns) > self.most:
            self.span_s *= 2.0
            self._columns = merged(self._columns, self.span_s)

    def since(self, begin_s: float, most: int) -> list[Column]:
        """Columns from begin_s on, joined until there are at most `most` of them."""
        chosen = [column for column in self._columns if column.time_s >= begin_s]
        span_s, count = self.span_s, len(chosen)
        while count > max(1, most):
            span_s *= 2.0
            count = len({column.time_s // span_s for column in chosen})
        return chosen if count == len(chosen) else merged(chosen, span_s)


def merged(columns: list[Column], span_s: float) -> list[Column]:
    """The same columns on a wider grid; what was given stays as it is."""
    result: list[Column] = []
    for column in columns:
        begin_s = column.time_s // span_s * span_s
        if not result or begin_s > result[-1].time_s:
            result.append(Column(begin_s))
        result[-1].join(column)
    return result
