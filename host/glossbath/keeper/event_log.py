"""What happens at one rig, told: to the record of the cycle that runs, to clients, to the hook."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from glossbath.board.clock import Clock, iso
from glossbath.board.state import OFF, Board
from glossbath.client.messages import Event, Message
from glossbath.process.learning import TEACHING
from glossbath.recipe import Recipe

from .batch import LiveBatch
from .fence import Fence
from .hook import Hook, Occasion
from .learner import Learner

END_TEXT = {
    "complete": "The cycle is complete",
    "stopped": "The cycle was stopped",
    "tripped": "The cycle ended in a trip",
}
CONFIRMED = "heat, chill and stirrer are off."
NOT_CONFIRMED = (
    "the board has not confirmed that heat, chill and stirrer are off. Press the stop button at "
    "the rig, or pull its plug."
)


def phase_begins(recipe: Recipe, index: int) -> str:
    """The sentence for the beginning of a phase."""
    phase = recipe.phases[index]
    window = f"{phase.window.low_c:g} to {phase.window.high_c:g} °C"
    return f"Phase {phase.name} begins: chocolate to {phase.target_c:g} °C ({window})."


class EventLog:
    """publish is called with every event for clients; hook and learner may be None."""

    def __init__(
        self,
        rig: str,
        board: Board,
        clock: Clock,
        publish: Callable[[Message], None],
        hook: Hook | None,
        fence: Fence,
        learner: Learner | None = None,
    ) -> None:
        self.rig = rig
        self.batch: LiveBatch | None = None
        """The newest cycle, running or ended."""
        self._board = board
        self._clock = clock
        self._publish = publish
        self._hook = hook
        self._fence = fence
        self._learner = learner

    @property
    def virtual(self) -> bool:
        """Whether no real rig is there."""
        return self._board.virtual or self._clock.virtual

    @property
    def running(self) -> LiveBatch | None:
        """The cycle that runs, None between cycles."""
        return self.batch if self.batch is not None and self.batch.running else None

    def tell(self, kind: str, code: str, text: str, values: dict[str, Any] | None = None) -> None:
        """Something happened once."""
        batch = self.running
        if batch is not None:
            event = batch.event(kind, code, text, values)
        else:
            ended = self.batch
            time_s = ended.time_s() if ended is not None else self._clock.now_ms() / 1000
            wall = iso(self._clock.wall_ns())
            event = Event(time_s, wall, kind, code, text, values or {})
        self._publish(event)

    def finish(self, result: str) -> None:
        """The running cycle has ended; the record says whether the board has confirmed it."""
        batch = self.running
        assert batch is not None
        confirmed = self._board.state in OFF
        text = f"{END_TEXT[result]}: {CONFIRMED if confirmed else NOT_CONFIRMED}"
        self.tell("state", result, text, {} if confirmed else {"confirmed": False})
        batch.finish(result)
        self.occasion("end", result, text)
        self._learn(batch)

    def _learn(self, batch: LiveBatch) -> None:
        """Let a whole cycle of chocolate on a real rig teach what that rig is."""
        learner, recipe = self._learner, batch.recipe
        in_hold = recipe.phases[batch.phase_index].name == "hold"
        taught = in_hold and batch.result in TEACHING and recipe.fat_share > 0.0
        if learner is not None and taught and not self.virtual:
            self._fence("learning", lambda: learner.begin(batch.folder, self.rig))

    def tell_lessons(self) -> None:
        """Say what the last cycle has taught, once that is known."""
        learner = self._learner
        if learner is not None and (said := learner.news()):
            self.tell("keeper", "learned", said)

    def tripped(self, code: str, text: str) -> None:
        """A trip was told; the hook hears of it too."""
        self.occasion("trip", code, text)

    def occasion(self, event: str, code: str, text: str) -> None:
        """Run the user's command, if there is one."""
        if self._hook is None:
            return
        recipe, folder = "", ""
        if self.batch is not None:
            recipe, folder = self.batch.recipe.name, self.batch.folder
        hook, occasion = (
            self._hook,
            Occasion(event, self.rig, code, text, self.virtual, recipe, folder),
        )
        self._fence("hook", lambda: hook.call(occasion))

    def hook_failures(self) -> list[str]:
        """Why the user's command failed since the last call."""
        return list(self._hook.failures()) if self._hook is not None else []
