"""One pass: take orders, sense, go on with the cycle, control, supervise, drive, report.

Nothing here reads a clock: the time since the last pass is an argument.
"""

from . import cycle as states
from . import report
from .control import Control
from .cutoffs import STOP
from .cycle import Cycle
from .errors import Maintenance, OrderError, StoreError
from .estimate import BATH_SPAN_S, Estimate
from .facts import Facts
from .limits import OVERRUN_MS
from .link import Link
from .memory import Memory
from .orders import Orders
from .output import Allowed, Outputs
from .proof import PROVEN, Proof
from .reporter import Reporter
from .service import Service
from .settings import Settings
from .store import Record
from .supervisor import Supervisor

if False:  # for the type checker alone
    from .kinds import Probes, Switches


class Loop:
    """Joins the parts. step(dt_ms) is one pass; all else is what the parts do.

    probes has step(now_ms) and the Readings chocolate, bath, body, stir_current, supply, room and
    humidity; switches has step(now_ms) and the switches arm, stop, lid, load and water with `on`
    (True, False, or None when unknown). record keeps the settings. stage is the part of the pass
    that is under way, for the record of a failure.
    """

    def __init__(
        self,
        probes: "Probes",
        switches: "Switches",
        outputs: Outputs,
        link: Link,
        memory: Memory,
        hello: dict,
        settings: Settings,
        record: Record,
    ) -> None:
        self._probes = probes
        self._switches = switches
        self._outputs = outputs
        self._link = link
        self._memory = memory
        self._chocolate = Estimate(probes.chocolate)
        self._bath = Estimate(probes.bath, BATH_SPAN_S)
        self._body = Estimate(probes.body, BATH_SPAN_S)
        self.cycle = Cycle()
        self.control = Control(self._chocolate, self._bath, self._body, self.cycle)
        self.facts = Facts(
            probes.chocolate, probes.bath, probes.body, probes.stir_current, probes.supply
        )
        self.supervisor = Supervisor(self.facts)
        self._settings = settings
        self._service = Service(
            settings, record, probes, switches, outputs, self.cycle, self._use_settings
        )
        self._orders = Orders(
            self.cycle,
            self.supervisor,
            link.boot,
            self._forget_trip,
            self.control.use,
            self._service,
        )
        self._use_settings()
        self._allowed = Allowed()
        self._reporter = Reporter(link, hello, settings, probes, self._allowed)
        self._begin()

    def _begin(self) -> None:
        """Count from here, under the trip that flash remembers."""
        self._proof = Proof()
        self._released = False
        self.stage = "start"
        self.now_ms = 0
        self.passes = 0
        self.overruns = 0
        self.longest_ms = 0
        self.free_bytes = 0  # of the heap, when garbage was last collected
        self._recall()

    def step(self, dt_ms: int) -> None:
        """One pass, dt_ms after the one before."""
        self.now_ms += dt_ms
        self.passes += 1
        self.stage = "orders"
        self._handle_orders()
        self.stage = "sense"
        self._sense(dt_ms)
        self.stage = "cycle"
        self._go_on(dt_ms)
        self.stage = "control"
        self.control.step(self.cycle.phase, dt_ms)
        self.stage = "supervise"
        self._supervise(dt_ms)
        self.stage = "drive"
        self._drive(dt_ms)
        self.stage = "report"
        self._report(dt_ms)
        self._link.flush()
        self.stage = "between passes"
        if self._orders.maintenance_wanted:
            raise Maintenance("asked for")

    def record_pass(self, pass_ms: int) -> None:
        """Note how long the pass took; repeated overruns are a cut-off."""
        self.longest_ms = max(self.longest_ms, pass_ms)
        if pass_ms > OVERRUN_MS:
            self.overruns += 1
            self.facts.overruns_in_row += 1
        else:
            self.facts.overruns_in_row = 0

    def _handle_orders(self) -> None:
        for message in self._link.receive():
            state, index = self.cycle.state, self.cycle.index
            self._link.post(self._orders.handle(message, self.now_ms))
            if (state, index) != (self.cycle.state, self.cycle.index):
                self._entered()
        if self._orders.hello_wanted:
            self._orders.hello_wanted = False
            self._reporter.greet(self.cycle, self.supervisor, self.now_ms)

    def _sense(self, dt_ms: int) -> None:
        self._probes.step(self.now_ms)
        switches = self._switches
        switches.step(self.now_ms)
        self._chocolate.step(self.now_ms)
        self._bath.step(self.now_ms)
        self._body.step(self.now_ms)
        facts = self.facts
        facts.now_ms = self.now_ms
        facts.dt_ms = dt_ms
        facts.lease_age_ms = self._orders.lease_age_ms(self.now_ms)
        facts.follow_outputs(self._outputs.heat_on, self._outputs.stir_on, dt_ms)
        facts.load_on = switches.load.on
        facts.stop_ready = switches.stop.on
        facts.lid_on = switches.lid.on
        facts.water_ok = switches.water.on

    def _go_on(self, dt_ms: int) -> None:
        cycle, facts = self.cycle, self.facts
        if cycle.state == states.WAITING:
            facts.waiting_ms += dt_ms
            if self._switches.arm.on is False:
                self._released = True  # a button that is stuck down never arms
            if self._released and self._switches.arm.on is True:
                self._follow("armed")
        elif cycle.state == states.TESTING:
            found = self._proof.step(self._switches.load.on, dt_ms)
            if found == PROVEN:
                self._follow(found)
            elif found:
                self._trip(found, "")
        elif cycle.step(dt_ms, self._probes.chocolate.milli):
            self._entered()
        facts.state = cycle.state
        facts.phase_ms = cycle.phase_ms
        facts.run_ms = cycle.run_ms
        facts.alone_ms = cycle.alone_ms if cycle.in_hold else 0
        self._reporter.note_absence(facts.lease_age_ms, cycle.in_hold)

    def _follow(self, event: str) -> None:
        self.cycle.handle(event)
        self._entered()

    def _entered(self) -> None:
        state = self.cycle.state
        if state == states.WAITING:
            self.facts.waiting_ms = 0
            self._released = False
        elif state == states.TESTING:
            self._proof.begin()
        elif self.cycle.phase is not None:
            self.supervisor.lower("phase-time", self.cycle.phase.timeout_ms)
        else:
            self._outputs.off()
        self._link.post(report.state(self.cycle))

    def _supervise(self, dt_ms: int) -> None:
        facts, allowed = self.facts, self._allowed
        facts.plausibility.step(
            facts.state,
            allowed.heat_permille,
            allowed.chill_permille,
            self._outputs.heat_on,
            dt_ms,
        )
        row = self.supervisor.check(dt_ms)
        if row is None:
            return
        if row.does & STOP:
            self._follow("stop")
            self._link.post(report.ended(row.code))
        else:
            self._outputs.off()
            self._trip(row.code, row.detail(facts))

    def _trip(self, code: str, detail: str) -> None:
        self._outputs.off()
        self._allowed.none()
        if self.supervisor.trip:
            # The first trip stays, since it is the cause.
            self._reporter.also(code, self.supervisor.trip)
            return
        self.supervisor.latch(code, detail)
        self.cycle.handle("trip")
        self.facts.state = self.cycle.state
        self._link.post(report.trip(self.supervisor, self.now_ms))
        self._link.post(report.state(self.cycle))
        try:
            self._memory.keep(self.supervisor.trip, self.supervisor.detail)
        except StoreError:
            self._link.post(report.flash())

    def _recall(self) -> None:
        memory = self._memory
        self.facts.resets = memory.resets
        self.facts.record_fault = memory.lost
        if memory.trip:
            self.supervisor.latch(memory.trip, memory.detail)
            self.cycle.handle("trip")

    def _forget_trip(self) -> None:
        try:
            self._memory.forget()
        except StoreError as error:
            raise OrderError("flash", "trip") from error
        self._reporter.forget()
        self.facts.resets = self._memory.resets
        self.facts.record_fault = self._memory.lost

    def _use_settings(self) -> None:
        settings = self._settings
        self._probes.use(settings)
        self.control.use(settings.model)
        self.supervisor.use(settings.lowered)
        self.facts.settings_fault = settings.fault

    def _drive(self, dt_ms: int) -> None:
        allowed = self._allowed
        if self._service.drive(dt_ms):
            return
        if self.cycle.state == states.TESTING:
            self._outputs.drive_test(self._proof.relay, self._proof.heat)
            return
        self.supervisor.allow(self.control, allowed)
        allowed.lamp = self.cycle.state == states.WAITING
        self._outputs.drive(allowed, dt_ms)
        if self.cycle.state in states.READY:
            self._memory.steady(self.now_ms)

    def _report(self, dt_ms: int) -> None:
        news = self._service.news()
        if news is not None:
            self._link.post(news)
        self._reporter.step(self, dt_ms)
