"""The host's second opinion on one rig: every reading, their absence, and the computer itself.

It sees only what arrived and what was ordered. The keeper asks it once a step what is wrong now.
"""

from __future__ import annotations

from collections.abc import Iterator

from glossbath.board.state import Raw
from glossbath.recipe import Recipe

from . import limits
from .astray import Astray
from .balance import Balance
from .clocks import Absence, Freshness, Moment
from .figures import USUAL, Figures
from .finding import Finding, trip
from .line import Line, LineWatch
from .obedience import HEATING, Obedience
from .sense import AgainstHeat, Faults
from .warmth import Ceilings, too_fast, too_hot
from .window import Window
from .withheld import Withheld

_LAST_MELTING = 1  # of melt, soak, cool, reheat, hold: soak


class Watch:
    """Judges one rig. Without a cycle of ours it looks only for a board that heats by itself."""

    def __init__(self) -> None:
        self._absence = Absence()
        self.end()

    def begin(
        self,
        recipe: Recipe,
        batch_kg: float,
        cycle: str,
        now_ms: int,
        alone_ms: int = 0,
        figures: Figures = USUAL,
    ) -> None:
        """A cycle is being started: from now on the rig is judged by its recipe and figures.
        alone_ms is for how long its hold may go on without this computer, as a person chose."""
        self._figures = figures
        self._recipe: Recipe | None = recipe
        self._obedience = Obedience(recipe.phases, cycle)
        warmest_c = max(phase.bath_high_c for phase in recipe.phases)
        self._ceilings = Ceilings(recipe.max_c, warmest_c)
        self._balance = Balance(recipe.max_c, batch_kg, figures)
        self._against_heat = AgainstHeat(batch_kg)
        self._alone_ms = alone_ms
        self._forget()
        self._fresh.expect(now_ms)

    def end(self) -> None:
        """The cycle is over."""
        self._recipe = None
        self._figures = USUAL
        self._obedience = Obedience((), "")
        self._alone_ms = 0
        self._forget()

    def _forget(self) -> None:
        self._seen: list[Finding] = []
        self._fresh = Freshness()
        self._faults = Faults()
        self._line = LineWatch()
        self._withheld = Withheld()
        self._astray = Astray()
        self._window = Window(self._figures.coil_w_per_k)

    def restarted(self) -> None:
        """The board has restarted."""
        self._fresh.restarted()
        self._window.clear()

    def stop_ordered(self, now_ms: int) -> None:
        """A stop has been sent."""
        self._obedience.stop_ordered(now_ms)

    def stop_seen(self) -> None:
        """The stop has been obeyed."""
        self._obedience.stop_seen()

    def back_ordered(self, index: int) -> None:
        """The board has been ordered back to the phase of that number."""
        self._obedience.back_ordered(index)

    def lease_sent(self, now_ms: int) -> None:
        """The lease has been renewed."""
        self._obedience.lease_sent(now_ms)

    def reading(self, raw: Raw, cycle: str, now_ms: int) -> None:
        """Judge a reading; cycle is the name of the cycle that the board says it runs."""
        recipe = self._recipe
        holds = raw.state in HEATING and recipe is not None and raw.index < len(recipe.phases)
        alone = holds and recipe is not None and recipe.phases[raw.index].name == "hold"
        self._obedience.alone_ms = self._alone_ms if alone else 0
        self._seen = list(self._judge(raw, cycle, now_ms))

    def absence(self, now: Moment) -> list[Finding]:
        """What the time since the last call shows; to be asked first in every step."""
        return list(self._absence.look(now, self._recipe is not None, self._obedience.alone_ms))

    def present(self, line: Line, now_ms: int) -> list[Finding]:
        """Everything that is wrong now; to be asked once a step, when news has been taken in."""
        found = list(self._seen)
        if self._recipe is None:
            return found
        silence = list(self._fresh.silence(now_ms, self._obedience.alone_ms))
        found += self._line.look(line, bool(silence), now_ms)
        # A lost line explains its silence, until the silence has lasted too long.
        return found + [f for f in silence if f.trip or line.connected]

    def _judge(self, raw: Raw, cycle: str, now_ms: int) -> Iterator[Finding]:
        yield from self._obedience.look(raw, cycle, now_ms)
        if self._recipe is None:
            if raw.body_c is not None and not raw.body_c <= limits.BODY_CEILING_C:
                yield trip("host-hot", f"cooker body {raw.body_c:.1f} °C")
            return
        yield from self._fresh.reading(raw.board_ms, now_ms)
        yield from self._faults.look(raw.faults, now_ms)
        yield from too_hot(self._ceilings, raw.chocolate_c, raw.bath_c, raw.body_c)
        if raw.chocolate_c is None or raw.bath_c is None or raw.body_c is None:
            return
        self._window.add(
            raw.board_ms,
            raw.chocolate_c,
            raw.bath_c,
            raw.body_c,
            raw.heat_share,
            raw.chill_share,
        )
        if raw.state in HEATING:
            melted = raw.index > _LAST_MELTING
            yield from self._balance.look(self._window)
            yield from self._against_heat.look(self._window, melted)
            yield from too_fast(self._window)
            if raw.index < len(self._recipe.phases):
                phase = self._recipe.phases[raw.index]
                yield from self._withheld.look(raw, phase, now_ms)
                yield from self._astray.look(raw.chocolate_c, phase, now_ms)
