"""The chocolate in the bowl: how much heat it holds and how much of its fat is solid.

Enthalpy is the state and temperature follows from it, so melting and setting cost exactly the
latent heat, however fast or slowly they go. Fat that is solid is one of two kinds: stable (form V
and up) or unstable (form IV and down), as in two-species models of the trade's literature. Only
the direction of the kinetics is supported by sources; every rate is an estimate, and a crystal
share read from here is a prediction.
"""

from __future__ import annotations

from dataclasses import dataclass

from .limits import require

_DUST = 1e-12
"""Crystals fewer than this share of the fat are none: a melt held hot has forgotten its past."""


@dataclass(frozen=True)
class ChocolateParameters:
    """Heat and crystals of one chocolate; nominal values are a dark one with 36 % fat."""

    fat_share: float = 0.36
    latent_fat_j_per_kg: float = 157e3
    """Chevalley et al. 1970, as given in Beckett 4th ed. p. 668."""
    cp_cool_j_per_kg_k: float = 1590.0
    """Chocolate 15-40 °C, Manufacturing Confectioner Aug 1991 as given in Beckett p. 667."""
    cp_warm_j_per_kg_k: float = 1670.0
    """Chocolate 40-60 °C, same source."""
    cp_step_c: float = 40.0
    """Where the one heat capacity ends and the other begins, same source."""
    melt_low_c: float = 28.0
    """Below this all fat may be solid. Estimate; form IV melts at 27.5 °C (Wille & Lutton)."""
    melt_high_c: float = 36.0
    """Above this none may. Form VI melts at 36.3 °C (Wille & Lutton 1966)."""
    melt_tau_s: float = 60.0
    """How slowly melting follows temperature in a stirred bowl; estimate."""
    stable_melt_c: float = 33.8
    """Form V melts (Wille & Lutton 1966); undercooling of stable growth counts from here."""
    nucleate_below_c: float = 30.0
    """First seeds appear below this; estimate, one degree above Greweling's limit of form IV."""
    stable_nucleation_per_s: float = 8e-6
    """Share of the fat turned into new stable seeds at grow_reference_c; estimate."""
    grow_reference_c: float = 27.5
    """Temperature at which the growth rates are given: the usual cooling target."""
    stable_grow_tau_s: float = 150.0
    """Stirred stable crystals grow by a factor e in this time at grow_reference_c; estimate."""
    unstable_low_c: float = 22.5
    unstable_high_c: float = 28.5
    """Unstable fat melts over this range: forms II to IV are printed between 21 and 29 °C."""
    unstable_nucleation_per_s: float = 1e-5
    unstable_grow_tau_s: float = 300.0
    """Rates of the unstable kind 2 K below unstable_high_c; estimates."""
    still_growth_share: float = 0.2
    """Growth without stirring, of that with; shear hastens form V (Mazzanti et al. 2007)."""
    piece_tau_s: float = 7200.0
    """Softened pieces are rubbed into single crystals over this time; estimate."""

    def __post_init__(self) -> None:
        """Raises InputError when a value cannot be physical or would make a step unstable."""
        require("fat_share", self.fat_share, 0.0, 1.0, "(share)")
        require("latent_fat_j_per_kg", self.latent_fat_j_per_kg, 0.0, 1e6, "J/kg")
        for name in ("cp_cool_j_per_kg_k", "cp_warm_j_per_kg_k"):
            require(name, getattr(self, name), 500.0, 5000.0, "J/(kg K)")
        require("melt_high_c", self.melt_high_c, 0.0, 100.0, "°C")
        require("melt_low_c", self.melt_low_c, 0.0, self.melt_high_c - 1.0, "°C")
        require("cp_step_c", self.cp_step_c, self.melt_high_c, 100.0, "°C")
        require("unstable_high_c", self.unstable_high_c, 0.0, self.melt_high_c, "°C")
        require("unstable_low_c", self.unstable_low_c, 0.0, self.unstable_high_c - 1.0, "°C")
        require("stable_melt_c", self.stable_melt_c, self.melt_low_c, self.melt_high_c, "°C")
        require("nucleate_below_c", self.nucleate_below_c, 0.0, self.stable_melt_c, "°C")
        require("grow_reference_c", self.grow_reference_c, 0.0, self.nucleate_below_c - 0.1, "°C")
        for name in ("melt_tau_s", "stable_grow_tau_s", "unstable_grow_tau_s", "piece_tau_s"):
            require(name, getattr(self, name), 20.0, 1e7, "s")
        for name in ("stable_nucleation_per_s", "unstable_nucleation_per_s"):
            require(name, getattr(self, name), 0.0, 1e-2, "1/s")
        require("still_growth_share", self.still_growth_share, 0.0, 1.0, "(share)")

    @property
    def latent_j_per_kg(self) -> float:
        """Heat which melts the fat in 1 kg of chocolate, J/kg."""
        return self.fat_share * self.latent_fat_j_per_kg

    def sensible_j_per_kg(self, celsius: float) -> float:
        """Heat above 0 °C without any melting, J/kg."""
        over = celsius - self.cp_step_c
        if over <= 0.0:
            return self.cp_cool_j_per_kg_k * celsius
        return self.cp_cool_j_per_kg_k * self.cp_step_c + self.cp_warm_j_per_kg_k * over

    def solid_limit(self, celsius: float) -> float:
        """Share of the fat which may stay solid for ever at this temperature, 0 to 1."""
        share = (self.melt_high_c - celsius) / (self.melt_high_c - self.melt_low_c)
        return min(1.0, max(0.0, share))


