"""What the host's own balances assume of a rig: the reference rig's figures, or measured ones."""

from __future__ import annotations

from typing import NamedTuple

_LEAST_J_PER_K = 6_500.0


class Figures(NamedTuple):
    """Heat capacities in J/K, heat transfers in W/K, heater power in W."""

    bath_j_per_k: float = 12_790.0
    """3 kg of water with a steel bowl."""
    body_j_per_k: float = 2_700.0
    """3 kg of crock."""
    body_w_per_k: float = 40.0
    """Body to bath."""
    coil_w_per_k: float = 18.0
    """Of the chill coil at full flow, against ice water: two thirds of the reference rig's."""
    heater_w: float | None = None
    """None where the rig was never measured."""

    @property
    def measured(self) -> bool:
        """Whether these are the rig's own."""
        return self.heater_w is not None

    @property
    def least_bath_j_per_k(self) -> float:
        """What its bath holds at least: of a rig that was never measured 1.5 kg of water."""
        return self.bath_j_per_k if self.measured else _LEAST_J_PER_K


USUAL = Figures()
