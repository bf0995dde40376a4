"""The virtual kitchen's hand adds seed when a keeper asks for it, and only then."""

from __future__ import annotations

import contextlib
import socket
import threading
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from patience import PATIENCE_S

from glossbath.cli.virtual_hand import helping
from glossbath.client.messages import Event, Snapshot, to_line
from glossbath.errors import InputError
from glossbath.virtual.hands import obey
from glossbath.virtual.virtual import Options, VirtualRig
from glossbath.virtual.wire import SocketWire


@contextlib.contextmanager
def _keeper(path: Path) -> Iterator[Callable[[bytes], None]]:
    """A socket that one client may connect to; gives what sends to it."""
    with socket.socket(socket.AF_UNIX) as server:
        server.bind(str(path))
        server.listen()
        clients: list[socket.socket] = []
        here = threading.Event()

        def take() -> None:
            clients.append(server.accept()[0])
            here.set()

        threading.Thread(target=take, daemon=True).start()

        def say(line: bytes) -> None:
            assert here.wait(PATIENCE_S)
            clients[0].sendall(line)

        yield say
        for client in clients:
            client.close()


def test_words_become_seed_in_the_bowl(tmp_path: Path) -> None:
    begin = {"chocolate_c": 33.0, "stable_share": 0.0}
    rig = VirtualRig(tmp_path, SocketWire(), Options(begin=begin, micropython=False))
    try:
        obey(rig, "seed 60")
        assert rig.plant.chocolate_kg == pytest.approx(1.06)
        # By the method of mixtures, 1 kg of 33 °C and 0.06 kg of 24 °C: 32.49 °C.
        assert rig.plant.chocolate_c == pytest.approx((33.0 + 0.06 * 24.0) / 1.06, abs=0.01)
        assert rig.plant.stable_share > 0.05
        with pytest.raises(InputError):
            obey(rig, "seed a lot")
    finally:
        rig.close()


def test_the_hand_stirs_in_what_is_asked_for(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("GLOSSBATH_RUN", str(tmp_path))
    orders: list[str] = []
    stirred = threading.Event()

    def order(words: str) -> None:
        orders.append(words)
        stirred.set()

    with _keeper(tmp_path / "virtual-x.keeper") as say, helping("virtual-x", order):
        say(to_line(Snapshot("virtual-x", True, "", "", "", "running")))
        say(to_line(Event(1.0, "", "test", "seed", "The seed is in.", {"grams": 60.0})))
        say(to_line(Event(2.0, "", "order", "seed", "Add it now.", {"grams": 12.5})))
        assert stirred.wait(PATIENCE_S)
    assert orders == ["seed 12.5"]


def test_without_a_keeper_there_is_nothing_to_do(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("GLOSSBATH_RUN", str(tmp_path))
    with helping("nobody", lambda words: None):
        pass
