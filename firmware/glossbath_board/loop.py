"""One pass: sense, estimate, control, supervise, drive, report.

Nothing here reads a clock: the time since the last pass is an argument.
"""

import gc

from . import cycle as states
from . import report
from .control import Control
from .cycle import Cycle
from .errors import Maintenance, OrderError, StoreError
from .estimate import BATH_SPAN_S, Estimate
from .limits import ARM_WAIT_MS, OVERRUN_MS
from .link import Link
from .orders import Orders
from .output import Allowed, Outputs
from .proof import Proof
from .store import Record
from .supervisor import Facts, Supervisor


class Loop:
    """Joins the parts. step(dt_ms) is one pass; all else is what the parts do.

    probes has step(now_ms) and the Readings chocolate, bath and body; switches has step(now_ms)
    and the switches arm, stop and load with `on` (True, False, or None when unknown).
    """

    def __init__(
        self,
        probes,  # type: ignore[no-untyped-def]
        switches,  # type: ignore[no-untyped-def]
        outputs: Outputs,
        link: Link,
        trips: Record,
        hello: dict,
    ) -> None:
        self._probes = probes
        self._switches = switches
        self._outputs = outputs
        self._link = link
        self._trips = trips
        self._hello = hello
        self._chocolate = Estimate(probes.chocolate)
        self._bath = Estimate(probes.bath, BATH_SPAN_S)
        self.cycle = Cycle()
        self.control = Control(self._chocolate, self._bath, self.cycle)
        self.facts = Facts(probes.chocolate, probes.bath, probes.body)
        self.supervisor = Supervisor(self.facts)
        self._orders = Orders(
            self.cycle, self.supervisor, link.boot, self._forget_trip, self.control.use
        )
        self._proof = Proof()
        self._allowed = Allowed()
        self._waiting_ms = 0
        self._released = False
        self._reading_ms = 0
        self._health_ms = 0
        self.now_ms = 0
        self.passes = 0
        self.overruns = 0
        self.longest_ms = 0
        self._recall_trip()

    def step(self, dt_ms: int) -> None:
        """One pass, dt_ms after the one before."""
        self.now_ms += dt_ms
        self.passes += 1
        self._take_orders()
        self._sense(dt_ms)
        self._go_on(dt_ms)
        self.control.step(self.cycle.phase, dt_ms)
        if self.supervisor.check(dt_ms):
            self._trip()
        self._drive(dt_ms)
        self._tell(dt_ms)
        self._link.flush()
        if self._orders.maintenance_wanted:
            raise Maintenance("asked for")

    def took(self, pass_ms: int) -> None:
        """Note how long the pass took; repeated overruns are a cut-off."""
        self.longest_ms = max(self.longest_ms, pass_ms)
        if pass_ms > OVERRUN_MS:
            self.overruns += 1
            self.facts.overruns_in_row += 1
        else:
            self.facts.overruns_in_row = 0

    def _take_orders(self) -> None:
        for message in self._link.receive():
            state, index = self.cycle.state, self.cycle.index
            self._link.post(self._orders.handle(message, self.now_ms))
            if (state, index) != (self.cycle.state, self.cycle.index):
                self._entered()
        if self._orders.hello_wanted:
            self._orders.hello_wanted = False
            self._link.post(dict(self._hello))
            self._link.post(report.state(self.cycle))

    def _sense(self, dt_ms: int) -> None:
        self._probes.step(self.now_ms)
        self._switches.step(self.now_ms)
        self._chocolate.step(self.now_ms)
        self._bath.step(self.now_ms)
        facts = self.facts
        facts.now_ms = self.now_ms
        facts.lease_age_ms = self._orders.lease_age_ms(self.now_ms)
        facts.heat_on = self._outputs.heat_on
        facts.load_on = self._switches.load.on
        facts.stop_ready = self._switches.stop.on

    def _go_on(self, dt_ms: int) -> None:
        cycle = self.cycle
        if cycle.state == states.WAITING:
            self._waiting_ms += dt_ms
            if self._switches.arm.on is False:
                self._released = True  # a button that is stuck down never arms
            if self._released and self._switches.arm.on is True:
                self._follow("armed")
            elif self._waiting_ms >= ARM_WAIT_MS:
                self._follow("stop")
        elif cycle.state == states.TESTING:
            found = self._proof.step(self._switches.load.on, dt_ms)
            if found == "proven":
                self._follow(found)
            elif found:
                self.supervisor.latch(found)
                self._trip()
        elif cycle.step(dt_ms, self._probes.chocolate.milli):
            self._entered()
        facts = self.facts
        facts.state = cycle.state
        facts.phase_ms = cycle.phase_ms
        facts.run_ms = cycle.run_ms
        facts.phase_timeout_ms = cycle.phase.timeout_ms if cycle.phase else None

    def _follow(self, event: str) -> None:
        self.cycle.handle(event)
        self._entered()

    def _entered(self) -> None:
        state = self.cycle.state
        if state == states.WAITING:
            self._waiting_ms = 0
            self._released = False
        elif state == states.TESTING:
            self._proof.begin()
        elif state not in states.HEATING:
            self._outputs.off()
        self._link.post(report.state(self.cycle))

    def _drive(self, dt_ms: int) -> None:
        allowed = self._allowed
        if self.cycle.state == states.TESTING:
            self._outputs.drive_test(self._proof.relay, self._proof.heat)
            return
        self.supervisor.allow(self.control, allowed)
        allowed.lamp = self.cycle.state == states.WAITING
        self._outputs.drive(allowed, dt_ms)

    def _trip(self) -> None:
        self._outputs.off()
        self._allowed.none()
        self.cycle.handle("trip")
        self.facts.state = self.cycle.state
        self._link.post(report.trip(self.supervisor, self.now_ms))
        self._link.post(report.state(self.cycle))
        self._remember_trip()

    def _remember_trip(self) -> None:
        try:
            self._trips.save({"trip": self.supervisor.trip, "detail": self.supervisor.detail})
        except StoreError:
            self._link.post({"k": "e", "e": "flash"})

    def _recall_trip(self) -> None:
        record = self._trips.load()
        if record is None and self._trips.damaged():
            record = {"trip": "record-lost"}
        if record and record.get("trip"):
            self.supervisor.latch(str(record["trip"]), str(record.get("detail", "")))
            self.cycle.handle("trip")

    def _forget_trip(self) -> None:
        try:
            self._trips.save({"trip": "", "detail": ""})
        except StoreError as error:
            raise OrderError("flash", "trip") from error

    def _tell(self, dt_ms: int) -> None:
        self._reading_ms += dt_ms
        if self._reading_ms >= report.READING_MS:
            self._reading_ms = 0
            self._link.post(
                report.reading(
                    self.facts, self.cycle, self.control, self._allowed, self.supervisor.trip
                )
            )
        self._health_ms += dt_ms
        if self._health_ms >= report.HEALTH_MS:
            self._health_ms = 0
            link = self._link
            free = gc.mem_free() if hasattr(gc, "mem_free") else 0
            self._link.post(
                report.health(
                    self.passes, self.overruns, link.dropped, link.bad, free, self.longest_ms
                )
            )
