"""Which names a composition may bear, by the law that its maker chose. Advice: the food authority
where the chocolate is sold decides.

Only what was read in a text, or is marked as recalled, stands here. The texts count dry matter,
labels count the whole; the difference is about 1 %.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal

import msgspec

from .composition import Composition, Kind, check

Law = Literal["codex", "eu", "us"]

PARTS: dict[str, Callable[[Composition], float]] = {
    "total cocoa": lambda made: made.cocoa_share,
    "cocoa butter": lambda made: made.cocoa_butter_share,
    "dry cocoa": lambda made: made.dry_cocoa_share,
    "milk": lambda made: made.milk_share,
    "milk fat": lambda made: made.milk_fat_share,
    "total fat": lambda made: made.fat_share,
    "sugar": lambda made: made.sugar_share,
    # 21 CFR 163: cocoa liquor counts as its fat-free part times 2.2.
    "chocolate liquor": lambda made: 2.2 * made.dry_cocoa_share,
}


class Product(msgspec.Struct, frozen=True):
    """One name with its minima, and maxima where there are any, in per cent."""

    name: str
    kinds: tuple[Kind, ...]
    least: dict[str, float]
    source: str
    most: dict[str, float] = {}
    note: str = ""


_CODEX, _EU = "Codex CXS 87-1981", "Directive 2000/36/EC, Annex I A"
_RANGE = "where the authority asks for more, up to 14 % milk and 3.5 % milk fat, that holds"
_MEMORY = "recalled, not read: look it up"

LAWS: dict[Law, tuple[Product, ...]] = {
    "codex": (
        Product("chocolate", ("dark",), {"total cocoa": 35, "cocoa butter": 18, "dry cocoa": 14},
                _CODEX),
        Product("sweet chocolate", ("dark",),
                {"total cocoa": 30, "cocoa butter": 18, "dry cocoa": 12}, _CODEX),
        Product("couverture", ("dark",),
                {"total cocoa": 35, "cocoa butter": 31, "dry cocoa": 2.5}, _CODEX),
        Product("milk chocolate", ("milk",),
                {"total cocoa": 25, "dry cocoa": 2.5, "milk": 12, "milk fat": 2.5}, _CODEX,
                note=_RANGE),
        Product("family milk chocolate", ("milk",),
                {"total cocoa": 20, "dry cocoa": 2.5, "milk": 20, "milk fat": 5}, _CODEX),
        Product("milk couverture", ("milk",),
                {"total cocoa": 25, "dry cocoa": 2.5, "milk": 14, "milk fat": 3.5,
                 "total fat": 31}, _CODEX),
        Product("white chocolate", ("white",),
                {"cocoa butter": 20, "milk": 14, "milk fat": 2.5}, _CODEX,
                note="where the authority asks for more milk fat, up to 3.5 %, that holds"),
    ),
    "eu": (
        Product("chocolate", ("dark",), {"total cocoa": 35, "cocoa butter": 18, "dry cocoa": 14},
                _EU),
        Product("couverture chocolate", ("dark",),
                {"total cocoa": 35, "cocoa butter": 31, "dry cocoa": 2.5}, _EU, note=_MEMORY),
        Product("milk chocolate", ("milk",),
                {"total cocoa": 25, "dry cocoa": 2.5, "milk": 14, "milk fat": 3.5,
                 "total fat": 25}, _EU),
        Product("milk couverture", ("milk",),
                {"total cocoa": 25, "dry cocoa": 2.5, "milk": 14, "milk fat": 3.5,
                 "total fat": 31}, _EU, note=_MEMORY),
        Product("family milk chocolate", ("milk",),
                {"total cocoa": 20, "dry cocoa": 2.5, "milk": 20, "milk fat": 5,
                 "total fat": 25}, _EU),
        Product("white chocolate", ("white",),
                {"cocoa butter": 20, "milk": 14, "milk fat": 3.5}, _EU, note=_MEMORY),
    ),
    "us": (
        Product("sweet chocolate", ("dark",), {"chocolate liquor": 15}, "21 CFR 163.123",
                most={"milk": 12}),
        Product("semisweet or bittersweet chocolate", ("dark",), {"chocolate liquor": 35},
                "21 CFR 163.123", most={"milk": 12}),
        Product("milk chocolate", ("milk",),
                {"chocolate liquor": 10, "milk": 12, "milk fat": 3.39}, "21 CFR 163.130"),
        Product("white chocolate", ("white",),
                {"cocoa butter": 20, "milk": 14, "milk fat": 3.5}, "21 CFR 163.124",
                most={"sugar": 55}),
    ),
}  # fmt: skip
ROUNDING = 0.05
"""Labels print whole or tenth per cents."""


class Verdict(msgspec.Struct, frozen=True):
    """Whether a composition may bear a name, and what it misses."""

    name: str
    met: bool
    missed: list[str]
    """Each limit that is not kept, in words."""
    source: str
    note: str

    def sentence(self) -> str:
        """The verdict in words."""
        more = f"; {self.note}" if self.note else ""
        if self.met:
            return f'It may be called "{self.name}" ({self.source}{more}).'
        return f'It may not be called "{self.name}": {", ".join(self.missed)} ({self.source}).'


def names(made: Composition, law: Law) -> list[Verdict]:
    """A verdict for each name that the law has for this kind. Raises InputError."""
    check(made)
    return [_verdict(made, product) for product in LAWS[law] if made.kind in product.kinds]


def _verdict(made: Composition, product: Product) -> Verdict:
    missed = []
    for sign, word, limits in ((1, "under", product.least), (-1, "over", product.most)):
        for part, limit in limits.items():
            found = 100 * PARTS[part](made)
            if sign * (found - limit) < -ROUNDING:
                missed.append(f"its {part} of {found:.1f} % is {word} the {limit:g} %")
    return Verdict(product.name, not missed, missed, product.source, product.note)
