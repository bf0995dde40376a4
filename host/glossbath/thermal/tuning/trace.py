"""The record of an experiment as arrays of equal steps, or the reason why it cannot be used."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from glossbath.client.messages import Reading
from glossbath.errors import InputError

if TYPE_CHECKING:
    from numpy.typing import NDArray

STEP_S = 5.0
"""Short against the heater body's lag of a minute, long against the readings' second."""
PROBES = ("chocolate", "bath", "body")
_BESIDE = (1, 2, 1)
"""Which of PROBES each of them cannot stay behind."""

_SHORTEST_S = 1200.0
_LONGEST_S = 86_400.0
_MOST_MISSING = 0.05
_HEAT_RISE_K = 8.0
LEAST_FALL_K = 5.0
"""Less chill than this shows nothing of the ice water; the rest of the rig is found without."""
_CHILLING = 0.02
_STUCK = ((600.0, 3.0), (1800.0, 5.0), (600.0, 3.0))
"""Of each of PROBES: so long it may stand still (s) while its neighbour moves by so much (K)."""
_STUCK_RANGE_K = 0.03
"""Less than one step of a probe of 12 bits: it has not moved at all. A bath that is led stays
within two steps for half an hour while a thick crock gives off its heat, and so does a large bowl
where it turns."""
_RUNNING = ("running", "held")


@dataclass(frozen=True)
class Trace:
    """Means over steps of STEP_S, all of one length n: time_s (the middle of each step), the
    probes' temperatures (n, 3) in °C in the order of PROBES, and shares from 0 to 1."""

    time_s: NDArray[np.float64]
    celsius: NDArray[np.float64]
    heat_share: NDArray[np.float64]
    chill_share: NDArray[np.float64]
    stir_share: NDArray[np.float64]
    room_c: float | None
    """Mean of the room probe, where there is one."""

    @property
    def duration_s(self) -> float:
        """From the first to the last step."""
        return float(self.time_s[-1] - self.time_s[0])


def trace_of(readings: Iterable[Reading]) -> Trace:
    """The running part of a cycle; raises InputError for what no model can be found from.

    Refused are records that are short, have holes or faulty probes, hardly heat or chill, or show
    a probe that does not move.
    """
    running = [reading for reading in readings if reading.state in _RUNNING]
    if not running:
        raise InputError("The record has no running cycle: give the folder of an identification.")
    rows = np.array([_row(reading) for reading in running], dtype=float)
    trace = _steps(rows[np.argsort(rows[:, 0], kind="stable")])
    _check_stuck(trace)
    _check_excitation(trace)
    return trace


def _row(reading: Reading) -> tuple[float, ...]:
    celsius = (reading.chocolate_c, reading.bath_c, reading.body_c, reading.room_c)
    shares = (reading.heat_share, reading.chill_share, reading.stir_share)
    return (reading.time_s, *(np.nan if it is None else it for it in celsius), *shares)


def _steps(rows: NDArray[np.float64]) -> Trace:
    """Means of the readings in each step; a hole of some steps is bridged by straight lines."""
    duration_s = rows[-1, 0] - rows[0, 0]
    if not (_SHORTEST_S <= duration_s <= _LONGEST_S):
        raise InputError(
            f"The record runs for {duration_s / 60:.0f} min, but must be from "
            f"{_SHORTEST_S / 60:.0f} min to {_LONGEST_S / 3600:.0f} h; run the whole experiment."
        )
    at = ((rows[:, 0] - rows[0, 0]) // STEP_S).astype(int)
    count = int(at[-1])  # the last step is not full
    columns = np.stack([_means(at, rows[:, column], count) for column in range(1, 8)], axis=1)
    for column, name in enumerate(PROBES):
        missing = float(np.isnan(columns[:, column]).mean())
        if missing > _MOST_MISSING:
            raise InputError(
                f"The {name} probe has no good value in {missing * 100:.0f} % of the record, at "
                f"most {_MOST_MISSING * 100:.0f} % may be missing; mend it and run again."
            )
    room = columns[:, 3]
    room_c = None if np.isnan(room).all() else float(np.nanmean(room))
    filled = np.stack([_bridged(columns[:, column]) for column in (0, 1, 2, 4, 5, 6)], axis=1)
    time_s = STEP_S * np.arange(0.5, count, dtype=np.float64)
    return Trace(time_s, filled[:, :3], filled[:, 3], filled[:, 4], filled[:, 5], room_c)


def _means(at: NDArray[np.int_], values: NDArray[np.float64], count: int) -> NDArray[np.float64]:
    good = np.isfinite(values) & (at < count)
    total = np.bincount(at[good], weights=values[good], minlength=count)
    number = np.bincount(at[good], minlength=count)
    return np.where(number > 0, total / np.maximum(number, 1), np.nan)


def _bridged(values: NDArray[np.float64]) -> NDArray[np.float64]:
    good = np.isfinite(values)
    places = np.arange(len(values))
    return np.interp(places, places[good], values[good])


def _check_excitation(trace: Trace) -> None:
    bath = trace.celsius[:, 1]
    rise_k = float((bath - np.minimum.accumulate(bath)).max())
    if not (rise_k >= _HEAT_RISE_K and trace.heat_share.max() > 0.5):
        raise InputError(
            f"The bath was heated by {rise_k:.1f} K only, it must be {_HEAT_RISE_K:g} K or more "
            "with the heater on; start with a bath at room temperature."
        )


def late(share: NDArray[np.float64], lag_s: float) -> NDArray[np.float64]:
    """A series (n) that begins at rest, as late as a probe with that lag shows it."""
    from scipy.signal import lfilter

    follow = -math.expm1(-STEP_S / max(lag_s, 1e-3))
    return np.asarray(lfilter([follow], [1.0, follow - 1.0], share), dtype=np.float64)


def chill_fall_k(trace: Trace) -> float:
    """By how much the bath cooled while the chill pump ran, in K."""
    bath = trace.celsius[:, 1]
    chilled = trace.chill_share > _CHILLING
    return float(-np.diff(bath, prepend=bath[0])[chilled].sum())


def _check_stuck(trace: Trace) -> None:
    for column, (beside, (over_s, most_k)) in enumerate(zip(_BESIDE, _STUCK, strict=True)):
        width = round(over_s / STEP_S)
        if width > len(trace.celsius):
            continue
        windows = np.lib.stride_tricks.sliding_window_view(trace.celsius, width, axis=0)[::12]
        ranges = windows.max(axis=2) - windows.min(axis=2)
        moved = np.abs(windows[:, beside, -1] - windows[:, beside, 0])
        if bool(((ranges[:, column] < _STUCK_RANGE_K) & (moved > most_k)).any()):
            raise InputError(
                f"The {PROBES[column]} probe stood still for {over_s / 60:.0f} min while the "
                f"{PROBES[beside]} moved by more than {most_k:g} K; look at its seat and wire."
            )
