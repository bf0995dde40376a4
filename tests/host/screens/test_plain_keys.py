"""Letters typed while plain lines come: what they ask of the keeper, and what is answered."""

from __future__ import annotations

import io

import pytest

from glossbath.cli.plain import PlainLines
from glossbath.cli.plain_keys import HELP, PlainKeys
from glossbath.client.client import KeeperClient

from .fake_keeper import FakeKeeper, reading, snapshot

HOLD = (snapshot(), reading(2530.0, 30.6, phase="hold", phase_index=4, target_c=30.5))


class Typed:
    """What a person typed, line by line."""

    def __init__(self, *lines: str) -> None:
        self._lines = list(lines)

    def __call__(self, longest_s: float | None) -> str | None:
        return self._lines.pop(0) if self._lines else None


def typed(keeper: FakeKeeper, *lines: str) -> tuple[PlainKeys, str]:
    """The keys after these lines, and what was written."""
    out = io.StringIO()
    plain = PlainLines(out, ascii_only=False, fahrenheit=False, every_s=60.0)
    for message in HOLD:
        plain.write_message(message)
    before = len(out.getvalue())
    with KeeperClient(keeper.path) as client:
        keys = PlainKeys(client, plain.view, Typed(*lines), plain.say, out)
        keys.answer()
    return keys, out.getvalue()[before:]


@pytest.mark.parametrize(
    ("line", "op", "values"),
    [
        ("s", "stop", {}),
        ("S", "stop", {}),
        ("h", "hold", {}),
        ("n tasted, good", "note", {"text": "tasted, good"}),
        ("p", "step", {}),
        ("a", "acknowledge", {}),
        ("c", "clear", {}),
        ("b", "finish", {}),
        ("b 0,8", "finish", {"worked_kg": 0.8}),
    ],
)
def test_a_letter_is_an_order_and_its_answer_a_line(
    keeper: FakeKeeper, line: str, op: str, values: dict[str, object]
) -> None:
    _, said = typed(keeper, line)
    asked = keeper.asked()
    assert (asked.op, asked.values) == (op, values)
    assert f"answer   {op} was done." in said


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("n", "Type n and the words"),
        ("b much", "'much' is not a number"),
        ("?", HELP),
        ("x", HELP),
    ],
)
def test_what_is_not_meant_sends_nothing(keeper: FakeKeeper, line: str, said: str) -> None:
    _, told = typed(keeper, line)
    assert said in told
    assert keeper.requests.empty()


def test_q_leaves_and_the_cycle_goes_on(keeper: FakeKeeper) -> None:
    keys, _ = typed(keeper, "q")
    assert keys.left
    assert keeper.requests.empty()


def test_an_empty_line_says_nothing(keeper: FakeKeeper) -> None:
    assert typed(keeper, "", "  ")[1] == ""


def test_a_dip_test_goes_into_the_record(keeper: FakeKeeper) -> None:
    typed(keeper, "t", "", "", "n", "n")
    asked = keeper.asked()
    assert (asked.op, asked.values["kind"]) == ("test", "dip")
    assert asked.values["room_c"] == 21.5
