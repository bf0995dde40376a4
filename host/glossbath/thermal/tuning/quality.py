"""Refuses a fit that should not be trusted, with the most likely reason."""

from __future__ import annotations

import math
from collections.abc import Mapping
from itertools import pairwise
from typing import TYPE_CHECKING, Protocol

import numpy as np

from glossbath.errors import InputError

from ..model import Contents, RigModel
from ..model.flows import flows_w
from .trace import PROBES, STEP_S, Trace

if TYPE_CHECKING:
    from numpy.typing import NDArray

_BLOCK_STEPS = 12
_RMS_K = 0.25
_WORST_K = 1.0
_ODD_W = 10.0
_ODD_BLOCKS = 4
_WARM_K = 10.0
_ODD_CHILL_SHARE = 0.1
_CHILLING = 0.1
_LOSS_W_PER_K = 6.0
_WIDEST = {"heater_w": 0.15, "chill_w_per_k": 0.3, "stirred_w_per_k": 0.4, "body_j_per_k": 0.6}
"""Engineering choices: a rig left alone misfits by about a tenth of a kelvin, an open lid at
45 °C costs some 25 W, and a lidded cooker loses 1.5 to 3 W/K."""


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
    """Raise InputError unless the model explains the trace; misfit_k is (n, 3), measured less
    predicted."""
    _check_steady(trace, model, contents)
    rms_k = np.sqrt((misfit_k * misfit_k).mean(axis=0))
    worst_k = np.abs(misfit_k).max(axis=0)
    at = int(rms_k.argmax())
    if not (rms_k[at] <= _RMS_K and worst_k.max() <= _WORST_K):
        minute = trace.time_s[int(np.abs(misfit_k[:, at]).argmax())] / 60
        raise InputError(
            f"No model fits: the {PROBES[at]} probe is off by {rms_k[at]:.2f} K (root mean "
            f"square, limit {_RMS_K:g} K), most at minute {minute:.0f}; look for what disturbed "
            "the rig then, and at the masses that were given, and run it again."
        )
    if not model.room_w_per_k <= _LOSS_W_PER_K:
        raise InputError(
            f"The rig seems to lose {model.room_w_per_k:.1f} W/K, at most {_LOSS_W_PER_K:g} W/K "
            "are plausible; was the lid open, or is the stated room temperature wrong?"
        )
    for name, widest in _WIDEST.items():
        found = intervals[name]
        if not found.high - found.low <= 2.0 * widest * found.value:
            raise InputError(
                f"{name} is known only from {found.low:.3g} to {found.high:.3g}, wider than "
                f"{widest * 100:.0f} % on each side; run the whole experiment again."
            )


def _check_steady(trace: Trace, model: RigModel, contents: Contents) -> None:
    """Heat that the rest of the record does not explain, for minutes, means that something about
    the rig was not the same all the time."""
    odd_w, blocks = _unexplained_w(trace, model, contents)
    chill_w = blocks[:, 4] * model.chill_w_per_k * blocks[:, 1]
    runs = _odd_runs(odd_w, _ODD_W + _ODD_CHILL_SHARE * chill_w)
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
    when = f"From minute {minute - len(odd_w) / 2:.0f} on the bath"
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
    trace: Trace, model: RigModel, contents: Contents
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Heat into the bath (W) that the model does not explain, by blocks (m), and their means
    (m, 7): chocolate, bath, body (°C), heat, chill and stir shares, minute.

    The probes show late what heat and chill do, so these are taken as late as the probes.
    """
    from scipy.signal import lfilter

    follow = -math.expm1(-STEP_S / max(model.probe_lag_s, 1e-3))
    shares = np.column_stack((trace.heat_share, trace.chill_share, trace.stir_share))
    late = lfilter([follow], [1.0, follow - 1.0], shares, axis=0)
    rows = np.column_stack((trace.celsius, late, trace.time_s / 60.0))
    room_c = float(trace.celsius[0, 1]) if trace.room_c is None else trace.room_c
    flows = np.array(
        [
            flows_w(
                model,
                (body_c, bath_c, chocolate_c),
                heat,
                chill,
                model.bowl_w_per_k(stir, contents.kg) * _touch(contents, chocolate_c),
                room_c,
            )[1]
            for chocolate_c, bath_c, body_c, heat, chill, stir, _ in rows.tolist()
        ]
    )
    slope = np.gradient(trace.celsius[:, 1], STEP_S)
    count = len(rows) // _BLOCK_STEPS
    odd = (model.bath_j_per_k * slope - flows)[: count * _BLOCK_STEPS]
    blocks = rows[: count * _BLOCK_STEPS].reshape(count, _BLOCK_STEPS, -1).mean(axis=1)
    return odd.reshape(count, _BLOCK_STEPS).mean(axis=1), blocks


def _touch(contents: Contents, chocolate_c: float) -> float:
    if contents.latent_j_per_kg <= 0.0:
        return 1.0
    return 1.0 - contents.solid_limit(chocolate_c) * (1.0 - contents.solid_touch_share)
