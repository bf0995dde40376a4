"""Chocolate whose fat melts in two peaks and sets only when it is undercooled.

A low and a high fraction of the fat each melt over a range of their own. A melt sets later than it
melts: crystals grow by themselves and in proportion to the square of the undercooling below a
temperature where none grow, and give their heat back. Of the source there is the shape alone: two
peaks in the melting curve of cocoa butter and the lag between melting and setting are textbook
(Beckett, Industrial Chocolate Manufacture and Use, 4th ed., from memory); every number is an
estimate, and shares read from here are predictions.
"""

from __future__ import annotations

from dataclasses import dataclass

from glossbath.errors import InputError

from ..limits import require

_DUST = 1e-9


@dataclass(frozen=True)
class Fat:
    """Heat and crystals of one kind; temperatures for dark chocolate, shares of all its fat."""

    fat_share: float = 0.35
    latent_j_per_kg: float = 150e3
    """Of the fat; estimate."""
    cp_j_per_kg_k: float = 1640.0
    """Of the chocolate, between the 1590 and 1670 that Beckett gives below and above 40 °C."""
    low_share: float = 0.3
    """Of the fat: what melts in the lower peak."""
    low_from_c: float = 21.0
    low_to_c: float = 28.0
    high_from_c: float = 30.5
    high_to_c: float = 36.0
    melt_tau_s: float = 40.0
    """How late melting follows temperature."""
    sets_below_c: float = 32.6
    """No crystal of the high fraction grows above this."""
    low_sets_below_c: float = 26.0
    growth_tau_s: float = 240.0
    """Stirred crystals grow by a factor e in this time at growth_at_c."""
    growth_at_c: float = 27.5
    seeds_per_s: float = 5e-6
    """Share of the fat that turns into new crystals at growth_at_c, stirred."""
    still_share: float = 0.25
    """Growth without stirring, of that with."""
    most_solid_per_k: float = 0.08
    """The share that sets in the end grows by this with every kelvin of undercooling."""

    def __post_init__(self) -> None:
        """Raises InputError when a value cannot be physical."""
        require("fat_share", self.fat_share, 0.0, 1.0, "(share)")
        require("cp_j_per_kg_k", self.cp_j_per_kg_k, 500.0, 5000.0, "J/(kg K)")
        require("low_share", self.low_share, 0.0, 1.0, "(share)")
        for name in ("latent_j_per_kg", "seeds_per_s"):
            require(name, getattr(self, name), 0.0, 1e6, "in its unit")
        for name in ("low_from_c", "high_from_c", "low_sets_below_c", "sets_below_c"):
            require(name, getattr(self, name), 0.0, 100.0, "°C")
        require("growth_at_c", self.growth_at_c, 0.0, self.sets_below_c - 0.1, "°C")
        require("still_share", self.still_share, 0.0, 1.0, "(share)")
        require("most_solid_per_k", self.most_solid_per_k, 0.001, 1.0, "1/K")
        require("low_to_c", self.low_to_c, self.low_from_c + 1.0, 100.0, "°C")
        require("high_to_c", self.high_to_c, self.high_from_c + 1.0, 100.0, "°C")
        require("melt_tau_s", self.melt_tau_s, 20.0, 1e6, "s")
        require("growth_tau_s", self.growth_tau_s, 20.0, 1e6, "s")

    def low_limit(self, celsius: float) -> float:
        """Share of the fat that may stay solid in the low fraction."""
        share = (self.low_to_c - celsius) / (self.low_to_c - self.low_from_c)
        return self.low_share * min(1.0, max(0.0, share))

    def high_limit(self, celsius: float) -> float:
        """Share of the fat that may stay solid in the high fraction."""
        share = (self.high_to_c - celsius) / (self.high_to_c - self.high_from_c)
        return (1.0 - self.low_share) * min(1.0, max(0.0, share))


_COLDER_C = {"dark": 0.0, "milk": 1.0, "white": 2.0}
"""Milk fat moves everything about crystals down; how far is an estimate."""
_PLACES = ("low_from_c", "low_to_c", "high_from_c", "high_to_c", "sets_below_c")
WATER = Fat(fat_share=0.0, cp_j_per_kg_k=4180.0)
"""Water, 15 to 50 °C (CoolProp)."""


