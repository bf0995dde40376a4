"""Stand-ins for everything around the loop, for CPython and MicroPython.

A kitchen in a few lines: readings that are what the test says, switches that are what the test
says, an outlet that is live when both heat switches let current through, and a host that leases.
"""

import os

from glossbath_board.loop import Loop
from glossbath_board.memory import Memory
from glossbath_board.output import Outputs
from glossbath_board.reading import Reading
from glossbath_board.settings import COMMISSIONED, Settings
from glossbath_board.store import Record

try:
    from micropython import heap_lock, heap_unlock
except ImportError:

    def heap_lock():
        """CPython has no heap to lock."""

    def heap_unlock():
        """CPython has no heap to lock."""


_scratches: list = []
ROMS = {"chocolate": "2801000000000029", "bath": "2802000000000070", "body": "2803000000000047"}
BOOT = 99
HOST = 7
PASS_MS = 250
_KEPT = 120


def scratch(name):
    """An empty folder that stands for flash."""
    try:
        from tempfile import mkdtemp

        return mkdtemp()
    except ImportError:
        _scratches.append(name)
        folder = "scratch-%d-%s" % (len(_scratches), name)  # noqa: UP031
        os.mkdir(folder)
        return folder


class Pin:
    """Keeps its level; calls are counted by nobody."""

    def __init__(self):
        self.level = 0

    def value(self, level):
        self.level = level


class Probes:
    """Readings that are fresh in every pass unless frozen."""

    def __init__(self):
        self.chocolate = Reading("chocolate")
        self.bath = Reading("bath")
        self.body = Reading("body")
        self.stir_current = Reading("stir_current")
        self.supply = Reading("supply")
        self.room = Reading("room")
        self.humidity = Reading("humidity")
        self.surveying = False
        self.values = {
            "chocolate": 24_000,
            "bath": 24_000,
            "body": 24_000,
            "stir_current": 0,
            "supply": 12_000,
            "room": 24_000,
            "humidity": 60_000,
        }

    def use(self, settings):
        """Nothing is bound to a chip here."""

    def step(self, now_ms):
        for name, value in self.values.items():
            reading = getattr(self, name)
            if isinstance(value, str):
                reading.bad(value)
            else:
                reading.good(value, now_ms)


class Switch:
    def __init__(self, on):
        self.on = on


class Switches:
    """What the hands at the rig and the outlet say; live(pins) tells load from the outputs."""

    def __init__(self, live):
        self.arm = Switch(False)
        self.stop = Switch(True)
        self.lid = Switch(True)
        self.load = Switch(False)
        self.water = Switch(True)
        self._live = live

    def step(self, now_ms):
        self.load.on = self._live()


