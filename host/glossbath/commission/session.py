"""The line to one board for whoever commissions it: orders and answers, readings, events.

No keeper stands between: a keeper watches the rig with limits of its own and would stop it before
the board's own cut-off had to act, and it is the board that is put to the test here. Heat is a
lease as always: when this program ends, the board takes heat away.
"""

from __future__ import annotations

from typing import Any

from glossbath.board.clock import Clock
from glossbath.board.dialog import Dialog
from glossbath.board.link import Link
from glossbath.board.state import News
from glossbath.errors import LinkError, OrderRefused

from .words import refused

_OTHERS_LEASE_S = 8


class Session(Dialog):
    """One board on trial. events are the board's own, each with `at_ms`, the time when it came."""

    def __init__(self, link: Link, clock: Clock) -> None:
        super().__init__(link, clock)
        self.events: list[dict[str, Any]] = []

    def _note(self, news: News, message: dict[str, Any]) -> None:
        super()._note(news, message)
        if message.get("k") == "e":
            self.events.append({**message, "at_ms": self.now_ms})

    def meet(self) -> None:
        """Go on until the board has said who it is and takes orders from here.

        Raises LinkError when it does not answer, OrderRefused when another computer steers it.
        """
        if not self.until(lambda: bool(self.hello) and self.reading is not None, 20):
            raise LinkError(
                f"The board at {self.link.port} did not answer: check cable, port and firmware, "
                "and that no other program uses the port."
            )
        if self.refusal:
            raise LinkError(self.refusal)
        # Whoever steered it last may have gone a moment ago: its lease runs out first.
        end_ms = self.now_ms + 1000 * _OTHERS_LEASE_S
        while not (answer := self.ask("get", key="level")).get("ok"):
            if answer.get("why") != "busy" or self.now_ms >= end_ms:
                raise OrderRefused(refused(answer))
            self.wait(1.0)

    def order(self, kind: str, **values: Any) -> Any:
        """Order something and give the value that the board applied.

        Raises OrderRefused in words, and LinkError as `ask` does.
        """
        answer = self.ask(kind, **values)
        if not answer.get("ok"):
            raise OrderRefused(refused(answer))
        return answer.get("v")

    def put(self, key: str, value: Any) -> Any:
        """Change one of the board's settings; what holds now."""
        return self.order("set", key=key, v=value)

    def since(self, mark: int, kind: str) -> list[dict[str, Any]]:
        """The events of one kind after the first `mark` ones."""
        return [event for event in self.events[mark:] if event.get("e") == kind]

    def close(self) -> None:
        """Stop whatever runs and let the port go."""
        if self.link.connected and self.hello:
            self._session.stop_now()
            self.link.written()
        super().close()
