"""Arguments, terminals and folders that are not as they should be: one sentence, exit code 2."""

from __future__ import annotations

import os
import stat
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest
from patience import PATIENCE_S

from glossbath.client.paths import runtime_folder, socket_path
from glossbath.errors import InputError

GLOSSBATH = [sys.executable, "-c", "from glossbath.cli.app import main; main()"]


def typed(*words: str | bytes, **environment: str) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(
        [*GLOSSBATH, *words],
        env={**os.environ, **environment},
        capture_output=True,
        timeout=PATIENCE_S,
        check=False,
    )


def one_sentence(done: subprocess.CompletedProcess[bytes]) -> str:
    assert done.returncode == 2, done.stderr
    said = done.stderr.decode()
    assert said.count("\n") == 1 and "Traceback" not in said
    return said


@pytest.mark.parametrize("command", ["note", "acknowledge"])
def test_an_argument_that_is_not_utf_8(command: str) -> None:
    assert "not UTF-8" in one_sentence(typed(command, b"\xff\xfe"))


def test_an_ascii_terminal_gets_the_same_words() -> None:
    done = typed(
        "desk", "heat", "--kg", "1", "--from", "20", "--to", "48", PYTHONIOENCODING="ascii"
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.isascii()
    assert b"kJ" in done.stdout


def test_a_file_where_the_folder_should_be(tmp_path: Path) -> None:
    (tmp_path / "run").write_text("")
    for command in ("stop", "rigs", "attach"):
        said = one_sentence(typed(command, GLOSSBATH_RUN=str(tmp_path / "run")))
        assert "GLOSSBATH_RUN" in said


def test_a_path_that_is_too_long_for_a_socket(tmp_path: Path) -> None:
    folder = tmp_path / ("long" * 25)
    said = one_sentence(typed("stop", "--rig", "a", GLOSSBATH_RUN=str(folder)))
    assert "at most 103" in said


@pytest.mark.skipif(os.getuid() == 0, reason="root may write everywhere")
def test_a_folder_that_cannot_be_written(tmp_path: Path) -> None:
    tmp_path.chmod(0o500)
    one_sentence(typed("rigs", GLOSSBATH_RUN=str(tmp_path)))


def test_a_planted_link_in_the_shared_folder_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / f"glossbath-{os.getuid()}").symlink_to(tmp_path / "elsewhere")
    monkeypatch.delenv("GLOSSBATH_RUN", raising=False)
    monkeypatch.delenv("XDG_RUNTIME_DIR")
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    with pytest.raises(InputError, match="is a link"):
        runtime_folder()
    assert list((tmp_path / "elsewhere").iterdir()) == []


@pytest.mark.parametrize("umask", [0o000, 0o022, 0o777])
def test_the_folder_of_sockets_is_private_whatever_the_umask(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, umask: int
) -> None:
    monkeypatch.delenv("GLOSSBATH_RUN", raising=False)
    monkeypatch.setenv("XDG_RUNTIME_DIR", str(tmp_path))
    before = os.umask(umask)
    try:
        folder = socket_path("north").parent
    finally:
        os.umask(before)
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
