"""Builds the parts, then runs the pass for ever and feeds the watchdog after each whole pass."""

import gc
import os
import sys

from . import version
from .errors import Maintenance, StoreError
from .limits import PASS_MS
from .link import Link
from .loop import Loop
from .output import Outputs
from .pins import BOARD, Pins
from .port import kbd_intr, sleep_ms, ticks_diff, ticks_ms
from .probes import Probes
from .settings import Settings
from .store import Record
from .switches import Switches

PROTOCOL = 1
FLASH = "."


def hello(pins: Pins) -> dict:
    """Who this board is."""
    engine = sys.implementation
    return {
        "k": "hello",
        "v": PROTOCOL,
        "fw": version.VERSION,
        "eng": "%s %s %s"
        % (engine.name, ".".join(str(part) for part in engine.version[:3]), sys.platform),
        "id": pins.identity(),
        "brd": BOARD,
        "rig": "virtual" if pins.virtual else "real",
        "rc": pins.reset_cause(),
    }


def build(pins: Pins, outputs: Outputs) -> Loop:
    """The parts, joined."""
    boot = int.from_bytes(os.urandom(4), "big") >> 2
    settings = Settings(Record(FLASH, "settings").load())
    loop = Loop(
        Probes(pins.wire, settings),
        Switches(pins),
        outputs,
        Link(pins.source, pins.sink, boot),
        Record(FLASH, "trip"),
        hello(pins),
    )
    loop.control.use(settings.model)
    return loop


def run(dog) -> None:  # type: ignore[no-untyped-def]
    """Returns only for maintenance; whatever else ends the pass leaves outputs off and a trip
    in flash, and raises."""
    pins = Pins()
    outputs = Outputs(pins.outputs)
    kbd_intr(-1)  # a 0x03 in a frame or from another program must not stop the pass
    try:
        loop = build(pins, outputs)
        _passes(loop, dog)
    except Maintenance:
        outputs.off()
        with open(FLASH + "/maintain", "w") as file:
            file.write("once")
    except BaseException as error:
        outputs.off()
        _remember(error)
        raise


def _passes(loop: Loop, dog) -> None:  # type: ignore[no-untyped-def]
    last = ticks_ms()
    dt_ms = PASS_MS
    while True:
        loop.step(dt_ms)
        gc.collect()
        pass_ms = ticks_diff(ticks_ms(), last)
        loop.took(pass_ms)
        dog.feed()
        sleep_ms(max(1, PASS_MS - pass_ms))
        now = ticks_ms()
        dt_ms = ticks_diff(now, last)
        last = now


def _remember(error: BaseException) -> None:
    try:
        Record(FLASH, "trip").save({"trip": "firmware", "detail": type(error).__name__})
    except StoreError:
        pass
