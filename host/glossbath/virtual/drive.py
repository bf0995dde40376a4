"""What any stirrer of the virtual rig shows, and what can go wrong with it."""

from __future__ import annotations


class Drive:
    """A motor with a paddle. Flags that anyone may set: jammed, the paddle is held; belt_off, the
    motor turns and the paddle does not; seized, water got into the chocolate, which then is a
    stiff paste."""

    __slots__ = ("belt_off", "current_ma", "heat_w", "jammed", "seized", "turning_share")

    def __init__(self) -> None:
        self.belt_off = self.jammed = self.seized = False
        self.current_ma = self.heat_w = self.turning_share = 0.0
