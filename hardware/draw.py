"""Make every generated file of the hardware folder: `python -m hardware.draw` in the repository.

A folder as its argument takes the files instead of this one.
Two schematic sheets, one pin map a board, the parts list. They are committed; a test compares
them with what this module makes.
"""

from __future__ import annotations

import sys
from pathlib import Path

from glossbath.errors import GlossbathError
from glossbath_board import profiles
from hardware import low_voltage_sheet, mains_sheet, parts_list, pin_map, rules
from hardware.wiring import HERE, Wiring, load


def outputs(wiring: Wiring) -> dict[str, str]:
    """Every generated file: path inside the hardware folder -> text."""
    files = {
        "drawings/sheet-1-mains.svg": mains_sheet.draw(wiring).svg(),
        "drawings/sheet-2-low-voltage.svg": low_voltage_sheet.draw(wiring).svg(),
        "parts.csv": parts_list.text(wiring),
    }
    for board in profiles.PROFILES:
        files[f"drawings/pins-{board}.svg"] = pin_map.draw(board)
    return files


def write(folder: Path = HERE) -> None:
    """Write the generated files. Raises GlossbathError when the wiring breaks a rule."""
    wiring = load()
    found = rules.breaches(wiring)
    if found:
        raise GlossbathError("wiring.toml breaks a rule: " + "; ".join(found))
    for name, text in outputs(wiring).items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    try:
        write(*map(Path, sys.argv[1:2]))
    except GlossbathError as err:
        sys.exit(str(err))
