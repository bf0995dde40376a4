"""What one ordinary cycle changes in what is known of a rig.

What was known and what the cycle shows are joined, each counting by its certainty, and no cycle
moves a value by more than a bound: one evening of weak mains, a lid left off or a bowl of another
shape must not turn a good model into a bad one. A rig of which nothing was known takes what its
first cycle shows as it is.
"""

from __future__ import annotations

import math

import msgspec

from ..model import UNCERTAIN, RigModel
from .words import WORDS

MOST_FACTOR = 1.25
"""By which one cycle may change a value."""
_DRIFT = 0.05
"""Relative: by so much a rig may have changed since it was known; scale, mains, another crock."""
_LEAST_UNCERTAINTY = 0.03
_BODY = (
    "body_j_per_k",
    "body_bath_w_per_k",
    "wall_w_per_k",
    "element_lag_s",
    "body_probe_over_k",
    "bath_probe_body_share",
)
"""One body: with a wall or without, these belong together."""
_STEPS = {
    "element_lag_s": 20.0,
    "body_probe_over_k": 4.0,
    "bath_probe_body_share": 0.1,
    "bowl_room_w_per_k": 0.1,
}
"""Of what may be zero or below: by how much one cycle may change it, in its own unit. All of these
are engineering choices, tried on both virtual plants; no source."""


def after_cycle(before: RigModel, found: RigModel) -> RigModel:
    """The model after a cycle that alone would give found. Both are of the same rig."""
    if not before.measured:
        return found
    kg = found.bowl_kg
    known = msgspec.structs.replace(
        before,
        bowl_kg=kg,
        still_w_per_k=before.bowl_w_per_k(0.0, kg),
        stirred_w_per_k=before.bowl_w_per_k(1.0, kg),
    )
    values: dict[str, float] = {}
    shares: dict[str, float] = {}
    for name in (*UNCERTAIN, *_BODY, *_STEPS, "probe_lag_s"):
        weight = 0.5
        if name in UNCERTAIN:
            was = math.hypot(before.uncertainty(name), _DRIFT)
            shows = max(_LEAST_UNCERTAINTY, found.uncertainty(name))
            weight = was * was / (was * was + shows * shows)
            shares[name] = max(_LEAST_UNCERTAINTY, was * shows / math.hypot(was, shows))
        values[name] = _moved(name, getattr(known, name), getattr(found, name), weight)
    if (known.wall_w_per_k > 0.0) != (found.wall_w_per_k > 0.0):
        values |= _other_body(known, found)
    return msgspec.structs.replace(known, **values, uncertainty_shares=shares).check()


def _moved(name: str, old: float, new: float, weight: float) -> float:
    if name in _STEPS:
        return old + min(max(weight * (new - old), -_STEPS[name]), _STEPS[name])
    if old <= 0.0 or new <= 0.0:
        return old
    far = math.log(MOST_FACTOR)
    return old * math.exp(min(max(weight * math.log(new / old), -far), far))


def _other_body(known: RigModel, found: RigModel) -> dict[str, float]:
    """A body of the other kind, with a wall or without, is taken whole, but holds no more or less
    heat and is no later than one cycle may make it."""
    body = {name: getattr(found, name) for name in _BODY}
    body["body_j_per_k"] = _moved("", known.body_j_per_k, found.body_j_per_k, 1.0)
    late_s = msgspec.structs.replace(known, **body).body_lag_s
    slower = late_s / _moved("", known.body_lag_s, late_s, 1.0)
    body["element_lag_s"] /= slower
    for name in ("body_bath_w_per_k", "wall_w_per_k"):
        body[name] *= slower
    return body


def changes(before: RigModel, after: RigModel) -> str:
    """What changed by more than a percent, in words with its unit; '' for nothing."""
    told = []
    for name in (*UNCERTAIN, "probe_lag_s", "wall_w_per_k", "element_lag_s"):
        old, new = getattr(before, name), getattr(after, name)
        if abs(new - old) > 0.01 * max(abs(old), abs(new)):
            word, unit = WORDS[name]
            told.append(f"{word} {old:.3g} to {new:.3g} {unit}")
    return ", ".join(told)
