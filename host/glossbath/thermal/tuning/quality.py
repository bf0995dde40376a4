"""Refuses a fit that should not be trusted, with the most likely reason."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise
from typing import TYPE_CHECKING, Protocol

import numpy as np

from glossbath.errors import InputError

from ..model import Contents, RigModel
from .trace import PROBES, STEP_S, Trace

if TYPE_CHECKING:
    from numpy.typing import NDArray

_BLOCK_STEPS = 36
"""Three minutes: a tenth of a kelvin of noise is then a few watts."""
_ODD_BLOCKS = 2
_ODD_W = 9.0
_ODD_SHARE, _ODD_CHILL_SHARE = 0.06, 0.5
"""Of heat or chill that flows meanwhile: the element's losses change with its temperature, and the
chill with its ice, which is told by its uncertainty instead."""
_ODD_SPREADS = 4.0
"""Times the usual unexplained heat of this record: what the model's structure leaves over all the
time is not a disturbance, and is in the intervals."""
_SPREAD_OF_MEDIAN = 1.4826
"""Standard deviation of a normal distribution over its median absolute deviation."""
_RMS_K = (0.8, 0.8, 2.5)
"""Of chocolate, bath and body; what the body's probe shows depends on where it touches."""
_WARM_K = 10.0
_CHILLING = 0.1
_LOSS_W_PER_K = 3.5
_WIDEST = {"heater_w": 0.3, "room_w_per_k": 1.5}
"""Engineering choices: an open lid at 45 °C costs some 25 W, a lidded cooker loses 1.5 to 3 W/K,
and the board leans on a model by its uncertainty, so that only pace and loss must be known."""


class _Interval(Protocol):
    @property
    def value(self) -> float: ...
    @property
    def low(self) -> float: ...
    @property
    def high(self) -> float: ...


def check_quality(
    trace: Trace,
    misfit_k: NDArray[np.float64],
    model: RigModel,
    contents: Contents,
    intervals: Mapping[str, _Interval],
) -> None:
    """Raise InputError unless control can lean on the model; misfit_k is (n, 3), measured less
    predicted."""
    _check_steady(trace, misfit_k, model, contents)
    rms_k = np.sqrt((misfit_k * misfit_k).mean(axis=0))
    at = int((rms_k / np.array(_RMS_K)).argmax())
    if not rms_k[at] <= _RMS_K[at]:
        minute = trace.time_s[int(np.abs(misfit_k[:, at]).argmax())] / 60
        raise InputError(
            f"No model fits: the {PROBES[at]} probe is off by {rms_k[at]:.2f} K (root mean "
            f"square, limit {_RMS_K[at]:g} K), most at minute {minute:.0f}; look for what "
            "disturbed the rig then, and at the masses that were given, and run it again."
        )
    if not model.room_w_per_k <= _LOSS_W_PER_K * max(1.0, model.water_kg / 3.0):
        raise InputError(
            f"The rig seems to lose {model.room_w_per_k:.1f} W/K and a lidded cooker loses 1.5 to "
            "3 W/K: an open lid does that, or another room temperature than the stated one. Look "
            "at both and run it again."
        )
    for name, widest in _WIDEST.items():
        found = intervals[name]
        if not found.high - found.low <= 2.0 * widest * found.value:
            raise InputError(
                f"{name} is known only from {found.low:.3g} to {found.high:.3g}, wider than "
                f"{widest * 100:.0f} % on each side; weigh the water, leave the rig alone and run "
                "the whole experiment again."
            )


def _check_steady(
    trace: Trace, misfit_k: NDArray[np.float64], model: RigModel, contents: Contents
) -> None:
    """Heat that the rest of the record does not explain, for minutes, means that something about
    the rig was not the same all the time."""
    odd_w, blocks = _unexplained_w(trace, misfit_k, model, contents)
    _, bath_c, _, heat, chill, _, _ = blocks.T
    spread_w = _SPREAD_OF_MEDIAN * float(np.median(np.abs(odd_w)))
    bound_w = _ODD_W + _ODD_SHARE * heat * model.heater_w
    bound_w += _ODD_CHILL_SHARE * chill * model.chill_w_per_k * bath_c
    runs = _odd_runs(odd_w, np.maximum(bound_w, _ODD_SPREADS * spread_w))
    if runs:
        begin, end = max(runs, key=lambda run: abs(float(odd_w[run[0] : run[1]].sum())))
        _refuse_odd(odd_w[begin:end], blocks[begin:end], trace)


def _odd_runs(odd_w: NDArray[np.float64], bound_w: NDArray[np.float64]) -> list[tuple[int, int]]:
    """Where at least _ODD_BLOCKS in a row are beyond bounds on one side: (first, after last)."""
    signs = np.where(np.abs(odd_w) < bound_w, 0.0, np.sign(odd_w))
    edges = np.flatnonzero(np.diff(signs, prepend=2.0, append=2.0)).tolist()
    return [
        (begin, end)
        for begin, end in pairwise(edges)
        if signs[begin] and end - begin >= _ODD_BLOCKS
    ]


def _refuse_odd(odd_w: NDArray[np.float64], blocks: NDArray[np.float64], trace: Trace) -> None:
    _, bath_c, _, heat, chill, _, minute = blocks.mean(axis=0).tolist()
    watts = float(odd_w.mean())
    span_min = len(odd_w) * _BLOCK_STEPS * STEP_S / 60
    when = f"From minute {minute - span_min / 2:.0f} on the bath"
    more = f"{abs(watts):.0f} W more than the rest of the record explains"
    if chill > _CHILLING and watts > 0.0:
        raise InputError(
            f"{when} was chilled by {watts:.0f} W less than at other times, as when the ice is "
            "used up; fill in more ice and run it again."
        )
    if watts > 0.0:
        raise InputError(
            f"{when} took up {more}; look for less water than stated, and run it again."
        )
    if bath_c > float(trace.celsius[0, 1]) + _WARM_K and heat < 0.9:
        raise InputError(
            f"{when} lost {more}, as with an open lid; keep the lid on and run it again."
        )
    raise InputError(
        f"{when} lost {more}; an open lid, spilled water, a slipped probe or a change of "
        "the mains voltage do that: leave the rig alone and run it again."
    )


def _unexplained_w(
    trace: Trace, misfit_k: NDArray[np.float64], model: RigModel, contents: Contents
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Heat into the bath (W) that the model does not explain, by blocks (m), and their means
    (m, 7): chocolate, bath, body (°C), heat, chill and stir shares, minute.

    It is what would have to flow in for the bath to stray from its prediction as it did: over
    minutes body and bath go together, so store dm/dt + losses m, with m the bath's misfit.
    """
    rows = np.column_stack(
        (
            trace.celsius,
            trace.heat_share,
            trace.chill_share,
            trace.stir_share,
            trace.time_s / 60.0,
        )
    )
    count = len(rows) // _BLOCK_STEPS
    bath_k = misfit_k[: count * _BLOCK_STEPS, 1].reshape(count, _BLOCK_STEPS)
    edges = np.concatenate((bath_k[:, :6].mean(axis=1), bath_k[-1:, -6:].mean(axis=1)))
    block_s = _BLOCK_STEPS * STEP_S
    leaving_w_per_k = model.room_w_per_k + model.bowl_w_per_k(0.5, contents.kg)
    odd_w = model.store_j_per_k * np.diff(edges) / block_s
    odd_w += leaving_w_per_k * bath_k.mean(axis=1)
    blocks = rows[: count * _BLOCK_STEPS].reshape(count, _BLOCK_STEPS, -1).mean(axis=1)
    return odd_w, blocks
