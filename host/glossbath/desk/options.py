"""Options that several commands share, and what they stand for."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING, Annotated

import typer

from glossbath.errors import InputError

if TYPE_CHECKING:
    from glossbath.chocolate.composition import Composition
    from glossbath.chocolate.windows import Suggestion


class KindName(StrEnum):
    """The three kinds of chocolate."""

    dark = "dark"
    milk = "milk"
    white = "white"


Json = Annotated[bool, typer.Option("--json", help="Print one JSON object for programs.")]
Kind = Annotated[KindName, typer.Option("--kind", help="Kind of chocolate.")]
Kg = Annotated[float, typer.Option("--kg", help="Mass of chocolate in kg.")]
Fat = Annotated[
    float | None, typer.Option("--fat", help="Fat in %; the kind's usual fat if left out.")
]
Work = Annotated[
    tuple[float, float] | None,
    typer.Option("--work", help="Your own working window, low and high, in °C."),
]
Cool = Annotated[
    tuple[float, float] | None,
    typer.Option("--cool", help="Your own cooling window, low and high, in °C."),
]
Room = Annotated[float, typer.Option("--room", help="Air of the room in °C.")]


def fat_share(kind: KindName, fat_percent: float | None) -> float:
    """The fat as a share: as given in per cent, or what the kind usually has."""
    from glossbath.chocolate.composition import TYPICAL

    return TYPICAL[kind.value].fat_share if fat_percent is None else fat_percent / 100


def windows_of(
    kind: KindName,
    cool: tuple[float, float] | None = None,
    work: tuple[float, float] | None = None,
) -> Suggestion:
    """Windows of a kind, with the maker's own in place of those given. Raises InputError."""
    from glossbath.chocolate.phase import Window
    from glossbath.chocolate.windows import suggest, with_own

    return with_own(
        suggest(kind.value),
        cool=None if cool is None else Window(*cool),
        work=None if work is None else Window(*work),
    )


def composition(
    cocoa: float | None,
    cocoa_butter: float | None,
    sugar: float | None,
    milk: float,
    milk_fat: float,
) -> Composition | None:
    """A composition from per cents; None when nothing of it was given. Raises InputError."""
    from glossbath.chocolate.composition import Composition

    if cocoa is None and cocoa_butter is None and sugar is None:
        return None
    if cocoa is None or cocoa_butter is None or sugar is None:
        raise InputError("Give --cocoa, --cocoa-butter and --sugar together, each in %.")
    return Composition(
        cocoa_share=cocoa / 100,
        cocoa_butter_share=cocoa_butter / 100,
        sugar_share=sugar / 100,
        milk_share=milk / 100,
        milk_fat_share=milk_fat / 100,
    )