def fat_of(kind: str) -> Fat:
    """Dark, milk or white chocolate, or water; raises InputError for another word."""
    if kind == "water":
        return WATER
    if kind not in _COLDER_C:
        raise InputError(f"There is no virtual {kind!r} chocolate: use {', '.join(_COLDER_C)}.")
    dark = Fat()
    colder = _COLDER_C[kind]
    places = {name: getattr(dark, name) - colder for name in _PLACES}
    places["low_sets_below_c"] = dark.low_sets_below_c - colder
    places["growth_at_c"] = dark.growth_at_c - colder
    return Fat(fat_share=0.35 - 0.01 * colder, **places)


class Portion:
    """Some chocolate of one temperature: kg, celsius, and what of its fat is solid."""

    __slots__ = ("celsius", "fat", "high", "kg", "low", "pieces")

    def __init__(self, fat: Fat, kg: float, celsius: float, solid: float | None = None) -> None:
        """solid is the share of the fat that is solid; None: well set for its temperature."""
        self.fat = fat
        self.kg = require("chocolate", kg, 0.0, 50.0, "kg")
        self.celsius = require("chocolate temperature", celsius, 0.0, 95.0, "°C")
        if fat.fat_share == 0.0:
            self.low = self.high = 0.0
        elif solid is None:
            self.low, self.high = fat.low_limit(celsius), fat.high_limit(celsius)
        else:
            solid = require("solid share", solid, 0.0, 1.0, "(share)")
            self.high = min(solid, 1.0 - fat.low_share)
            self.low = solid - self.high
        self.pieces = self.low + self.high

    @property
    def solid(self) -> float:
        """Solid share of the fat."""
        return self.low + self.high

    @property
    def heat_j(self) -> float:
        """Heat above solid chocolate at 0 °C in J."""
        fat = self.fat
        melting = fat.fat_share * fat.latent_j_per_kg * (1.0 - self.low - self.high)
        return self.kg * (fat.cp_j_per_kg_k * self.celsius + melting)

    def step(self, dt_s: float, heat_j: float, mixing: float) -> None:
        """Take in heat_j (J) over dt_s (s), stirred with mixing (0 to 1)."""
        fat = self.fat
        before = self.low + self.high
        if before > 0.0 or self.celsius < fat.sets_below_c:
            self._melt(dt_s)
            self._set(dt_s, mixing)
        set_j_per_kg = fat.fat_share * fat.latent_j_per_kg * (self.low + self.high - before)
        self.celsius += (heat_j / self.kg + set_j_per_kg) / fat.cp_j_per_kg_k

    def _melt(self, dt_s: float) -> None:
        fat = self.fat
        rate = dt_s / fat.melt_tau_s
        before = self.low + self.high
        over = self.low - fat.low_limit(self.celsius)
        if over > 0.0:
            self.low -= over * rate
        over = self.high - fat.high_limit(self.celsius)
        if over > 0.0:
            self.high -= over * rate
        if self.low + self.high < _DUST:
            self.low = self.high = 0.0
        if before > 0.0:
            self.pieces *= (self.low + self.high) / before
        if self.celsius > fat.low_to_c:
            self.pieces *= 1.0 - dt_s / 5400.0

    def _set(self, dt_s: float, mixing: float) -> None:
        fat = self.fat
        if fat.fat_share == 0.0:
            return
        pace = dt_s * (fat.still_share + (1.0 - fat.still_share) * mixing)
        under = fat.sets_below_c - self.celsius
        if under > 0.0:
            whole = fat.sets_below_c - fat.growth_at_c
            strength = (under / whole) * (under / whole)
            most = min(1.0 - fat.low_share, fat.most_solid_per_k * under)
            room = 1.0 - self.high / most
            if room > 0.0:
                growth = strength * (
                    self.high / fat.growth_tau_s + fat.seeds_per_s * under / whole
                )
                self.high += min(pace * growth, 0.02) * room
        under = fat.low_sets_below_c - self.celsius
        if under > 0.0:
            room = fat.low_limit(self.celsius) - self.low
            if room > 0.0:
                self.low += pace * min(under, 4.0) / 3000.0 * room

    def take(self, kg: float) -> float:
        """Remove kg; returns the heat (J) that leaves with it."""
        left_j = self.heat_j * kg / self.kg
        self.kg -= kg
        return left_j

    def add(self, other: Portion) -> None:
        """Stir other in at one temperature: heat, fat and pieces of both together."""
        kg = self.kg + other.kg
        if kg <= 0.0:
            return
        mine, theirs = self.kg / kg, other.kg / kg
        self.celsius = mine * self.celsius + theirs * other.celsius
        self.low = mine * self.low + theirs * other.low
        self.high = mine * self.high + theirs * other.high
        self.pieces = mine * self.pieces + theirs * other.pieces
        self.kg = kg
