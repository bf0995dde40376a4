"""An app that shows one rig: its connection, the keeper's messages, the orders of a person.

The app is one client among several. It never stops anything unless a person says so; closing it,
or losing it, leaves the cycle with the keeper.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Any

from glossbath.client import away_status
from glossbath.client.client import KeeperClient
from glossbath.errors import KeeperError
from glossbath.view.choices import Choices
from glossbath.view.pending_orders import OFFERS, PendingOrders, offered
from glossbath.view.rig_view import RigView
from glossbath.words import Line

from .dialogs import Answer, Ask, Choice
from .main_screen import MainScreen
from .theme import DARK, LIGHT, GreyApp
from .view_screen import ViewScreen

PUMP_S = 0.2
UNTOLD_EVERY_S = 5.0
STEERED_ELSEWHERE = (
    "Another screen steers this rig now; this one looks on. STOP works here too; v takes it back."
)


class RigApp(GreyApp[str]):
    """`connect` gives a KeeperClient, or is None while no rig is open, and is called again when a
    person asks to reconnect; `clock` is any steady clock in seconds."""

    def __init__(
        self,
        connect: Callable[[], KeeperClient] | None = None,
        *,
        choices: Choices | None = None,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self.choices = choices or Choices()
        super().__init__(self.choices.light)
        self.view = RigView(self.choices.fahrenheit)
        self.desk = PendingOrders()
        self.client: KeeperClient | None = None
        self._connect_keeper = connect
        self._clock = clock
        self._sounded = 0
        self._asked_untold_s = -UNTOLD_EVERY_S
        self._offered: list[bool] = []

    def get_default_screen(self) -> MainScreen:
        """The main screen lies under all others."""
        return MainScreen(self._look)

    def _look(self) -> tuple[RigView, float, Line]:
        weight = "high" if self.desk.wants_person else "strong"
        return self.view, self._clock(), [(self.desk.line, weight)] if self.desk.line else []

    # --- the keeper ----------------------------------------------------------------------

    def on_mount(self) -> None:
        """Open the connection and look at it several times a second."""
        self._open()
        self.set_interval(PUMP_S, self.pump)

    def on_unmount(self) -> None:
        """The keeper and the rig go on."""
        if self.client is not None:
            self.client.close()

    def _open(self) -> None:
        if self._connect_keeper is None:
            return
        try:
            self.client = self._connect_keeper()
        except KeeperError as error:
            self.view.lost = str(error)

    def pump(self) -> None:
        """Fold what the keeper said since the last call and show it."""
        if not self.is_running:
            return
        now_s = self._clock()
        if self.client is not None:
            # Asked before draining, so that the last messages are still taken.
            lost, steered = self.client.closed_reason, self.view.steering
            self.view.fold(self.client.drain(), now_s)
            self.view.lost = lost
            if steered and not self.view.steering:
                self.desk.say(STEERED_ELSEWHERE, now_s, wants_person=True)
                self.bell()
        while self.view.answers:
            self.desk.apply_answer(self.view.answers.popleft(), now_s)
        self.desk.tick(now_s)
        if now_s - self._asked_untold_s >= UNTOLD_EVERY_S:
            self._asked_untold_s = now_s
            status = away_status.read(away_status.NOTIFIER)
            self.view.untold = status.sentence if status else ""
        if self.view.calls > self._sounded:
            self._sounded = self.view.calls
            self.bell()
        self.redraw()
        if self.desk.may_leave:
            self.exit("stopped")

    def redraw(self) -> None:
        """Show the view as it is, on every screen that shows one."""
        # A screen that is covered is brought up to date when it is in front again.
        front = next((s for s in reversed(self.screen_stack) if isinstance(s, ViewScreen)), None)
        if front is not None:
            front.refresh_view()
        offers = [offered(self.view, action) for action in OFFERS]
        if offers != self._offered:
            self._offered = offers
            self.refresh_bindings()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Offer only what can be asked for now; STOP always can."""
        return offered(self.view, action)

    def _post(self, op: str, **values: Any) -> None:
        self.desk.post(self.client, op, self._clock(), **values)
        self.redraw()

    # --- orders --------------------------------------------------------------------------

    def action_stop(self) -> None:
        """Send STOP before anything else, then bring the main screen to the front."""
        self.desk.post(self.client, "stop", self._clock())
        while len(self.screen_stack) > 1:
            self.pop_screen()
        self.redraw()

    def action_hold(self) -> None:
        """Let the recipe wait where it is."""
        self._post("hold")

    def action_resume(self) -> None:
        """Let the recipe go on."""
        self._post("resume")

    def action_done(self) -> None:
        """Say that what the rig asked for is done."""
        self._post("done")

    def action_acknowledge(self) -> None:
        """Say that a person has seen the first unseen alarm."""
        alarm = self.view.to_acknowledge
        if alarm is not None:
            self._post("acknowledge", code=alarm.code)

    def action_steer(self) -> None:
        """Take steering over from another screen."""
        self._post("steer")

    def action_next_phase(self) -> None:
        """Leave this phase before its time, after a question."""
        coming = self.view.next_plan
        if coming is not None:
            self._ask_then_post(f"Go on to {coming.name} now?", f"go on to {coming.name}", "step")

    def action_clear(self) -> None:
        """Clear the latched trip, after a question."""
        alarm = self.view.to_clear
        if alarm is not None:
            question = f"{alarm.happened} Has the cause gone?"
            self._ask_then_post(question, "clear the trip", "clear", code=alarm.code)

    def _ask_then_post(self, question: str, words: str, op: str, **values: str) -> None:
        def obey(answer: str | None) -> None:
            if answer == "yes":
                self._post(op, **values)

        answers = [Answer("n", "no", "No, change nothing"), Answer("y", "yes", f"Yes, {words}")]
        self.push_screen(Choice(question, answers), obey)

    def action_finish(self) -> None:
        """End the hold and the cycle, complete: the bowl is empty."""

        def finish(text: str | None) -> None:
            if text is None:
                return
            worked_kg = self._kg(text, "b") if text else None
            if text and worked_kg is None:
                return
            self._post("finish", **({} if worked_kg is None else {"worked_kg": worked_kg}))

        question = "Bowl emptied: the cycle ends complete. How many kg worked?"
        self.push_screen(Ask(question, "kg, such as 0.8; may stay empty"), finish)

    def _kg(self, text: str, key: str) -> float | None:
        """What was typed as a mass, or None and a line that says so."""
        try:
            return float(text.replace(",", "."))
        except ValueError:
            words = f"{text!r} is not a number of kg: press {key} again."
            self.desk.say(words, self._clock(), wants_person=True)
            self.redraw()
            return None

    def action_ice(self) -> None:
        """Say how much ice was put into the chill water."""

        def tell(text: str | None) -> None:
            kg = self._kg(text, "i") if text else None
            if kg is not None:
                self._post("ice", kg=kg)

        self.push_screen(
            Ask("How many kg of ice went into the chill water?", "kg, such as 1.5"), tell
        )

    def action_note(self) -> None:
        """Write a note into the record."""

        def write(text: str | None) -> None:
            if text:
                self._post("note", text=text)

        question = "A note for the record of this cycle"
        self.push_screen(Ask(question, "tasted, added, moved …"), write)

    def action_unit(self) -> None:
        """Change between °C and °F, and keep it."""
        self.choices.fahrenheit = self.view.degrees.fahrenheit = not self.choices.fahrenheit
        self.choices.keep()
        self.redraw()

    def action_light(self) -> None:
        """Change between dark and light, and keep it."""
        self.choices.light = not self.choices.light
        self.theme = (LIGHT if self.choices.light else DARK).name
        self.choices.keep()

    def action_reconnect(self) -> None:
        """Look for a keeper again, and begin with an empty view."""
        if self.client is not None:
            self.client.close()
            self.client = None
        self.view = RigView(self.choices.fahrenheit)
        self._sounded = 0
        self._open()
        self.pump()
