"""The words of each part of the screen, and that the important ones survive a small terminal."""

from __future__ import annotations

import msgspec
import pytest

from glossbath.client.messages import Health, Message
from glossbath.view import facts, panels
from glossbath.view.rig_view import RigView
from glossbath.words import Line

from .fake_keeper import TRIP, WARM_ROOM, event, reading, snapshot


def seen(*messages: Message, fahrenheit: bool = False) -> RigView:
    view = RigView(fahrenheit)
    view.fold(messages, 0.0)
    return view


def text(*lines: Line) -> str:
    return "\n".join("".join(piece for piece, _ in line) for line in lines)


@pytest.mark.parametrize("width", [80, 100, 140])
def test_header_fills_one_row_and_says_virtual(width: int) -> None:
    row = text(panels.header(seen(snapshot(), reading()), width))
    assert len(row) == width
    for words in ("VIRTUAL RIG", "Kitchen rig", "RUNNING", "0:42:10", "link good"):
        assert words in row


def test_a_long_name_gives_way_to_the_state() -> None:
    view = seen(snapshot(rig="A rig with a very long name " * 5), reading())
    row = text(panels.header(view, 80))
    assert len(row) == 80
    assert "VIRTUAL RIG" in row
    assert "RUNNING  0:42:10  link good" in row


def test_a_real_rig_is_not_called_virtual() -> None:
    assert "VIRTUAL" not in text(panels.header(seen(snapshot(virtual=False), reading()), 80))


@pytest.mark.parametrize(
    ("health", "words"),
    [
        (Health(connected=False), "BOARD SILENT"),
        (Health(connected=True, lease_ok=False), "HEAT LEASE OUT"),
        (Health(connected=True, lease_ok=True, log_ok=False), "NOT RECORDED"),
        (Health(connected=True, lease_ok=True), "link good"),
    ],
)
def test_link_words(health: Health, words: str) -> None:
    assert panels.link(seen(snapshot(health=health), reading()))[0] == words


def test_an_idle_board_needs_no_lease() -> None:
    view = seen(snapshot(state="idle", health=Health(connected=True)), reading(state="idle"))
    assert panels.link(view)[0] == "link good"


def test_a_lost_keeper_shows_in_every_part() -> None:
    view = seen(snapshot(), reading())
    view.lost = "gone"
    assert "was RUNNING" in text(panels.header(view, 80))
    assert "KEEPER GONE" in text(panels.header(view, 80))
    assert "LAST KNOWN" in text(panels.chocolate_label(view, 0.0))
    assert text(*panels.alarms(view, 78, 5)) == "Alarms are not known"


def test_a_missing_probe_stands_over_the_number() -> None:
    view = seen(snapshot(), reading(chocolate_c=None, faults={"chocolate": "open"}))
    assert "NO READING: probe open" in text(panels.chocolate_label(view, 0.0))


def test_an_old_reading_stands_over_the_number() -> None:
    view = seen(snapshot(), reading())
    assert text(panels.chocolate_label(view, 0.0)) == "CHOCOLATE °C"
    assert "OLD: 12 s ago" in text(panels.chocolate_label(view, 12.0))


@pytest.mark.parametrize(
    ("chocolate_c", "sign", "place"),
    [
        (10.0, "◀", 0),
        (27.99, "●", 8),
        (28.0, "●", 9),
        (28.5, "●", 11),
        (29.0, "●", 13),
        (29.01, "●", 14),
        (50.0, "▶", 22),
    ],
)
def test_strip(chocolate_c: float, sign: str, place: int) -> None:
    # 23 cells: 9 below, the window with its edges 5, 9 above.
    scale = panels.strip(seen(snapshot(), reading(chocolate_c=chocolate_c)), 33)
    assert scale.startswith("cold ")
    assert scale.endswith(" hot")
    cells = scale[5:-4]
    assert len(cells) == 23
    assert cells.index(sign) == place


def test_side_says_everything_at_80_columns() -> None:
    lines = panels.side(seen(snapshot(), reading()), 33, small=True)
    said = text(*lines)
    for words in (
        "Target 28.5 °C",
        "window 28.0–29.0",
        "2.4 °C above the window",
        "Bath 24.1 (to 22.0)",
        "Body 26.3",
        "Heat 0 %  Chill 100 %  Stir 80 %",
        "cool 12 min, about 8 min left",
        "Cycle about 35 min left",
    ):
        assert words in said
    assert len(lines) <= 8
    assert max(map(panels.length, lines)) <= 34


RANGES = {"phase_range_s": (3900.0, 7800.0), "cycle_range_s": (18600.0, 24000.0)}
UNKNOWN = {"phase_left_s": None, "cycle_left_s": None, "left_unknown": "a probe fails"}


