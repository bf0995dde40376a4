"""When garbage is collected: in the idle part of a pass, after outputs are driven, seldom, and in
a pass without much other work; and when the watchdog is fed."""

import test_loop_failures as failures
from stand_in_rig import StandInRig, scratch
from test_loop_failures import start


class Enough(Exception):
    """The test has seen enough passes."""


class Recorder:
    """Stands for gc, the clock and the watchdog; work_ms gives how long each pass works."""

    def __init__(self, work_ms):
        self._work_ms = work_ms
        self.now_ms = 0
        self.passes = 0
        self.driven = False
        self.collected = []
        self.fed = 0

    def collect(self):
        if not self.passes:
            return  # before the first pass
        assert self.driven, "collected between reading and output"
        self.collected.append(self.passes)
        self.now_ms += 18

    def mem_free(self):
        return 130_000

    def feed(self):
        if self.passes:
            assert self.driven
            self.fed += 1

    def step(self, dt_ms):
        self.driven = False
        self.passes += 1
        if self.passes > 80:
            self.driven = True
            raise Enough
        self.now_ms += self._work_ms(self.passes)
        self.driven = True

    def sleep_ms(self, ms):
        assert self.fed == self.passes, "each whole pass feeds the watchdog"
        self.now_ms += ms


def passes(work_ms):
    """What 80 passes do that work so long."""
    board = StandInRig(scratch("passes"))
    recorder = Recorder(work_ms)
    board.loop.step = recorder.step
    own = start.gc, start.sleep_ms, start.ticks_ms, start.ticks_diff, failures.Dog.feed
    start.build = lambda pins, outputs, memory, dog: board.loop
    start.FLASH = scratch("flash")

    def prepared(*ignored):
        start.gc = recorder
        start.sleep_ms = recorder.sleep_ms
        start.ticks_ms = lambda: recorder.now_ms
        start.ticks_diff = lambda after, before: after - before

    start.kbd_intr = prepared
    failures.Dog.feed = lambda dog: recorder.feed()
    try:
        start.Pins = lambda: failures.BoardPins(board)
        start.Outputs = lambda pins: prepared() or board.outputs
        try:
            start.run(failures.Dog())
        except Enough:
            recorder.collected = [at for at in recorder.collected if at <= 80]
    finally:
        start.gc, start.sleep_ms, start.ticks_ms, start.ticks_diff, failures.Dog.feed = own
    return recorder, board


def test_garbage_is_collected_seldom_and_in_short_passes():
    recorder, board = passes(lambda at: 12 if at % 3 == 0 else 30)
    assert recorder.collected, "never"
    assert all(at % 3 == 0 for at in recorder.collected)
    gaps = [b - a for a, b in zip(recorder.collected, recorder.collected[1:])]  # noqa: B905
    assert min(gaps) >= 4 and max(gaps) <= 8
    assert board.loop.free_bytes == 130_000
    assert board.loop.longest_ms == 30, "18 ms more came in passes of 12 ms"


def test_garbage_is_collected_in_time_where_no_pass_is_short():
    recorder, _ = passes(lambda at: 35)
    gaps = [b - a for a, b in zip(recorder.collected, recorder.collected[1:])]  # noqa: B905
    assert set(gaps) == {8}