class ChocolateMass:
    """Some chocolate of one temperature.

    Shares are of all its fat: stable_share and unstable_share are solid; piece_share is that part
    of the stable fat which still sits in pieces, as filled in, and does not thicken the rest.
    """

    __slots__ = (
        "_p",
        "celsius",
        "enthalpy_j",
        "kg",
        "piece_share",
        "stable_share",
        "unstable_share",
    )

    def __init__(
        self, p: ChocolateParameters, kg: float, celsius: float, stable_share: float | None = None
    ) -> None:
        """kg of chocolate at celsius; stable_share None means well set, as its temperature allows;
        what has no fat is liquid.

        Solid fat that is filled in comes as pieces. Raises InputError on values out of range.
        """
        self._p = p
        self.kg = require("chocolate", kg, 0.0, 50.0, "kg")
        self.celsius = require("chocolate temperature", celsius, 0.0, 90.0, "°C")
        if stable_share is None:
            stable_share = p.solid_limit(celsius) if p.fat_share > 0.0 else 0.0
        self.stable_share = require("stable_share", stable_share, 0.0, 1.0, "(share)")
        self.unstable_share = 0.0
        self.piece_share = self.stable_share
        self.enthalpy_j = kg * self._j_per_kg()

    def _j_per_kg(self) -> float:
        melted = 1.0 - self.stable_share - self.unstable_share
        return self._p.sensible_j_per_kg(self.celsius) + self._p.latent_j_per_kg * melted

    @property
    def melted_share(self) -> float:
        """Liquid share of the fat, 0 to 1."""
        return 1.0 - self.stable_share - self.unstable_share

    @property
    def suspended_share(self) -> float:
        """Solid share of the fat that floats as crystals and so thickens, 0 to 1."""
        return self.stable_share + self.unstable_share - self.piece_share

    def step(self, dt_s: float, heat_j: float, mixing: float) -> None:
        """Take in heat_j (J) over dt_s (s) while stirred with mixing (0 to 1 of the usual)."""
        p = self._p
        self.enthalpy_j += heat_j
        if self.stable_share + self.unstable_share > 0.0 or self.celsius < p.nucleate_below_c:
            self._melt(dt_s)
            self._grow(dt_s, mixing)
        sensible = self.enthalpy_j / self.kg - p.latent_j_per_kg * self.melted_share
        step = p.cp_cool_j_per_kg_k * p.cp_step_c
        if sensible <= step:
            self.celsius = sensible / p.cp_cool_j_per_kg_k
        else:
            self.celsius = p.cp_step_c + (sensible - step) / p.cp_warm_j_per_kg_k

    def _melt(self, dt_s: float) -> None:
        """Each kind melts towards what its range allows; pieces and crystals melt alike."""
        p = self._p
        celsius = self.celsius
        rate = dt_s / p.melt_tau_s
        stable = self.stable_share
        limit = p.solid_limit(celsius)
        if stable > limit:
            left = stable - (stable - limit) * rate
            if left < _DUST:
                left = 0.0
            self.piece_share *= left / stable
            self.stable_share = left
        if celsius > p.melt_low_c:
            self.piece_share *= 1.0 - dt_s / p.piece_tau_s
        unstable = self.unstable_share
        if unstable > 0.0:
            limit = (p.unstable_high_c - celsius) / (p.unstable_high_c - p.unstable_low_c)
            limit = max(0.0, limit)
            if unstable > limit:
                unstable -= (unstable - limit) * rate
                self.unstable_share = unstable if unstable > _DUST else 0.0

    def _grow(self, dt_s: float, mixing: float) -> None:
        """Seeds appear and grow in proportion to what is there and to the cube of undercooling.

        The cube makes growth at working temperature (about 31.5 °C) some twenty times slower than
        at the cooling target, which is what lets a batch be held for hours (common practice).
        """
        p = self._p
        celsius = self.celsius
        stable = self.stable_share
        solid = stable + self.unstable_share
        pace = dt_s * (p.still_growth_share + (1.0 - p.still_growth_share) * mixing)
        drive = p.solid_limit(celsius) - solid
        under = p.stable_melt_c - celsius
        if drive > 0.0 and under > 0.0:
            rate = (under / (p.stable_melt_c - p.grow_reference_c)) ** 3 * stable
            rate /= p.stable_grow_tau_s
            under = p.nucleate_below_c - celsius
            if under > 0.0:
                under /= p.nucleate_below_c - p.grow_reference_c
                rate += p.stable_nucleation_per_s * under * under
            self.stable_share = stable + min(pace * rate, 0.1) * drive
        under = p.unstable_high_c - celsius
        if under > 0.0:
            drive = under / (p.unstable_high_c - p.unstable_low_c)
            drive = min(1.0, drive) - solid
            if drive > 0.0:
                rate = p.unstable_nucleation_per_s + self.unstable_share / p.unstable_grow_tau_s
                rate *= (under / 2.0) ** 3
                self.unstable_share += min(pace * rate, 0.1) * drive

    def take(self, kg: float) -> float:
        """Remove kg of the mixed mass; returns the enthalpy (J) that leaves with it."""
        carried_j = self.enthalpy_j * kg / self.kg
        self.enthalpy_j -= carried_j
        self.kg -= kg
        return carried_j

    def add(self, other: ChocolateMass) -> None:
        """Stir other in: heat and fat of both together, at one temperature."""
        kg = self.kg + other.kg
        if kg <= 0.0:
            return
        mine, theirs = self.kg / kg, other.kg / kg
        self.stable_share = mine * self.stable_share + theirs * other.stable_share
        self.unstable_share = mine * self.unstable_share + theirs * other.unstable_share
        self.piece_share = mine * self.piece_share + theirs * other.piece_share
        self.kg = kg
        self.step(0.0, other.enthalpy_j, 0.0)
