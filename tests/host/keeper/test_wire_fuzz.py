"""Well-formed messages of a board with every field replaced by every kind of value: no exception
leaves a step, and what is told can be encoded."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import msgspec
import pytest
from stand_in_board import Rig

from glossbath.client.messages import Reply, Request
from glossbath.recipe import dump, load
from glossbath_board.frame import Decoder, encode

READING = {
    "k": "r",
    "t": 50_000,
    "c": 44_000,
    "w": 45_000,
    "y": 47_000,
    "u": 45_000,
    "m": 300,
    "h": 100,
    "x": 0,
    "s": 500,
    "st": "running",
    "ph": 0,
    "pt": 1_000,
    "d": 0,
    "tr": "",
}
MESSAGES: dict[str, dict[str, Any]] = {
    "hello": {"k": "hello", "v": 1, "fw": "1", "eng": "e", "id": "00", "brd": "b", "rig": "real"},
    "reading": READING,
    "state": {"k": "e", "e": "state", "st": "running", "ph": 1, "cy": "x"},
    "trip": {"k": "e", "e": "trip", "tr": "bath-hot", "d": "60500", "t": 5},
    "also": {"k": "e", "e": "also", "tr": "bath-hot"},
    "ended": {"k": "e", "e": "ended", "tr": "arm"},
    "alone": {"k": "e", "e": "alone", "ms": 5_000},
    "flash": {"k": "e", "e": "flash"},
    "health": {"k": "s", "p": 1, "o": 0, "rt": 22_000, "rh": 50_000, "l": 5, "f": 9},
    "answer": {"k": "a", "i": 1, "ok": 1, "v": "stopped"},
    "refusal": {"k": "a", "i": 1, "ok": 0, "why": "range", "at": "x", "lo": 0, "hi": 1, "d": "9"},
}
VALUES: dict[str, Any] = {
    "none": None,
    "true": True,
    "minus": -1,
    "half": 0.5,
    "nan": float("nan"),
    "infinite": float("inf"),
    "1e308": 1e308,
    "2**40": 2**40,
    "2**80": 2**80,
    "empty": "",
    "braces": "{0.__class__}{",
    "surrogate": "\ud800",
    "escape": "\x1b[2J",
    "superscript": "\u00b2",
    "two signs": "--5",
    "long": "x" * 10_000,
    "list": [1, [2]],
    "object": {"k": {"k": 1}},
    "running": "running",
    "tripped": "tripped",
}


def _replaced(message: dict[str, Any]) -> Iterator[dict[str, Any]]:
    for key in message:
        yield {k: v for k, v in message.items() if k != key}
        for value in VALUES.values():
            yield message | {key: value}


@pytest.mark.parametrize("name", list(MESSAGES))
@pytest.mark.parametrize("begun", [False, True])
def test_no_field_of_a_message_ends_a_step(tmp_path: Path, name: str, begun: bool) -> None:
    rig = Rig(tmp_path / "cycles")
    if begun:
        assert rig.start().ok
    for message in _replaced(MESSAGES[name]):
        if name in ("answer", "refusal") and message.get("i") == 1:
            message["i"] = rig.board.sent[-1].get("i")  # as if it were to the newest order
        rig.board.say(message)
        rig.run(0.25)
        assert rig.keeper.failure == "", message
    rig.run(2)
    for told in rig.messages:
        text = msgspec.json.encode(told)
        assert b"\x1b" not in text and len(text) < 500_000
    if not begun:
        rig.ask("stop")


def test_every_such_message_that_fits_a_frame_passes_the_decoder() -> None:
    decoder, number = Decoder("b"), 0
    for message in MESSAGES.values():
        for changed in _replaced(message):
            number += 1
            try:
                line = encode({**changed, "b": 5, "n": number})
            except Exception:
                continue  # too long, or no JSON: it cannot have come over the wire
            decoder.feed(line)
    assert decoder.good > 1_000


@pytest.mark.parametrize("op", ["start", "hold", "step", "clear"])
def test_no_answer_to_an_order_ends_a_step(tmp_path: Path, op: str) -> None:
    rig = Rig(tmp_path / "cycles")
    if op in ("hold", "step"):
        assert rig.start().ok
    values: dict[str, Any] = {}
    if op == "start":
        values = {"recipe": dump(load("dark")), "where": "dark", "batch_kg": 1.0}
    for message in _replaced(MESSAGES["refusal"]):
        rig.board.answering = False
        answers: list[Reply] = []
        rig.keeper.ask(Request(1, op, values), answers.append)
        rig.run(0.5)
        orders = [sent for sent in rig.board.sent if sent["k"] not in ("lease", "stop", "hello")]
        rig.board.say(message | {"i": orders[-1]["i"]})
        rig.board.answering = True
        rig.run(0.5)
        assert rig.keeper.failure == "", message
        for answer in answers:
            assert b"\\u001b" not in msgspec.json.encode(answer)
        rig.keeper._session.drop("test")
        rig.board.sent.clear()
        if op == "start" and rig.keeper.running:
            assert rig.ask("stop").ok  # the board took this one
