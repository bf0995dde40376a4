"""A dip test from the dip to the judgement: what to say when, what was answered, what it comes to.

The clock is an argument. Screens and plain lines both talk through this, so that they ask the
same and judge the same.
"""

from __future__ import annotations

from typing import Any, Literal

from . import limits, temper

LOOK_S = 180.0
"""Tempered chocolate begins to set at its edges (common practice, no source)."""
SHORTEST_S, LONGEST_S = 1.0, 86_400.0
"""What a judgement takes."""
REMINDERS_S = (LOOK_S, temper.SETS_WITHIN_S, temper.STREAKS_BY_S)

Stage = Literal["ready", "watching", "streaks", "dull", "done"]

PROMPTS: dict[Stage, str] = {
    "ready": "Dip the tip of a clean, dry knife, lay it down, and press Enter.",
    "watching": "Press Enter as soon as it has set, or say n when it does not set.",
    "streaks": "Does it show streaks? y or n, best answered ten minutes after the dip.",
    "dull": "Is it dull? y or n.",
    "done": "",
}


class DipTest:
    """One dip test. Times in s on any steady clock, the room in °C."""

    def __init__(self, room_c: float = 20.0) -> None:
        """Raises InputError for an implausible room."""
        self.begin(room_c)

    def begin(self, room_c: float) -> None:
        """Forget what was, and wait for a dip in a room of room_c. Raises InputError."""
        self.room_c = limits.celsius("room", room_c, limits.ROOM_C)
        self.stage: Stage = "ready"
        self.result: temper.DipResult | None = None
        self._dipped_s = 0.0
        self._set_after_s: float | None = None
        self._watched_s = 0.0
        self._streaks = self._dull = False
        self._reminded = 0
        self.said: list[tuple[float, str]] = []
        """Every sentence so far, with the time since the dip in s."""

    @property
    def prompt(self) -> str:
        """What is asked for now."""
        return PROMPTS[self.stage]

    def elapsed_s(self, now_s: float) -> float:
        """Time since the dip; 0 before it, and standing still once it is judged."""
        if self.stage == "done":
            return self._watched_s
        return 0.0 if self.stage == "ready" else max(0.0, now_s - self._dipped_s)

    def next_s(self, now_s: float) -> float | None:
        """How long until there is something to say, in s; None when nothing will come."""
        if self.stage in ("ready", "done") or self._reminded >= len(REMINDERS_S):
            return None
        return max(0.0, REMINDERS_S[self._reminded] - self.elapsed_s(now_s))

    def due(self, now_s: float) -> list[str]:
        """What has to be said by now and was not said before."""
        if self.stage in ("ready", "done"):
            return []
        lines = []
        elapsed_s = self.elapsed_s(now_s)
        while self._reminded < len(REMINDERS_S) and REMINDERS_S[self._reminded] <= elapsed_s:
            lines.append(self._reminder(REMINDERS_S[self._reminded]))
            self._reminded += 1
        return self._say([line for line in lines if line], elapsed_s)

    def take(self, word: str, now_s: float) -> list[str]:
        """An answer of the person ('' is a bare Enter) and what it leads to, in sentences."""
        return self._say(self._answered(word.strip().lower(), now_s), self.elapsed_s(now_s))

    def _say(self, lines: list[str], elapsed_s: float) -> list[str]:
        self.said += [(elapsed_s, line) for line in lines]
        return lines

    def _answered(self, said: str, now_s: float) -> list[str]:
        if self.stage == "ready":
            self._dipped_s = now_s
            self.stage = "watching"
            return temper.clock(now_s, now_s).sentences()
        if self.stage == "watching":
            return self._watched(said, now_s)
        if self.stage in ("streaks", "dull"):
            return self._looked(said, now_s)
        return []

    def values(self) -> dict[str, Any]:
        """The test for the record of a cycle; empty until it is judged."""
        if self.result is None:
            return {}
        return {
            "kind": "dip",
            "result": self.result.result,
            "set_after_s": self._set_after_s,
            "watched_s": round(self._watched_s, 1),
            "streaks": self._streaks,
            "dull": self._dull,
            "room_c": self.room_c,
        }

    def _reminder(self, at_s: float) -> str:
        if at_s == LOOK_S:
            text = "Look at it: it should begin to set at its edges."
            return text if self._set_after_s is None else ""
        if at_s < temper.STREAKS_BY_S and self._set_after_s is not None:
            return ""
        return temper.clock(0.0, at_s).line

    def _watched(self, said: str, now_s: float) -> list[str]:
        if said not in ("", "n", "no"):
            return [self.prompt]
        elapsed_s = round(min(max(SHORTEST_S, self.elapsed_s(now_s)), LONGEST_S), 1)
        self.stage = "streaks"
        if said:
            return ["It has not set."]
        self._set_after_s = elapsed_s
        return [f"It had set {elapsed_s / 60:.1f} min after the dip."]

    def _looked(self, said: str, now_s: float) -> list[str]:
        if said[:1] not in ("y", "n"):
            return [self.prompt]
        yes = said.startswith("y")
        if self.stage == "streaks":
            self._streaks = yes
            self.stage = "dull"
            return []
        self._dull = yes
        watched_s = min(self.elapsed_s(now_s), LONGEST_S)
        self._watched_s = max(self._set_after_s or SHORTEST_S, watched_s)
        self.stage = "done"
        self.result = temper.judge(
            self._set_after_s,
            watched_s=self._watched_s,
            streaks=self._streaks,
            dull=self._dull,
            room_c=self.room_c,
        )
        return self.result.sentences()
