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
_HIDDEN_SHARE = 0.12
"""Of the heater's power that a body's probe may hide so; estimate."""
_DRY_SHARE, _DRYNESS_SHARE = 0.6, 0.2
"""Of the wall's contact that goes with all of the water, and how far that may be off; estimate."""
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


Pattern = Callable[[Block], tuple[float, float, float]]
"""Odd heat into body, bath and bowl in W."""


class Cause(msgspec.Struct, frozen=True):
    """How a cause shows: pattern is for each unit of its amount, which is usual, give or take
    spread, and has this sign. also is what else differs then, by one standard deviation. It is
    told from bound on."""

    code: str
    sign: float
    bound: float
    usual: float
    spread: float
    uncertainties: tuple[str, ...]
    pattern: Pattern
    tell: Callable[[RigModel, float, Sequence[Block]], Told]
    also: Pattern | None = None

    def bound_for(self, model: RigModel) -> float:
        """An uncertain model needs more before it is believed."""
        uncertainty = max((model.uncertainty(name) for name in self.uncertainties), default=0.0)
        return max(self.bound, _UNCERTAINTIES * uncertainty)


def _water(block: Block) -> tuple[float, float, float]:
    """Of water that is not there; while chilled, less water looks like less ice."""
    return (0.0, block.water_w, 0.0) if block.ice_w < _CHILLED_W else (0.0, 0.0, 0.0)


def _cooler(block: Block) -> tuple[float, float, float]:
    """A probe near an element that gives less shows the body cooler than it is, so that more
    reaches the bath than the account has."""
    hidden_w = _HIDDEN_SHARE * block.heater_w
    return -hidden_w, hidden_w, 0.0


def _dry(block: Block) -> tuple[float, float, float]:
    """The same with less of the wall under water."""
    dry_w = _DRY_SHARE * block.contact_w
    _, bath_w, _ = _water(block)
    return (dry_w, bath_w - dry_w, 0.0) if bath_w else (0.0, 0.0, 0.0)


def _dryness(block: Block) -> tuple[float, float, float]:
    """How little is known of that: a crock may be narrow, or heated at its bottom."""
    dry_w = _DRYNESS_SHARE * block.contact_w
    return dry_w, -dry_w, 0.0


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
        code="heater-weak",
        sign=-1.0,
        bound=0.15,
        usual=0.35,
        spread=0.15,
        uncertainties=("heater_w",),
        pattern=lambda b: (b.heater_w, 0.0, 0.0),
        tell=_weak_heater,
        also=_cooler,
    ),
    Cause(
        code="water-less",
        sign=1.0,
        bound=0.2,
        usual=0.4,
        spread=0.15,
        uncertainties=("body_j_per_k", "body_bath_w_per_k"),
        pattern=_dry,
        tell=_less_water,
        also=_dryness,
    ),
    Cause(
        code="water-more",
        sign=-1.0,
        bound=0.2,
        usual=0.45,
        spread=0.2,
        uncertainties=("heater_w",),
        pattern=_water,
        tell=_more_water,
    ),
    Cause(
        code="lid-off",
        sign=-1.0,
        bound=0.01,
        usual=0.04,
        spread=0.02,
        uncertainties=(),
        pattern=lambda b: (0.0, b.open_w_per_m2, 0.0),
        tell=_lid,
    ),
    Cause(
        code="ice-gone",
        sign=1.0,
        bound=0.5,
        usual=0.8,
        spread=0.2,
        uncertainties=("chill_w_per_k",),
        pattern=lambda b: (0.0, b.ice_w, 0.0),
        tell=_ice,
    ),
    Cause(
        code="bowl-less",
        sign=1.0,
        bound=0.3,
        usual=0.55,
        spread=0.2,
        uncertainties=("stirred_w_per_k",),
        pattern=lambda b: (0.0, b.bowl_w, -b.bowl_w),
        tell=_less_bowl,
    ),
)
"""Amounts are shares of what is expected, and m² of open water. Usual ones, spreads and bounds are
engineering choices, tried on both virtual plants; no source."""


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
