"""The app before a virtual rig: faults to practise on, a new bowl, a bowl for the recipe."""

from __future__ import annotations

import time
from collections.abc import Callable

from textual import work

from glossbath.client.client import KeeperClient
from glossbath.client.messages import PRACTICE
from glossbath.errors import KeeperError
from glossbath.view.choices import Choices
from glossbath.view.rig_view import RigView

from .dialogs import Answer, Choice
from .kitchen import Kitchen
from .rig_app import RigApp


class KitchenApp(RigApp):
    """Adds to an open rig what hands can do at a virtual one; kitchen None has none of it."""

    def __init__(
        self,
        connect: Callable[[], KeeperClient] | None = None,
        *,
        choices: Choices | None = None,
        clock: Callable[[], float] = time.monotonic,
        kitchen: Kitchen | None = None,
    ) -> None:
        super().__init__(connect, choices=choices, clock=clock)
        self._kitchen = kitchen

    def in_kitchen(self, action: str) -> bool:
        kitchen, snapshot = self._kitchen, self.view.snapshot
        if kitchen is None or snapshot is None or snapshot.rig != kitchen.rig:
            return False
        if action == "new_bowl":
            return not self.view.active
        return self.view.active or any(fault.there for fault in kitchen.faults())

    def action_practise(self) -> None:
        """Choose a fault for the virtual rig."""
        if self._kitchen is None:
            return
        answers = [Answer("esc", "", "Change nothing")]
        answers += [
            Answer(str(number), fault.name, fault.words)
            for number, fault in enumerate(self._kitchen.faults(), 1)
        ]
        question = "Practise on the virtual rig; it goes into the record as practice."
        self.push_screen(Choice(question, answers), self._practise)

    def _practise(self, name: str | None) -> None:
        if not name or self._kitchen is None:
            return
        try:
            done = self._kitchen.turn(name)
        except KeeperError as error:
            self.desk.say(str(error), self._clock(), wants_person=True)
            return
        if self.view.active:
            self._post("note", text=f"{PRACTICE}{done}")
        else:
            self.desk.say(done, self._clock())
            self.redraw()

    def action_new_bowl(self) -> None:
        """Fresh chocolate, water and ice."""
        if self._kitchen is not None:
            self.desk.say("A new bowl, fresh water and ice: a moment …", self._clock())
            self._let_go()
            self._refill(self._kitchen)

    @work(thread=True, exclusive=True, exit_on_error=False)
    def _refill(self, kitchen: Kitchen) -> None:
        try:
            said, wrong = kitchen.new_bowl(), False
        except KeeperError as error:
            said, wrong = str(error), True
        self.call_from_thread(self.action_reconnect)
        self.desk.say(said, self._clock(), wants_person=wrong)

    def _let_go(self) -> None:
        """The rig begins anew: look at nothing meanwhile."""
        if self.client is not None:
            self.client.close()
            self.client = None
        self.view = RigView(self.choices.fahrenheit)
        self.view.opening = "the virtual rig gets its bowl"

    def fill_bowl(self, chocolate: str, kg: float) -> None:
        """In the virtual kitchen, fill the bowl with what a cycle asks for, unless it is there; in
        a thread of its own. Raises KeeperError."""
        kitchen, snapshot = self._kitchen, self.view.snapshot
        if kitchen is None or snapshot is None or snapshot.rig != kitchen.rig:
            return
        if not kitchen.ready_for(chocolate, kg):
            self.call_from_thread(self._let_go)
            try:
                kitchen.new_bowl(chocolate, kg)
            finally:
                self.call_from_thread(self.action_reconnect)
