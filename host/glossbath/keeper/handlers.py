"""What clients ask of a rig's keeper, done one after another; each gets one answer in words."""

from __future__ import annotations

import secrets
from collections.abc import Callable
from pathlib import Path
from typing import Any

from glossbath.board.clock import Clock
from glossbath.board.orders import start_orders
from glossbath.board.session import Session
from glossbath.checks.refusals import refusal, start_text
from glossbath.client.messages import Reply, Request
from glossbath.errors import GlossbathError
from glossbath.process import remelting
from glossbath.process.assist import Assist
from glossbath.process.cycle_forecast import CycleForecast, figures_of, known_of, model_orders
from glossbath.process.start_request import StartRequest, from_request
from glossbath.thermal.model import Knowledge

from .alarm_manager import AlarmManager
from .batch import LiveBatch
from .event_log import EventLog
from .fence import Fence
from .notes import Notes
from .snapshots import SnapshotMaker
from .steering import Steering
from .stops import Answer, Stops

NEXT_PHASE = "The next phase begins."
MOST_WORKED_KG = 50.0
"""More than a bowl holds: it may have been refilled while it was worked."""

WAITS = {
    "hold": "The recipe waits for the seed; the temperature is kept.",
    "resume": "The recipe goes on.",
}
BACK = "The recipe went back to a phase that melts and waits there."
SAFE = "The recipe waits, since its phase cannot be reached as things are."


