"""Names the cause for which a rig does not follow its forecast.

Minute by minute the odds of each cause are weighed against a rig that does well and against one
that is simply not as its model says. A cause is told when it is nearly certain, large enough to
matter, and has been so for some minutes.
"""

from __future__ import annotations

from collections import deque
from typing import TYPE_CHECKING

from ..model import RigModel
from .account import BLOCK_S, Block
from .causes import CAUSES, Cause, Finding

if TYPE_CHECKING:
    from .odds import Odds

WINDOW = 15
"""Blocks that are looked at."""
PATIENCE = 3
"""Blocks in a row that must tell of the same cause."""
SURE = 0.95
"""The odds that a finding needs: 19 to 1 against all else. Measured in false findings by
tests/bench/findings.py."""
_LEAST_BLOCKS = 5
_SETTLED_SHARE = 0.25
"""Of the heater's power: by no more may it differ from what it was a moment before."""
_RETURN_SHARE = 0.5
"""Below this share of its bound a cause that was told is over. All of these are engineering
choices, tried on both virtual plants; no source."""
_CAUSES = {cause.code: cause for cause in CAUSES}


class Judge:
    """Looks at the last blocks of a cycle. finding is the cause that stands, or None; amount its
    number, as the patterns mean it; odds the newest odds, or None while there are too few blocks
    or the rig was never measured."""

    def __init__(self, model: RigModel) -> None:
        self._model = model
        self._blocks: deque[Block] = deque(maxlen=WINDOW)
        self._suspect = ""
        self._times = 0
        self.odds: Odds | None = None
        self.finding: Finding | None = None
        self.amount = 0.0
        if model.measured:
            from . import odds  # here, since numpy takes its time: no cycle is to wait for it

            self._odds_of = odds.odds_of

    def look(self, block: Block) -> None:
        """Take in the newest block and judge again, but not one in which element and wall still
        take heat that the account may miss. Of a rig that was never measured nothing is
        said: every cause would show just as well in a healthy rig that differs from the reference
        one, so no odds are for it."""
        unsettled = block.settling_w > _SETTLED_SHARE * self._model.heater_w
        if unsettled or not self._model.measured:
            return
        self._blocks.append(block)
        if len(self._blocks) < _LEAST_BLOCKS:
            return
        self.odds = self._odds_of(self._blocks, self._model)
        cause = self._certain(self.odds)
        code = cause.code if cause else ""
        self._times = self._times + 1 if code and code == self._suspect else 1
        self._suspect = code
        if cause and self._times >= PATIENCE:
            self._tell(cause, self.odds.amounts[code])
        elif self.finding is not None and self._over(self.odds):
            self.finding = None

    def _certain(self, odds: Odds) -> Cause | None:
        """The cause that is nearly certain and beyond its bound."""
        code = max(odds.beliefs, key=lambda each: odds.beliefs[each])
        cause = _CAUSES.get(code)
        if cause is None or odds.beliefs[code] < SURE:
            return None
        amount = odds.amounts[code] * cause.sign
        return cause if amount > cause.bound_for(self._model) else None

    def _tell(self, cause: Cause, amount: float) -> None:
        blocks = list(self._blocks)
        self.amount = amount
        sentence, evidence = cause.tell(self._model, amount, blocks)
        shown = {name: round(value, 3) for name, value in evidence.items()}
        minutes = {"over_min": len(blocks) * BLOCK_S / 60.0}
        self.finding = Finding(cause.code, sentence, shown | minutes)

    def _over(self, odds: Odds) -> bool:
        """Whether the cause that was told no longer shows."""
        assert self.finding is not None
        cause = _CAUSES[self.finding.code]
        amount = odds.amounts[cause.code] * cause.sign
        return amount < _RETURN_SHARE * cause.bound_for(self._model)
