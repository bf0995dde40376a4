"""The committed drawings and parts list are those that the data makes, and show all of it."""

from __future__ import annotations

import copy
import csv
import io
import subprocess
import sys
import xml.etree.ElementTree as ET
from pathlib import Path

import kinparse
import pytest
import sexpdata

from glossbath.errors import GlossbathError, InputError
from glossbath_board import profiles

sys.path.insert(0, str(Path(__file__).parents[2]))

from hardware import (
    board_layout,
    box_layout,
    draw,
    low_voltage_sheet,
    mains_sheet,
    parts_list,
    pin_map,
    pin_notes,
    ready_mains_sheet,
    stock,
    wiring,
)
from hardware.sheet import WARNING, Sheet
from hardware.wiring import HERE

ROOT = Path(__file__).parents[2]
WIRINGS = {variant: wiring.load(variant=variant) for variant in wiring.VARIANTS}
SOUND = WIRINGS["box"]
FILES = draw.outputs(WIRINGS)
each_variant = pytest.mark.parametrize("variant", wiring.VARIANTS)


def words(svg: str) -> list[str]:
    """Every text in a drawing."""
    return ["".join(node.itertext()) for node in ET.fromstring(svg).iter() if "text" in node.tag]


@pytest.mark.parametrize("name", list(FILES))
def test_the_committed_file_is_up_to_date(name: str) -> None:
    committed = (HERE / name).read_text(encoding="utf-8")
    assert committed == FILES[name], "run `python -m hardware.draw` and commit what it writes"


def test_nothing_lies_in_the_drawings_that_the_data_does_not_make() -> None:
    for folder in ("drawings", "netlists"):
        lying = {f"{folder}/{path.name}" for path in (HERE / folder).iterdir()}
        assert lying == {name for name in FILES if name.startswith(f"{folder}/")}


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


def test_made_once_more_every_file_is_the_committed_one(tmp_path: Path) -> None:
    # What a drawing keeps from the one before would show here; FILES was the first.
    draw.write(tmp_path)
    for name in FILES:
        made = (tmp_path / name).read_text(encoding="utf-8")
        assert made == (HERE / name).read_text(encoding="utf-8"), name


@each_variant
def test_the_two_sheets_show_every_terminal_of_every_part(variant: str) -> None:
    rig = WIRINGS[variant]
    mains = ready_mains_sheet if variant == "ready" else mains_sheet
    drawn = mains.draw(rig).drawn | low_voltage_sheet.draw(rig).drawn
    wanted = {(name, pin) for name, part in rig.parts.items() for pin in part.pins}
    assert wanted - drawn == set()


@each_variant
def test_the_mains_sheet_holds_no_low_voltage_terminal(variant: str) -> None:
    rig = WIRINGS[variant]
    mains = ready_mains_sheet if variant == "ready" else mains_sheet
    nets = {
        rig.nets[rig.parts[name].pins[pin]].domain
        for name, pin in mains.draw(rig).drawn
        if pin in rig.parts[name].pins
    }
    # J1 joins 0 V to earth; its earth end is on the mains sheet, its other end is not.
    assert nets == {"mains", "earth"}


@pytest.mark.parametrize("name", [n for n in FILES if n.endswith(".svg") and "-3-board" not in n])
def test_every_drawing_says_who_may_work_on_the_mains(name: str) -> None:
    assert any("licensed electrician under local codes" in text for text in words(FILES[name]))


@each_variant
def test_both_sheets_warn_and_claim_no_certificate(variant: str) -> None:
    for name in (f"drawings/{variant}-1-mains.svg", f"drawings/{variant}-2-low-voltage.svg"):
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


# ---------------------------------------------------------------- parts


def rows() -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(parts_list.text(WIRINGS))))


@each_variant
def test_the_parts_list_counts_every_part_once_with_a_reason(variant: str) -> None:
    here = [row for row in rows() if row[variant]]
    counted = sum(int(row[variant]) for row in here if row["names"] and row[variant] != "option")
    parts = WIRINGS[variant].parts
    assert counted == sum(not part.option for part in parts.values())
    named = {name for row in here for name in row["names"].split()}
    assert set(parts) <= named
    for row in here:
        assert row["why"].endswith(".")
        assert row["part"] and row["230 V"] and row["120 V"] and row["place"]


@each_variant
def test_quantities_of_the_stock_follow_from_the_wiring(variant: str) -> None:
    rig = WIRINGS[variant]
    counts = {row["part"]: row[variant] for row in rows() if row["place"] == "stock"}
    earthed = sum("PE" in part.pins.values() for part in rig.parts.values())
    (wires,) = [count for part, count in counts.items() if part.startswith("Earth wire")]
    assert wires == f"{earthed} lengths"
    (glands,) = [count for part, count in counts.items() if part.startswith("Cable gland")]
    assert int(glands) == len(stock.cables(rig))
    glass = [count for part, count in counts.items() if part.startswith("Fuse holder, touch")]
    mains_fuses = [p for p in rig.of_kind("fuse").values() if p.place == "mains"]
    assert glass == [str(len(mains_fuses)) if mains_fuses else ""]