class Link:
    """The line: inbox holds what a host has sent, outbox what the board has said."""

    def __init__(self):
        self.boot = BOOT
        self.dropped = 0
        self.bad = 0
        self.inbox = []
        self.outbox = []
        self._number = 0

    def receive(self):
        messages, self.inbox = self.inbox, []
        return messages

    def post(self, message):
        message["n"] = self._number
        message["b"] = self.boot
        self._number += 1
        self.outbox.append(message)
        if len(self.outbox) > _KEPT:  # events stay; of all else the newest do, for a small heap
            events = [m for m in self.outbox[: -_KEPT // 2] if m["k"] == "e"]
            self.outbox = events + self.outbox[-_KEPT // 2 :]

    def flush(self):
        pass


class StandInRig:
    """The loop with stand-ins round it. heat_welded, relay_welded and sense_dead are faults."""

    def __init__(self, flash, reset_cause=1, lowered=None, memory=None, model=None):
        self.pins = {name: Pin() for name in ("heat", "relay", "chill", "stir", "lamp")}
        self.probes = Probes()
        self.switches = Switches(self._live)
        self.link = Link()
        self.outputs = Outputs(self.pins)
        self.heat_welded = self.relay_welded = self.sense_dead = False
        self.leasing = True
        self.motor_ma = None
        self._order = 0
        self._cycle = 0
        self.memory = memory or Memory(flash, reset_cause)
        self.loop = Loop(
            self.probes,
            self.switches,
            self.outputs,
            self.link,
            self.memory,
            {"k": "hello"},
            Settings(
                {
                    "level": COMMISSIONED,
                    "probes": ROMS,
                    "limits": lowered or {},
                    "model": model,
                }
            ),
            Record(flash, "settings"),
        )
        self.loop.facts.files_fault = ""

    @property
    def state(self):
        return self.loop.cycle.state

    @property
    def trip(self):
        return self.loop.supervisor.trip

    @property
    def heating(self):
        """Whether heat really reaches the outlet."""
        relay = self.outputs.relay_on or self.relay_welded
        return relay and (self.pins["heat"].level == 1 or self.heat_welded)

    @property
    def dark(self):
        """Whether nothing moves or heats."""
        return not any(self.pins[name].level for name in ("heat", "relay", "chill", "stir"))

    def _live(self):
        return self.heating and not self.sense_dead

    def step(self, dt_ms=PASS_MS):
        """One pass."""
        if self.leasing:
            self.tell("lease")
        turning = 200 if self.pins["stir"].level else 0
        self.probes.values["stir_current"] = turning if self.motor_ma is None else self.motor_ma
        self.loop.step(dt_ms)

    def run(self, ms, dt_ms=PASS_MS):
        """Let ms pass."""
        for _ in range(ms // dt_ms):
            self.step(dt_ms)

    def tell(self, kind, **values):
        """Send an order; its number."""
        self._order += 1
        message = {"k": kind, "i": self._order, "h": HOST, "b": BOOT}
        message.update(values)
        self.link.inbox.append(message)
        return self._order

    def ask(self, kind, **values):
        """Send an order, make a pass, and give the answer."""
        number = self.tell(kind, **values)
        self.step()
        for message in reversed(self.link.outbox):
            if message["k"] == "a" and message["i"] == number:
                return message
        return None

    def load(self, phases=None, max_mc=52_000, **start):
        """Load a program and order its start, all before the next pass; the order's number."""
        from glossbath_board.program import Phase, Program

        phases = phases or DARK
        program = Program(len(phases), max_mc, 1_000)
        self.tell("plan", count=len(phases), max=max_mc, g=1_000)
        for at, (name, values) in enumerate(phases):
            program.put(at, Phase(name, values))
            self.tell("phase", at=at, name=name, v=list(values))
        self._cycle += 1
        return self.tell("start", cycle=str(self._cycle), sum=program.checksum(), **start)

    def start(self, phases=None, **start):
        """Load, order the start, and give its answer."""
        self.run(1_000)
        number = self.load(phases, **start)
        self.step()
        for message in reversed(self.link.outbox):
            if message["k"] == "a" and message["i"] == number:
                return message
        return None

    def arm(self):
        """Let go of the arm button and press it."""
        self.switches.arm.on = False
        self.step()
        self.switches.arm.on = True
        self.step()
        self.switches.arm.on = False

    def heat(self, phases=None, **start):
        """Go all the way to a running cycle."""
        answer = self.start(phases, **start)
        assert answer["ok"], answer
        self.arm()
        for _ in range(60):
            self.step()
            if self.state == "running":
                return
        raise AssertionError((self.state, self.trip))

    def events(self, name):
        """What the board has told of a kind."""
        return [m for m in self.link.outbox if m["k"] == "e" and m["e"] == name]


# target, low, high, dwell, timeout, stir, bath low, bath high
DARK = (
    ("melt", (48_000, 46_000, 50_000, 60_000, 10_800_000, 500, 20_000, 56_000)),
    ("hold", (30_500, 30_000, 31_000, 7_200_000, 21_600_000, 400, 28_000, 33_000)),
)
HOLD = DARK[1:]


def rig(**options):
    """A rig at rest."""
    return StandInRig(scratch("rig"), **options)


def heating():
    """A rig that melts."""
    board = rig()
    board.heat()
    board.run(5_000)
    assert board.outputs.relay_on
    return board


def holding(**start):
    """Everything at 30.5 °C, so that little heat is asked for."""
    board = rig()
    board.probes.values.update(chocolate=30_500, bath=30_500, body=30_500)
    board.heat(HOLD, **start)
    return board
