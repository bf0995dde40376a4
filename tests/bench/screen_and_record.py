"""What screens, keeper and record cost, against their aims: one command, one table.

    python tests/bench/screen_and_record.py [--kills 200] [--only NAME]

Rig and cycles are invented. Processes are real ones on real pseudo-terminals; only the board is a
stand-in, on a thread of this program. Figures are of this machine while it did whatever else it
had to do: a crowded one makes them worse, never better. CPU time is the kernel's.
"""

from __future__ import annotations

import argparse
import contextlib
import csv
import os
import random
import shutil
import statistics
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "stand_ins")]

from glossbath import record  # noqa: E402
from glossbath.board.clock import RealClock  # noqa: E402
from glossbath.board.link import Link  # noqa: E402
from glossbath.client.launch import connect, start_keeper  # noqa: E402
from glossbath.client.messages import Reading, Reply, Snapshot  # noqa: E402
from glossbath.client.paths import socket_path  # noqa: E402
from glossbath.keeper.cycle_writer import CycleHeader, CycleWriter  # noqa: E402
from glossbath.keeper.keeper import Keeper  # noqa: E402
from glossbath.keeper.server import Server  # noqa: E402
from glossbath.recipe import dump, load  # noqa: E402
from glossbath.record import sheet  # noqa: E402
from glossbath.report.page import write_report  # noqa: E402
from glossbath.report.past import cycle_lines  # noqa: E402
from glossbath.words import Degrees  # noqa: E402
from tests.bench.pty_board import PtyBoard  # noqa: E402
from tests.bench.terminal import Terminal, cpu_s, rss_mb  # noqa: E402
from tests.host.screens.fake_keeper import FakeKeeper, reading, snapshot  # noqa: E402

RATE_HZ = 4.0
DAY_S = 86_400
LONG_S = 8 * 3600
LOOK_S = 30.0
PRESSES = 20
CYCLES = 1_000
WORKERS = 3
SEED = 1


def say(name: str, figure: str, aim: str, met: bool) -> None:
    """One line of the table."""
    print(f"{name:<58} {figure:>26}   aim {aim:<12} {'met' if met else 'MISSED'}", flush=True)


def long_past() -> list[Reading]:
    """Eight hours of a hold as a late client gets them: 600 readings."""
    every_s = LONG_S / 600
    return [
        reading(number * every_s, 30.5 + number % 5 / 10, phase="hold", phase_index=4)
        for number in range(600)
    ]


def screen_cost(folder: Path) -> None:
    """Share of one core that a screen takes at four readings a second."""
    for size in ((80, 24), (140, 40)):
        past = snapshot(history=long_past(), forecast=[], virtual=False, speed=1.0)
        keeper = FakeKeeper(socket_path("screen"), [past])
        terminal = Terminal(["attach", "--rig", "screen"], size, {})
        ending = threading.Event()

        def feed(keeper: FakeKeeper = keeper, ending: threading.Event = ending) -> None:
            now_s = float(LONG_S)
            while not ending.wait(1 / RATE_HZ):
                now_s += 1 / RATE_HZ
                celsius = 30.5 + random.uniform(-0.06, 0.06)
                keeper.say(reading(now_s, celsius, phase="hold", phase_index=4))

        feeding = threading.Thread(target=feed)
        feeding.start()
        terminal.shows("CHOCOLATE")
        time.sleep(5.0)  # what opening the screen costs is over by then
        before_s = cpu_s(terminal.process.pid)
        time.sleep(LOOK_S)
        share = (cpu_s(terminal.process.pid) - before_s) / LOOK_S
        ending.set()
        feeding.join()
        terminal.close()
        keeper.close()
        name = f"screen {size[0]}x{size[1]}, {RATE_HZ:g} readings/s, 8 h trend"
        say(name, f"{share:.1%} of a core", "< 5 %", share < 0.05)


class KeeperThread:
    """A keeper of a board, its socket and its steps, in this program."""

    def __init__(self, rig: str, board: PtyBoard, cycles: Path) -> None:
        clock = RealClock()
        self.server = Server(socket_path(rig))
        self.keeper = Keeper(Link(board.port, clock), clock, rig, cycles, self.server.publish)
        self.server.keeper = self.keeper
        self._ending = False
        self._clock = clock
        self._threads = [
            threading.Thread(target=self.server.run, daemon=True),
            threading.Thread(target=self._step, daemon=True),
        ]
        for thread in self._threads:
            thread.start()

    def _step(self) -> None:
        while not self._ending:
            self._clock.wait(lambda _: None, lambda: 0)
            self.keeper.step()

    def close(self) -> None:
        """End everything."""
        self._ending = self.server.ending = True
        for thread in self._threads:
            thread.join()
        self.keeper.shut_down("measured")
        self.server.close()


