"""A keeper to talk to, and an app before it, for every test of the screens."""

from __future__ import annotations

import contextlib
import time
import uuid
from collections.abc import AsyncIterator, Iterator
from pathlib import Path

import pytest

from glossbath.client.client import KeeperClient
from glossbath.client.messages import Message
from glossbath.tui.app import GlossbathApp
from glossbath.view.choices import Choices

from ..record.sample import record
from .fake_keeper import TRIP, FakeKeeper, reading, snapshot
from .hand import SMALL, Clock, Hand, Open


@pytest.fixture
def keeper(tmp_path: Path) -> Iterator[FakeKeeper]:
    """A keeper whose rig is in the cool phase."""
    fake = FakeKeeper(tmp_path / "k", [snapshot(), reading()])
    yield fake
    fake.close()


@pytest.fixture
def opened(keeper: FakeKeeper) -> Open:
    """Opens the app before a keeper that says `messages` first."""

    @contextlib.asynccontextmanager
    async def open_app(
        *messages: Message, size: tuple[int, int] = SMALL, fahrenheit: bool = False
    ) -> AsyncIterator[Hand]:
        if messages:
            keeper.greeting = list(messages)
        clock = Clock()
        app = GlossbathApp(
            lambda: KeeperClient(keeper.path), choices=Choices(fahrenheit), clock=clock
        )
        async with app.run_test(size=size) as pilot:
            hand = Hand(app, pilot, clock)
            await hand.until(lambda: app.view.snapshot is not None)
            yield hand

    return open_app


@pytest.fixture
def same_place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """The same rigs, cycles and recipes under the same short names in every run."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("GLOSSBATH_RUN", "run")
    monkeypatch.setenv("GLOSSBATH_CYCLES", "cycles")
    monkeypatch.setenv("GLOSSBATH_RECIPES", "recipes")
    monkeypatch.setenv("TZ", "UTC")
    time.tzset()
    monkeypatch.setattr(uuid, "uuid4", lambda: uuid.UUID(int=0xC0C0A << 108))
    record(Path("cycles"))
    yield
    monkeypatch.undo()
    time.tzset()


@pytest.fixture
def left(same_place: None) -> Iterator[FakeKeeper]:
    """A keeper of a rig that the overview finds."""
    Path("run").mkdir()
    fake = FakeKeeper(Path("run/left.keeper"), [snapshot(rig="left", alarms=[TRIP]), reading()])
    yield fake
    fake.close()
