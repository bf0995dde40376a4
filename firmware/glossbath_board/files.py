"""Whether the firmware's files belong together.

An installer puts the firmware into a folder that is named after the content of all its files and
of the two that start it. The board counts again at every start and does not heat when name and
content differ: half an update, or one file changed by hand, is no firmware.
"""

import hashlib
import os
from binascii import hexlify

PREFIX = "firmware-"
START_FILES = ("boot.py", "main.py")
_DIGITS = 12
_CHUNK_BYTES = 512


def identity(folder: str, root: str) -> str:
    """Twelve hex digits of a SHA-256 over name and SHA-256 of every module below folder, then of
    START_FILES in root.

    Raises OSError where a file cannot be read.
    """
    paths: list = []
    _collect(folder, "", paths)
    paths.sort()
    total = hashlib.sha256()
    chunk = bytearray(_CHUNK_BYTES)
    for path in paths:
        total.update(path.encode() + b"\0" + _content(folder + "/" + path, chunk))
    for name in START_FILES:
        total.update(name.encode() + b"\0" + _content(root + "/" + name, chunk))
    return hexlify(total.digest()).decode()[:_DIGITS]


def fault(folder: str, root: str) -> str:
    """'' if folder is named after what is in it and in root, else what is wrong, in words."""
    name = folder.rsplit("/", 1)[-1]
    if not name.startswith(PREFIX):
        return "not installed"
    try:
        return "" if name[len(PREFIX) :] == identity(folder, root) else "mixed"
    except OSError:
        return "unreadable"


def _collect(folder: str, below: str, paths: list) -> None:
    for name in os.listdir(folder):
        if name.endswith((".py", ".mpy")):
            paths.append(below + name)
        elif "." not in name and not name.startswith("__"):
            _collect(folder + "/" + name, below + name + "/", paths)


def _content(path: str, chunk: bytearray) -> bytes:
    view = memoryview(chunk)
    digest = hashlib.sha256()
    with open(path, "rb") as file:
        while True:
            count = file.readinto(chunk)
            if not count:
                return bytes(digest.digest())
            digest.update(view[:count])
