"""Builds the parts, then runs the pass for ever and feeds the watchdog after each whole pass."""

import gc
import os
import sys

from . import files, version
from .errors import Maintenance, StoreError
from .limits import PASS_MS
from .link import Link
from .loop import Loop
from .memory import Memory
from .output import Outputs
from .pins import BOARD, Pins
from .port import const, kbd_intr, sleep_ms, ticks_diff, ticks_ms
from .probes import Probes
from .sensors.switch import Switches
from .settings import Settings
from .store import Record

if False:  # for the type checker alone
    from .kinds import Dog

FLASH = "."

# Collecting takes as long as all else in a pass. It is done once outputs are driven, so often that
# the heap never runs full in between (that would collect between reading and output), and in a
# pass without much other work where one comes in time.
_COLLECT_PASSES = const(4)
_COLLECT_MOST_PASSES = const(8)
_SHORT_MS = const(20)


def hello(pins: Pins) -> dict:
    """Who this board is."""
    engine = sys.implementation
    return {
        "k": "hello",
        "v": version.PROTOCOL,
        "fw": version.VERSION,
        "eng": "%s %s %s"
        % (engine.name, ".".join(str(part) for part in engine.version[:3]), sys.platform),
        "id": pins.identity(),
        "brd": BOARD,
        "rig": "virtual" if pins.virtual else "real",
        "rc": pins.reset_cause(),
    }


def build(pins: Pins, outputs: Outputs, memory: Memory, dog: "Dog") -> Loop:
    """The parts, joined; the watchdog is fed after each step that takes long."""
    boot = int.from_bytes(os.urandom(4), "big") >> 2
    record = Record(FLASH, "settings")
    content = record.load()
    settings = Settings(content, record.damaged())
    loop = Loop(
        Probes(
            pins.wire,
            pins.stir_current,
            pins.supply,
            pins.ntc,
            pins.i2c,
            pins.spi,
            settings,
            ticks_ms,
        ),
        Switches(pins),
        outputs,
        Link(pins.source, pins.sink, boot),
        memory,
        hello(pins),
        settings,
        record,
    )
    dog.feed()
    loop.facts.files_fault = files.fault(_folder(), FLASH)
    dog.feed()
    return loop


def run(dog: "Dog") -> None:
    """Returns only for maintenance; whatever else ends the pass leaves outputs off and a trip
    in flash, and raises."""
    pins = Pins()
    outputs = Outputs(pins.outputs)
    kbd_intr(-1)  # a 0x03 in a frame or from another program must not stop the pass
    loop: Loop | None = None
    try:
        memory = Memory(FLASH, pins.reset_cause())
        dog.feed()
        loop = build(pins, outputs, memory, dog)
        loop.free_bytes = _collect()
        dog.feed()
        _passes(loop, dog)
    except Maintenance:
        outputs.off()
        memory.expect_reset()
        with open(FLASH + "/maintain", "w") as file:
            file.write("once")
    except BaseException as error:
        outputs.off()  # first, and without allocating: the heap may be what has run out
        _remember(loop, error)
        raise


def _passes(loop: Loop, dog: "Dog") -> None:
    last = ticks_ms()
    dt_ms = PASS_MS
    passes = 0
    while True:
        loop.step(dt_ms)
        passes += 1
        short = ticks_diff(ticks_ms(), last) <= _SHORT_MS
        if passes >= _COLLECT_PASSES and (short or passes >= _COLLECT_MOST_PASSES):
            loop.free_bytes = _collect()
            passes = 0
        pass_ms = ticks_diff(ticks_ms(), last)
        loop.record_pass(pass_ms)
        dog.feed()
        sleep_ms(max(1, PASS_MS - pass_ms))
        now = ticks_ms()
        dt_ms = ticks_diff(now, last)
        last = now


def _collect() -> int:
    """Collect what is no longer used; the bytes that are free then, 0 where nobody knows."""
    gc.collect()
    return gc.mem_free() if hasattr(gc, "mem_free") else 0


def _remember(loop: Loop | None, error: BaseException) -> None:
    """Keep a trip that names the stage, or the trip that was latched when the failure came."""
    gc.collect()
    code, detail = "firmware", "start " + type(error).__name__
    if loop is not None:
        detail = loop.stage + " " + type(error).__name__
        if loop.supervisor.trip:
            code, detail = loop.supervisor.trip, loop.supervisor.detail
    try:
        Memory(FLASH, None).keep(code, detail)
    except StoreError:
        pass  # nobody is left to report to; the outputs are off


def _folder() -> str:
    """The folder of packages that this firmware lies in."""
    return __file__.replace("\\", "/").rsplit("/", 2)[0]
