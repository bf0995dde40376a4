"""What DEVELOPERS.md names is there: files, folders and modules."""

from __future__ import annotations

import importlib.util
import re
from fnmatch import fnmatch

import pytest
from shown import ROOT, in_code

PAGE = ROOT / "DEVELOPERS.md"
_SUFFIXES = (".py", ".md", ".toml", ".tcss", ".ini")
_PATH = re.compile(r"\.?[\w*][\w*.-]*(?:/[\w*.-]+)*/?")
_MODULE = re.compile(r"glossbath(?:_board)?(?:\.\w+)+")
# What a build leaves on a developer's machine is not part of the project.
_OURS = ("firmware", "hardware", "host", "tests", ".ci")


def every_path() -> list[str]:
    """Every file and folder of the project below its root; folders end in a slash."""
    found = [path.name for path in ROOT.iterdir() if path.is_file()]
    for top in _OURS:
        found.append(f"{top}/")
        for path in (ROOT / top).rglob("*"):
            if "__pycache__" not in path.parts and "typings" not in path.parts:
                found.append(f"{path.relative_to(ROOT)}{'/' if path.is_dir() else ''}")
    return found


def named_paths(text: str) -> set[str]:
    """What looks like a file or folder of the project."""
    paths = {word for word in in_code(text) if _PATH.fullmatch(word)}
    ours = tuple(f"{top}/" for top in _OURS)
    return {word for word in paths if word.endswith((*_SUFFIXES, "/")) or word.startswith(ours)}


def missing(text: str) -> list[str]:
    """The paths and modules a text names that are not there."""
    there = every_path()
    lost = [
        word
        for word in named_paths(text)
        if not any(
            fnmatch(f"/{path}", f"*/{word.rstrip('/')}{'/' * word.endswith('/')}")
            for path in there
        )
        and not any(fnmatch(f"/{path}", f"*/{word}/") for path in there)
    ]
    modules = {word for word in in_code(text) if _MODULE.fullmatch(word)}
    lost += [name for name in modules if importlib.util.find_spec(name) is None]
    return sorted(lost)


def test_every_file_folder_and_module_named_is_there() -> None:
    text = PAGE.read_text(encoding="utf-8")
    assert len(named_paths(text)) > 20, "the page was not read"
    assert missing(text) == []


@pytest.mark.parametrize(
    "wrong",
    ["`journal_of_old.py`", "`host/glossbath/rigging/`", "`glossbath.nothing`", "`tests/x_*.py`"],
)
def test_a_name_that_is_not_there_would_be_noticed(wrong: str) -> None:
    assert missing(f"See {wrong}.") == [wrong.strip("`")]


def test_files_folders_patterns_and_modules_are_found() -> None:
    text = "`loop.py`, `host/glossbath/keeper/`, `tests/rig/faults_*.py`, `glossbath.keeper.serve`"
    assert missing(text) == []
