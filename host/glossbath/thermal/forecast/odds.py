"""How likely what is odd in an account of heat is, if this or that were the case.

Everything is Gaussian and linear: what is odd is a sum of patterns, each with an amount that is
known as well as its standard deviation says, and of noise. Its likelihood then has a closed form
(the evidence of a linear model: Bishop, Pattern Recognition and Machine Learning, 3.5; from
memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

import msgspec
import numpy as np

from ..model import RigModel
from .account import Block
from .causes import CAUSES, Cause

if TYPE_CHECKING:
    from numpy.typing import NDArray

_NOISE_W = 3.0
_CHANGE_SHARE = 0.25
_SETTLING_SHARES = (0.05, 0.03, 0.0)
_SETTLING_WALL_SHARES = (0.25, 0.12, 0.0)
"""Of a change of power, which the model may have at another moment and body in another way."""
_TAKEN_SHARE = 0.15
_MELTING_SHARE = 0.7
_TOUCH_SHARE = 0.15
"""How little is known of the bowl's heat: of its specific heat, of when it melts, and of how the
bath feels that."""
_OFFSET_W = 4.0
_HEATER_SHARE = 0.03
_CONTACT_SHARE = 0.04
_BODY_SHARE = 0.04
_LOST_SHARE = 0.25
_ICE_SHARE = 0.12
_BATH_SHARE = 0.03
_BOWL_SHARE = 0.08
"""What a measured rig may be off by at least: heat of which nobody knows, and shares of its flows
and of what body and bath take up."""
_UNEVEN = 0.3
_BEGINS = (-1.0, -0.6, -0.2, 0.2, 0.6)
"""Where in the window a cause may have begun, from -1 at its begin to 1 at its end, and by how
much more or less it may be by then."""
_UNLIKE = 4.0
"""By how much more a rig is off that the model does not know. All of these are engineering
choices, tried on both virtual plants; no source."""
_BELIEFS = {"": 0.9, "unknown": 0.004, "lid-off": 0.03}
_CAUSE_BELIEF = 0.015
"""What is believed before anything was seen: of a rig that does well, of one that the model does
not know, and of each cause. People forget lids (common practice, no source)."""


class Odds(msgspec.Struct, frozen=True):
    """What is believed of each cause, 0 to 1, and its likeliest amount. codes are those of CAUSES,
    "" for a rig that does as it should and "unknown" for one that is another one."""

    beliefs: dict[str, float]
    amounts: dict[str, float]


def odds_of(blocks: Sequence[Block], model: RigModel) -> Odds:
    """What the blocks of an account say. Needs one block at least."""
    odd = np.array([(b.odd_body_w, b.odd_bath_w, b.odd_bowl_w) for b in blocks]).ravel()
    variance = _variance(blocks, model)
    doubts = np.array(_doubts(blocks, model)).reshape(-1, odd.size)
    doubts = np.vstack([doubts, _offsets(len(blocks))])
    logs: dict[str, float] = {}
    amounts: dict[str, float] = {}
    logs[""], _ = _evidence(odd, variance, doubts)
    logs["unknown"], _ = _evidence(odd, variance, _UNLIKE * doubts)
    for cause in CAUSES:
        logs[cause.code], amounts[cause.code] = _of_cause(cause, blocks, odd, variance, doubts)
    top = max(logs.values())
    weights = {
        code: _BELIEFS.get(code, _CAUSE_BELIEF) * math.exp(value - top)
        for code, value in logs.items()
    }
    total = sum(weights.values())
    return Odds({code: weight / total for code, weight in weights.items()}, amounts)


def _variance(blocks: Sequence[Block], model: RigModel) -> NDArray[np.float64]:
    """Of each oddity by itself; much where power changed, since neither the moment of that is
    known nor how a wall takes it, and for a bowl that melts or sets, in a time of its own."""
    settling = _SETTLING_WALL_SHARES if model.wall_w_per_k > 0.0 else _SETTLING_SHARES
    rows = []
    for block in blocks:
        changed_w = _CHANGE_SHARE * block.unsteady_w
        bowl_w = _TAKEN_SHARE * abs(block.bowl_w) + _MELTING_SHARE * abs(block.melting_w)
        touch_w = _TOUCH_SHARE * abs(block.melting_w)
        loose_w = (changed_w, math.hypot(changed_w, touch_w), bowl_w)
        for noise_w, share, more_w in zip(block.noise_w, settling, loose_w, strict=True):
            rows.append(_NOISE_W**2 + noise_w**2 + (share * block.settling_w) ** 2 + more_w**2)
    return np.array(rows)


def _doubts(blocks: Sequence[Block], model: RigModel) -> list[list[tuple[float, float, float]]]:
    """What a rig that does well may be off by, each by one standard deviation."""

    def share(name: str, least: float) -> float:
        return max(least, model.uncertainty(name))

    heater = share("heater_w", _HEATER_SHARE)
    contact = share("body_bath_w_per_k", _CONTACT_SHARE)
    body = share("body_j_per_k", _BODY_SHARE)
    lost = share("room_w_per_k", _LOST_SHARE)
    ice = share("chill_w_per_k", _ICE_SHARE)
    bowl = share("stirred_w_per_k", _BOWL_SHARE)
    return [
        [(heater * b.heater_w, 0.0, 0.0) for b in blocks],
        [(contact * b.contact_w, -contact * b.contact_w, 0.0) for b in blocks],
        [(body * b.body_w, 0.0, 0.0) for b in blocks],
        [(0.0, lost * b.lost_w, 0.0) for b in blocks],
        [(0.0, ice * b.ice_w, 0.0) for b in blocks],
        [(0.0, _BATH_SHARE * b.water_w, 0.0) for b in blocks],
        [(0.0, bowl * b.bowl_w, -bowl * b.bowl_w) for b in blocks],
        [(0.0, 0.0, _TAKEN_SHARE * (b.odd_bowl_w + b.bowl_w)) for b in blocks],
    ]


def _offsets(blocks: int) -> NDArray[np.float64]:
    """Heat of which nobody knows, steady into each of the three."""
    return np.tile(_OFFSET_W * np.eye(3), blocks)


def _of_cause(
    cause: Cause,
    blocks: Sequence[Block],
    odd: NDArray[np.float64],
    variance: NDArray[np.float64],
    doubts: NDArray[np.float64],
) -> tuple[float, float]:
    """The log of its likelihood, whenever it began, and its likeliest amount."""
    pattern = np.array([cause.pattern(block) for block in blocks]).ravel()
    loose = [] if cause.also is None else [np.array([cause.also(b) for b in blocks]).ravel()]
    usual = cause.sign * cause.usual
    place = np.repeat(np.linspace(-1.0, 1.0, len(blocks)), 3)
    likely, amounts = [], []
    for begin in _BEGINS:
        since = place >= begin
        shown = pattern * since
        ramp = _UNEVEN * usual * shown * (place - place[since].mean())
        explained = np.vstack(
            [doubts, *(each * since for each in loose), ramp, cause.spread * shown]
        )
        value, found = _evidence(odd - usual * shown, variance, explained)
        likely.append(value)
        amounts.append(usual + cause.spread * float(found[-1]))
    best = int(np.argmax(likely))
    top = likely[best]
    mean = sum(math.exp(value - top) for value in likely) / len(likely)
    return top + math.log(mean), amounts[best]


def _evidence(
    odd: NDArray[np.float64], variance: NDArray[np.float64], patterns: NDArray[np.float64]
) -> tuple[float, NDArray[np.float64]]:
    """The log of the likelihood of odd, but for what is the same for all patterns, as noise of
    that variance and patterns with amounts of deviation 1; and their likeliest amounts."""
    weighed = patterns / variance
    inner = np.eye(len(patterns)) + weighed @ patterns.T
    amounts = np.asarray(np.linalg.solve(inner, weighed @ odd), dtype=np.float64)
    square = float(odd @ (odd / variance) - (weighed @ odd) @ amounts)
    return -0.5 * (square + float(np.linalg.slogdet(inner)[1])), amounts
