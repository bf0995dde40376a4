"""The wiring as it is, for tests that break a copy of it (`rig`, in conftest)."""

from __future__ import annotations

import msgspec

from hardware import wiring
from hardware.wiring import Part

SOUND = wiring.load()


def rate(part: Part, **ratings: float) -> None:
    """Give a part other ratings."""
    part.rated = msgspec.structs.replace(part.rated, **ratings)
