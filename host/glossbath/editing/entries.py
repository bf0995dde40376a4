"""The fields of a recipe, page by page: one page for the whole, one for each phase."""

from __future__ import annotations

from dataclasses import dataclass

from glossbath.forms.fields import Field
from glossbath.recipe.rules import LIMITS
from glossbath_board.program import NAMES

RECIPE = "recipe"
PAGES = (RECIPE, *NAMES)


@dataclass(frozen=True)
class Entry(Field):
    """One field of a recipe; its name is `page-key`."""

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
        """The unit of its number; empty for words."""
        return LIMITS[self.key].unit if self.key in LIMITS else ""

    @property
    def title(self) -> str:
        return f"{self.label}, {self.unit}" if self.unit else self.label


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
ENTRIES: dict[str, tuple[Entry, ...]] = {
    RECIPE: (
        Entry("Name", name="recipe-name"),
        Entry("Kind of chocolate", name="recipe-chocolate"),
        Entry("Fat", name="recipe-fat_percent"),
        Entry("Trips above", name="recipe-max_c"),
        Entry("Where the numbers come from", name="recipe-source", default=None),
    ),
    **{
        name: tuple(Entry(label, name=f"{name}-{key}") for key, label in _OF_PHASE.items())
        for name in NAMES
    },
}
"""The fields of each page, in the order in which they are shown."""