class Handlers:
    """Does what clients ask for. lease renews the board's lease when that is due; cycles is the
    folder for records."""

    def __init__(
        self,
        session: Session,
        event_log: EventLog,
        alarms: AlarmManager,
        snapshots: SnapshotMaker,
        clock: Clock,
        cycles: Path,
        lease: Callable[[], None],
        fence: Fence,
    ) -> None:
        self.steering = Steering()
        self.closing = False
        """Whether a client asked the keeper to end."""
        self._session = session
        self._event_log = event_log
        self._alarms = alarms
        self._snapshots = snapshots
        self._clock = clock
        self._cycles = cycles
        self._lease = lease
        self._fence = fence
        self._stops = Stops(session)
        self._notes = Notes(event_log, alarms, snapshots)
        self._handlers: dict[str, Callable[[Request, Answer], None]] = {
            "start": self._start,
            "stop": self.stop,
            "hold": self._hold,
            "resume": self._resume,
            "done": self._done,
            "step": self._step,
            "finish": self._finish_hold,
            "clear": self._clear,
            "acknowledge": self._notes.acknowledge,
            "note": self._notes.note,
            "ice": self._notes.ice,
            "test": self._notes.test,
            "close": self._close,
        }

    def handle(self, request: Request, answer: Answer, client: int) -> None:
        """Do one request of a client, known by its number."""
        handler = self._handlers.get(request.op)
        try:
            if request.op == "steer":
                self._steer(request, answer, client)
            elif handler is None:
                raise GlossbathError(f"This keeper does not know how to {request.op}.")
            else:
                self.steering.check(client, request.op)
                handler(request, answer)
        except GlossbathError as error:
            answer(Reply(request.id, False, str(error)))
        except Exception as error:
            # Supervision must outlive whatever a client may send.
            answer(Reply(request.id, False, f"This request cannot be understood: {error!r}."))

    def _steer(self, request: Request, answer: Answer, client: int) -> None:
        if self.steering.give(client, bool(request.values.get("only_if_free"))):
            self._event_log.tell("keeper", "steering", "Another client took over steering.")
        answer(Reply(request.id, True, "This client steers."))
        self._snapshots.publish()

    # -- a cycle begins and ends

    def _start(self, request: Request, answer: Answer) -> None:
        self._check_free()
        if self._session.board.refusal:
            raise GlossbathError(self._session.board.refusal)
        raw = self._session.board.raw
        chocolate_c = raw.chocolate_c if raw is not None else None
        asked = from_request(request.values)
        wanted, way = remelting.asked(asked, request.values, chocolate_c)
        program = wanted.program()
        known = known_of(self._event_log.rig)
        batch = self._begin(wanted, known)

        def done(ok: bool, board_answer: dict[str, Any]) -> None:
            batch.started = ok
            text = start_text(ok, board_answer)
            self._event_log.tell("order", "started" if ok else "refused", text)
            if not ok:
                self.finish("stopped")
            answer(Reply(request.id, ok, text, {"folder": batch.folder}))
            self._snapshots.publish()

        # The board wants a lease before it starts, so the first order waits for one.
        self._session.fresh_lease()
        self._lease()
        orders = model_orders(self._event_log.rig, known.steering) + start_orders(
            program, batch.cycle, wanted.alone_min
        )
        self._session.put(orders, done)
        self._snapshots.publish()
        for line in way:
            self._event_log.tell("order", "remelt", line)
        if wanted.note:
            self._event_log.tell("note", "note", wanted.note)

    def _check_free(self) -> None:
        """Raise GlossbathError where no cycle can be started now."""
        if self._event_log.running is not None:
            raise GlossbathError("A cycle is running: stop it before starting another.")
        for alarm in self._alarms.alarms.latched():
            raise GlossbathError(f"A trip stands, clear it first: {alarm.happened}")
        if not self._session.board.known:
            raise GlossbathError(
                "The board has not answered yet: check the cable, then try again."
            )

    def _begin(self, wanted: StartRequest, known: Knowledge) -> LiveBatch:
        """Open the record of a cycle, and let everything look at it that looks at cycles."""
        cycle = secrets.token_hex(6)
        self._clock.take_date()
        header = wanted.header(self._snapshots.snapshot(), self._clock.wall_ns())
        recipe, batch_kg, alarms = wanted.recipe, wanted.batch_kg, self._alarms
        batch = LiveBatch(self._cycles, header, self._clock, cycle, wanted.alone_min)
        for code in self._fence.begin():
            self._alarms.over(code)
        self._event_log.batch = batch
        alarms.begin(recipe, batch_kg, cycle, wanted.alone_min, figures_of(self._event_log.rig))

        def attend() -> None:
            batch.assist = Assist(recipe, batch_kg, self._event_log.tell, self._order, alarms)

        def forecast() -> None:
            batch.forecast = CycleForecast(
                recipe, known, batch_kg, alarms, self._keep_safe, self._go_back, wanted.said
            )

        self._fence("assist", attend)
        self._fence("forecast", forecast)
        self._session.stopping = False
        self._snapshots.history.clear()
        return batch

    def finish(self, result: str) -> None:
        """End the cycle that runs: complete, stopped or tripped."""
        self._event_log.finish(result)
        self._alarms.watch.end()
        self._snapshots.publish()

    def stop(self, request: Request, answer: Answer) -> None:
        """The order itself has gone out already; the answer waits for what the board says."""
        self._event_log.tell("order", "stop", "A person stopped the rig.")
        batch = self._event_log.running
        if batch is not None and not batch.started:
            self._session.drop("stopped")
        self._stops.put(request, answer, self._clock.now_ms())

    def answer_stops(self, now_ms: int) -> None:
        """Answer the stops that the board has confirmed, or has not for too long."""
        self._stops.answer(now_ms)

    def _clear(self, request: Request, answer: Answer) -> None:
        if self._event_log.running is not None:
            raise GlossbathError("A cycle is running: a trip is cleared when it has ended.")

        def done(ok: bool, board_answer: dict[str, Any]) -> None:
            if ok:
                self._alarms.clear()
                self._session.board.cleared()
            text = "The trip is cleared." if ok else refusal(board_answer)
            answer(Reply(request.id, ok, text))
            self._snapshots.publish()

        self._session.put([{"k": "clear"}], done)

    def _close(self, request: Request, answer: Answer) -> None:
        if self._event_log.running is not None:
            raise GlossbathError("A cycle is running: stop it first.")
        self.closing = True
        answer(Reply(request.id, True, "The keeper ends."))

    # -- its way

    def _hold(self, request: Request, answer: Answer) -> None:
        self._simple(request, answer, {"k": "hold"}, "The recipe waits; the temperature is kept.")

    def _resume(self, request: Request, answer: Answer) -> None:
        self._simple(request, answer, {"k": "resume"}, "The recipe goes on.")
        batch = self._event_log.batch
        if batch is not None and batch.assist is not None:
            batch.assist.went_on()

    def _done(self, request: Request, answer: Answer) -> None:
        batch = self._event_log.running
        if batch is None or batch.assist is None:
            raise GlossbathError("Nothing is asked for now.")
        answer(Reply(request.id, True, batch.assist.done()))

    def _step(self, request: Request, answer: Answer) -> None:
        index, batch = self._session.board.index, self._event_log.running
        last = batch is not None and index + 1 >= len(batch.recipe.phases)
        text = "That was the last phase: the cycle is complete." if last else NEXT_PHASE
        self._simple(request, answer, {"k": "step", "to": index + 1}, text)

    def _finish_hold(self, request: Request, answer: Answer) -> None:
        """The bowl is emptied: the hold, and with it the cycle, is complete."""
        batch, index = self._event_log.running, self._session.board.index
        if batch is None or batch.recipe.phases[index].name != "hold":
            raise GlossbathError(
                "The chocolate is worked in the hold: before it, stop the cycle instead."
            )
        worked_kg = request.values.get("worked_kg")
        if worked_kg is not None and not 0 <= float(worked_kg) <= MOST_WORKED_KG:
            raise GlossbathError(
                f"The chocolate worked is {worked_kg} kg: it must be from 0 to "
                f"{MOST_WORKED_KG:g} kg."
            )
        raw = self._session.board.raw
        minutes = round((raw.phase_ms if raw is not None else 0) / 60_000)
        worked = "" if worked_kg is None else f", {float(worked_kg):g} kg worked"
        text = f"Finished: bowl emptied after {minutes} min of hold{worked}."
        values: dict[str, Any] = {"hold_min": minutes}
        if worked_kg is not None:
            values["worked_kg"] = float(worked_kg)

        def done(ok: bool, board_answer: dict[str, Any]) -> None:
            if ok:
                batch.emptied = True
                self._event_log.tell("order", "finished", text, values)
            answer(Reply(request.id, ok, text if ok else refusal(board_answer)))

        self._session.put([{"k": "step", "to": index + 1}], done)

    def _keep_safe(self) -> None:
        self._order("hold", SAFE)

    def _go_back(self, to: int) -> None:
        """Order the board back to a phase that melts, which the checks then expect of it."""
        self._alarms.watch.back_ordered(to)

        def done(ok: bool, board_answer: dict[str, Any]) -> None:
            said = BACK if ok else refusal(board_answer)
            self._event_log.tell("order", "back", said)
            batch = self._event_log.running
            if not ok and batch is not None and batch.forecast is not None:
                batch.forecast.back_refused(said)

        self._session.put([{"k": "back", "to": to}], done)

    def _order(self, kind: str, text: str = "") -> None:
        """An order of the keeper's own, hold or resume, while it attends to the chocolate."""

        def done(ok: bool, board_answer: dict[str, Any]) -> None:
            said = (text or WAITS[kind]) if ok else refusal(board_answer)
            self._event_log.tell("order", kind, said)

        self._session.put([{"k": kind}], done)

    def _simple(self, request: Request, answer: Answer, order: dict[str, Any], text: str) -> None:
        def done(ok: bool, board_answer: dict[str, Any]) -> None:
            said = text if ok else refusal(board_answer)
            if ok:
                self._event_log.tell("order", str(order["k"]), said)
            answer(Reply(request.id, ok, said))

        self._session.put([order], done)
