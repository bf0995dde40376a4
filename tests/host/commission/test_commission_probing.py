"""Which probe is which: what is asked, waited for and refused.

A kitchen has 5 to 45 °C; a hand warms a probe within minutes (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import pytest

from glossbath.commission import probing
from glossbath.errors import LinkError, StepFailed

from .patient_board import Act, PatientBoard
from .willing_person import visited

# Genuine: 28-xx-xx-xx-xx-00-00-crc; a clone has something else there (invented numbers).
ROMS = {
    "chocolate": "28a1b2c3d4000001",
    "bath": "28a1b2c3d5000002",
    "body": "28a1b2c3d6000003",
}
Change = Callable[[PatientBoard], object]


def warm(*names: str, by_mc: int = 3_000) -> Act:
    """These probes in a hand: their chips are warmer a while later."""

    def act(board: PatientBoard) -> None:
        for name in names:
            board.later(20.0, lambda it, rom=ROMS[name]: _add(it, rom, by_mc))  # type: ignore[misc]

    return act


def _add(board: PatientBoard, rom: str, by_mc: int) -> None:
    board.chips[rom] += by_mc


WARMING: dict[str, Act] = {f"warm-{name}": warm(name) for name in ROMS}


def named(
    acts: Mapping[str, Act] | None = None,
    answers: Mapping[str, str] | None = None,
    change: Change = lambda board: None,
    without: str = "",
) -> tuple[Any, PatientBoard, Any]:
    """A visit to a rig whose chips answer, but for the one it is without."""
    visit, board, person = visited({**WARMING, **(acts or {})}, answers)
    board.chips = {rom: 21_000 for name, rom in ROMS.items() if name != without}
    change(board)
    return visit, board, person


def refused(
    acts: Mapping[str, Act] | None = None,
    answers: Mapping[str, str] | None = None,
    change: Change = lambda board: None,
    without: str = "",
) -> str:
    visit, _, _ = named(acts, answers, change, without)
    with pytest.raises(StepFailed) as failed:
        probing.naming(visit)
    return str(failed.value)


def test_each_chip_gets_the_name_of_the_probe_that_was_warmed() -> None:
    visit, board, person = named()
    assert probing.naming(visit).values == {"probes": ROMS}
    assert board.settings == {f"probe.{name}": rom for name, rom in ROMS.items()}
    # What they were called before is forgotten first.
    first = [
        values["key"] for kind, values in board.asked if kind == "set" and values["v"] is None
    ]
    assert first == ["probe.chocolate", "probe.bath", "probe.body"]
    assert [code for code, _ in person.at] == [
        *("warm-chocolate", "warm-chocolate-back", "warm-bath", "warm-bath-back"),
        *("warm-body", "warm-body-back"),
    ]
    assert not any("genuine" in line for line in person.told)
    # A look at the chips takes half a second here, and nobody waits longer than for the answers.
    assert dict(person.at)["warm-chocolate"] == 1.0
    assert board.now_ms / 1000 - dict(person.at)["warm-body-back"] <= 3.0


def test_a_clone_is_pointed_out_by_its_probes_name() -> None:
    clone = "28a1b2c3d5ff0002"

    def change(board: PatientBoard) -> None:
        board.chips[clone] = board.chips.pop(ROMS["bath"])

    visit, _, person = named({"warm-bath": lambda board: _add(board, clone, 3_000)}, None, change)
    assert probing.naming(visit).values["probes"]["bath"] == clone
    said = [line for line in person.told if "not that of a genuine chip" in line]
    assert len(said) == 1 and said[0].startswith("The bath probe's number")


@pytest.mark.parametrize(
    ("answers", "without", "bound"),
    [
        ({"body-is-ntc": "yes"}, "body", {"body": "ntc"}),
        (
            {
                "body-is-ntc": "no",
                "chocolate-is-platinum": "yes",
                "platinum-ohm": "pt100",
                "platinum-wires": "3",
                "mains-hz": "60",
            },
            "chocolate",
            {"chocolate": "pt100-3-60"},
        ),
    ],
)
def test_a_probe_on_other_wires_is_bound_as_what_it_is(
    answers: Mapping[str, str], without: str, bound: Mapping[str, str]
) -> None:
    visit, board, person = named(answers=answers, without=without)
    assert probing.naming(visit).values["probes"] == {**ROMS, **bound}
    assert board.settings[f"probe.{without}"] == bound[without]
    assert f"warm-{without}" not in person.words


@pytest.mark.parametrize(
    ("count", "words"),
    [
        (1, "1 probes answer on the wire and there should be 3"),
        (4, "4 probes answer on the wire and there should be 3"),
        (2, "2 probes answer on the wire and there should be 3"),
    ],
)
def test_too_many_or_too_few_chips_are_told_before_anybody_warms_one(
    count: int, words: str
) -> None:
    chips = {f"28a1b2c3d{number}000009": 21_000 for number in range(count)}
    no = {"body-is-ntc": "no", "chocolate-is-platinum": "no"}
    assert words in refused(answers=no, change=lambda board: setattr(board, "chips", chips))


def test_a_probe_that_was_named_already_is_not_taken_twice() -> None:
    said = refused({"warm-bath": warm("chocolate")})
    assert "That is the probe that was named chocolate: warm the bath probe." in said


@pytest.mark.parametrize(
    ("act", "words"),
    [
        (lambda board: None, "No probe became warmer by 2 °C"),
        (warm("bath", by_mc=1_999), "No probe became warmer by 2 °C"),
        (warm("bath", "body"), "More than one probe became warmer"),
    ],
)
def test_a_hand_has_four_minutes(act: Act, words: str) -> None:
    visit, board, person = named({"warm-bath": act})
    with pytest.raises(StepFailed, match=words):
        probing.naming(visit)
    times = dict(person.at)
    # A look at the chips takes half a second, and the last may begin just before.
    assert 240.0 <= times["warm-bath-back"] - times["warm-bath"] <= 240.5
    assert "probe.bath" in board.settings and board.settings["probe.bath"] is None


@pytest.mark.parametrize("celsius", [5.0, 45.0])
def test_what_a_kitchen_can_have_passes(celsius: float) -> None:
    visit, _, _ = named(change=lambda board: setattr(board.reading, "bath_c", celsius))
    assert probing.naming(visit)


@pytest.mark.parametrize("celsius", [4.9, 45.1])
def test_what_no_kitchen_has_is_told(celsius: float) -> None:
    said = refused(change=lambda board: setattr(board.reading, "bath_c", celsius))
    assert f"The bath probe says {celsius:.1f} °C, which no kitchen has" in said


def test_a_probe_that_was_just_named_has_three_readings_to_say_something() -> None:
    def named_late(board: PatientBoard) -> None:
        board.reading.body_c = None
        board.later(1.75, lambda it: setattr(it.reading, "body_c", 21.0))

    assert probing.naming(named({"warm-body-back": named_late})[0])


def test_a_probe_that_reads_nothing_is_told_with_its_fault() -> None:
    def change(board: PatientBoard) -> None:
        board.reading.body_c, board.reading.faults = None, {"body": "crc"}

    assert "The body probe gives no value (crc): look at its plug." in refused(change=change)


@pytest.mark.parametrize("more", [0.0, 2.75])
def test_a_board_that_falls_silent_proves_no_probe(more: float) -> None:
    """What it said before is no answer to what was just named; ten seconds are waited."""

    def quiet(board: PatientBoard) -> None:
        board.quiet_from_s = board.now_ms / 1000 + more

    visit, board, person = named({"warm-body-back": quiet})
    with pytest.raises(LinkError, match="no more readings: check the cable"):
        probing.naming(visit)
    assert board.now_ms / 1000 - dict(person.at)["warm-body-back"] == 10.0
