"""Records that survive a power cut: two copies, each one line with a CRC, replaced by renaming.

Flash is written only while outputs are off: an erase stops the interpreter for tens of
milliseconds, and a switch that was on would stay on.
"""

import json
import os

from .errors import StoreError
from .frame import checksum

_replace = getattr(os, "replace", os.rename)  # the board's rename replaces; Windows' does not
_MOST_BYTES = 4_096


class Record:
    """One small JSON object under a name in a folder."""

    def __init__(self, folder: str, name: str) -> None:
        self._paths = (folder + "/" + name + ".a", folder + "/" + name + ".b")
        self._new = folder + "/" + name + ".new"

    def load(self) -> dict | None:
        """The newest whole copy, or None when there is none."""
        best = None
        for path in self._paths:
            content = _read(path)
            if content is not None and (best is None or content["edition"] > best["edition"]):
                best = content
        return best

    def save(self, content: dict) -> None:
        """Replace the older copy; raises StoreError if flash refuses, leaving the newer copy."""
        copies = [_read(path) for path in self._paths]
        editions = [copy["edition"] if copy else 0 for copy in copies]
        older = 0 if editions[0] <= editions[1] else 1
        content["edition"] = max(editions) + 1
        text = json.dumps(content).encode()
        line = text + b"*" + checksum(text) + b"\n"
        if len(line) > _MOST_BYTES:
            raise StoreError("a record of %d bytes, the limit is %d" % (len(line), _MOST_BYTES))
        try:
            with open(self._new, "wb") as file:
                file.write(line)
                file.flush()
            _replace(self._new, self._paths[older])
        except OSError as error:
            raise StoreError("flash refused the record") from error

    def damaged(self) -> bool:
        """Whether a copy exists that is not whole. A power cut leaves none behind, since a copy
        is replaced by renaming; the other one may be of before the last change."""
        return any(_exists(path) and _read(path) is None for path in self._paths)


def _read(path: str) -> dict | None:
    try:
        with open(path, "rb") as file:
            line = file.read(_MOST_BYTES).rstrip(b"\n")
        text = line[:-9]
        if line[-9:-8] != b"*" or checksum(text) != line[-8:]:
            return None
        content = json.loads(text)
        return content if isinstance(content.get("edition"), int) else None
    except (OSError, ValueError, AttributeError, UnicodeError):
        return None


def _exists(path: str) -> bool:
    try:
        os.stat(path)
        return True
    except OSError:
        return False
