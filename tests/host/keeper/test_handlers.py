"""Whatever a client or a board may say, the keeper goes on and answers."""

from __future__ import annotations

import json
import tracemalloc
from pathlib import Path
from typing import Any

import msgspec
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from stand_in_board import Rig

from glossbath.client.messages import Reply, Request, request_from_line
from glossbath.keeper.keeper import MOST_REQUESTS
from glossbath.recipe import dump, load

OPS = (
    *("start", "stop", "hold", "resume", "step", "clear", "note", "ice", "test", "steer"),
    *("close", "acknowledge", "done", "edit", "tripped", "call_hook", "handle", "__init__"),
    *("trip", "take"),
)
_plain = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-(10**18), 10**18),
    st.floats(),
    st.text(max_size=20),
)
_values = st.dictionaries(
    st.sampled_from(
        [
            *("recipe", "where", "hold_s", "batch_kg", "lot", "note"),
            *("text", "kind", "result", "code", "kg"),
        ]
    )
    | st.text(max_size=8),
    st.recursive(_plain, lambda inner: st.lists(inner, max_size=3), max_leaves=4),
    max_size=5,
)
_settings = settings(
    max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None
)


@pytest.fixture
def rig(tmp_path: Path) -> Rig:
    return Rig(tmp_path / "cycles")


@given(op=st.sampled_from(OPS) | st.text(max_size=12), values=_values)
@_settings
def test_any_request_gets_an_answer_in_words(rig: Rig, op: str, values: dict[str, Any]) -> None:
    reply = rig.ask(op, **{"recipe": dump(load("dark")), **values}) if "op" not in values else None
    if reply is not None:
        assert reply.text
    if rig.keeper.batch is not None and rig.keeper.batch.running:
        rig.ask("stop")
    rig.keeper._alarms.clear()


@pytest.mark.parametrize(
    "values",
    [
        {"hold_s": "long"},
        {"hold_s": float("nan")},
        {"hold_s": -5},
        {"hold_s": [1]},
        {"batch_kg": float("nan")},
        {"batch_kg": "much"},
        {"batch_kg": 1e9},
        {"batch_kg": None},
        {"recipe": ""},
        {"recipe": 5},
        {"recipe": "phases = ["},
        {"lot": "x" * 10_000},
    ],
)
def test_a_bad_start_is_refused_in_one_sentence(rig: Rig, values: dict[str, Any]) -> None:
    reply = rig.ask("start", **{"recipe": dump(load("dark")), "batch_kg": 1.0, **values})
    assert not reply.ok
    assert reply.text.count("\n") == 0
    assert "Error(" not in reply.text
    assert rig.board.kinds("start") == 0


_board_keys = st.sampled_from(
    [
        *("k", "e", "t", "c", "w", "y", "u", "h", "x", "s", "m", "st", "ph", "pt", "d", "tr"),
        *("cy", "i", "ok", "v", "why", "at", "lo", "hi", "ms", "b", "eng", "id", "fw", "rig"),
        *("p", "o"),
    ]
)
_board_values = (
    _plain
    | st.sampled_from(["r", "e", "a", "s", "hello", "state", "trip", "running", "tripped"])
    | st.lists(st.integers(), max_size=3)
)


@given(messages=st.lists(st.dictionaries(_board_keys, _board_values, max_size=12), max_size=8))
@_settings
def test_no_message_of_a_board_ends_the_keeper(rig: Rig, messages: list[dict[str, Any]]) -> None:
    for message in messages:
        rig.board.say(json.loads(json.dumps(message, allow_nan=True)))
    rig.run(1)
    for message in rig.messages[-20:]:
        msgspec.json.encode(message)
    rig.messages.clear()


@given(line=st.binary(max_size=300) | st.text(max_size=200).map(str.encode))
def test_a_line_that_is_no_request_is_refused_by_its_own_error(line: bytes) -> None:
    try:
        request = request_from_line(line)
    except msgspec.DecodeError:
        return
    assert isinstance(request, Request)


def test_a_flood_of_requests_is_refused_and_kept_in_bounds(rig: Rig) -> None:
    answers: list[Reply] = []
    for number in range(5 * MOST_REQUESTS):
        rig.keeper.ask(Request(number, "note", {"text": "again"}), answers.append)
    assert len(answers) == 4 * MOST_REQUESTS
    assert not answers[0].ok
    rig.run(1)
    assert len(answers) == 5 * MOST_REQUESTS


def test_a_stop_goes_out_before_the_keeper_has_stepped(rig: Rig) -> None:
    before = rig.board.kinds("stop")
    rig.keeper.ask(Request(1, "stop", {}), lambda reply: None)
    assert rig.board.kinds("stop") == before + 1


def test_hours_of_readings_need_no_more_memory(rig: Rig) -> None:
    def hours(count: int) -> int:
        rig.run(count * 3600)
        rig.messages.clear()
        rig.board.sent.clear()
        return tracemalloc.get_traced_memory()[0]

    tracemalloc.start()
    try:
        first = hours(1)
        assert hours(1) - first < 200_000
    finally:
        tracemalloc.stop()


def test_a_stop_that_nobody_can_hear_says_what_to_do(
    rig: Rig, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert rig.start().ok
    monkeypatch.setattr(rig.board, "open", lambda: False)
    rig.board.connected = False
    reply = rig.ask("stop")
    assert not reply.ok
    assert "press the stop button at the rig" in reply.text
    before = rig.board.kinds("stop")
    monkeypatch.undo()
    rig.run(3)
    assert rig.board.kinds("stop") > before  # it was not forgotten


def test_a_board_of_another_protocol_is_refused_in_words(rig: Rig) -> None:
    rig.board.boot += 1
    rig.board.say(
        {"k": "hello", "v": 99, "fw": "9.9.9", "eng": "stand-in", "id": "00", "rig": "virtual"}
    )
    rig.run(3)
    refused = rig.start()
    assert not refused.ok
    assert "9.9.9" in refused.text and "version 99 of the protocol" in refused.text
    assert "glossbath install" in refused.text
    assert rig.board.kinds("plan") == rig.board.kinds("start") == 0


@pytest.mark.parametrize(
    "message",
    [
        {"k": "e", "e": "trip", "tr": "{0.__class__}", "d": "{detail}"},
        {"k": "e", "e": "trip", "tr": "\ud800", "d": "\ud800"},
        {"k": "e", "e": "also", "tr": "{word}{"},
        {"k": "e", "e": "ended", "tr": "}\x1b[2J"},
        {"k": "e", "e": "state", "st": "tripped", "ph": 0, "cy": "\udfff"},
        {"k": "hello", "v": 1, "eng": "\ud800{", "id": "\x1b[2J", "rig": "virtual", "fw": "{}"},
    ],
)
def test_what_a_board_says_in_words_is_data(rig: Rig, message: dict[str, Any]) -> None:
    assert rig.start().ok
    rig.board.say(message)
    rig.run(1)
    rig.board.values.update(st="tripped", tr="{x.y}", h=0)
    rig.run(5)
    assert rig.keeper.failure == ""
    assert rig.result
    for sent in rig.messages:
        assert b"\x1b" not in msgspec.json.encode(sent)
