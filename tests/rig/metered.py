"""What a pass of the firmware takes: bytecodes, heap and live heap, counted without a board.

A whole cycle's beginning runs on the virtual rig with a meter in the firmware's loop: at rest,
the start order, the test of both switches, heating. Bytes are counted on MicroPython's unix port
with collection switched off during a pass, less what the rig's own stand-ins take. The port's
words have 64 bit and the board's 32, so that most objects take half the room there: figures are
halved. Bytecodes are CPython's, of the firmware's files and simple-pid only: MicroPython's differ,
but by much the same factor everywhere, so that a ratio of two versions holds.

tests/bench/on_board.py prints the figures; test_memory.py holds them.
"""

from __future__ import annotations

import contextlib
import statistics
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import firmware_variants
from direct import direct

from glossbath.install.bundle import compiled_bytes
from glossbath.virtual.engine import Engine
from glossbath.virtual.virtual import Options
from glossbath_board import files

METER = '''
import gc
import sys

on_micropython = sys.implementation.name == "micropython"
outside = count = before = 0


def wrapped(own, arguments):
    """own, with what it takes from the heap counted as the rig's."""
    def no():
        global outside
        at = gc.mem_alloc()
        answer = own()
        outside += gc.mem_alloc() - at
        return answer
    def one(a):
        global outside
        at = gc.mem_alloc()
        answer = own(a)
        outside += gc.mem_alloc() - at
        return answer
    def two(a, b):
        global outside
        at = gc.mem_alloc()
        answer = own(a, b)
        outside += gc.mem_alloc() - at
        return answer
    def three(a, b, c):
        global outside
        at = gc.mem_alloc()
        answer = own(a, b, c)
        outside += gc.mem_alloc() - at
        return answer
    return (no, one, two, three)[arguments]


def pin_value(own):
    def value(self, level=None):
        global outside
        at = gc.mem_alloc()
        answer = own(self, level)
        outside += gc.mem_alloc() - at
        return answer
    return value


def install():
    if not on_micropython:
        return
    import machine
    import onewire

    machine.Pin.value = pin_value(machine.Pin.value)
    for kind, name, arguments in (
        (machine.ADC, "read_u16", 1),
        (machine.I2C, "writeto", 3),
        (machine.I2C, "readfrom_into", 3),
        (machine.SPI, "write_readinto", 3),
        (onewire.OneWire, "write", 2),
        (onewire.OneWire, "readinto", 2),
    ):
        setattr(kind, name, wrapped(getattr(kind, name), arguments))
    own = onewire.OneWire.reset
    onewire.OneWire.reset = wrapped(own, 1)


install()


def trace(frame, event, argument):
    global count
    name = frame.f_code.co_filename
    if "glossbath_board" not in name and "simple_pid" not in name or "meter" in name:
        return None
    frame.f_trace_opcodes = True
    frame.f_trace_lines = False
    if event == "opcode":
        count += 1
    return trace


def begin():
    global before, outside, count
    outside = count = 0
    if on_micropython:
        gc.collect()
        gc.disable()
        before = gc.mem_alloc()
    else:
        sys.settrace(trace)


def end(loop):
    if on_micropython:
        taken = gc.mem_alloc() - before - outside
        gc.enable()
        gc.collect()
        line = "%d %d" % (taken, gc.mem_alloc())
    else:
        sys.settrace(None)
        line = "%d 0" % count
    with open("passes.txt", "a") as file:
        file.write(loop.cycle.state + " " + line + "\\n")
'''
CALL = "        loop.step(dt_ms)\n"
HEATING_S = 120.0
_METERED = (
    ("meter.py", "", METER),
    ("start.py", CALL, f"        meter.begin()\n{CALL}        meter.end(loop)\n"),
    ("start.py", "from . import files", "from . import meter, files"),
)


@dataclass(frozen=True)
class Pass:
    """One pass: the state at its end, what it took, and what was alive after it (bytes)."""

    state: str
    taken: int
    alive: int


@contextlib.contextmanager
def compiled() -> Iterator[None]:
    """Rigs that are built inside this context run compiled files, as an installer puts them."""
    install = Engine._install_libraries

    def install_compiled(engine: Engine) -> None:
        install(engine)
        active = engine._flash / "active"
        place = Path(active.read_text())
        for source in sorted(place.rglob("*.py")):
            if source.name != "__init__.py":
                name = source.relative_to(place).as_posix()
                source.with_suffix(".mpy").write_bytes(compiled_bytes(source.read_bytes(), name))
                source.unlink()
        named = place.with_name(files.PREFIX + files.identity(str(place), str(engine._flash)))
        place.rename(named)
        active.write_text(str(named))

    Engine._install_libraries = install_compiled  # type: ignore[method-assign]
    try:
        yield
    finally:
        Engine._install_libraries = install  # type: ignore[method-assign]


def passes(micropython: bool, heating_s: float = HEATING_S) -> list[Pass]:
    """Every pass from power-up through rest, start and proof into heating, with bytes of the
    board (micropython, compiled files) or bytecodes (not)."""
    firmware_variants.VARIANTS["metered"] = _METERED
    scale = 2 if micropython else 1
    with contextlib.ExitStack() as stack:
        folder = stack.enter_context(tempfile.TemporaryDirectory())
        stack.enter_context(firmware_variants.variant("metered"))
        if micropython:
            stack.enter_context(compiled())
        with direct(Path(folder), Options(micropython=micropython)) as rig:
            rig.run(20)
            rig.heat("dark")
            rig.run(heating_s)
        rows = (Path(folder) / "flash" / "passes.txt").read_text().splitlines()
    found = []
    for row in rows[:-1]:
        state, taken, alive = row.split()
        found.append(Pass(state, int(taken) // scale, int(alive) // scale))
    return found


def figures(found: list[Pass], select: Callable[[Pass], bool]) -> str:
    """Median, 95 % and most of the passes that are selected."""
    taken = sorted(p.taken for p in found if select(p))
    return (
        f"median {statistics.median(taken):6.0f}, 95 % {taken[len(taken) * 95 // 100]:6d}, "
        f"most {taken[-1]:6d} of {len(taken)} passes"
    )
