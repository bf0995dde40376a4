"""The committed drawings and parts list are those that the data makes, and show all of it."""

from __future__ import annotations

import copy
import csv
import io
import subprocess
import sys
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from glossbath.errors import GlossbathError, InputError
from glossbath_board import profiles

sys.path.insert(0, str(Path(__file__).parents[2]))

from hardware import (
    draw,
    low_voltage_sheet,
    mains_sheet,
    parts_list,
    pin_map,
    pin_notes,
    wiring,
)
from hardware.sheet import WARNING, Sheet
from hardware.wiring import HERE

ROOT = Path(__file__).parents[2]
SOUND = wiring.load()
FILES = draw.outputs(SOUND)


def words(svg: str) -> list[str]:
    """Every text in a drawing."""
    return ["".join(node.itertext()) for node in ET.fromstring(svg).iter() if "text" in node.tag]


@pytest.mark.parametrize("name", list(FILES))
def test_the_committed_file_is_up_to_date(name: str) -> None:
    committed = (HERE / name).read_text(encoding="utf-8")
    assert committed == FILES[name], "run `python -m hardware.draw` and commit what it writes"


def test_nothing_lies_in_the_drawings_that_the_data_does_not_make() -> None:
    lying = {f"drawings/{path.name}" for path in (HERE / "drawings").iterdir()}
    assert lying == {name for name in FILES if name.startswith("drawings/")}


def test_the_command_writes_every_file(tmp_path: Path) -> None:
    run = subprocess.run(
        [sys.executable, "-W", "error", "-m", "hardware.draw", str(tmp_path / "new")],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert (run.returncode, run.stdout, run.stderr) == (0, "", "")
    for name, text in FILES.items():
        assert (tmp_path / "new" / name).read_text(encoding="utf-8") == text


def test_the_two_sheets_show_every_terminal_of_every_part() -> None:
    drawn = mains_sheet.draw(SOUND).drawn | low_voltage_sheet.draw(SOUND).drawn
    wanted = {(name, pin) for name, part in SOUND.parts.items() for pin in part.pins}
    assert wanted - drawn == set()


def test_the_mains_sheet_holds_no_low_voltage_terminal() -> None:
    nets = {
        SOUND.nets[SOUND.parts[name].pins[pin]].domain
        for name, pin in mains_sheet.draw(SOUND).drawn
        if pin in SOUND.parts[name].pins
    }
    # J1 joins 0 V to earth; its earth end is on the mains sheet, its other end is not.
    assert nets == {"mains", "earth"}


@pytest.mark.parametrize("name", [name for name in FILES if name.endswith(".svg")])
def test_every_drawing_says_who_may_work_on_the_mains(name: str) -> None:
    assert any("licensed electrician under local codes" in text for text in words(FILES[name]))


def test_both_sheets_warn_and_claim_no_certificate() -> None:
    for name in ("drawings/sheet-1-mains.svg", "drawings/sheet-2-low-voltage.svg"):
        assert any(WARNING in text for text in words(FILES[name]))


def test_a_sheet_refuses_a_joint_that_the_wiring_does_not_have() -> None:
    moved = copy.deepcopy(SOUND)
    moved.parts["F1"].pins["1"] = "L_in"
    with pytest.raises(InputError, match=r"F1\.1 is not on L_iso"):
        mains_sheet.draw(moved)
    moved = copy.deepcopy(SOUND)
    moved.parts["Q1"].pins["D"] = "relay_minus"
    with pytest.raises(InputError, match=r"Q1\.D is on relay_minus"):
        low_voltage_sheet.draw(moved)


def test_a_pen_joins_only_its_own_net() -> None:
    sheet = Sheet(SOUND)
    sheet.start((0, 0), "gnd")
    sheet.mark("here")
    sheet.start((1, 0), "12v")
    with pytest.raises(InputError, match="12v may not join gnd"):
        sheet.join("here")
    with pytest.raises(InputError, match="12v is not 0 V"):
        sheet.ground()
    with pytest.raises(InputError, match="'13v' is not in"):
        sheet.start((0, 0), "13v")


@pytest.mark.parametrize("board", list(profiles.PROFILES))
def test_a_pin_map_names_every_signal_and_every_forbidden_pin(board: str) -> None:
    text = "\n".join(words(pin_map.draw(board)))
    for signal, gpio in profiles.PROFILES[board].items():
        assert signal in text
        assert f"GPIO {gpio}" in text
    for reason in pin_notes.FORBIDDEN[board].values():
        assert reason in text
    for state in pin_notes.BOOT_OF[board].values():
        assert state in text
    assert pin_notes.NOTE[board] in text


@pytest.mark.parametrize("board", list(profiles.PROFILES))
def test_a_header_shows_each_pin_once_and_all_but_the_boards_own_lamp(board: str) -> None:
    header = pin_map.headers()[board]
    shown = [pin for pin in header.left + header.right if isinstance(pin, int)]
    assert len(shown) == len(set(shown))
    assert set(shown) <= set(pin_notes.GPIO[board])
    hidden = {s for s, gpio in profiles.PROFILES[board].items() if gpio not in shown}
    assert hidden == {"lamp"}


def test_signals_sit_at_the_pin_numbers_of_the_reference_header() -> None:
    # Physical pins of the 40-pin header, from memory of the board's datasheet: GP16 is 21, GP17
    # is 22, GP15 is 20, GP26 is 31, GP28 is 34, VSYS is 39.
    header = pin_map.headers()["rpi_pico"]
    assert header.left[19] == 15
    right = {pin: 40 - row for row, pin in enumerate(header.right)}
    assert [right[pin] for pin in (16, 17, 26, 28, "VSYS")] == [21, 22, 31, 34, 39]


def test_the_parts_list_counts_every_part_once_with_a_reason() -> None:
    rows = list(csv.DictReader(io.StringIO(parts_list.text(SOUND))))
    names = [name for row in rows for name in row["names"].split()]
    assert sorted(names) == sorted(SOUND.parts)
    for row in rows:
        assert row["why"].endswith(".")
        assert row["part"] and row["value"] and row["place"]
        assert row["count"] in ("option", str(len(row["names"].split())))


def test_a_broken_rule_stops_the_drawing(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    broken = copy.deepcopy(SOUND)
    broken.parts["GUARD1"].bond = ""
    monkeypatch.setattr(draw, "load", lambda: broken)
    with pytest.raises(GlossbathError, match="GUARD1 is metal and has no earth"):
        draw.write(tmp_path)
    assert list(tmp_path.iterdir()) == []
