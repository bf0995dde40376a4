"""A stand-in for the keeper: a real Unix socket that says what a test tells it to say.

The rig, the recipe and the people in here are invented.
"""

from __future__ import annotations

import contextlib
import queue
import socket
import threading
from pathlib import Path

from patience import PATIENCE_S

from glossbath.chocolate.phase import PhasePlan, Window
from glossbath.client.messages import (
    Alarm,
    Event,
    Health,
    Message,
    Reading,
    Reply,
    Request,
    Snapshot,
    request_from_line,
    to_line,
)

WALL = "2025-03-01T09:00:00Z"

PHASES = [
    PhasePlan("melt", 48.0, Window(46.0, 50.0), 300.0, 5400.0, 0.5, 20.0, 58.0),
    PhasePlan("soak", 48.0, Window(46.0, 50.0), 600.0, 1800.0, 0.5, 20.0, 58.0),
    PhasePlan("cool", 28.5, Window(28.0, 29.0), 300.0, 7200.0, 0.8, 10.0, 40.0),
    PhasePlan("reheat", 30.5, Window(30.0, 31.0), 180.0, 3600.0, 0.6, 20.0, 40.0),
    PhasePlan("hold", 30.5, Window(30.0, 31.0), 0.0, 14400.0, 0.3, 20.0, 40.0),
]

TRIP = Alarm(
    "bath-hot",
    "high",
    "latched",
    "2025-03-01T09:31:00Z",
    "The bath went above 60.0 °C.",
    "Heat was taken away and the master relay dropped.",
    "Lift the bowl out, then look whether the crock has water.",
)
WARM_ROOM = Alarm(
    "room-warm",
    "low",
    "raised",
    "2025-03-01T09:20:00Z",
    "The room is above 24 °C.",
    "Nothing changed at the rig.",
    "Cool the room before moulding.",
)


def reading(time_s: float = 2530.0, chocolate_c: float | None = 31.4, **other: object) -> Reading:
    """One reading in the middle of the cool phase."""
    values: dict[str, object] = {
        "bath_c": 24.1,
        "body_c": 26.3,
        "target_c": 28.5,
        "bath_target_c": 22.0,
        "heat_share": 0.0,
        "chill_share": 1.0,
        "stir_share": 0.8,
        "state": "running",
        "phase": "cool",
        "phase_index": 2,
        "phase_elapsed_s": 740.0,
        "phase_left_s": 480.0,
        "cycle_left_s": 2100.0,
        "room_c": 21.5,
        "room_rh_percent": 48.0,
        "stir_ma": 310.0,
    }
    values.update(other)
    return Reading(time_s=time_s, wall=WALL, chocolate_c=chocolate_c, **values)  # type: ignore[arg-type]


def history() -> list[Reading]:
    """Melt, soak and a good part of cool, one reading each ten seconds."""
    result = []
    for time_s in range(0, 2530, 10):
        if time_s < 1200:
            index, chocolate_c = 0, 24.0 + 24.0 * (1 - (1 - time_s / 1200) ** 2)
            bath_c = min(56.0, 24.0 + time_s / 20)
        elif time_s < 1790:
            index, chocolate_c, bath_c = 1, 48.0, 50.0
        else:
            index = 2
            share = (time_s - 1790) / 740
            chocolate_c = 48.0 - 16.6 * share
            bath_c = max(24.0, 50.0 - 60.0 * share)
        plan = PHASES[index]
        result.append(
            reading(
                float(time_s),
                round(chocolate_c, 2),
                bath_c=round(bath_c, 2),
                phase=plan.name,
                phase_index=index,
                target_c=plan.target_c,
            )
        )
    return result


def snapshot(**other: object) -> Snapshot:
    """A virtual rig in the cool phase, steered by this client."""
    values: dict[str, object] = {
        "rig": "Kitchen rig",
        "virtual": True,
        "engine": "micropython 1.28.0 linux",
        "board": "virtual Pico",
        "firmware": "0.1.0",
        "state": "running",
        "recipe": "Dark 60 %",
        "chocolate": "dark",
        "phases": PHASES,
        "folder": "/cycles/2025-03-01-0900",
        "speed": 60.0,
        "batch_kg": 2.0,
        "lot": "lot 12",
        "health": Health(True, True, 2530, 2, 1, 0, 10120, 3, True),
        "history": history(),
        "forecast": [(2540.0 + 60 * i, max(28.5, 31.2 - 0.4 * i)) for i in range(25)],
        "steering": True,
    }
    values.update(other)
    return Snapshot(**values)  # type: ignore[arg-type]


def event(kind: str, text: str, time_s: float = 2530.0, code: str = "code") -> Event:
    """Something that happened."""
    return Event(time_s, WALL, kind, code, text)


class FakeKeeper:
    """Serves one socket; greets each client with `greeting` and keeps every request."""

    def __init__(self, path: Path, greeting: list[Message]) -> None:
        self.path = path
        self.greeting = greeting
        self.requests: queue.Queue[Request] = queue.Queue()
        self.answers = True
        """Whether orders get an answer."""
        self.refusal = ""
        """The reason every order is refused with; empty to accept."""
        # A client that has its greeting must also get what is said next.
        self._lock = threading.Lock()
        self._clients: list[socket.socket] = []
        self._threads: list[threading.Thread] = []
        self.hangs_up_on = ""
        """The order at which the keeper hangs up instead of answering."""
        self.values: dict[str, object] = {}
        """What comes with every answer."""
        self._server = socket.socket(socket.AF_UNIX, socket.SOCK_STREAM)
        self._server.bind(str(path))
        self._server.listen()
        self._start(self._accept)

    def _start(self, work: object, *args: object) -> None:
        thread = threading.Thread(target=work, args=args, daemon=True)  # type: ignore[arg-type]
        self._threads.append(thread)
        thread.start()

    def _accept(self) -> None:
        with contextlib.suppress(OSError):
            while True:
                client, _ = self._server.accept()
                with self._lock, contextlib.suppress(OSError):
                    self._clients.append(client)
                    client.sendall(b"".join(map(to_line, self.greeting)))
                self._start(self._serve, client)

    def _serve(self, client: socket.socket) -> None:
        with contextlib.suppress(OSError), client.makefile("rb") as lines:
            for line in lines:
                request = request_from_line(line)
                self.requests.put(request)
                if request.op == self.hangs_up_on:
                    self.hang_up()
                    return
                if self.answers:
                    ok, text = not self.refusal, self.refusal or f"{request.op} was done."
                    client.sendall(to_line(Reply(request.id, ok, text, self.values)))

    def say(self, *messages: Message) -> None:
        """Send messages to every client."""
        self.say_bytes(b"".join(map(to_line, messages)))

    def say_bytes(self, data: bytes) -> None:
        """Send anything to every client."""
        with self._lock:
            for client in self._clients:
                client.sendall(data)

    def asked(self) -> Request:
        """The next request, waiting for it if need be."""
        return self.requests.get(timeout=PATIENCE_S)

    def hang_up(self) -> None:
        """Close every connection, as a keeper does that ends."""
        for client in self._clients:
            with contextlib.suppress(OSError):
                client.shutdown(socket.SHUT_RDWR)
            client.close()
        self._clients.clear()

    def close(self) -> None:
        """End the keeper and take its socket away."""
        with contextlib.suppress(OSError):
            self._server.shutdown(socket.SHUT_RDWR)
        self._server.close()
        self._threads[0].join(5.0)  # whoever was being let in must be shown out too
        self.hang_up()
        for thread in self._threads:
            thread.join(5.0)
        self.path.unlink(missing_ok=True)
