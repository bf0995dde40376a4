"""What a host may order, one table, and the answer to each order.

Orders are absolute and carry an identity `i`, so that one that is repeated is answered again and
applied once. One host steers at a time: the one whose lease runs. Anyone may stop.
"""

from . import cycle as states
from . import limits
from .cycle import Cycle
from .errors import OrderError
from .model import Model
from .program import Phase, Program, whole
from .supervisor import Supervisor

if False:  # for the type checker alone
    from collections.abc import Callable

    from .kinds import Serving

_ANYONE = ("hello", "stop")
_NOT_KEPT = ("hello", "lease", "stop")
"""What may be done twice: these come between an order and its repetition, whose answer stays."""


class Orders:
    """Takes messages, changes the cycle, gives answers.

    on_clear is called when a person clears a trip, with no argument; it may raise OrderError.
    on_model is called with the Model a host has sent. service has orders by name, each a handler
    like those here, objection(water) and stop().
    """

    def __init__(
        self,
        cycle: Cycle,
        supervisor: Supervisor,
        boot: int,
        on_clear: "Callable[[], None]",
        on_model: "Callable[[Model], None]",
        service: "Serving",
    ) -> None:
        self._cycle = cycle
        self._supervisor = supervisor
        self._boot = boot
        self._on_clear = on_clear
        self._on_model = on_model
        self._service = service
        self._program: Program | None = None
        self._host: int | None = None
        self._leased_ms: int | None = None
        self._answer: dict = {}
        self.hello_wanted = True
        self.maintenance_wanted = False
        self._table = {
            "hello": self._hello,
            "lease": self._lease,
            "model": self._model,
            "plan": self._plan,
            "phase": self._phase,
            "start": self._start,
            "stop": self._stop,
            "hold": self._hold,
            "resume": self._resume,
            "step": self._step,
            "back": self._back,
            "clear": self._clear,
            "maintain": self._maintain,
        }
        self._table.update(service.orders)

    def lease_age_ms(self, now_ms: int) -> int | None:
        """How long ago a host renewed the lease; None if none ever did."""
        return None if self._leased_ms is None else now_ms - self._leased_ms

    def handle(self, message: dict, now_ms: int) -> dict:
        """The answer to one message; never raises for anything a message can hold."""
        number = message.get("i")
        host = message.get("h")
        if self._answer and self._answer["i"] == number and self._host == host:
            return dict(self._answer)
        answer: dict = {"k": "a", "i": number if isinstance(number, int) else None, "ok": 1}
        try:
            value = self._apply(message, host, now_ms)
            if value is not None:
                answer["v"] = value
        except OrderError as error:
            answer["ok"] = 0
            answer["why"] = error.why
            answer["at"] = error.field
            answer["lo"] = error.low
            answer["hi"] = error.high
            if error.detail:
                answer["d"] = error.detail
        if self._host == host and message.get("k") not in _NOT_KEPT:
            self._answer = dict(answer)
        return answer

    def _apply(self, message: dict, host: object, now_ms: int) -> object:
        kind = message.get("k")
        handler = self._table.get(kind) if isinstance(kind, str) else None
        if handler is None:
            raise OrderError("unknown order", "k")
        if not isinstance(host, int) or not isinstance(message.get("i"), int):
            raise OrderError("unsigned", "h")
        if kind != "hello" and message.get("b") != self._boot:
            raise OrderError("boot", "b")
        if kind not in _ANYONE:
            self._steer(host, now_ms)
        return handler(message, now_ms)

    def _steer(self, host: int, now_ms: int) -> None:
        age = self.lease_age_ms(now_ms)
        if self._host != host:
            if self._host is not None and age is not None and age <= limits.LEASE_MS:
                raise OrderError("busy", "h")
            self._host = host
            self._leased_ms = None

    def _hello(self, message: dict, now_ms: int) -> None:
        self.hello_wanted = True

    def _lease(self, message: dict, now_ms: int) -> int:
        self._leased_ms = now_ms
        return limits.LEASE_MS

    def _model(self, message: dict, now_ms: int) -> list:
        if self._cycle.state not in states.READY:
            raise OrderError("state", self._cycle.state)
        model = Model(message.get("v", ()))
        self._on_model(model)
        return list(model.values)

    def _plan(self, message: dict, now_ms: int) -> list:
        if self._cycle.state not in states.READY:
            raise OrderError("state", self._cycle.state)
        get = message.get  # what is missing is None, and refused like any other wrong value
        program = Program(get("count"), get("max"), get("g"), get("w", 0))
        self._program = program
        return [program.count, program.max_mc, program.batch_g]

    def _phase(self, message: dict, now_ms: int) -> list:
        if self._program is None:
            raise OrderError("no plan", "k")
        at = message.get("at")
        phase = Phase(message.get("name"), message.get("v"))
        self._program.put(at, phase)
        return [at, phase.name]

    def _start(self, message: dict, now_ms: int) -> str:
        if self._program is None:
            raise OrderError("no plan", "k")
        self._program.check()
        total = self._program.checksum()
        if message.get("sum") != total:
            raise OrderError("checksum", "sum")
        number = message.get("cycle")
        if not isinstance(number, str) or not 0 < len(number) <= 40:
            raise OrderError("range", "cycle", 1, 40)
        if self._cycle.number == number and self._cycle.state not in states.READY:
            return total
        alone_min = whole(message.get("alone", 0), "alone", 0, limits.ALONE_CEILING_MIN)
        self._supervisor.lower("chocolate-hot", self._program.max_mc)
        objection, detail = self._service.objection(self._program.water == 1)
        if not objection:
            objection, detail = self._supervisor.objection()
        if objection:
            limit = self._supervisor.limit(objection)
            raise OrderError("objection", objection, None, limit, detail)
        whole(self.lease_age_ms(now_ms), "lease", 0, limits.LEASE_MS)
        self._cycle.handle("start")
        self._cycle.program = self._program
        self._cycle.number = number
        self._cycle.alone_ms = alone_min * 60_000
        self._program = None  # the running program cannot be changed by later orders
        return total

    def _stop(self, message: dict, now_ms: int) -> str:
        self._service.stop()
        self._cycle.handle("stop")
        return self._cycle.state

    def _hold(self, message: dict, now_ms: int) -> str:
        if self._cycle.state != states.HELD:
            self._cycle.handle("hold")
        return self._cycle.state

    def _resume(self, message: dict, now_ms: int) -> str:
        if self._cycle.state != states.RUNNING:
            self._cycle.handle("resume")
        return self._cycle.state

    def _step(self, message: dict, now_ms: int) -> int:
        to = whole(message.get("to"), "to", 0, limits.MAX_PHASES)
        if to == self._cycle.index and self._cycle.state == states.RUNNING:
            return to
        if to != self._cycle.index + 1:
            raise OrderError("range", "to", self._cycle.index, self._cycle.index + 1)
        self._cycle.advance()
        return to

    def _back(self, message: dict, now_ms: int) -> int:
        to = whole(message.get("to"), "to", 0, limits.MAX_PHASES)
        if to == self._cycle.index and self._cycle.state == states.HELD:
            return to
        if to + 1 != self._cycle.index:
            raise OrderError("range", "to", self._cycle.index, self._cycle.index - 1)
        self._cycle.back()
        return to

    def _clear(self, message: dict, now_ms: int) -> str:
        supervisor = self._supervisor
        if self._cycle.state == states.TRIPPED:
            if supervisor.stands():
                raise OrderError("objection", supervisor.trip, None, None, supervisor.detail)
            self._on_clear()
            supervisor.clear()
            self._cycle.handle("clear")
        return self._cycle.state

    def _maintain(self, message: dict, now_ms: int) -> str:
        if self._cycle.state not in states.RESTING:
            raise OrderError("state", self._cycle.state)
        self.maintenance_wanted = True
        return self._cycle.state
