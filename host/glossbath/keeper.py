"""Owns one board: holds its lease, watches it, runs its cycle, writes its record.

`step` does everything once and never blocks; the process around it (serve.py) calls it after each
wait of the clock. Screens are clients and may come, go or crash without the cycle noticing.
"""

from __future__ import annotations

import secrets
import threading
from collections import deque
from collections.abc import Callable
from pathlib import Path
from typing import Any

from . import desired, remelting
from .attendance import Attendance
from .batch import ENDED, Batch, to_reading
from .board import Board
from .clock import Clock, iso
from .errors import GlossbathError
from .guard import Guard
from .history import History
from .hook import Hook, Occasion
from .link import Link
from .needs import need
from .orders import OrderQueue, start_orders
from .prospect import Prospect, model_of, model_orders
from .state import Event, Health, Message, Reading, Reply, Request, Snapshot
from .steering import Steering
from .watch import Line

LEASE_EVERY_MS = 1_000
STOP_EVERY_MS = 1_000
RETRY_OPEN_MS = 500
HELLO_EVERY_MS = 1_000
LOST_MS = 8_000  # the board's lease has run out by then, whatever was on its way
MOST_REQUESTS = 1_000  # waiting; a client that asks faster than a step answers is told so

WAITS = {
    "hold": "The recipe waits for the seed; the temperature is kept.",
    "resume": "The recipe goes on.",
}

RESTING = ("idle", *ENDED)
HEATING = ("running", "held")

Publish = Callable[[Message], None]
Answer = Callable[[Reply], None]


