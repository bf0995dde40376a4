"""Opens a file with whatever the desktop has for it, without touching the terminal."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path


def open_file(path: Path) -> bool:
    """Whether something could be asked to show the file; a plain terminal has nothing to ask."""
    windows = bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))
    name = "open" if sys.platform == "darwin" else "xdg-open" if windows else ""
    command = shutil.which(name) if name else None
    if command is None:
        return False
    try:
        subprocess.Popen(
            [command, str(path)],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            start_new_session=True,
        )
    except OSError:
        return False
    return True
