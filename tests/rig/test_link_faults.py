"""What happens to a cycle when the cable, the computer or another program misbehaves."""

from __future__ import annotations

import random
from pathlib import Path

import pytest
from world import World, world

from glossbath_board import limits
from glossbath_board.frame import Decoder, encode

LEASE_S = limits.LEASE_MS / 1000


def _alone(rig: World, seconds: float) -> list[dict]:
    """The board's frames while no keeper listens."""
    seen = bytearray()
    rig.wire.to_host = lambda data: (seen.extend(data), data)[1]
    rig.keeper_alive = False
    rig.run(seconds)
    return Decoder("b").feed(bytes(seen))


def test_unplugged_for_three_seconds_is_survived_and_counted(tmp_path: Path) -> None:
    with world(tmp_path) as rig:
        rig.start_heating()
        rig.wire.unplug()
        rig.run(3)
        rig.wire.plug()
        rig.run(10)
        assert rig.state == "running"
        assert rig.rig.heat_share > 0 or rig.keeper.snapshot().alarms == []
        health = rig.keeper.snapshot().health
        assert health.reconnects == 1
        assert health.frames_lost > 0
        assert [event.code for event in rig.events("link")][-2:] == ["lost", "open"]


def test_unplugged_for_longer_than_the_lease_ends_safely(tmp_path: Path) -> None:
    with world(tmp_path) as rig:
        rig.start_heating()
        rig.wire.unplug()
        cold_after_s = rig.until(lambda: not rig.rig.pin("heat") and not rig.rig.pin("relay"), 20)
        rig.run(LEASE_S + 1 - cold_after_s)
        assert rig.rig.heat_share == 0
        rig.wire.plug()
        rig.until(lambda: rig.result == "tripped", 10)
        assert rig.alarms()[0].code == "lease"
        assert rig.alarms()[0].state == "latched"
        rig.run(60)
        assert rig.rig.heat_share == 0


def test_keeper_that_dies_ends_with_heat_off_within_the_lease(tmp_path: Path) -> None:
    with world(tmp_path) as rig:
        rig.start_heating()
        frames = _alone(rig, LEASE_S + 1.5)
        assert rig.rig.heat_share == 0
        assert frames[-1]["st"] == "tripped"
        assert {"lease"} == {frame["tr"] for frame in frames if frame.get("e") == "trip"}


def test_trip_outlives_a_power_cut_and_a_person_clears_it(tmp_path: Path) -> None:
    with world(tmp_path) as rig:
        rig.start_heating()
        _alone(rig, LEASE_S + 1.5)
        rig.rig.restart()
        rig.keeper_alive = True
        rig.run(5)
        assert rig.state == "tripped"
        assert not rig.start().ok
        assert rig.ask("clear").ok
        rig.run(2)
        assert rig.state == "idle"
        assert rig.start().ok


@pytest.mark.parametrize("seed", range(4))
def test_a_noisy_line_neither_stops_the_cycle_nor_fools_anybody(tmp_path: Path, seed: int) -> None:
    chance = random.Random(seed)

    def spoil(data: bytes) -> bytes:
        if chance.random() < 0.1 and data:
            at = chance.randrange(len(data))
            return data[:at] + bytes([chance.randrange(256)]) + data[at + 1 :]
        return data

    with world(tmp_path) as rig:
        rig.start_heating()
        rig.wire.to_host = spoil
        rig.wire.to_board = spoil
        rig.run(300)
        assert rig.state == "running"
        assert rig.keeper.snapshot().health.frames_bad > 0
        temperatures = [reading.chocolate_c for reading in rig.readings()]
        assert all(t is not None and 20 < t < 40 for t in temperatures[3:])


def test_control_bytes_and_other_programs_do_not_stop_the_pass(tmp_path: Path) -> None:
    with world(tmp_path) as rig:
        rig.start_heating()
        rig.wire.to_board = lambda data: b"\r\x03\x03\r\x01\x04AT\r\n" + data
        rig.run(30)
        assert rig.state == "running"
        assert rig.rig.resets == 0


BOOT = 7


def _answer_to(rig: World, order: dict) -> dict:
    """The board's answer to a frame written to the port by another program."""
    boot = _boot(rig)
    seen = bytearray()
    rig.wire.to_host = lambda data: (seen.extend(data), data)[1]
    line = encode({"h": 99, "i": 424242, "n": 1, "b": boot, **order})
    with open(rig.wire.port, "wb", buffering=0) as port:
        port.write(line)
    rig.run(3)
    answers = [frame for frame in Decoder("b").feed(bytes(seen)) if frame.get("i") == 424242]
    assert answers, "the board did not answer"
    return answers[-1]


def _boot(rig: World) -> int:
    seen = bytearray()
    rig.wire.to_host = lambda data: (seen.extend(data), data)[1]
    rig.run(3)
    return Decoder("b").feed(bytes(seen))[-1]["b"]


@pytest.mark.parametrize(
    ("order", "why"),
    [
        ({"k": "plan", "count": 5, "max": 99_000, "g": 1000}, "range"),
        ({"k": "plan", "count": 5, "max": 52_000, "g": -1}, "range"),
        ({"k": "plan", "count": 5, "max": "hot", "g": 1000}, "range"),
        ({"k": "start", "cycle": "x", "sum": "00000000"}, "no plan"),
        ({"k": "phase", "at": 0, "name": "melt", "v": [48_000] * 8}, "no plan"),
        ({"k": "heat", "on": 1}, "unknown order"),
        ({"k": "lease", "b": BOOT}, "boot"),
    ],
)
def test_board_refuses_a_raw_frame(tmp_path: Path, order: dict, why: str) -> None:
    with world(tmp_path) as rig:
        rig.run(3)
        answer = _answer_to(rig, order)
        assert answer["ok"] == 0
        assert answer["why"] == why
        assert rig.state == "idle"


def test_a_start_whose_answer_is_lost_is_not_said_to_have_failed(tmp_path: Path) -> None:
    # Told that nothing runs, a person would walk away from a bath that heats.
    with world(tmp_path, fast=True) as rig:
        rig.run(3)
        starts: list[int] = []
        lost: list[dict[str, object]] = []
        ordered, answered = Decoder("h"), Decoder()

        def listen(data: bytes) -> bytes:
            starts.extend(m["i"] for m in ordered.feed(data) if m["k"] == "start")
            return data

        def lose_first_answer(data: bytes) -> bytes:
            heard = [m for m in answered.feed(data) if m["k"] == "a" and m["i"] in starts]
            if not heard or lost:
                return data
            lost.extend(heard)
            return b""

        rig.wire.to_board, rig.wire.to_host = listen, lose_first_answer
        reply = rig.start()
        assert lost, "the answer to the start was not found"
        assert reply.ok, reply.text
        rig.until(lambda: rig.state == "running", 60)
