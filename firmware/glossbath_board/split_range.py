"""Power with a sign becomes heat or chill, never both and never in turns.

Each keeps the field until the demand for the other is clear: around zero, noise alone would have
them work against each other.
"""


class SplitRange:
    """heat_permille and chill_permille are what to ask for."""

    def __init__(self) -> None:
        self.rest()

    def rest(self) -> None:
        """Ask for neither."""
        self.heat_permille = 0
        self.chill_permille = 0
        self._chilling = False

    def step(self, power_w: float, clear_w: float, heater_w: float, chill_w: float) -> None:
        """Heat for power_w > 0, chill below; the other side takes over beyond clear_w."""
        if self._chilling:
            self._chilling = power_w < clear_w
        else:
            self._chilling = power_w < -clear_w
        self.heat_permille = 0
        self.chill_permille = 0
        if self._chilling and power_w < 0.0:
            self.chill_permille = min(1000, int(0.5 - power_w * 1000 / max(chill_w, 1.0)))
        elif not self._chilling and power_w > 0.0:
            self.heat_permille = min(1000, int(0.5 + power_w * 1000 / max(heater_w, 1.0)))
