"""Fields that several questions share, and what they stand for."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

from glossbath.chocolate import limits
from glossbath.errors import InputError
from glossbath.forms.fields import Choice, File, Minutes, Number, Pair, Percent

if TYPE_CHECKING:
    from glossbath.chocolate.composition import Composition
    from glossbath.chocolate.windows import Suggestion

_LEAST_KG, _MOST_KG = limits.MASS_KG
_OWN_C = (20.0, 34.0)

KindName = Literal["dark", "milk", "white"]
Kind = Annotated[
    KindName, Choice("Kind of chocolate", words=("dark", "milk", "white"), live="kind")
]
Kg = Annotated[
    float, Number("Chocolate", unit="kg", low=_LEAST_KG, high=_MOST_KG, live="batch_kg")
]
FatShare = Annotated[
    float | None,
    Percent("Fat", low=limits.FAT_SHARE[0] * 100, high=limits.FAT_SHARE[1] * 100,
            note="15 to 70 %; the usual fat of its kind if left out"),
]  # fmt: skip
Water = Annotated[float, Number("Water of the bath", unit="kg", low=0, high=_MOST_KG)]
Crock = Annotated[float, Number("Crock", unit="kg", low=0, high=_MOST_KG)]
Watts = Annotated[float, Number("Heater", unit="W", low=20, high=2000)]
Loss = Annotated[
    float,
    Number("Heat loss", unit="W/K", low=0.1, high=50, note="0.1 to 50 W/K, 1.5 to 3 with a lid"),
]
Chill = Annotated[float, Number("Chill coil", unit="W", low=0, high=2000)]
At = Annotated[
    float, Number("Chocolate now", unit="°C", low=0, high=limits.CHOCOLATE_C[1],
                  live="chocolate_c")
]  # fmt: skip
Held = Annotated[float, Minutes("Held for", low=0, high=10_080, live="held_min")]
Room = Annotated[
    float, Number("Air of the room", unit="°C", low=limits.ROOM_C[0], high=limits.ROOM_C[1],
                  option="--room", live="room_c")
]  # fmt: skip
Humidity = Annotated[float, Percent("Humidity", low=1, high=100, live="rh_percent")]
Poured = Annotated[float, Percent("Part to pour out", low=10, high=95)]
Readings = Annotated[
    Path, File("CSV file", option="argument", example="readings.csv", live="readings")
]


@dataclass(frozen=True)
class Own:
    """The windows that hold: those of the kind, or the maker's own."""

    kind: Kind = "dark"
    cool: Annotated[
        tuple[float, float] | None,
        Pair("Own cooling window", unit="°C", low=_OWN_C[0], high=_OWN_C[1], live="cool"),
    ] = None
    work: Annotated[
        tuple[float, float] | None,
        Pair("Own working window", unit="°C", low=_OWN_C[0], high=_OWN_C[1], live="work"),
    ] = None

    def windows(self) -> Suggestion:
        """The windows; raises InputError."""
        from glossbath.chocolate.phase import Window
        from glossbath.chocolate.windows import suggest, with_own

        return with_own(
            suggest(self.kind),
            cool=None if self.cool is None else Window(*self.cool),
            work=None if self.work is None else Window(*self.work),
        )


USUAL = Own()


@dataclass(frozen=True)
class Bath:
    """A bath that is brought from one temperature to another, with liquid chocolate in it."""

    from_c: Annotated[float, Number("Start", unit="°C", option="--from", low=0, high=100)]
    to_c: Annotated[float, Number("End", unit="°C", option="--to", low=0, high=100)]
    water_kg: Water = 3.0
    crock_kg: Crock = 3.0
    kg: Annotated[
        float, Number("Liquid chocolate", unit="kg", low=0, high=_MOST_KG, live="batch_kg")
    ] = 0.0

    @property
    def capacity_j_per_k(self) -> float:
        """Heat capacity of water, crock and chocolate."""
        from glossbath.chocolate import heat

        bath = self.water_kg * heat.WATER_CP + self.crock_kg * heat.CROCK_CP
        return bath + self.kg * heat.CHOCOLATE_CP_HOT

    @property
    def words(self) -> str:
        """What is brought there."""
        parts = [f"{self.water_kg:g} kg of water", f"a crock of {self.crock_kg:g} kg"]
        parts += [f"{self.kg:g} kg of chocolate"] if self.kg else []
        return f"{', '.join(parts[:-1])} and {parts[-1]}"


@dataclass(frozen=True)
class Contents:
    """What a chocolate is made of, as on its label; nothing given is the kind's usual one."""

    kind: Kind = "dark"
    cocoa_share: Annotated[float | None, Percent("Cocoa, as on the label")] = None
    cocoa_butter_share: Annotated[float | None, Percent("Cocoa butter")] = None
    sugar_share: Annotated[float | None, Percent("Sugar")] = None
    milk_share: Annotated[float, Percent("Milk solids with fat")] = 0.0
    milk_fat_share: Annotated[float, Percent("Milk fat")] = 0.0

    def composition(self) -> Composition | None:
        """The composition; None when nothing of it was given. Raises InputError."""
        from glossbath.chocolate.composition import Composition

        needed = (self.cocoa_share, self.cocoa_butter_share, self.sugar_share)
        cocoa, butter, sugar = needed
        if needed == (None, None, None):
            return None
        if cocoa is None or butter is None or sugar is None:
            raise InputError("Give --cocoa, --cocoa-butter and --sugar together, each in %.")
        return Composition(cocoa, butter, sugar, self.milk_share, self.milk_fat_share)


def fat_of(kind: KindName, fat_share: float | None) -> float:
    """The fat as a share: as given, or what the kind usually has."""
    from glossbath.chocolate.composition import TYPICAL

    return TYPICAL[kind].fat_share if fat_share is None else fat_share
