"""Names the cause for which a rig does not follow its forecast.

For each cause there is one number, found by weighted least squares over the last minutes. The one
that explains most of what is odd is told when it is beyond its bound and has been so for some
minutes.
"""

from __future__ import annotations

from collections import deque

from ..model import RigModel
from .account import BLOCK_S, Block
from .causes import CAUSES, Cause, Finding

WINDOW = 15
"""Blocks that are looked at."""
PATIENCE = 3
"""Blocks in a row that must tell of the same cause."""

_NOISE_W = 5.0
_CHANGE_SHARE = 0.2
"""Of a change of power within a minute, which the model may have at another moment."""
_BOWL_SHARE = 0.2
_MELTING_SHARE = 0.7
"""How little is known of the bowl's heat: of its specific heat, and of when it melts."""
_CLEAR_CHI = 60.0
_EXPLAINED = 0.6
"""Of the weighed squares of what is odd: what a cause must explain, and the share of all."""
_RETURN_SHARE = 0.5
"""Below this share of its bound a cause that was told is over. All of these are engineering
choices, tried on the virtual rig; no source."""

_Weights = tuple[float, float, float]


def _odd(block: Block) -> tuple[float, float, float]:
    return block.odd_body_w, block.odd_bath_w, block.odd_bowl_w


class Judge:
    """Looks at the last blocks of a cycle. finding is the cause that stands, or None; amount its
    number, as the patterns mean it."""

    def __init__(self, model: RigModel) -> None:
        self._model = model
        self._blocks: deque[Block] = deque(maxlen=WINDOW)
        self._suspect = ""
        self._times = 0
        self.finding: Finding | None = None
        self.amount = 0.0

    def look(self, block: Block) -> None:
        """Take in the newest block and judge again. Of a rig that was never measured nothing is
        said: every cause would show just as well in a healthy rig that differs from the reference
        one, so no odds are for it. Nor of one whose wall holds heat of its own, which the account
        of heat counts at another moment: less water and an open lid look like that."""
        if not self._model.measured or self._model.wall_w_per_k > 0.0:
            return
        self._blocks.append(block)
        weights = self._weights()
        best = self._best(weights)
        code = best[0].code if best else ""
        self._times = self._times + 1 if code and code == self._suspect else 1
        self._suspect = code
        if best and self._times >= PATIENCE:
            self._tell(*best)
        elif self.finding is not None and self._over(weights):
            self.finding = None

    def _weights(self) -> list[_Weights]:
        """Of each block; little where power changed, since the moment of that is not known, and
        for a bowl that melts or sets, since that takes its own time."""
        blocks = list(self._blocks)
        weights = []
        for at, block in enumerate(blocks):
            change_w = 0.0
            for other in (blocks[max(0, at - 1)], blocks[min(len(blocks) - 1, at + 1)]):
                change_w += abs(block.heater_w - other.heater_w) + abs(block.ice_w - other.ice_w)
            weight = 1.0 / (_NOISE_W**2 + (_CHANGE_SHARE * change_w) ** 2)
            loose_w = _BOWL_SHARE * abs(block.bowl_w) + _MELTING_SHARE * abs(block.melting_w)
            weights.append((weight, weight, 1.0 / (_NOISE_W**2 + loose_w * loose_w)))
        return weights

    def _amount(self, cause: Cause, weights: list[_Weights]) -> tuple[float, float]:
        """The cause's number, and how much of the weighed squares of what is odd it explains."""
        product = square = 0.0
        for block, weight in zip(self._blocks, weights, strict=True):
            for w, odd_w, unit_w in zip(weight, _odd(block), cause.pattern(block), strict=True):
                product += w * unit_w * odd_w
                square += w * unit_w * unit_w
        if square <= 0.0:
            return 0.0, 0.0
        return product / square, product * product / square

    def _best(self, weights: list[_Weights]) -> tuple[Cause, float] | None:
        """The cause that explains most, if it explains enough and is beyond its bound."""
        found = [(cause, *self._amount(cause, weights)) for cause in CAUSES]
        found = [each for each in found if 0.0 < each[1] * each[0].sign < each[0].most]
        if not found:
            return None
        cause, amount, explained = max(found, key=lambda each: each[2])
        total = sum(
            w * odd_w * odd_w
            for block, weight in zip(self._blocks, weights, strict=True)
            for w, odd_w in zip(weight, _odd(block), strict=True)
        )
        clear = explained > _CLEAR_CHI and explained > _EXPLAINED * total
        return (cause, amount) if clear and abs(amount) > cause.bound_for(self._model) else None

    def _tell(self, cause: Cause, amount: float) -> None:
        blocks = list(self._blocks)
        self.amount = amount
        sentence, evidence = cause.tell(self._model, amount, blocks)
        shown = {name: round(value, 3) for name, value in evidence.items()}
        minutes = {"over_min": len(blocks) * BLOCK_S / 60.0}
        self.finding = Finding(cause.code, sentence, shown | minutes)

    def _over(self, weights: list[_Weights]) -> bool:
        """Whether the cause that was told no longer shows."""
        assert self.finding is not None
        cause = next(cause for cause in CAUSES if cause.code == self.finding.code)
        amount, _ = self._amount(cause, weights)
        return amount * cause.sign < _RETURN_SHARE * cause.bound_for(self._model)
