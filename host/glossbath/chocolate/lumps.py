"""Bath and chocolate as two lumps, each at one temperature: how long a phase takes.

Heat flows from the bath (water and crock) to the chocolate through one coupling and from the bath
to the room through one loss. It is the simplest model in which the chocolate lags behind its bath.
"""

from __future__ import annotations

import msgspec

from . import heat

MELT_FROM_C = 30.0
MELT_TO_C = 34.0
"""The melt heat is spread over this range (form V: 29 to 34 °C by X-ray diffraction, from
memory)."""
STEP_S = 2.0
LONGEST_S = 12 * 3600.0
NEAR_C = 0.3
"""The chocolate has arrived this close to its target: it nears a bath at its limit for ever."""


class Lumps(msgspec.Struct, frozen=True):
    """What the two lumps are made of."""

    bath_j_per_k: float
    chocolate_kg: float
    chocolate_cp_factor: float
    melt_j_per_kg: float
    """Heat to melt what is solid at the start; 0 for liquid chocolate."""
    coupling_w_per_k: float
    loss_w_per_k: float
    room_c: float


class Drive(msgspec.Struct, frozen=True):
    """What drives one phase: a power in W (negative chills) while the bath is inside its limit."""

    power_w: float
    bath_limit_c: float
    target_c: float


class Arrival(msgspec.Struct, frozen=True):
    """How a phase ended."""

    seconds: float
    bath_c: float
    chocolate_c: float
    work_j: float
    """Heat given by the heater (positive) or taken by the chiller (negative)."""


def arrive(lumps: Lumps, drive: Drive, bath_c: float, chocolate_c: float) -> Arrival | None:
    """When the chocolate arrives at the target; None when it does not within twelve hours.

    Heats when the target lies above the chocolate, cools otherwise. The drive runs at full power
    until the bath reaches its limit and then with just what keeps it there.
    """
    sign = 1.0 if drive.target_c > chocolate_c else -1.0
    seconds, work_j = 0.0, 0.0
    while sign * (drive.target_c - chocolate_c) > NEAR_C:
        if seconds >= LONGEST_S:
            return None
        to_chocolate_w = lumps.coupling_w_per_k * (bath_c - chocolate_c)
        drain_w = to_chocolate_w + lumps.loss_w_per_k * (bath_c - lumps.room_c)
        power_w = _power_w(drive, lumps.bath_j_per_k, bath_c, drain_w, sign)
        bath_c += STEP_S * (power_w - drain_w) / lumps.bath_j_per_k
        chocolate_c += STEP_S * to_chocolate_w / _chocolate_j_per_k(lumps, chocolate_c)
        seconds += STEP_S
        work_j += STEP_S * power_w
    return Arrival(seconds, bath_c, chocolate_c, work_j)


def _power_w(
    drive: Drive, bath_j_per_k: float, bath_c: float, drain_w: float, sign: float
) -> float:
    """Full power below the bath's limit, the holding power at it, never the other sign."""
    to_limit_w = drain_w + (drive.bath_limit_c - bath_c) * bath_j_per_k / STEP_S
    full_w = abs(drive.power_w)
    return sign * min(full_w, max(0.0, sign * to_limit_w))


def _chocolate_j_per_k(lumps: Lumps, celsius: float) -> float:
    cp = heat.CHOCOLATE_CP if celsius < heat.CP_STEP_C else heat.CHOCOLATE_CP_HOT
    cp *= lumps.chocolate_cp_factor
    if MELT_FROM_C <= celsius < MELT_TO_C:
        cp += lumps.melt_j_per_kg / (MELT_TO_C - MELT_FROM_C)
    return lumps.chocolate_kg * cp
