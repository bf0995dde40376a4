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
    """Cut copy a, copy b and both at a byte: what went wrong, or an empty text."""
    cut = settings[:at]
    if not board_with(folder / f"a{at}", (cut, settings))[0]:
        return f"cut at {at}: the good copy b did not help"
    if not board_with(folder / f"b{at}", (settings, cut))[0]:
        return f"cut at {at}: the good copy a did not help"
    ok, text = board_with(folder / f"both{at}", (cut, cut))
    # The last byte is the line's end, which the record does without.
    whole = at >= len(settings) - 1
    if ok != whole or not text.endswith("."):
        return f"both copies cut at {at} and the board said: {text}"
    return ""
