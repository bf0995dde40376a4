"""The fields of a recipe, page by page: one page for the whole, one for each phase."""

from __future__ import annotations

from dataclasses import dataclass

from glossbath.forms.fields import CELSIUS, FAHRENHEIT, Field
from glossbath.recipe.rules import LIMITS
from glossbath_board.program import NAMES

RECIPE = "recipe"
PAGES = (RECIPE, *NAMES)


@dataclass(frozen=True)
class Entry(Field):
    """One field of a recipe; its name is `page-key`."""

    fahrenheit: bool = False
    """Whether a temperature is typed in °F; the recipe itself stays in °C."""

    @property
    def page(self) -> str:
        """The page on which it stands."""
        return self.name.partition("-")[0]

    @property
    def key(self) -> str:
        """What it is on its page."""
        return self.name.partition("-")[2]

    @property
    def unit(self) -> str:
        """The unit in which its number is typed; empty for words."""
        unit = LIMITS[self.key].unit if self.key in LIMITS else ""
        return FAHRENHEIT if self.fahrenheit and unit == CELSIUS else unit

    @property
    def title(self) -> str:
        return f"{self.label}, {self.unit}" if self.unit else self.label

    def shown(self, value: float) -> float:
        """A value of the recipe as it is typed here."""
        return value * 1.8 + 32.0 if self.unit == FAHRENHEIT else value

    def meant(self, typed: float) -> float:
        """The recipe's value for a number typed here, to the m°C that the board takes."""
        return round((typed - 32.0) / 1.8, 3) if self.unit == FAHRENHEIT else typed


_OF_PHASE = {
    "target_c": "Target",
    "low_c": "Window from",
    "high_c": "Window to",
    "bath_low_c": "Bath from",
    "bath_high_c": "Bath to",
    "dwell_min": "Time inside the window",
    "timeout_min": "Trips after",
    "stir_percent": "Stirrer",
}


def entries(fahrenheit: bool = False) -> dict[str, tuple[Entry, ...]]:
    """The fields of each page, in the order in which they are shown."""
    whole = (
        Entry("Name", name="recipe-name"),
        Entry("Kind of chocolate", name="recipe-chocolate"),
        Entry("Fat", name="recipe-fat_percent"),
        Entry("Trips above", name="recipe-max_c", fahrenheit=fahrenheit),
        Entry("Where the numbers come from", name="recipe-source", default=None),
    )
    phases = {
        name: tuple(
            Entry(label, name=f"{name}-{key}", fahrenheit=fahrenheit)
            for key, label in _OF_PHASE.items()
        )
        for name in NAMES
    }
    return {RECIPE: whole, **phases}
