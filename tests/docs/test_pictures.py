"""The pictures of README say what the program says now, and README shows them."""

from __future__ import annotations

import re
from pathlib import Path

import pictures
import pytest
from browser import CHROMIUM

AWAY = pictures.ROOT / "host/glossbath/away/README.md"
README = pictures.ROOT / "README.md"
MAKE = "made anew by: .venv/bin/python tests/docs/pictures.py"


@pytest.mark.parametrize("name", pictures.SCREENS)
def test_a_picture_of_the_screen_is_what_the_program_shows(name: str) -> None:
    kept = (pictures.FOLDER / f"{name}.svg").read_text(encoding="utf-8")
    now = pictures.screen_text(pictures.screen_svg(name))
    assert pictures.screen_text(kept) == now, MAKE


def test_the_picture_of_the_report_is_what_the_program_writes(tmp_path: Path) -> None:
    page = pictures.report_page(tmp_path).read_text(encoding="utf-8")
    said = pictures.report_text(page) + pictures.stamp(pictures.REPORT_PNG.read_bytes())
    assert pictures.REPORT_TEXT.read_text(encoding="utf-8") == said, MAKE


@pytest.mark.skipif(not CHROMIUM, reason="no chromium here: apt install chromium")
def test_the_pictures_of_the_page_are_what_a_phone_shows(tmp_path: Path) -> None:
    made = {"words": pictures.phone_pictures(tmp_path)["words"]}
    for name in ("light", "dark"):
        made[name] = (pictures.FOLDER / f"phone-{name}.png").read_bytes()
        assert f"tests/docs/pictures/phone-{name}.png" in AWAY.read_text(encoding="utf-8")
    kept = (pictures.FOLDER / "phone.txt").read_text(encoding="utf-8")
    assert pictures.phone_text(made) == kept, MAKE


def test_a_picture_loads_nothing_from_elsewhere() -> None:
    for name in pictures.SCREENS:
        svg = (pictures.FOLDER / f"{name}.svg").read_text(encoding="utf-8")
        assert "url(#" in svg
        assert not re.search(r"url\((?!#)|href=|<image", svg)


def test_readme_shows_every_picture() -> None:
    shown = re.findall(r"!\[[^\]]{20,}\]\(([^)]+)\)", README.read_text(encoding="utf-8"))
    made = [f"tests/docs/pictures/{name}" for name in ("screen.svg", "recipe.svg", "report.png")]
    assert sorted(shown) == sorted(made)
