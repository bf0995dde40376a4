"""Heat sums: how much heat a batch needs and how long a heater or a chiller takes.

Heats are in J and carry a sign: positive warms, negative cools. Chocolate melts and sets
gradually: its latent heat is spread evenly over a range, one for melting and a lower one for
setting.
"""

from __future__ import annotations

import math

import msgspec

from glossbath.errors import InputError

from . import limits

CHOCOLATE_CP = 1590.0
"""J/(kg K), chocolate from 15 to 40 °C: Beckett, 4th ed., "Useful Physical Constants"."""
CHOCOLATE_CP_HOT = 1670.0
"""J/(kg K), liquid chocolate from 40 to 60 °C: same table."""
CP_STEP_C = 40.0
CP_UNCERTAINTY_SHARE = 0.15
"""Composition models differ from the table by this much (Choi and Okos 1986)."""
FAT_LATENT_J_PER_KG = 157_000.0
"""Cocoa butter: same table, after Chevalley et al. 1970."""
LATENT_UNCERTAINTY_SHARE = 0.2
"""How fast it was cooled and which forms it set in move the latent heat by about this much
(Schlichter Aronhime et al. 1988 for the direction; the figure is an engineering estimate)."""
MELTS_C = {"dark": (28.0, 36.0), "own": (28.0, 36.0), "milk": (27.0, 35.0), "white": (26.0, 34.0)}
"""Between these all fat melts: just above form IV to form VI (Wille and Lutton 1966). Milk fat
lowers both (Greweling 2007); by how much is an estimate."""
SETS_OVER_K = 8.0
"""Setting begins where melting does and ends this far below (engineering estimate, no source)."""
WATER_CP = 4180.0
"""J/(kg K), water from 20 to 50 °C: CoolProp, within 0.1 %."""
CROCK_CP = 900.0
"""J/(kg K) for stoneware, plus or minus 100: common practice, no source."""


class BatchHeat(msgspec.Struct, frozen=True):
    """Heat to bring a batch and its bath from one temperature to another, in J."""

    chocolate_j: float
    latent_j: float
    """Heat of melting, or of setting where negative."""
    water_j: float
    crock_j: float
    total_j: float
    low_j: float
    high_j: float
    """Bounds from what is uncertain: the specific heat of chocolate (15 %), its latent heat (20 %)
    and the crock (100 of 900 J/(kg K))."""

    def sentences(self) -> list[str]:
        """The sum in words: every part with the sign of the whole."""
        verb, sign = ("takes", 1.0) if self.total_j >= 0 else ("gives off", -1.0)
        change = "setting" if self.latent_j < 0 else "melting"

        def kj(value: float) -> str:
            return f"{round(sign * value / 1000)}"

        low, high = sorted((self.low_j, self.high_j), key=lambda value: sign * value)
        return [
            f"It {verb} {kj(self.total_j)} kJ (between {kj(low)} and {kj(high)} kJ): chocolate "
            f"{kj(self.chocolate_j)}, {change} {kj(self.latent_j)}, water {kj(self.water_j)}, "
            f"crock {kj(self.crock_j)} kJ.",
        ]


def sensible_j(mass_kg: float, cp_j_per_kg_k: float, from_c: float, to_c: float) -> float:
    """Heat in J to take a mass from one temperature to another, m c (T2 - T1)."""
    return mass_kg * cp_j_per_kg_k * (to_c - from_c)


def chocolate_j(mass_kg: float, from_c: float, to_c: float) -> float:
    """Sensible heat of chocolate in J, with the table's two specific heats joined at 40 °C.

    Raises InputError for an implausible mass or temperature.
    """
    limits.mass_kg("chocolate", mass_kg)
    start = limits.celsius("chocolate's start", from_c, limits.CHOCOLATE_C)
    end = limits.celsius("chocolate's end", to_c, limits.CHOCOLATE_C)
    below = min(end, CP_STEP_C) - min(start, CP_STEP_C)
    above = max(end, CP_STEP_C) - max(start, CP_STEP_C)
    return mass_kg * (CHOCOLATE_CP * below + CHOCOLATE_CP_HOT * above)


def latent_j(
    mass_kg: float,
    fat_share: float,
    from_c: float,
    to_c: float,
    *,
    kind: str = "dark",
    solid_share: float | None = None,
) -> float:
    """Latent heat of chocolate in J: positive melts, negative sets.

    Model: fat share times 157 kJ/kg, spread evenly over MELTS_C when it warms and over the
    SETS_OVER_K below when it cools. Beckett's 46 J/g (dark) and 44 J/g (milk) equal 29 and 28 % of
    fat in it. `solid_share`: solid part of the fat at the start; None for what its temperature
    says, solid below the range and liquid above. Raises InputError.
    """
    limits.mass_kg("chocolate", mass_kg)
    limits.share("fat", fat_share, *limits.FAT_SHARE)
    melts_from_c, melts_to_c = MELTS_C[kind]
    if to_c >= from_c:
        first_c, last_c = melts_from_c, melts_to_c
        usual = (last_c - min(last_c, max(first_c, from_c))) / (last_c - first_c)
    else:
        first_c, last_c = melts_from_c, melts_from_c - SETS_OVER_K
        usual = (first_c - min(first_c, max(last_c, from_c))) / (first_c - last_c)
    solid = usual if solid_share is None else limits.share("solid part of the fat", solid_share)
    changes = solid if to_c >= from_c else 1.0 - solid
    inside = [min(max(first_c, last_c), max(min(first_c, last_c), c)) for c in (from_c, to_c)]
    if inside[0] == last_c:
        return 0.0
    way = (inside[1] - inside[0]) / (last_c - inside[0])
    return math.copysign(mass_kg * fat_share * changes * way * FAT_LATENT_J_PER_KG, to_c - from_c)


