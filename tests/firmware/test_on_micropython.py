"""The firmware's own tests once more, on MicroPython's unix port."""

from __future__ import annotations

import importlib.util
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from patience import PATIENCE_S

from .run_on_micropython import is_portable

HERE = Path(__file__).parent
FIRMWARE = HERE.parent.parent / "firmware"
MICROPYTHON = shutil.which("micropython", path=Path(sys.executable).parent) or shutil.which(
    "micropython"
)


@pytest.fixture(scope="module")
def module_path(tmp_path_factory: pytest.TempPathFactory) -> str:
    """MicroPython's module path: the firmware and simple_pid, nothing else of site-packages.

    The rest of site-packages would shadow modules that MicroPython brings itself.
    """
    found = importlib.util.find_spec("simple_pid")
    assert found is not None and found.origin is not None
    folder = tmp_path_factory.mktemp("board_libraries")
    shutil.copytree(Path(found.origin).parent, folder / "simple_pid")
    return os.pathsep.join([str(FIRMWARE), str(folder), ".frozen"])


@pytest.mark.skipif(MICROPYTHON is None, reason="no MicroPython wheel exists for this platform")
@pytest.mark.parametrize("file", sorted(p.name for p in HERE.iterdir() if is_portable(p.name)))
def test_firmware_tests_pass_on_micropython(file: str, module_path: str, tmp_path: Path) -> None:
    run = subprocess.run(
        [MICROPYTHON, HERE / "run_on_micropython.py", file],
        cwd=tmp_path,
        env={**os.environ, "MICROPYPATH": module_path},
        capture_output=True,
        text=True,
        timeout=PATIENCE_S,
    )
    assert run.returncode == 0, run.stdout + run.stderr
