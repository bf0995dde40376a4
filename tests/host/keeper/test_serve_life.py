"""When a keeper's process ends: by the computer's clock, which the test moves."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from glossbath.keeper import serve


@pytest.fixture
def now(monkeypatch: pytest.MonkeyPatch) -> list[float]:
    """The clock's time, in the first place of a list."""
    time_s = [1_000.0]
    monkeypatch.setattr(serve.time, "monotonic", lambda: time_s[0])
    return time_s


def life(stay: bool = False, **keeper: Any) -> tuple[Any, Any, Any]:
    made = SimpleNamespace(over=False, failure="", met=True, running=False, **keeper)
    server = SimpleNamespace(clients=0)
    return made, server, serve._Life(made, server, stay)


def test_a_keeper_that_never_met_its_board_ends_though_somebody_looks_on(
    now: list[float],
) -> None:
    keeper, server, lives = life()
    keeper.met, server.clients = False, 1
    now[0] += serve.MEET_S - 1
    assert lives.why_end() == ""
    now[0] += 2
    assert lives.why_end() == serve.NEVER_MET
    keeper.met = True
    assert lives.why_end() == ""


def test_an_idle_keeper_ends_and_one_that_is_looked_at_stays(now: list[float]) -> None:
    _, server, lives = life()
    server.clients = 1
    now[0] += 2 * serve.IDLE_S
    assert lives.why_end() == ""
    server.clients = 0
    now[0] += serve.IDLE_S + 1
    assert lives.why_end() == "idle"


def test_a_keeper_that_was_told_to_stay_stays(now: list[float]) -> None:
    keeper, _, lives = life(stay=True)
    keeper.met = False
    now[0] += 10 * serve.IDLE_S
    assert lives.why_end() == ""
