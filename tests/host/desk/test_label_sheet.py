"""A page of labels as a maker prints it. The bar and its lot are invented."""

from __future__ import annotations

import json
from html.parser import HTMLParser
from pathlib import Path

from typer.testing import CliRunner

from glossbath.cli.desk import app

WORDS = [
    *("label", "sugar=43", "whole-milk-powder=22", "cocoa-butter=20", "cocoa-mass=15"),
    *("--name", "Lantern <b>milk</b>", "--lot", "A17", "--best-before", "2032-05"),
]


class Labels(HTMLParser):
    """The text of each label of a page."""

    def __init__(self) -> None:
        super().__init__()
        self.labels: list[list[str]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if ("class", "label") in attrs:
            self.labels.append([])

    def handle_data(self, data: str) -> None:
        if self.labels and data.strip():
            self.labels[-1].append(data)


def test_a_page_has_as_many_labels_as_asked_for_with_what_the_command_says(tmp_path: Path) -> None:
    path = tmp_path / "labels.html"
    done = CliRunner().invoke(app, [*WORDS, "--sheet", str(path), "--count", "8", "--json"])
    assert done.exit_code == 0, done.output
    told = json.loads(done.stdout)
    assert (told["sheet"], told["count"]) == (str(path), 8)
    text = path.read_text(encoding="utf-8")
    reader = Labels()
    reader.feed(text)
    assert len(reader.labels) == 8
    # All that stands on the label, and not what is for the maker to check and add.
    assert reader.labels[0] == told["sentences"][:-2]
    assert "WHOLE MILK POWDER" in " ".join(reader.labels[0])
    assert "Check it" not in text
    assert "<b>" not in text
    assert "http" not in text


def test_a_page_that_cannot_be_written_is_one_sentence(tmp_path: Path) -> None:
    from glossbath.errors import LogError

    done = CliRunner().invoke(app, [*WORDS, "--sheet", str(tmp_path)])
    assert done.exit_code != 0
    assert isinstance(done.exception, LogError) or "cannot be written" in done.output
