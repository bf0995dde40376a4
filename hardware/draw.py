"""Make every generated file of the hardware folder: `python -m hardware.draw` in the repository.

A folder as its argument takes the files instead of this one.
For each variant two schematic sheets, the plans of board and box and a netlist; one pin map a
board, and the parts list. They are committed; a test compares them with what this module makes.
"""

from __future__ import annotations

import sys
from pathlib import Path

from glossbath.errors import GlossbathError
from glossbath_board import profiles
from hardware import (
    board_layout,
    box_layout,
    low_voltage_sheet,
    mains_sheet,
    netlist,
    parts_list,
    pin_map,
    ready_mains_sheet,
    rules,
)
from hardware.wiring import HERE, VARIANTS, Wiring, load


def outputs(wirings: dict[str, Wiring]) -> dict[str, str]:
    """Every generated file: path inside the hardware folder -> text. wirings by variant."""
    files = {"parts.csv": parts_list.text(wirings)}
    for variant, wiring in wirings.items():
        mains = ready_mains_sheet if variant == "ready" else mains_sheet
        files |= {
            f"drawings/{variant}-1-mains.svg": mains.draw(wiring).svg(),
            f"drawings/{variant}-2-low-voltage.svg": low_voltage_sheet.draw(wiring).svg(),
            f"drawings/{variant}-3-board.svg": board_layout.draw(wiring),
            f"drawings/{variant}-4-box.svg": box_layout.draw(wiring),
            f"netlists/{variant}.net": netlist.text(wiring),
        }
    for board in profiles.PROFILES:
        files[f"drawings/pins-{board}.svg"] = pin_map.draw(board)
    return files


def write(folder: Path = HERE) -> None:
    """Write the generated files. Raises GlossbathError when the wiring breaks a rule."""
    wirings = {variant: load(variant=variant) for variant in VARIANTS}
    for variant, wiring in wirings.items():
        found = rules.breaches(wiring)
        if found:
            raise GlossbathError(f"the wiring ({variant}) breaks a rule: " + "; ".join(found))
    for name, text in outputs(wirings).items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    try:
        write(*map(Path, sys.argv[1:2]))
    except GlossbathError as err:
        sys.exit(str(err))