def batch_heat(
    chocolate_kg: float,
    fat_share: float,
    from_c: float,
    to_c: float,
    *,
    kind: str = "dark",
    solid_share: float | None = None,
    water_kg: float = 0.0,
    water_from_c: float | None = None,
    crock_kg: float = 0.0,
) -> BatchHeat:
    """Heat for chocolate, bath water and crock, all ending at `to_c`.

    The water and crock start at `water_from_c`, or with the chocolate when that is None.
    `solid_share` as in `latent_j`. Raises InputError.
    """
    limits.mass_kg("water", water_kg, zero=True)
    limits.mass_kg("crock", crock_kg, zero=True)
    bath_from = from_c if water_from_c is None else water_from_c
    if water_kg > 0:
        limits.celsius("water's start", bath_from, limits.WATER_C)
        limits.celsius("water's end", to_c, limits.WATER_C)
    sensible = chocolate_j(chocolate_kg, from_c, to_c)
    latent = latent_j(chocolate_kg, fat_share, from_c, to_c, kind=kind, solid_share=solid_share)
    water = sensible_j(water_kg, WATER_CP, bath_from, to_c)
    crock = sensible_j(crock_kg, CROCK_CP, bath_from, to_c)
    u_j = CP_UNCERTAINTY_SHARE * abs(sensible) + LATENT_UNCERTAINTY_SHARE * abs(latent)
    u_j += abs(crock) * 100.0 / CROCK_CP
    total = sensible + latent + water + crock
    return BatchHeat(sensible, latent, water, crock, total, total - u_j, total + u_j)


def heater_s(
    capacity_j_per_k: float,
    power_w: float,
    from_c: float,
    to_c: float,
    *,
    loss_w_per_k: float = 0.0,
    room_c: float = 20.0,
    latent_j: float = 0.0,
) -> float:
    """Seconds a heater of constant power takes, the whole at one temperature.

    With loss: t = tau ln((Te - T0)/(Te - T1)) where Te = room + power/loss, tau = capacity/loss.
    `latent_j` is taken up in the middle of the melting range, or at the end nearest to it, with
    the power left there. Raises InputError when the heater can never reach the end.
    """
    check_capacity(capacity_j_per_k)
    limits.number("heater power", power_w, 1.0, 5000.0, "W")
    limits.number("heat loss", loss_w_per_k, 0.0, 100.0, "W/K")
    _check_way(from_c, to_c, room_c)
    if not (to_c >= from_c):
        raise InputError(
            f"A heater warms: the end must be at or above the start of {from_c:g} °C, "
            f"not {to_c:g} °C."
        )
    latent_w = power_w - loss_w_per_k * (min(to_c, max(from_c, sum(MELTS_C["dark"]) / 2)) - room_c)
    end_w = power_w - loss_w_per_k * (to_c - room_c)
    if not (end_w > 0):  # melting is over by then, so no less is left for it
        raise InputError(
            f"A heater of {power_w:g} W holds {room_c + power_w / loss_w_per_k:.1f} °C at most "
            f"against a loss of {loss_w_per_k:g} W/K, so {to_c:g} °C is never reached: put a "
            "lid on or use more power."
        )
    latent_s = latent_j / latent_w
    if loss_w_per_k == 0:
        return latent_s + capacity_j_per_k * (to_c - from_c) / power_w
    start_w = power_w - loss_w_per_k * (from_c - room_c)
    return latent_s + capacity_j_per_k / loss_w_per_k * math.log(start_w / end_w)


def cooling_s(
    capacity_j_per_k: float,
    from_c: float,
    to_c: float,
    *,
    loss_w_per_k: float,
    room_c: float,
    chill_w: float = 0.0,
) -> float:
    """Seconds to cool by loss to the room and a constant chill power, at one temperature.

    Raises InputError when the end is never reached.
    """
    check_capacity(capacity_j_per_k)
    limits.number("heat loss", loss_w_per_k, 0.0, 100.0, "W/K")
    limits.number("chill power", chill_w, 0.0, 5000.0, "W")
    _check_way(from_c, to_c, room_c)
    if not (to_c <= from_c):
        raise InputError(
            f"Cooling must end at or below its start of {from_c:g} °C, not at {to_c:g} °C."
        )
    end_w = chill_w + loss_w_per_k * (to_c - room_c)
    if not (end_w > 0):
        raise InputError(
            f"A room of {room_c:g} °C and {chill_w:g} W of chilling never cool the bath to "
            f"{to_c:g} °C: use more ice water or a cooler room."
        )
    if loss_w_per_k == 0:
        return capacity_j_per_k * (from_c - to_c) / chill_w
    start_w = chill_w + loss_w_per_k * (from_c - room_c)
    return capacity_j_per_k / loss_w_per_k * math.log(start_w / end_w)


def check_capacity(capacity_j_per_k: float) -> None:
    """Raise InputError unless a heat capacity in J/K can be meant."""
    limits.number("heat capacity", capacity_j_per_k, 1.0, 1e6, "J/K")


def _check_way(from_c: float, to_c: float, room_c: float) -> None:
    limits.celsius("start", from_c, limits.WATER_C)
    limits.celsius("end", to_c, limits.WATER_C)
    limits.celsius("room", room_c, limits.ROOM_C)
