"""The fields of a recipe, page by page: one page for the whole, one for each phase."""

from __future__ import annotations

from glossbath.forms.fields import Field
from glossbath_board.program import NAMES

RECIPE = "recipe"
PAGES = (RECIPE, *NAMES)


class Entry(Field, frozen=True, kw_only=True):
    """One field of a recipe; its name is `page-key`."""

    page: str
    key: str
    unit: str = ""

    @property
    def title(self) -> str:
        return f"{self.label}, {self.unit}" if self.unit else self.label


def _entry(page: str, key: str, label: str, unit: str = "", optional: bool = False) -> Entry:
    return Entry(
        name=f"{page}-{key}", label=label, page=page, key=key, unit=unit, optional=optional
    )


ENTRIES: dict[str, tuple[Entry, ...]] = {
    RECIPE: (
        _entry(RECIPE, "name", "Name"),
        _entry(RECIPE, "chocolate", "Kind of chocolate"),
        _entry(RECIPE, "fat_percent", "Fat", "%"),
        _entry(RECIPE, "max_c", "Trips above", "°C"),
        _entry(RECIPE, "source", "Where the numbers come from", optional=True),
    ),
    **{
        name: (
            _entry(name, "target_c", "Target", "°C"),
            _entry(name, "low_c", "Window from", "°C"),
            _entry(name, "high_c", "Window to", "°C"),
            _entry(name, "bath_low_c", "Bath from", "°C"),
            _entry(name, "bath_high_c", "Bath to", "°C"),
            _entry(name, "dwell_min", "Time inside the window", "min"),
            _entry(name, "timeout_min", "Trips after", "min"),
            _entry(name, "stir_percent", "Stirrer", "%"),
        )
        for name in NAMES
    },
}
"""The fields of each page, in the order in which they are shown."""
