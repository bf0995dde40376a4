"""A recipe as a small table, as typed: every phase with its windows, and where something is
wrong."""

from __future__ import annotations

from glossbath.forms.fields import CELSIUS, FAHRENHEIT
from glossbath.words import Line, one_line
from glossbath_board.program import NAMES

from .draft import Draft
from .entries import RECIPE

MOST_CELLS = 6


def table(draft: Draft, page: str = "", wide: bool = True) -> list[Line]:
    """The lines of the table; the given page is marked ▶, one with an error !. Where there is no
    room for all columns, the most important ones."""
    unit = FAHRENHEIT if draft.fahrenheit else CELSIUS
    bath, trips = (f"{f'bath {unit}':<14}", f"{'trips':>11}") if wide else ("", "")
    window = f"{f'window {unit}':<14}"
    head = f"  {'phase':<9}{'target':>7}  {window}{bath}{'inside':>9}{trips}{'stir':>9}"
    return [
        [_mark(draft, RECIPE, page), (_whole(draft, unit), "strong" if page == RECIPE else "")],
        [(head, "dim")],
        *([_mark(draft, name, page), *_phase(draft, name, name == page, wide)] for name in NAMES),
    ]


def _mark(draft: Draft, page: str, current: str) -> tuple[str, str]:
    if draft.problems(page):
        return "! ", "high"
    return ("▶ ", "strong") if page == current else ("  ", "")


def _whole(draft: Draft, unit: str) -> str:
    name, kind, fat, trips = (
        _typed(draft, RECIPE, key, 40) for key in ("name", "chocolate", "fat_percent", "max_c")
    )
    return f"{name}   {kind}, {fat} % fat, trips above {trips} {unit}"


def _phase(draft: Draft, name: str, current: bool, wide: bool) -> Line:
    def typed(key: str) -> str:
        return _typed(draft, name, key, MOST_CELLS)

    window = f"{typed('low_c')}–{typed('high_c')}"
    inside = f"{typed('dwell_min') + ' min':>9}"
    bath = trips = ""
    if wide:
        bath = f"{typed('bath_low_c') + '–' + typed('bath_high_c'):<14}"
        trips = f"{typed('timeout_min') + ' min':>11}"
    weight = "strong" if current else ""
    numbers = f"{typed('target_c'):>7}  {window:<14}{bath}{inside}{trips}"
    return [(f"{name:<9}", weight), (f"{numbers}{typed('stir_percent') + ' %':>9}", weight)]


def _typed(draft: Draft, page: str, key: str, cells: int) -> str:
    text = one_line(draft.typed[f"{page}-{key}"]) or "?"
    return text if len(text) <= cells else text[: cells - 1] + "…"
