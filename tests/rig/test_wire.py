"""The cable where there is no pseudo-terminal: the same firmware and link over a TCP socket."""

from __future__ import annotations

from pathlib import Path

from hand_clock import HandClock
from patience import until

from glossbath.board.link import Link
from glossbath.virtual.virtual import Options, VirtualRig
from glossbath.virtual.wire import SocketWire


def _listen(rig: VirtualRig, wire: SocketWire, link: Link, seconds: float) -> list[dict]:
    heard: list[dict] = []
    end_ms = rig.now_ms + round(seconds * 1000)
    while rig.now_ms < end_ms:
        rig.step()
        link.caught_up(wire.sent)
        heard += link.drain()
    return heard


def test_board_answers_over_a_socket_and_again_after_unplugging(tmp_path: Path) -> None:
    wire = SocketWire()
    rig = VirtualRig(tmp_path, wire, Options())
    link = Link(wire.port, HandClock(wire.opened))
    try:
        assert wire.port.startswith("socket://127.0.0.1:")
        assert link.open()
        assert [message["k"] for message in _listen(rig, wire, link, 5)].count("r") >= 4
        link.send({"k": "hello", "h": 1, "i": 1})
        assert link.written() > 0
        assert "hello" in {message["k"] for message in _listen(rig, wire, link, 3)}
        wire.unplug()
        link.caught_up(10**9)  # returns when the line is gone
        assert not link.connected
        wire.plug()
        # The port's owner ends in its own time; a keeper too tries again in its next step.
        until(link.open)
        assert _listen(rig, wire, link, 3)
    finally:
        link.close()
        rig.close()
