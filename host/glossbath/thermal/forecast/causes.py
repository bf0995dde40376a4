"""Causes for which a rig does not follow its forecast: how each shows itself in the account of
heat, from which amount on it is told, and what a person should do.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import msgspec

from ..model import RigModel
from .account import Block

_UNCERTAINTIES = 2.0
_CHILLED_W = 30.0
"""Engineering choices, tried on the virtual rig; no source."""
_OPEN_W_PER_M2_K = 42.0
"""Evaporation from open water at 48.9 °C in a room of 22 °C, by the kelvin (see account)."""

Told = tuple[str, dict[str, float]]
"""A sentence and its evidence, units in the names."""


class Finding(msgspec.Struct, frozen=True):
    """A cause that explains why the rig does not follow its forecast.

    code: water-less, water-more, heater-weak, lid-off, ice-gone or bowl-less. sentence
    says what seems to be the case and what to do; evidence has the numbers, units in their names.
    """

    code: str
    sentence: str
    evidence: dict[str, float]


class Cause(msgspec.Struct, frozen=True):
    """How a cause shows: pattern gives the odd heat into body, bath and bowl (W) for each unit of
    it. Told is what has this sign, and lies from bound to most."""

    code: str
    sign: float
    bound: float
    most: float
    uncertainties: tuple[str, ...]
    pattern: Callable[[Block], tuple[float, float, float]]
    tell: Callable[[RigModel, float, Sequence[Block]], Told]

    def bound_for(self, model: RigModel) -> float:
        """An uncertain model needs more before it is believed."""
        uncertainty = max((model.uncertainty(name) for name in self.uncertainties), default=0.0)
        return max(self.bound, _UNCERTAINTIES * uncertainty)


def _unchilled(block: Block, body_w: float, bath_w: float) -> tuple[float, float, float]:
    """A pattern of heating: while chilled, less water looks like less ice."""
    return (body_w, bath_w, 0.0) if block.ice_w < _CHILLED_W else (0.0, 0.0, 0.0)


def _less_water(model: RigModel, amount: float, blocks: Sequence[Block]) -> Told:
    left = 1.0 - amount
    return (
        f"There seems to be less water than thought: the bath warms and cools as {left:.0%} of "
        f"the stated {model.water_kg:.1f} kg would. Top it up to its mark.",
        {"water_kg": left * model.water_kg, "stated_kg": model.water_kg},
    )


def _more_water(model: RigModel, amount: float, blocks: Sequence[Block]) -> Told:
    left = 1.0 - amount
    return (
        f"There seems to be more water than thought: the bath warms and cools as {left:.0%} of "
        f"the stated {model.water_kg:.1f} kg would. The cycle takes longer.",
        {"water_kg": left * model.water_kg, "stated_kg": model.water_kg},
    )


def _weak_heater(model: RigModel, amount: float, blocks: Sequence[Block]) -> Told:
    heater_w = (1.0 + amount) * model.heater_w
    return (
        f"The heater seems weak: it gives about {heater_w:.0f} W of {model.heater_w:.0f} W. Look "
        "at its plug, its setting and the mains voltage.",
        {"heater_w": heater_w, "expected_w": model.heater_w},
    )


def _lid(model: RigModel, amount: float, blocks: Sequence[Block]) -> Told:
    lost_w = -amount * sum(block.open_w_per_m2 for block in blocks) / len(blocks)
    return (
        f"The lid seems to be off: the bath loses about {lost_w:.0f} W more than with it on. Put "
        "the lid on.",
        {"lost_w": lost_w},
    )


def _ice(model: RigModel, amount: float, blocks: Sequence[Block]) -> Told:
    left = max(0.0, 1.0 - amount)
    return (
        f"The ice seems to be gone, or the pump to stand: the chill takes {left:.0%} of what it "
        "should. Fill in ice and look at pump and hose.",
        {"chill_share": left},
    )


def _less_bowl(model: RigModel, amount: float, blocks: Sequence[Block]) -> Told:
    left = max(0.0, 1.0 - amount)
    return (
        f"Less heat goes into the bowl than thought, {left:.0%} of it. See that the stirrer "
        "turns, that the bowl stands in the water, and that the batch was weighed right.",
        {"bowl_share": left},
    )


CAUSES = (
    Cause(
        "heater-weak",
        -1.0,
        0.15,
        1.1,
        ("heater_w",),
        lambda b: (b.heater_w, 0.0, 0.0),
        _weak_heater,
    ),
    Cause(
        "water-less",
        1.0,
        0.2,
        0.9,
        ("body_j_per_k", "body_bath_w_per_k"),
        lambda b: _unchilled(b, b.contact_w, b.water_w - b.contact_w + b.bowl_w),
        _less_water,
    ),
    Cause(
        "water-more",
        -1.0,
        0.2,
        2.0,
        ("heater_w",),
        lambda b: _unchilled(b, 0.0, b.water_w),
        _more_water,
    ),
    Cause("lid-off", -1.0, 0.01, 0.2, (), lambda b: (0.0, b.open_w_per_m2, 0.0), _lid),
    Cause("ice-gone", 1.0, 0.3, 1.2, ("chill_w_per_k",), lambda b: (0.0, b.ice_w, 0.0), _ice),
    Cause(
        "bowl-less",
        1.0,
        0.3,
        1.2,
        ("stirred_w_per_k",),
        lambda b: (0.0, b.bowl_w, -b.bowl_w),
        _less_bowl,
    ),
)


def corrected(model: RigModel, finding: Finding | None, amount: float) -> RigModel:
    """The model as the rig seems to be now; amount is the number of the cause that was found."""
    left = max(0.05, 1.0 - amount)
    changed: dict[str, float] = {}
    match finding.code if finding else "":
        case "heater-weak":
            changed = {"heater_w": model.heater_w * max(0.05, 1.0 + amount)}
        case "water-less":
            changed = {
                "water_kg": model.water_kg * left,
                "body_bath_w_per_k": model.body_bath_w_per_k * left,
            }
        case "water-more":
            changed = {"water_kg": model.water_kg * left}
        case "lid-off":
            changed = {"room_w_per_k": model.room_w_per_k - amount * _OPEN_W_PER_M2_K}
        case "ice-gone":
            changed = {"chill_w_per_k": model.chill_w_per_k * left}
        case "bowl-less":
            changed = {
                "still_w_per_k": model.still_w_per_k * left,
                "stirred_w_per_k": model.stirred_w_per_k * left,
            }
    return msgspec.structs.replace(model, **changed)