def begin(rig: str, hold_s: float = 36_000.0) -> str:
    """Start a cycle; its folder."""
    with connect(rig) as client:
        until(lambda: any(isinstance(m, Snapshot) and m.engine for m in client.drain()))
        text = dump(load("dark").with_hold(hold_s))
        reply: Reply = client.request("start", timeout_s=30, recipe=text, where="dark")
    assert reply.ok, reply.text
    return str(reply.values["folder"])


def until(reached: Callable[[], bool], timeout_s: float = 60.0) -> None:
    """Wait for something."""
    end_s = time.monotonic() + timeout_s
    while not reached():
        assert time.monotonic() < end_s, "it never came about"
        time.sleep(0.002)


def stop_delay(folder: Path) -> None:
    """From the key to the stop frame on the serial line, while the disk takes nothing."""
    board = PtyBoard(RATE_HZ)
    open_gate = threading.Event()
    open_gate.set()
    flush = sheet.flush

    def slow_flush(file: int) -> None:
        open_gate.wait()
        flush(file)

    sheet.flush = slow_flush
    keeper = KeeperThread("stop", board, folder / "stop")
    delays_ms = []
    try:
        for _ in range(PRESSES):
            begin("stop")
            for past in long_past():
                keeper.keeper._snapshots.history.add(past)
            terminal = Terminal(["attach", "--rig", "stop"], (140, 40), {})
            terminal.shows("CHOCOLATE")
            open_gate.clear()
            time.sleep(random.uniform(1.5, 2.5))
            board.arm()
            begun_s = time.perf_counter()
            terminal.press("s")
            until(lambda: board.stopped_at_s is not None)
            delays_ms.append(((board.stopped_at_s or 0.0) - begun_s) * 1000)
            open_gate.set()
            until(lambda: keeper.keeper.snapshot().result == "stopped")
            terminal.close()
    finally:
        open_gate.set()
        sheet.flush = flush
        keeper.close()
        board.close()
    worst = max(delays_ms)
    figure = f"median {statistics.median(delays_ms):.0f}, worst {worst:.0f} ms"
    say(
        f"key to stop on the wire, disk blocked, 8 h trend, {PRESSES}x",
        figure,
        "< 100 ms",
        worst < 100,
    )


@contextlib.contextmanager
def keeper_process(rig: str, board: PtyBoard, cycles: Path) -> Iterator[int]:
    """A keeper as a process; its pid."""
    process = start_keeper(rig, board.port, cycles)
    try:
        yield process.pid
    finally:
        process.kill()
        process.wait()


def keeper_cost(folder: Path) -> None:
    """CPU and memory of a keeper whose cycle nobody looks at."""
    board = PtyBoard(RATE_HZ)
    with keeper_process("alone", board, folder / "alone") as pid:
        begin("alone")
        time.sleep(5.0)
        before_s = cpu_s(pid)
        time.sleep(LOOK_S)
        share, memory_mb = (cpu_s(pid) - before_s) / LOOK_S, rss_mb(pid)
    board.close()
    say("keeper alone, 4 readings/s", f"{share:.1%} of a core", "< 2 %", share < 0.02)
    say("keeper alone, memory", f"{memory_mb:.0f} MB", "< 80 MB", memory_mb < 80)


def one_kill(number: int, folder: Path, moment_s: float) -> int:
    """Age in ms of the newest reading that is lost with a killed keeper; 0 for none."""
    board = PtyBoard(RATE_HZ)
    rig = f"kill-{number}"
    try:
        with keeper_process(rig, board, folder / rig) as pid:
            begin(rig)
            cycle = Path(begun_folder(folder / rig))
            time.sleep(moment_s)
            os.kill(pid, 9)
            sent_ms = board.sent_ms[-1]
        with (cycle / "readings.csv").open(newline="") as file:
            kept_ms = [int(row["board_ticks_ms"]) for row in csv.DictReader(file)]
        return sent_ms - kept_ms[-1] if kept_ms else sent_ms - board.sent_ms[0]
    finally:
        board.close()
        shutil.rmtree(folder / rig, ignore_errors=True)
        socket_path(rig).unlink(missing_ok=True)


