"""What the screens cost, and how soon a stop leaves: pytest tests/bench/test_screens.py -s"""

from __future__ import annotations

import queue
import statistics
import time
from pathlib import Path

import pytest

from glossbath.client import KeeperClient
from glossbath.state import Request
from glossbath.tui.app import GlossbathApp

from ..host.screens.fake_keeper import FakeKeeper, reading, snapshot

STOP_LIMIT_MS = 100.0  # from the key to the keeper, while a burst of readings is being drawn
BURST = 300


class Stamped(queue.Queue[Request]):
    """Remembers when the keeper had read its newest request."""

    read_s = 0.0

    def put(self, item: Request, block: bool = True, timeout: float | None = None) -> None:
        self.read_s = time.perf_counter()
        super().put(item, block, timeout)


@pytest.mark.parametrize("size", [(80, 24), (140, 40), (200, 60)])
async def test_screen(tmp_path: Path, size: tuple[int, int]) -> None:
    keeper = FakeKeeper(tmp_path / "k", [snapshot(), reading()])
    keeper.requests = stamped = Stamped()
    seconds = [1000.0]
    app = GlossbathApp(lambda: KeeperClient(keeper.path), clock=lambda: seconds[0])
    draws_ms, stops_ms = [], []
    async with app.run_test(size=size) as pilot:
        for burst in range(20):
            first_s = 2531.0 + burst * BURST
            keeper.say(*(reading(first_s + i, 30.0 + i % 2) for i in range(BURST)))
            seconds[0] += 1.0  # so that the trend is due as well
            begun_s = time.perf_counter()
            app.call_later(app.pump)
            app.simulate_key("s")
            await pilot.pause()
            draws_ms.append((time.perf_counter() - begun_s) * 1000)
            assert keeper.asked().op == "stop"
            stops_ms.append((stamped.read_s - begun_s) * 1000)
    keeper.close()
    print(
        f"\n{size[0]}x{size[1]}: take {BURST} readings, stop and draw: "
        f"median {statistics.median(draws_ms):.0f} ms, worst {max(draws_ms):.0f} ms; "
        f"stop key to keeper: median {statistics.median(stops_ms):.1f} ms, "
        f"worst {max(stops_ms):.1f} ms"
    )
    assert max(stops_ms) < STOP_LIMIT_MS
