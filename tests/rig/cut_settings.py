"""Boards whose settings in flash are cut short, as a power cut in the middle of a write does."""

from __future__ import annotations

from pathlib import Path

from world import World, world


def _copies(rig: World) -> list[Path]:
    flash = Path(rig.rig.engine._flash)
    return [flash / "settings.a", flash / "settings.b"]


def good_settings(folder: Path) -> bytes:
    """One good copy of a rig's settings."""
    with world(folder, fast=True) as rig:
        return next(path.read_bytes() for path in _copies(rig) if path.exists())


def board_with(folder: Path, copies: tuple[bytes, bytes]) -> tuple[bool, str]:
    """Whether a board with these two copies takes a start, and what it says; nothing heats."""
    with world(folder, fast=True) as rig:
        for path, content in zip(_copies(rig), copies, strict=True):
            path.write_bytes(content)
        rig.rig.restart()
        rig.run(3)
        reply = rig.start()
        rig.run(2)
        assert rig.rig.heat_share == 0
        return reply.ok, reply.text


def cut_problem(folder: Path, settings: bytes, at: int) -> str:
    """Cut copy a, copy b and both at a byte: what went wrong, or an empty text.

    A copy that is not whole is no remains of a power cut, since copies are replaced by renaming:
    the other copy may be of before the last change, and does not heat.
    """
    cut = settings[:at]
    # The last byte is the line's end, which the record does without.
    whole = at >= len(settings) - 1
    for name, copies in (("a", (cut, settings)), ("b", (settings, cut)), ("both", (cut, cut))):
        ok, text = board_with(folder / f"{name}{at}", copies)
        if ok != whole or not text.endswith("."):
            return f"copy {name} cut at {at} and the board said: {text}"
    return ""
