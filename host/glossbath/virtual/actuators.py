"""What flows into a plant."""

from __future__ import annotations

from dataclasses import dataclass

from glossbath.errors import InputError


@dataclass(slots=True)
class Actuators:
    """What really flows, as shares (0 to 1) of heater power, pump flow and stirrer speed."""

    heat_share: float = 0.0
    chill_share: float = 0.0
    stir_share: float = 0.0

    def check(self) -> None:
        """Raises InputError when a share is outside 0 to 1."""
        if not (
            0.0 <= self.heat_share <= 1.0
            and 0.0 <= self.chill_share <= 1.0
            and 0.0 <= self.stir_share <= 1.0
        ):
            raise InputError(f"{self} has a share outside 0 to 1; pass what really flows.")
