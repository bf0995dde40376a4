"""A failure in any part of a pass: outputs off first, then a trip that names the part.

`start` is run as main.py runs it, with stand-ins for the board's own modules.
"""

import sys

from stand_in_rig import StandInRig, heap_lock, heap_unlock, scratch


class Machine:
    """Enough of `machine` for pins.py to be imported; nothing here makes a pin."""


sys.modules.setdefault("onewire", Machine)
_own = sys.modules.get("machine")
sys.modules["machine"] = Machine
from glossbath_board import start  # noqa: E402

if _own is None:
    del sys.modules["machine"]
else:
    sys.modules["machine"] = _own


class Dog:
    def feed(self):
        pass


class BoardPins:
    """Stands for pins.Pins; the outputs are the stand-in rig's."""

    def __init__(self, board):
        self.outputs = board.pins

    @staticmethod
    def reset_cause():
        return 1


def fails(error):
    """Something to call that raises, and that switches nothing off by itself."""

    def call(*arguments):
        raise error

    return call


INTERRUPT_BYTES = []
"""What start gave to kbd_intr."""

STAGES = (
    ("orders", "link", "receive"),
    ("sense", "probes", "step"),
    ("cycle", "cycle", "step"),
    ("control", "control", "step"),
    ("supervise", "supervisor", "check"),
    ("drive", "outputs", "drive"),
    ("report", "link", "flush"),
)


def heating():
    board = StandInRig(scratch("failure"))
    board.heat()
    board.run(3_000)
    assert board.heating
    return board


def run(board):
    """Run the firmware on a board that heats already; what ended it."""
    start.build = lambda pins, outputs, memory, dog: board.loop
    start.FLASH = board.memory._trips._paths[0].rsplit("/", 1)[0]
    return run_again(board)


def run_again(board):
    """Run with start.build and start.FLASH as they are; what ended it."""
    start.Pins = lambda: BoardPins(board)
    start.Outputs = lambda pins: board.outputs
    start.kbd_intr = INTERRUPT_BYTES.append
    start.sleep_ms = lambda ms: None
    start.ticks_ms = lambda: 0
    start.ticks_diff = lambda after, before: 100
    try:
        start.run(Dog())
    except BaseException as error:
        return error
    return None


def part(board, name):
    loop = board.loop
    return {
        "link": board.link,
        "probes": board.probes,
        "cycle": loop.cycle,
        "control": loop.control,
        "supervisor": loop.supervisor,
        "outputs": board.outputs,
    }[name]


def kept(board):
    """The trip that a restart finds."""
    again = StandInRig(start.FLASH)
    assert again.dark
    return again.state, again.loop.supervisor.trip, again.loop.supervisor.detail


def test_an_exception_in_any_stage_ends_dark_with_a_trip_that_names_it():
    for stage, name, method in STAGES:
        for error in (ValueError("x"), MemoryError(), KeyboardInterrupt(), SystemExit()):
            board = heating()
            setattr(part(board, name), method, fails(error))
            assert run(board) is error
            assert board.dark and not board.outputs.relay_on, stage
            detail = stage + " " + type(error).__name__
            assert kept(board) == ("tripped", "firmware", detail)


def test_no_byte_from_the_line_may_interrupt_a_pass():
    # Stands for the board's console, which makes KeyboardInterrupt of a 0x03 until kbd_intr(-1)
    # (docs/library/micropython.rst); the unix port takes its frames from a pipe, which never does.
    INTERRUPT_BYTES.clear()
    board = heating()
    started = []

    def build(pins, outputs, memory, dog):
        started.append(list(INTERRUPT_BYTES))
        raise ValueError("enough")

    start.FLASH = scratch("interrupt")
    start.build = build
    run_again(board)
    assert started == [[-1]], "the parts, and with them the first read, come after"


def test_a_failure_while_a_trip_is_told_keeps_the_trip():
    board = heating()
    board.switches.stop.on = False
    board.link.post = fails(MemoryError())
    assert isinstance(run(board), MemoryError)
    assert board.dark
    assert kept(board)[:2] == ("tripped", "stop-button")


def test_a_trip_that_stood_before_stays():
    board = heating()
    board.switches.stop.on = False
    board.step()
    board.link.receive = fails(ValueError("x"))
    run(board)
    assert kept(board)[:2] == ("tripped", "stop-button")


def test_a_failure_before_the_first_pass_is_named_too():
    board = heating()
    board.loop.step = None
    assert isinstance(run(board), TypeError)
    assert board.dark
    board = heating()
    start.FLASH = scratch("build")
    start.build = fails(OSError(5))
    assert isinstance(run_again(board), OSError)
    assert board.dark
    assert kept(board) == ("tripped", "firmware", "start OSError")


def test_the_last_resort_allocates_nothing_before_outputs_are_off():
    # A stage fills the heap; the last output to go off frees it again. On CPython this only runs.
    board = heating()

    class LastPin:
        def __init__(self):
            self.level = 1

        def value(self, level):
            self.level = level
            if level == 0:
                heap_unlock()

    last = LastPin()
    board.pins["stir"] = last
    board.outputs._stir = last.value

    def fill_the_heap(*arguments):
        heap_lock()
        raise MemoryError

    board.link.receive = fill_the_heap
    assert isinstance(run(board), MemoryError)
    assert board.dark
    assert kept(board) == ("tripped", "firmware", "orders MemoryError")