class Keeper:
    """One board's keeper. publish is called with every message for clients."""

    def __init__(
        self,
        link: Link,
        clock: Clock,
        rig: str,
        cycles: Path,
        publish: Publish,
        speed: float = 1.0,
        hook: Hook | None = None,
    ) -> None:
        self._link = link
        self._clock = clock
        self._rig = rig
        self._cycles = cycles
        self._publish = publish
        self._speed = speed
        self._host = secrets.randbits(30)
        self._board = Board()
        self._orders = OrderQueue(self._send)
        self._guard = Guard(clock, self._tell, publish, self._tripped)
        self._hook = hook
        self.batch: Batch | None = None
        self._attendance: Attendance | None = None
        self.steering = Steering()
        self._history = History()
        self._inbox: deque[tuple[Request, Answer, int]] = deque()
        self._shown: tuple[object, ...] = ()
        self._opened_ms = self._hello_ms = self._lease_ms = self._stop_ms = -(10**9)
        self._heard_ms = 0
        self._lease_ok_ms = -(10**9)
        self._stopping = False
        self._was_connected = False
        self.closing = False
        self._lock = threading.RLock()  # a client may connect while a step goes on

    # -- what the process around it calls

    def step(self) -> None:
        """Take in what has arrived, judge it, send what is due."""
        with self._lock:
            self._step(self._clock.now_ms())

    def _step(self, now: int) -> None:
        if self._guard.woke():  # before news is taken in, which may be as old as the absence
            self._stopping = True
        self._keep_connected(now)
        for message in self._link.drain():
            self._take(message, now)
        while self._inbox:
            self._handle(*self._inbox.popleft())
        self._supervise(now)
        self._hear_hook()
        self._renew_lease(now)
        self._orders.step(now)
        if self.batch is not None:
            self.batch.writer.sync(now / 1000)
        self._show_changes()

    def ask(self, request: Request, answer: Answer, client: int = 0) -> None:
        """A client's request, from any thread. A stop goes to the board before anything else."""
        if request.op == "stop":
            self.stop_now()
        if len(self._inbox) >= MOST_REQUESTS:
            answer(Reply(request.id, False, "Too much was asked at once: wait, then ask again."))
            return
        self._inbox.append((request, answer, client))
        self._clock.wake()

    def stop_now(self) -> None:
        """Order the board to stop, at once."""
        self._stopping = True
        self._send({"k": "stop", "i": secrets.randbits(30)})

    def shut_down(self, why: str) -> None:
        """Stop the rig and end the record: the keeper is about to go."""
        self.stop_now()
        if self.batch is not None and self.batch.running:
            self._tell(
                "keeper", "shutdown", f"The keeper was told to end ({why}) and stopped the rig."
            )
            self._finish("stopped")
        self._link.close()

    def snapshot(self) -> Snapshot:
        """The rig as it is; any thread may call."""
        with self._lock:
            return self._snapshot([])

    def greet(self, welcome: Callable[[Snapshot], None]) -> None:
        """Call welcome with the rig as it is and its past; nothing is published meanwhile, so
        whoever welcomes a client here gets everything that follows. Any thread may call."""
        with self._lock:
            welcome(self._snapshot(self._history.readings()))

    def _snapshot(self, history: list[Reading]) -> Snapshot:
        board, batch = self._board, self.batch
        return Snapshot(
            rig=self._rig,
            virtual=board.virtual or self._clock.virtual,
            engine=str(board.hello.get("eng", "")),
            board=str(board.hello.get("id", "")),
            firmware=str(board.hello.get("fw", "")),
            state=board.state,
            recipe=batch.recipe.name if batch else "",
            chocolate=batch.recipe.chocolate if batch else "",
            phases=list(batch.recipe.phases) if batch else [],
            folder=batch.folder if batch else "",
            result=batch.result if batch else "",
            speed=self._speed,
            batch_kg=batch.header.batch_kg if batch else 0.0,
            lot=batch.header.lot if batch else "",
            health=self._health(),
            alarms=self._guard.alarms.standing(),
            history=history,
            request=self._need(),
            forecast=batch.prospect.curve if batch and batch.prospect else [],
        )

    def _need(self) -> str:
        batch, reading = self.batch, self._history.newest
        if batch is not None and batch.running and self._attendance and self._attendance.request:
            return self._attendance.request
        if batch is None or not batch.running or reading is None:
            return need(self._board.state, "", False, None)
        window = batch.recipe.phases[reading.phase_index].window if reading.phase else None
        chocolate_c = reading.chocolate_c
        inside = bool(window and chocolate_c and window.low_c <= chocolate_c <= window.high_c)
        return need(self._board.state, reading.phase, inside, batch.dip_result)

    def _show_changes(self) -> None:
        """Tell the clients what changed without a message of the board's that says so."""
        health = self._health()
        shown = (self._board.state, health.connected, health.lease_ok, health.log_ok, self._need())
        if shown != self._shown:
            self._shown = shown
            self._publish(self.snapshot())

    def mention(self, code: str, text: str) -> None:
        """Put something about this computer into the record and tell the clients."""
        with self._lock:
            self._tell("keeper", code, text)

    # -- the board

    def _keep_connected(self, now: int) -> None:
        if not self._link.connected:
            if self._was_connected:
                self._was_connected = False
                self._tell("link", "lost", "The line to the board was lost.")
            if now - self._opened_ms >= RETRY_OPEN_MS:
                self._opened_ms = now
                self._link.open()
        if self._link.connected and not self._was_connected:
            self._was_connected = True
            self._hello_ms = self._lease_ms = -(10**9)
            self._tell("link", "open", "The line to the board is open.")
        if (
            self._link.connected
            and not self._board.known
            and now - self._hello_ms >= HELLO_EVERY_MS
        ):
            self._hello_ms = now
            self._link.send({"k": "hello", "h": self._host, "i": self._orders.identity()})

    def _send(self, order: dict[str, Any]) -> bool:
        return self._link.send({**order, "h": self._host, "b": self._board.boot})

    def _renew_lease(self, now: int) -> None:
        batch = self.batch
        wanted = batch is not None and batch.running and not self._stopping
        if wanted and self._board.known and now - self._lease_ms >= LEASE_EVERY_MS:
            self._lease_ms = now
            if self._send({"k": "lease", "i": self._orders.identity()}):
                self._guard.watch.lease_sent(now)

    def _take(self, message: dict[str, Any], now: int) -> None:
        self._heard_ms = now
        news = self._board.take(message)
        if news == "reading":
            self._take_reading(now)
        elif news == "answer":
            if not self._orders.answered(message) and message.get("ok"):
                self._lease_ok_ms = now
        elif news == "boot":
            self._board_restarted()
        elif news == "state":
            self._state_changed()
        elif news == "note":
            self._guard.note(message)
        elif news in ("hello", "health"):
            self._publish(self.snapshot())

    def _take_reading(self, now: int) -> None:
        raw, batch = self._board.raw, self.batch
        assert raw is not None
        self._guard.watch.reading(raw, self._board.cycle, now)
        if batch is not None and batch.running:
            reading = batch.reading(raw, self._board)
        else:
            reading = to_reading(raw, raw.board_ms / 1000, iso(self._clock.wall_ns()), None)
        self._history.add(reading)
        self._publish(reading)
        self._state_changed()
        if self._attendance is not None and batch is not None and batch.running:
            self._attendance.reading(reading)

    def _state_changed(self) -> None:
        board, batch = self._board, self.batch
        if board.state == "tripped" and board.trip:
            # After a restart the state comes first, the reading with the reason a moment later.
            self._guard.trip(board.trip, board.trip_detail)
        if batch is None or not batch.running or not batch.started:
            return
        phases = batch.recipe.phases
        if board.state in ENDED:
            self._finish("tripped" if self._guard.found else board.state)
        elif board.state in HEATING and batch.phase_index != board.index < len(phases):
            batch.phase_index = board.index
            name = phases[board.index].name
            self._tell("phase", name, desired.phase_begins(batch.recipe, board.index))

    def _board_restarted(self) -> None:
        self._stopping = False
        self._orders.drop("restarted")
        self._guard.watch.restarted()
        self._tell("board", "restarted", "The board restarted.")
        if self.batch is not None and self.batch.running:
            self._guard.trip("board-restarted", "")
            self._finish("tripped")

    # -- supervision

    def _supervise(self, now: int) -> None:
        running = self.batch is not None and self.batch.running
        if self._guard.look(self._line(now)):
            self._stopping = True
        if not self._stopping:
            return
        self._guard.watch.stop_ordered(now)
        self._repeat_stop(now)
        if running and now - self._heard_ms > LOST_MS:
            self._tell("keeper", "unseen", "The board did not answer; its lease has run out.")
            self._finish("tripped" if self._guard.found else "stopped")
        elif not running and self._board.state in RESTING:
            self._stopping = False
            self._guard.watch.stop_seen()

    def _repeat_stop(self, now: int) -> None:
        if now - self._stop_ms >= STOP_EVERY_MS:
            self._stop_ms = now
            self.stop_now()

    def _line(self, now: int) -> Line:
        batch = self.batch
        return Line(
            connected=self._link.connected,
            leasing=batch is not None and batch.running and not self._stopping,
            lease_age_ms=now - self._lease_ok_ms,
            bad_lines=self._link.bad,
            record_failure=batch.writer.failure if batch is not None else "",
        )

    def _tripped(self, code: str, text: str) -> None:
        self._call_hook("trip", code, text)

    def _call_hook(self, event: str, code: str, text: str) -> None:
        if self._hook is None:
            return
        recipe, folder = "", ""
        if self.batch is not None:
            recipe, folder = self.batch.recipe.name, self.batch.folder
        virtual = self._board.virtual or self._clock.virtual
        self._hook.call(Occasion(event, self._rig, code, text, virtual, recipe, folder))

    def _hear_hook(self) -> None:
        for why in self._hook.failures() if self._hook is not None else ():
            self._guard.caution("hook-failed", why)

    # -- clients

    def _handle(self, request: Request, answer: Answer, client: int) -> None:
        if request.op == "steer":
            self._steer(request, answer, client)
            return
        handler = getattr(self, f"_on_{request.op}", None)
        if handler is None:
            answer(Reply(request.id, False, f"This keeper does not know how to {request.op}."))
            return
        try:
            self.steering.check(client, request.op)
            handler(request, answer)
        except GlossbathError as error:
            answer(Reply(request.id, False, str(error)))
        except Exception as error:
            # Supervision must outlive whatever a client may send.
            answer(Reply(request.id, False, f"This request cannot be understood: {error!r}."))

    def _steer(self, request: Request, answer: Answer, client: int) -> None:
        try:
            taken = self.steering.take(client, bool(request.values.get("only_if_free")))
        except GlossbathError as error:
            answer(Reply(request.id, False, str(error)))
            return
        if taken:
            self._tell("keeper", "steering", "Another client took over steering.")
        answer(Reply(request.id, True, "This client steers."))
        self._publish(self.snapshot())

    def _on_start(self, request: Request, answer: Answer) -> None:
        if self.batch is not None and self.batch.running:
            raise GlossbathError("A cycle is running: stop it before starting another.")
        for alarm in self._guard.alarms.latched():
            raise GlossbathError(f"A trip stands, clear it first: {alarm.happened}")
        if not self._board.known:
            raise GlossbathError(
                "The board has not answered yet: check the cable, then try again."
            )
        chocolate_c = self._board.raw.chocolate_c if self._board.raw is not None else None
        wanted, way = remelting.asked(
            desired.from_request(request.values), request.values, chocolate_c
        )
        program = wanted.program()
        cycle = secrets.token_hex(6)
        header = wanted.header(self.snapshot(), self._clock.wall_ns())
        batch = Batch(self._cycles, header, self._clock, cycle)
        self.batch = batch
        self._guard.begin(wanted.recipe, wanted.batch_kg, cycle)
        self._attendance = Attendance(
            wanted.recipe, wanted.batch_kg, self._tell, self._order, self._guard
        )
        model = model_of(self._rig)
        batch.prospect = Prospect(wanted.recipe, model, wanted.batch_kg, self._guard)
        self._stopping = False
        self._history.clear()
        self._lease_ms = -(10**9)

        def done(ok: bool, board_answer: dict[str, Any]) -> None:
            batch.started = ok
            text = desired.start_text(ok, board_answer)
            self._tell("order", "started" if ok else "refused", text)
            if not ok:
                self._finish("stopped")
            answer(Reply(request.id, ok, text, {"folder": batch.folder}))
            self._publish(self.snapshot())

        # The board wants a lease before it starts, so the first order waits for one.
        self._renew_lease(self._clock.now_ms())
        orders = model_orders(self._rig, model) + start_orders(program, cycle)
        self._orders.put(orders, done)
        self._publish(self.snapshot())
        for line in way:
            self._tell("order", "remelt", line)
        if wanted.note:
            self._tell("note", "note", wanted.note)

    def _on_stop(self, request: Request, answer: Answer) -> None:
        self._tell("order", "stop", "A person stopped the rig.")
        answer(Reply(request.id, True, "Stop was sent to the board."))
        if self.batch is not None and self.batch.running and not self.batch.started:
            self._orders.drop("stopped")

    def _on_hold(self, request: Request, answer: Answer) -> None:
        self._simple(request, answer, {"k": "hold"}, "The recipe waits; the temperature is kept.")

    def _on_resume(self, request: Request, answer: Answer) -> None:
        self._simple(request, answer, {"k": "resume"}, "The recipe goes on.")
        if self._attendance is not None:
            self._attendance.went_on()

    def _on_done(self, request: Request, answer: Answer) -> None:
        if self.batch is None or not self.batch.running or self._attendance is None:
            raise GlossbathError("Nothing is asked for now.")
        answer(Reply(request.id, True, self._attendance.done()))

    def _on_step(self, request: Request, answer: Answer) -> None:
        order = {"k": "step", "to": self._board.index + 1}
        self._simple(request, answer, order, "The next phase begins.")

    def _on_clear(self, request: Request, answer: Answer) -> None:
        if self.batch is not None and self.batch.running:
            raise GlossbathError("A cycle is running: a trip is cleared when it has ended.")

        def done(ok: bool, board_answer: dict[str, Any]) -> None:
            if ok:
                self._guard.clear()
                self._board.trip = self._board.trip_detail = ""
                self._board.state = "idle"
            text = "The trip is cleared." if ok else desired.refusal(board_answer)
            answer(Reply(request.id, ok, text))
            self._publish(self.snapshot())

        self._orders.put([{"k": "clear"}], done)

    def _order(self, kind: str) -> None:
        """An order of the keeper's own, hold or resume, while it attends to the chocolate."""

        def done(ok: bool, board_answer: dict[str, Any]) -> None:
            self._tell("order", kind, WAITS[kind] if ok else desired.refusal(board_answer))

        self._orders.put([{"k": kind}], done)

    def _simple(self, request: Request, answer: Answer, order: dict[str, Any], text: str) -> None:
        def done(ok: bool, board_answer: dict[str, Any]) -> None:
            said = text if ok else desired.refusal(board_answer)
            if ok:
                self._tell("order", str(order["k"]), said)
            answer(Reply(request.id, ok, said))

        self._orders.put([order], done)

    def _on_acknowledge(self, request: Request, answer: Answer) -> None:
        code = str(request.values.get("code", ""))
        if code and code not in [alarm.code for alarm in self._guard.alarms.standing()]:
            raise GlossbathError(f"No alarm named {code[:40]!r} stands: see the alarms.")
        self._guard.acknowledge(code)
        answer(Reply(request.id, True, "Acknowledged."))

    def _on_note(self, request: Request, answer: Answer) -> None:
        text = str(request.values.get("text", "")).strip()
        if not 0 < len(text) <= 500:
            raise GlossbathError("A note has 1 to 500 characters: shorten it and send it again.")
        self._tell("note", "note", text)
        answer(Reply(request.id, True, "Noted."))

    def _on_test(self, request: Request, answer: Answer) -> None:
        kind, result = str(request.values.get("kind", "")), str(request.values.get("result", ""))
        if not kind or not result:
            raise GlossbathError("A test needs a kind and a result.")
        self._tell("test", kind, f"{kind}: {result}", dict(request.values))
        if kind == "dip" and self.batch is not None:
            self.batch.dip_result = result
            self._publish(self.snapshot())
        answer(Reply(request.id, True, "The test is in the record."))

    def _on_close(self, request: Request, answer: Answer) -> None:
        if self.batch is not None and self.batch.running:
            raise GlossbathError("A cycle is running: stop it first.")
        self.closing = True
        answer(Reply(request.id, True, "The keeper ends."))

    # -- telling

    def _tell(self, kind: str, code: str, text: str, values: dict[str, Any] | None = None) -> None:
        if self.batch is not None and self.batch.running:
            event = self.batch.event(kind, code, text, values)
        else:
            wall = iso(self._clock.wall_ns())
            event = Event(self._clock.now_ms() / 1000, wall, kind, code, text, values or {})
        self._publish(event)

    def _finish(self, result: str) -> None:
        assert self.batch is not None
        self._tell("state", result, desired.END_TEXT[result])
        self.batch.finish(result)
        self._guard.watch.end()
        self._call_hook("end", result, desired.END_TEXT[result])
        self._publish(self.snapshot())

    def _health(self) -> Health:
        health = self._board.health
        now = self._clock.now_ms()
        writer_ok = self.batch is None or not self.batch.writer.failure
        return Health(
            connected=self._link.connected,
            lease_ok=now - self._lease_ok_ms <= 3 * LEASE_EVERY_MS,
            frames_received=self._link.good,
            frames_lost=self._link.lost,
            frames_bad=self._link.bad,
            reconnects=max(0, self._link.opened_count - 1),
            passes=int(health.get("p", 0)),
            overruns=int(health.get("o", 0)),
            log_ok=writer_ok,
        )
