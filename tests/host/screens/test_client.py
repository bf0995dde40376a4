"""The keeper's client against a real socket."""

from __future__ import annotations

import socket
from pathlib import Path

import pytest
from patience import PATIENCE_S

from glossbath.client import client as client_module
from glossbath.client.client import Handoff, KeeperClient
from glossbath.client.messages import Event, Reading, Reply, Snapshot, to_line
from glossbath.errors import KeeperError

from .fake_keeper import TRIP, FakeKeeper, event, reading, snapshot

LONG_S = PATIENCE_S


def received(client: KeeperClient, kind: type) -> object:
    """The first message of a kind, waiting for it."""
    while client.wait(LONG_S):
        for message in client.drain():
            if isinstance(message, kind):
                return message
        assert not client.closed, client.closed_reason
    raise AssertionError(f"no {kind.__name__} came")


def test_the_snapshot_comes_first(keeper: FakeKeeper) -> None:
    with KeeperClient(keeper.path) as client:
        assert client.wait(LONG_S)
        first = client.drain()[0]
    assert isinstance(first, Snapshot)
    assert first.rig == "Kitchen rig"


def test_no_keeper_is_told_in_one_sentence(tmp_path: Path) -> None:
    with pytest.raises(KeeperError, match=r"No keeper is running at .*; start a cycle first\.$"):
        KeeperClient(tmp_path / "none")


def test_a_socket_nobody_listens_on_is_told(tmp_path: Path) -> None:
    path = tmp_path / "dead"
    with socket.socket(socket.AF_UNIX) as dead:
        dead.bind(str(path))
    with pytest.raises(KeeperError, match="has ended without tidying up; start it again"):
        KeeperClient(path)


def test_a_path_too_long_for_a_socket_is_told(tmp_path: Path) -> None:
    with pytest.raises(KeeperError, match=r"cannot be reached: .*too long"):
        KeeperClient(tmp_path / ("x" * 120))


def test_a_request_gives_its_own_reply(keeper: FakeKeeper) -> None:
    with KeeperClient(keeper.path) as client:
        reply = client.request("note", text="tasted")
        asked = keeper.asked()
        assert (asked.op, asked.values) == ("note", {"text": "tasted"})
        assert (reply.id, reply.ok, reply.text) == (asked.id, True, "note was done.")
        assert not any(isinstance(message, Reply) for message in client.drain())


def test_a_refusal_is_a_reply_not_an_error(keeper: FakeKeeper) -> None:
    keeper.refusal = "Another screen steers."
    with KeeperClient(keeper.path) as client:
        reply = client.request("hold")
    assert not reply.ok
    assert reply.text == "Another screen steers."


def test_a_request_without_an_answer_says_so(keeper: FakeKeeper) -> None:
    keeper.answers = False
    with (
        KeeperClient(keeper.path) as client,
        pytest.raises(KeeperError, match=r"no answer to 'hold' within 0\.05 s.*look at the rig"),
    ):
        client.request("hold", timeout_s=0.05)


def test_a_request_ends_when_the_keeper_hangs_up(keeper: FakeKeeper) -> None:
    keeper.hangs_up_on = "hold"
    with (
        KeeperClient(keeper.path) as client,
        pytest.raises(KeeperError, match=r"No answer to 'hold': .*ended or hung up"),
    ):
        client.request("hold", timeout_s=60.0)


def test_a_posted_order_needs_nobody_to_drain(keeper: FakeKeeper) -> None:
    with KeeperClient(keeper.path) as client:
        number = client.post("stop")
        assert keeper.asked().op == "stop"
        reply = received(client, Reply)
        assert isinstance(reply, Reply)
        assert reply.id == number


def test_a_hang_up_still_gives_what_came_before(keeper: FakeKeeper) -> None:
    with KeeperClient(keeper.path) as client:
        received(client, Snapshot)
        keeper.say(event("trip", "The bath went above 60.0 °C."))
        keeper.hang_up()
        while not client.closed:
            client.wait(LONG_S)
        assert any(isinstance(message, Event) for message in client.drain())
        assert client.closed_reason.endswith("has ended or hung up.")
        with pytest.raises(KeeperError, match="'stop' was not sent"):
            client.post("stop")


def test_lines_may_come_in_pieces_and_strange_ones_are_passed_over(keeper: FakeKeeper) -> None:
    with KeeperClient(keeper.path) as client:
        received(client, Snapshot)
        line = to_line(event("note", "tasted"))
        keeper.say_bytes(b'{"type":"later"}\n\xff\xfe\n\n' + line[:9])
        keeper.say_bytes(line[9:])
        got = received(client, Event)
        assert isinstance(got, Event)
        assert got.text == "tasted"
        assert client.bad_lines == 3


def test_endless_bytes_without_a_line_end_the_connection(
    keeper: FakeKeeper, monkeypatch: pytest.MonkeyPatch
) -> None:
    with KeeperClient(keeper.path) as client:
        received(client, Snapshot)
        monkeypatch.setattr(client_module, "LONGEST_LINE", 1000)
        keeper.say_bytes(b"x" * 2000)
        while not client.closed:
            client.wait(LONG_S)
        assert "does not speak as a keeper does" in client.closed_reason


def test_a_keeper_that_reads_nothing_does_not_hold_a_screen_for_long(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(client_module, "SEND_TIMEOUT_S", 0.05)
    with socket.socket(socket.AF_UNIX) as deaf:
        deaf.bind(str(tmp_path / "deaf"))
        deaf.listen()
        with KeeperClient(tmp_path / "deaf") as client:
            with pytest.raises(KeeperError, match=r"'note' was not sent: .*took no order"):
                for _ in range(100):
                    client.post("note", text="x" * 100_000)
            assert client.closed


def test_leaving_the_block_ends_the_reader(keeper: FakeKeeper) -> None:
    with KeeperClient(keeper.path) as client:
        received(client, Snapshot)
    assert client.closed
    assert not client._reader.is_alive()


def test_the_hand_off_gives_up_only_the_oldest_readings() -> None:
    handoff = Handoff(keep_readings=100)
    for second in range(5000):
        handoff.put(reading(float(second)))
        if second % 500 == 0:
            handoff.put(event("note", f"at {second}", float(second)))
            handoff.put(TRIP)
            handoff.put(Reply(second, True, ""))
            handoff.put(snapshot(history=[]))
    taken = handoff.take_all()
    times = [message.time_s for message in taken if isinstance(message, Reading)]
    assert times == [float(second) for second in range(4900, 5000)]
    assert len(taken) == 100 + 4 * 10
    assert handoff.readings_dropped == 4900
    assert handoff.take_all() == []


def test_the_hand_off_keeps_the_order() -> None:
    handoff = Handoff(keep_readings=10)
    sent = [reading(1.0), event("note", "a", 1.0), reading(2.0), event("note", "b", 2.0)]
    for message in sent:
        handoff.put(message)
    assert handoff.take_all() == sent
