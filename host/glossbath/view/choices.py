"""What a person chose once for every screen: the unit and the colours, kept in a small file."""

from __future__ import annotations

import contextlib
import json
from dataclasses import asdict, dataclass
from pathlib import Path

import platformdirs


@dataclass
class Choices:
    """A file that is damaged or cannot be written costs nothing but the choice."""

    fahrenheit: bool = False
    light: bool = False
    path: Path | None = None
    """Where they are kept; None keeps them nowhere."""

    def keep(self) -> None:
        """Write them down."""
        if self.path is None:
            return
        kept = {name: value for name, value in asdict(self).items() if name != "path"}
        with contextlib.suppress(OSError):
            self.path.parent.mkdir(parents=True, exist_ok=True)
            self.path.write_text(json.dumps(kept) + "\n", encoding="utf-8")


def kept_choices() -> Choices:
    """The choices of this user."""
    path = platformdirs.user_config_path("glossbath") / "screen.json"
    found: object = None
    with contextlib.suppress(OSError, ValueError):
        found = json.loads(path.read_text(encoding="utf-8"))
    known = found if isinstance(found, dict) else {}
    return Choices(known.get("fahrenheit") is True, known.get("light") is True, path)
