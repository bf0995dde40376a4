"""The keeper's process with a command to run: refused when it cannot be run, called at the end."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from patience import PATIENCE_S


def serve(tmp_path: Path, *words: str, **environment: str) -> subprocess.CompletedProcess[str]:
    """Run a keeper that has no board and, unless something is refused, wait until it ends."""
    return subprocess.run(
        [sys.executable, "-m", "glossbath.keeper.serve", "north", "--port", "/dev/null", *words],
        capture_output=True,
        text=True,
        timeout=PATIENCE_S,
        env={**os.environ, "GLOSSBATH_RUN": str(tmp_path), **environment},
    )


@pytest.mark.parametrize("hook", ["no-such-program-here now", "open 'quote"])
@pytest.mark.parametrize("way", ["option", "environment"])
def test_a_hook_that_cannot_run_is_refused_in_one_sentence(
    tmp_path: Path, hook: str, way: str
) -> None:
    if way == "option":
        done = serve(tmp_path, "--hook", hook)
    else:
        done = serve(tmp_path, GLOSSBATH_HOOK=hook)
    assert done.returncode == 2
    assert done.stderr.count("\n") == 1
    assert "hook" in done.stderr
    assert not list(tmp_path.glob("*.keeper"))
