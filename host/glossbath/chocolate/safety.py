"""Food safety of chocolate work: what its heat does not do, and what to discard.

Figures are published decimal reduction times. They belong to one product and one organism and show
one thing only: melting and tempering kill nothing (Podolak et al. 2010: do not carry D and z over
to another product). The local food authority decides.
"""

from __future__ import annotations

import msgspec

from . import limits

D50_MIN = 1574.0
Z_K = 14.0
"""Salmonella in dark chocolate: Krapf and Gantenbein-Demarchi, LWT 43:720 (2010)."""
FIVE_LOG = 5.0

PAGE = (
    "Nothing grows in chocolate, whose water activity is 0.3 to 0.5, but Salmonella survives in "
    "it for months, and a few cells are enough (Codex CXC 75-2015).",
    "The only step that kills is roasting the beans; after it keep water out, and raw beans, dust "
    "and shells apart from everything that follows (Bean and Post 2014).",
    "Discard chocolate that water of bath, coil or ice, glass, metal or pests got into. Do not "
    "melt it again to make it safe.",
    "Clean dry: scrape, wipe, brush. Wet cleaning in a dry room is a hazard by itself; if it must "
    "be, away from chocolate, and dry at once. Rinsing with chocolate proves nothing.",
    "Ice and water that may touch food are of drinking quality and changed every day.",
    "Heat does not destroy allergens (Codex CXC 80-2020): dark after milk in the same bowl may "
    "contain milk. In a survey of dark bars without milk on the label 51 of 88 held it (US FDA).",
    "Fillings with cream or fruit have more water and other rules: water activity alone gives no "
    "date. Ask the food authority where you sell; it decides, not this page.",
)


class Survival(msgspec.Struct, frozen=True):
    """How little a temperature does to Salmonella in dark chocolate."""

    log_reduction: float
    """Powers of ten."""
    hours_for_five: float
    lines: list[str]

    def sentences(self) -> list[str]:
        """The figure and the page."""
        return list(self.lines)


def survival(celsius: float, seconds: float) -> Survival:
    """Reduction after a time at a temperature: log10 D = log10 1574 - (T - 50) / 14, D in min.

    Raises InputError outside 40 to 90 °C.
    """
    limits.celsius("chocolate", celsius, (40.0, 90.0))
    limits.number("time", seconds, 0.0, 7 * 86_400.0, "s")
    d_min = D50_MIN * 10 ** (-(celsius - 50) / Z_K)
    reduction = seconds / 60 / d_min
    hours = FIVE_LOG * d_min / 60
    line = (
        f"{seconds / 3600:g} h at {celsius:g} °C take {reduction:.2f} powers of ten of Salmonella "
        f"in dark chocolate; five would take {hours:.0f} h (Krapf and Gantenbein-Demarchi 2010). "
        "This is no kill step."
    )
    return Survival(reduction, hours, [line, *PAGE])
