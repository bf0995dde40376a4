"""Plain lines: only added to, readable by anything."""

from __future__ import annotations

import io

import pytest
from patience import PATIENCE_S

from glossbath.cli.plain import PlainLines, follow_plain
from glossbath.client.client import KeeperClient
from glossbath.client.messages import Message, Snapshot
from glossbath.errors import KeeperError

from .fake_keeper import TRIP, FakeKeeper, event, reading, snapshot

END = snapshot(state="complete", result="complete")


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def followed(
    keeper: FakeKeeper,
    *messages: Message,
    out: io.StringIO | None = None,
    ascii_only: bool = False,
    fahrenheit: bool = False,
    every_s: float = 60.0,
) -> tuple[list[str], Snapshot]:
    """The lines of a keeper that says these messages and then the end."""
    keeper.greeting = [*messages, END]
    out = out or io.StringIO()
    with KeeperClient(keeper.path) as client:
        last = follow_plain(client, out, ascii_only, fahrenheit, every_s)
    return out.getvalue().splitlines(), last


def test_a_cycle_from_first_to_last_line(keeper: FakeKeeper) -> None:
    lines, last = followed(
        keeper,
        snapshot(history=[], request="Press the arm button."),
        reading(),
        event("phase", "Reheat began.", 2540.0),
        TRIP,
    )
    assert last == END
    assert lines[0] == (
        "-:--:--  rig      VIRTUAL RIG Kitchen rig; Dark 60 %; lot 12; virtual Pico"
    )
    assert lines[2] == "-:--:--  please   Press the arm button."
    assert lines[3] == (
        "0:42:10  cool     chocolate 31.4 °C; target 28.5 °C, window 28.0 to 29.0; "
        "2.4 °C above the window; bath 24.1 °C; heat 0 %, chill 100 %, stir 80 %; "
        "cool about 8 min more"
    )
    assert lines[4] == "0:42:20  phase    Reheat began."
    assert lines[5].startswith("0:42:10  ALARM    HIGH latched: The bath went above 60.0 °C. Heat")
    assert lines[5].endswith("Do now: " + TRIP.do_now)
    assert lines[-1].startswith("0:42:10  ended    The cycle is complete: heat is off.")


def test_a_reading_line_has_the_time_left_from_low_to_high_or_why_it_has_none(
    keeper: FakeKeeper,
) -> None:
    blank = {"phase_left_s": None, "left_unknown": "a probe fails"}
    messages = (reading(60.0, phase_range_s=(360.0, 720.0)), reading(120.0, **blank))
    lines, _ = followed(keeper, snapshot(history=[]), *messages, every_s=60.0)
    told = [line for line in lines if "chocolate" in line]
    assert told[0].endswith("; cool 6 to 12 min more")
    assert told[1].endswith("; the time left is not known: a probe fails")


def test_a_reading_line_every_so_many_seconds_of_the_cycle(keeper: FakeKeeper) -> None:
    readings = [reading(float(second)) for second in range(601)]
    lines, _ = followed(keeper, snapshot(history=[]), *readings, every_s=120.0)
    assert [line[:7] for line in lines if "chocolate" in line] == [
        "0:00:00",
        "0:02:00",
        "0:04:00",
        "0:06:00",
        "0:08:00",
        "0:10:00",
    ]


def test_a_new_cycle_has_its_first_reading_at_once(keeper: FakeKeeper) -> None:
    lines, _ = followed(keeper, snapshot(history=[]), reading(900.0), reading(1.0))
    assert [line[:7] for line in lines if "chocolate" in line] == ["0:15:00", "0:00:01"]


def test_ascii_and_fahrenheit(keeper: FakeKeeper) -> None:
    note = event("note", "Tasted — crème, 2 × 50 g…")
    lines, _ = followed(
        keeper, snapshot(history=[]), reading(), note, ascii_only=True, fahrenheit=True
    )
    assert all(line.isascii() for line in lines)
    assert "chocolate 88.5 deg F; target 83.3 deg F, window 82.4 to 84.2" in "\n".join(lines)
    assert "Tasted - cr?me, 2 x 50 g..." in "\n".join(lines)


def test_a_fault_is_told_in_words(keeper: FakeKeeper) -> None:
    broken = reading(chocolate_c=None, faults={"chocolate": "open"})
    lines, _ = followed(keeper, snapshot(history=[]), broken)
    assert "chocolate --.- °C" in lines[2]
    assert "chocolate probe its sensor wire is broken or loose" in lines[2]


def test_foreign_text_cannot_move_the_cursor(keeper: FakeKeeper) -> None:
    lines, _ = followed(keeper, snapshot(history=[]), event("note", "a\r\n\x1b[2Jb"))
    assert any(line.endswith("note     a [2Jb") for line in lines)


def test_the_bell_rings_on_a_trip_and_only_on_a_terminal(keeper: FakeKeeper) -> None:
    trip = event("trip", "The bath went above 60.0 °C.")
    terminal = Terminal()
    followed(keeper, snapshot(history=[]), reading(), trip, out=terminal)
    assert terminal.getvalue().count("\a") == 1
    pipe = io.StringIO()
    followed(keeper, snapshot(history=[]), reading(), trip, out=pipe)
    assert "\a" not in pipe.getvalue()


def test_a_keeper_that_goes_before_the_end_is_an_error(keeper: FakeKeeper) -> None:
    out = io.StringIO()
    with KeeperClient(keeper.path) as client:
        client.wait(PATIENCE_S)
        keeper.hang_up()
        with pytest.raises(KeeperError, match="had not ended; look at the rig"):
            follow_plain(client, out)
    assert "VIRTUAL RIG" in out.getvalue()


def test_state_and_request_are_told_when_they_change_only() -> None:
    out = io.StringIO()
    lines = PlainLines(out, ascii_only=False, fahrenheit=False, every_s=60.0)
    for _ in range(3):
        lines.write_message(snapshot(history=[]))
    lines.write_message(snapshot(history=[], state="held"))
    assert [line[9:] for line in out.getvalue().splitlines()[1:]] == [
        "running  The board has begun the recipe.",
        "held     Held by hand: the recipe waits where it is.",
    ]
