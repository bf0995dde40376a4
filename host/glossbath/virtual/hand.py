"""The hand that a cycle needs at the rig: it presses the arm button."""

from __future__ import annotations

from dataclasses import dataclass

_HAND_DELAY_MS = 2_000


@dataclass
class Hand:
    """The person at the rig: presses the arm button when the lamp asks for it, if willing."""

    willing: bool = True
    holds_arm: bool = False
    arm_until_ms: int = 0
    lamp_since_ms: int | None = None

    def arm_pressed(self, lamp: bool, now_ms: int) -> bool:
        """Whether the button is down now."""
        if not lamp:
            self.lamp_since_ms = None
        elif self.lamp_since_ms is None:
            self.lamp_since_ms = now_ms
        elif self.willing and now_ms - self.lamp_since_ms == _HAND_DELAY_MS:
            self.arm_until_ms = now_ms + 1_000
        return self.holds_arm or now_ms < self.arm_until_ms