def test_stock_for_a_part_that_there_is_not_is_found() -> None:
    item = stock.Item(text="holder", value="", why="", for_parts=["F9"])
    with pytest.raises(InputError, match="holder: F9 is not a part"):
        item.needed(SOUND)


def test_the_hard_parts_say_what_to_look_for() -> None:
    told = {name for row in rows() if row["look for"] for name in row["names"].split()}
    assert {"TS1", "TS2", "K1", "SSR1", "OK1", "D2", "C1", "C3", "U4", "Q2", "RCD1", "PT1"} <= told


def test_values_that_depend_on_the_voltage_have_two_columns() -> None:
    (row,) = [row for row in rows() if row["names"] == "R20 R21"]
    assert (row["230 V"], row["120 V"]) == ("39 k, 2 W", "18 k, 2 W")


# ---------------------------------------------------------------- netlist


@each_variant
def test_the_netlist_comes_back_as_it_went(variant: str) -> None:
    rig = WIRINGS[variant]
    tree = sexpdata.loads(FILES[f"netlists/{variant}.net"])
    clauses = {str(clause[0]): clause[1:] for clause in tree[1:]}
    assert list(clauses) == ["version", "design", "components", "nets"]
    parts = {comp[1][1]: comp[2][1] for comp in clauses["components"]}
    assert parts == {name: part.value for name, part in rig.parts.items()}
    found = {(net[2][1], node[1][1], node[2][1]) for net in clauses["nets"] for node in net[3:]}
    assert found == {
        (net, name, pin) for name, part in rig.parts.items() for pin, net in part.pins.items()
    }
    codes = [int(net[1][1]) for net in clauses["nets"]]
    assert codes == list(range(1, len(rig.nets) + 1))


@pytest.mark.filterwarnings("ignore::DeprecationWarning")
@each_variant
def test_an_editors_own_reader_takes_the_netlist(variant: str) -> None:
    # kinparse reads the netlists of KiCad, a circuit editor, by a grammar of its own.
    read = kinparse.parse_netlist(FILES[f"netlists/{variant}.net"])
    rig = WIRINGS[variant]
    assert {part.ref for part in read.parts} == set(rig.parts)
    ends = {(net.name, pin.ref, pin.num) for net in read.nets for pin in net.pins}
    assert len(ends) == sum(len(part.pins) for part in rig.parts.values())


# ---------------------------------------------------------------- layouts


@each_variant
def test_the_board_plan_solders_every_part_to_its_own_nets(variant: str) -> None:
    rig = WIRINGS[variant]
    assert board_layout.missing(rig) == []
    placed = [part for block in board_layout.blocks(rig) for part in block.parts]
    assert len({part.name for part in placed}) == len(placed)
    for block in board_layout.blocks(rig):
        assert len({part.column for part in block.parts}) == len(block.parts)
        for part in block.parts:
            nets = {pin: block.nets[row] for pin, row in part.rows.items()}
            assert nets == rig.parts[part.name].pins
            assert all(rig.nets[net].domain != "mains" for net in nets.values())


@each_variant
def test_the_box_plan_has_every_part_in_its_compartment(variant: str) -> None:
    rig = WIRINGS[variant]
    columns = box_layout.columns(rig)
    soldered = {name for _, names in board_layout.BLOCKS for name in names}
    for name, part in rig.parts.items():
        if part.place in columns:
            assert name in columns[part.place] or name in soldered
    svg = "\n".join(words(FILES[f"drawings/{variant}-4-box.svg"]))
    assert ("mains compartment" in svg) == (variant == "box")


@each_variant
def test_no_low_voltage_wire_has_a_mains_colour(variant: str) -> None:
    rig = WIRINGS[variant]
    told = box_layout.terminals(rig)
    assert len(told) == sum(len(part.pins) for part in rig.of_kind("connector").values())
    for _, _, net, color in told:
        assert color not in ("brown", "blue", "black", "white", "green")
        assert (color == "green-yellow") == (net == "PE")


def test_a_broken_rule_stops_the_drawing(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    broken = copy.deepcopy(SOUND)
    broken.parts["GUARD1"].bond = ""
    monkeypatch.setattr(draw, "load", lambda variant: broken)
    with pytest.raises(GlossbathError, match="GUARD1 is metal and has no earth"):
        draw.write(tmp_path)
    assert list(tmp_path.iterdir()) == []
