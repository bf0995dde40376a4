"""A cycle's folder opens wherever a power failure cut its files, and tells only what is there."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from glossbath.errors import LogError
from glossbath.record import PastCycle, open_cycle

from .sample import cut_copy, events, reading, record

READINGS = [reading(number) for number in range(50)]
FILES = ("readings.csv", "events.csv", "datapackage.json")


def check(cycle: PastCycle, sizes: dict[str, int], whole: Path) -> None:
    """Whatever was kept whole is read, nothing else is made up, and the rest is told."""
    kept = {
        name: (whole / name).read_bytes()[: sizes.get(name)] if name in sizes else None
        for name in ("readings.csv", "events.csv")
    }
    readings = list(cycle.readings())
    for name, all_rows, rows in (
        ("readings.csv", READINGS, readings),
        ("events.csv", events(), cycle.events()),
    ):
        content = kept[name]
        lines = len(all_rows) + 1 if content is None else content.count(b"\n")
        assert len(rows) == max(0, lines - 1)
        assert [row.time_s for row in rows] == [row.time_s for row in all_rows[: len(rows)]]
    summary = cycle.summary()
    assert summary["readings"] == len(readings)
    if sizes.get("datapackage.json", 1 << 30) < (whole / "datapackage.json").stat().st_size - 1:
        assert summary["result"] == "cut short"
        assert any("datapackage.json" in problem for problem in summary["problems"])
    else:
        assert summary["result"] == "complete"
    for name in sizes:
        if name.endswith(".csv") and cycle.facts is not None:
            assert any(name in problem for problem in summary["problems"])


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return record(tmp_path_factory.mktemp("whole"))


@pytest.mark.parametrize("name", FILES)
def test_cut_at_each_of_the_last_bytes(whole: Path, tmp_path: Path, name: str) -> None:
    size = (whole / name).stat().st_size
    copy = cut_copy(whole, tmp_path / "cut", {})
    for left in range(size - 1, max(-1, size - 2049), -1):
        with (copy / name).open("rb+") as file:
            file.truncate(left)
        check(open_cycle(copy), {name: left}, whole)


def test_three_hundred_random_cuts_of_several_files(whole: Path, tmp_path: Path) -> None:
    chance = random.Random(20_231_114)
    for _ in range(300):
        names = chance.sample(FILES, chance.randint(1, 3))
        sizes = {name: chance.randrange((whole / name).stat().st_size) for name in names}
        check(open_cycle(cut_copy(whole, tmp_path / "cut", sizes)), sizes, whole)


def test_a_power_failure_that_left_zeros_at_the_end(whole: Path, tmp_path: Path) -> None:
    copy = cut_copy(whole, tmp_path / "cut", {"readings.csv": 3000})
    lines = (copy / "readings.csv").read_bytes().count(b"\n")
    with (copy / "readings.csv").open("ab") as file:
        file.write(bytes(5000) + b"\n")
    cycle = open_cycle(copy)
    assert len(list(cycle.readings())) == lines - 1
    assert cycle.summary()["damaged"] == 1


def test_lines_that_make_no_sense_are_counted(whole: Path, tmp_path: Path) -> None:
    copy = cut_copy(whole, tmp_path / "cut", {})
    content = (copy / "readings.csv").read_bytes()
    (copy / "readings.csv").write_bytes(content.replace(b"30.062", b"30.O62", 3))
    cycle = open_cycle(copy)
    assert len(list(cycle.readings())) == 47
    assert cycle.summary()["damaged"] == 3


def test_damage_in_the_middle_costs_its_own_lines_only(whole: Path, tmp_path: Path) -> None:
    chance = random.Random(7)
    content = (whole / "readings.csv").read_bytes()
    first = content.index(b"\n") + 1
    for _ in range(200):
        copy = cut_copy(whole, tmp_path / "cut", {})
        at = chance.randrange(first, len(content) - 40)
        junk = chance.randbytes(chance.randint(1, 40))
        (copy / "readings.csv").write_bytes(content[:at] + junk + content[at + len(junk) :])
        hurt = content[at : at + len(junk)].count(b"\n") + junk.count(b"\n") + 2
        assert len(list(open_cycle(copy).readings())) >= 50 - hurt


def test_a_line_without_end_is_not_read_into_memory(whole: Path, tmp_path: Path) -> None:
    copy = cut_copy(whole, tmp_path / "cut", {})
    with (copy / "readings.csv").open("ab") as file:
        file.write(b"," * 3_000_000 + b"\n")
    cycle = open_cycle(copy)
    assert len(list(cycle.readings())) == 50
    assert cycle.summary()["damaged"] == 1


@pytest.mark.parametrize(("size", "read"), [(1 << 16, True), ((1 << 16) + 1, False)])
def test_a_line_may_have_sixty_four_kilobytes_and_no_more(
    whole: Path, tmp_path: Path, size: int, read: bool
) -> None:
    copy = cut_copy(whole, tmp_path / "cut", {})
    before, after = b"40.0,2023-11-14T22:14:00Z,true,note,note,", b",{}\n"
    with (copy / "events.csv").open("ab") as file:
        file.write(before + b"x" * (size - len(before + after)) + after)
    cycle = open_cycle(copy)
    assert len(cycle.events()) == 3 + read
    assert cycle.summary()["damaged"] == (not read)


def test_quotes_that_do_not_match_are_damage_and_not_half_a_sentence(
    whole: Path, tmp_path: Path
) -> None:
    copy = cut_copy(whole, tmp_path / "cut", {})
    content = (copy / "events.csv").read_bytes()
    (copy / "events.csv").write_bytes(content.replace(b'"Smells ""good""', b'"Smells" good'))
    cycle = open_cycle(copy)
    assert [event.kind for event in cycle.events()] == ["phase", "trip"]
    assert cycle.summary()["damaged"] == 1


def test_files_that_are_missing_are_told(whole: Path, tmp_path: Path) -> None:
    for name in FILES:
        copy = cut_copy(whole, tmp_path / "cut", {})
        (copy / name).unlink()
        cycle = open_cycle(copy)
        assert any(name in problem for problem in cycle.problems)
        assert cycle.summary()["readings"] == (0 if name == "readings.csv" else 50)
        assert cycle.virtual is True


def test_a_whole_cycle_has_no_problems(whole: Path) -> None:
    cycle = open_cycle(whole)
    assert cycle.problems == ()
    assert cycle.summary()["damaged"] == 0


def test_a_folder_of_something_else_is_refused(tmp_path: Path) -> None:
    with pytest.raises(LogError, match="not the folder of a cycle"):
        open_cycle(tmp_path)
    with pytest.raises(LogError, match="cannot be opened"):
        open_cycle(tmp_path / "none")
