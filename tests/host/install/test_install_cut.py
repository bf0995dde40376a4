"""An installation that is cut at any change of a file: the old firmware or the new one starts,
or a mix that the board itself recognizes and that does not heat."""

from __future__ import annotations

import contextlib
import itertools
import shutil
from pathlib import Path
from typing import Any

import pytest

from glossbath.errors import InputError
from glossbath.install import Bundle, bundle, install
from glossbath.install.bundle import folder_name
from glossbath_board import files

from .folder_shell import Cut, FolderShell


@pytest.fixture(scope="module")
def first() -> Bundle:
    """An older firmware, whole, with start files of its own."""
    whole = bundle("rpi_pico", compiled=False)
    older = {**whole.files, "glossbath_board/teller.py": b"OLD = 1\n"}
    older["glossbath_board/version.py"] = b'VERSION = "0.1.0"\n'
    root = {name: data + b"# first\n" for name, data in whole.root.items()}
    return Bundle("rpi_pico", folder_name(older, root), older, root)


@pytest.fixture(scope="module")
def second() -> Bundle:
    """The firmware as it is installed."""
    return bundle("rpi_pico")


def _found(flash: Path, *known: Bundle) -> str:
    """Which of the firmwares starts, by the board's own count of its files, or "mixed"."""
    active = (flash / "active").read_text()
    starts = next(one for one in known if one.folder == active)
    for name, data in starts.files.items():
        assert (flash / active / name).read_bytes() == data, "what starts is not whole"
    fault = files.fault(f"{flash}/{active}", str(flash))
    assert fault in ("", "mixed"), fault
    return fault or starts.folder


def test_cut_at_every_change_it_leaves_the_old_or_the_new_firmware(
    tmp_path: Path, first: Bundle, second: Bundle
) -> None:
    old = tmp_path / "old"
    old.mkdir()
    install(FolderShell(old), first, lambda _: None)
    assert _found(old, first) == first.folder
    (old / "settings.a").write_text("mine")
    changes, seen = 0, []
    while True:
        flash = tmp_path / "cut"
        shutil.copytree(old, flash)
        shell = FolderShell(flash, changes)
        with contextlib.suppress(Cut):
            install(shell, second, lambda _: None)
        seen.append(_found(flash, first, second))
        again = FolderShell(flash)
        install(again, second, lambda _: None)
        assert _found(flash, second) == second.folder
        assert (flash / "settings.a").read_text() == "mine"
        assert set(again.names("")) == {second.folder, "active", "settings.a", *second.root}
        shutil.rmtree(flash)
        if shell.restarted:
            break
        changes += 1
    # The old one, then the moment in which the new one sees start files that are not its own and
    # does not heat (tests/rig/test_cutoffs_start.py), then the new one.
    order = [first.folder, "mixed", second.folder]
    assert [name for name, _ in itertools.groupby(seen)] == order
    assert seen.count("mixed") <= 4
    assert len(seen) > len(second.files) + len(first.files)


def test_a_module_that_does_not_belong_is_taken_out_of_the_active_firmware(
    tmp_path: Path, second: Bundle
) -> None:
    install(FolderShell(tmp_path), second, lambda _: None)
    # Source lies before compiled files in MicroPython's search.
    stray = tmp_path / second.folder / "glossbath_board" / "limits.py"
    stray.write_text("BATH_CEILING_MC = 99_000\n")
    assert _found(tmp_path, second) == "mixed"
    install(FolderShell(tmp_path), second, lambda _: None)
    assert _found(tmp_path, second) == second.folder


def test_compiled_files_of_another_version_are_refused(tmp_path: Path, second: Bundle) -> None:
    class Older(FolderShell):
        def ask(self, expression: str) -> Any:
            return 0x0205 if "_mpy" in expression else super().ask(expression)

    with pytest.raises(InputError, match=r"version 5\.2, these have 6\.3: install with --source"):
        install(Older(tmp_path), second, lambda _: None)
    assert list(tmp_path.iterdir()) == []