def begun_folder(cycles: Path) -> str:
    """The only cycle in a folder."""
    [cycle] = cycles.iterdir()
    return str(cycle)


def kills(folder: Path, count: int) -> None:
    """How old the readings are that a killed keeper takes with it."""
    draw = random.Random(SEED)
    moments_s = [draw.uniform(1.0, 3.0) for _ in range(count)]
    with ThreadPoolExecutor(WORKERS) as pool:
        ages_ms = list(
            pool.map(lambda pair: one_kill(pair[0], folder, pair[1]), enumerate(moments_s))
        )
    worst = max(ages_ms)
    lost = sum(age > 0 for age in ages_ms)
    figure = f"{lost} lost some, oldest {worst} ms"
    say(f"keeper killed at {count} random moments", figure, "<= 1000 ms", worst <= 1000)


def day_cycle(parent: Path, rate_hz: float) -> Path:
    """A day's cycle: melt, soak, cool, reheat, and a hold until the end."""
    recipe = load("dark")
    header = CycleHeader("bench", True, "none", "none", "none", recipe, 10**18, 1.0, "bench")
    writer = CycleWriter(parent, header)
    ends_s = (3600, 4800, 9000, 10_800, DAY_S)
    for number in range(int(DAY_S * rate_hz)):
        now_s = number / rate_hz
        index = next(place for place, end_s in enumerate(ends_s) if now_s < end_s)
        phase = recipe.phases[index]
        told_now = reading(
            now_s,
            round(phase.target_c + random.uniform(-0.3, 0.3), 3),
            phase=phase.name,
            phase_index=index,
            target_c=phase.target_c,
        )
        writer.reading(told_now, int(now_s * 1000), "7", 10**18 + int(now_s * 1e9), 0)
        if number % 5_000 == 0:
            until(lambda: writer._scribe._offered - writer._scribe._settled < 5_000)
    writer.finish("complete", 10**18 + DAY_S * 10**9)
    assert writer.close(60.0)
    assert not writer.unwritten
    return writer.folder


def long_cycle(folder: Path) -> None:
    """Time to open a day's cycle, and to make its report."""
    for rate_hz in (1.0, RATE_HZ):
        cycle = day_cycle(folder / f"day-{rate_hz:g}", rate_hz)
        begun_s = time.perf_counter()
        cycle_lines(cycle, Degrees())
        opened_s = time.perf_counter() - begun_s
        begun_s = time.perf_counter()
        write_report(cycle)
        report_s = time.perf_counter() - begun_s
        name = f"24 h cycle at {rate_hz:g} reading/s: open, report"
        met = opened_s + report_s < 3
        say(name, f"{opened_s:.2f} s, {report_s:.2f} s", "< 3 s", met)


def many_cycles(folder: Path) -> None:
    """Time to list a thousand cycles."""
    header = CycleHeader("bench", True, "none", "none", "none", load("dark"), 10**18, 1.0, "bench")
    writer = CycleWriter(folder / "one", header)
    writer.finish("complete", 10**18)
    assert writer.close(10.0)
    for number in range(CYCLES):
        shutil.copytree(writer.folder, folder / "many" / f"{number:04d}")
    begun_s = time.perf_counter()
    found = record.list_cycles(folder / "many")
    took_s = time.perf_counter() - begun_s
    assert len(found) == CYCLES
    say(f"list {CYCLES} cycles", f"{took_s * 1000:.0f} ms", "< 500 ms", took_s < 0.5)


def main() -> None:
    """Measure, print."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--kills", type=int, default=200)
    parser.add_argument("--only", default="")
    arguments = parser.parse_args()
    measures: dict[str, Callable[[Path], None]] = {
        "screen": screen_cost,
        "stop": stop_delay,
        "keeper": keeper_cost,
        "day": long_cycle,
        "list": many_cycles,
        "kills": lambda folder: kills(folder, arguments.kills),
    }
    with tempfile.TemporaryDirectory(prefix="glossbath-bench-") as name:
        os.environ["GLOSSBATH_RUN"] = str(Path(name) / "run")
        for word, measure in measures.items():
            if arguments.only in ("", word):
                folder = Path(name) / word
                folder.mkdir()
                measure(folder)


if __name__ == "__main__":
    main()