def test_the_time_left_is_a_range_and_fits_beside_the_digits() -> None:
    lines = panels.side(seen(snapshot(), reading(**RANGES)), 33, small=True)
    assert "cool 12 min, 1:05–2:10 h left" in text(*lines)
    assert "Cycle 5:10–6:40 h left" in text(*lines)
    assert max(map(panels.length, lines)) <= 34


def test_where_the_time_left_is_blank_the_panel_says_so() -> None:
    lines = panels.side(seen(snapshot(), reading(**UNKNOWN)), 33, small=True)
    assert "cool 12 min, left unknown" in text(*lines)
    assert "Cycle" not in text(*lines)


def test_side_in_fahrenheit() -> None:
    said = text(*panels.side(seen(snapshot(), reading(), fahrenheit=True), 33, small=True))
    assert "Target 83.3 °F" in said
    assert "window 82.4–84.2" in said
    assert "°C" not in said


def test_ladder_has_a_word_for_every_mark() -> None:
    view = seen(snapshot(), reading())
    assert text(panels.ladder(view, 78)) == (
        "✓ melt done   ✓ soak done   ▶ cool now   ○ reheat next   · hold"
    )
    assert "▶ cool 28.5 now" in text(panels.ladder(view, 138))


def test_an_alarm_says_what_happened_what_the_rig_did_and_what_to_do() -> None:
    lines = panels.alarms(seen(snapshot(alarms=[TRIP])), 78, 6)
    assert lines[0][0] == (" ▲ HIGH latched ", "high")
    said = " ".join(text(*lines).split())
    for words in (TRIP.happened, TRIP.rig_did, f"Do now: {TRIP.do_now}"):
        assert words in said
    assert max(map(panels.length, lines)) <= 78


def test_alarms_without_room_are_counted() -> None:
    many = [msgspec.structs.replace(WARM_ROOM, code=f"c{number}") for number in range(6)]
    lines = panels.alarms(seen(snapshot(alarms=[*many, TRIP])), 78, 6)
    assert len(lines) <= 6
    assert "HIGH" in text(lines[0])
    assert text(lines[-1]) == "and 5 more: see events"


def test_a_trip_the_sentence_tells_is_not_told_twice() -> None:
    view = seen(snapshot(state="tripped", alarms=[TRIP, WARM_ROOM]), reading(state="tripped"))
    lines = panels.alarms(view, 78, 5, told_above=True)
    assert text(lines[0]) == " ▲ HIGH latched  told above"
    assert WARM_ROOM.do_now in text(*lines)


def test_no_alarms_is_said() -> None:
    assert text(*panels.alarms(seen(snapshot()), 78, 5)) == "No alarms"


def test_details_explain_a_fault_and_count_the_health() -> None:
    view = seen(snapshot(), reading(body_c=None, faults={"body": "stale", "lid": "absent"}))
    sections = dict(facts.sections(view, 0.0))
    probes = {name: (value, remark) for name, value, remark in sections["Probes"]}
    assert probes["body"] == ("--.- °C", "has given no good value for too long")
    assert probes["lid"][1].startswith("does not answer")
    assert probes["humidity"][0] == "48 %"
    health = {name: value for name, value, _ in sections["Link and board"]}
    assert (health["passes"], health["overruns"]) == ("10120", "3")
    assert (health["frames lost"], health["heat lease"]) == ("2", "held")
    rig = {name: (value, remark) for name, value, remark in sections["Rig"]}
    assert rig["rig"] == ("Kitchen rig", "VIRTUAL RIG, 60× time")


def test_details_before_anything_was_heard() -> None:
    for _, rows in facts.sections(RigView(), 0.0):
        assert rows


def test_an_event_is_one_line_while_it_fits() -> None:
    told = facts.event_lines(event("note", "added\n 10 g"), 76)
    assert told == ["0:42:10  note     added 10 g"]


def test_a_long_event_goes_on_under_its_own_beginning() -> None:
    told = facts.event_lines(event("note", "tasted " * 20), 76)
    assert len(told) == 3
    assert all(len(line) <= 76 for line in told)
    assert [line.index("tasted") for line in told] == [18, 18, 18]


@pytest.mark.parametrize("alarms_now", [[], [TRIP]])
def test_that_nobody_is_told_stands_with_the_alarms(alarms_now):
    view = RigView()
    view.fold([snapshot(alarms=alarms_now)], 0.0)
    view.untold = "Notices are not delivered: mailto://… since 14:02."
    shown = "\n".join("".join(text for text, _ in line) for line in panels.alarms(view, 80, 6))
    assert "not delivered" in shown
    assert ("bath went above" in shown) == bool(alarms_now)
