"""The room's air: dew point and water content by psychrolib, and what suits chocolate work."""

from __future__ import annotations

from typing import Any

import msgspec

from . import limits
from .limits import ROOM_C

BEST_C = (20.0, 21.0)
BEST_RH_SHARE = 0.50
"""Common practice, no source: work chocolate at 20 to 21 °C and below 50 % of humidity."""
USABLE_C = (18.0, 22.0)
WORST_RH_SHARE = 0.60
RH_SHARE = (0.01, 1.0)
OUTSIDE_C = (-30.0, 50.0)
ALTITUDE_M = (-400.0, 5000.0)


class Air(msgspec.Struct, frozen=True):
    """Moist air at one place."""

    room_c: float
    rh_share: float
    """Relative humidity, 0 to 1."""
    pressure_pa: float
    dew_point_c: float
    """Frost point where it lies below 0 °C."""
    frost: bool
    wet_bulb_c: float
    water_g_per_kg: float
    """Water for each kg of dry air."""
    water_g_per_m3: float

    def sentences(self) -> list[str]:
        """The air in words."""
        point = "frost point" if self.frost else "dew point"
        return [
            f"Air of {self.room_c:g} °C and {self.rh_share * 100:.0f} % has its {point} at "
            f"{self.dew_point_c:.1f} °C and holds {self.water_g_per_m3:.1f} g of water in a m³.",
            *advice(self),
        ]


def air(room_c: float, rh_share: float, *, altitude_m: float = 0.0, outside: bool = False) -> Air:
    """Moist air from temperature in °C and relative humidity (0 to 1), ASHRAE formulas.

    Pressure is that of the standard atmosphere at `altitude_m`. `outside`: the air before the
    window, which may freeze. Raises InputError.
    """
    limits.celsius("air outside" if outside else "room", room_c, OUTSIDE_C if outside else ROOM_C)
    limits.share("humidity outside" if outside else "humidity", rh_share, *RH_SHARE)
    limits.number("altitude", altitude_m, *ALTITUDE_M, "m")
    psychrolib = _psychrolib()
    pressure = psychrolib.GetStandardAtmPressure(altitude_m)
    ratio = water_kg_per_kg(room_c, rh_share, pressure)
    dew_point = psychrolib.GetTDewPointFromRelHum(room_c, rh_share)
    return Air(
        room_c=room_c,
        rh_share=rh_share,
        pressure_pa=pressure,
        dew_point_c=dew_point,
        frost=dew_point < 0,
        wet_bulb_c=psychrolib.GetTWetBulbFromRelHum(room_c, rh_share, pressure),
        water_g_per_kg=ratio * 1000,
        water_g_per_m3=ratio * 1000 / psychrolib.GetMoistAirVolume(room_c, ratio, pressure),
    )


def water_kg_per_kg(room_c: float, rh_share: float, pressure_pa: float) -> float:
    """Water in kg for each kg of dry air, ASHRAE formulas."""
    return float(_psychrolib().GetHumRatioFromRelHum(room_c, rh_share, pressure_pa))


def surface_c(room: Air, surface_rh_share: float) -> float:
    """Temperature in °C of a surface at which the room's air is as humid as that (0 to 1)."""
    psychrolib = _psychrolib()
    vapour_pa = psychrolib.GetVapPresFromRelHum(room.room_c, room.rh_share)
    if vapour_pa / surface_rh_share >= psychrolib.GetSatVapPres(room.room_c):
        return room.room_c
    return float(psychrolib.GetTDewPointFromVapPres(room.room_c, vapour_pa / surface_rh_share))


def advice(room: Air) -> list[str]:
    """What to do about a room: 20 to 21 °C and below 50 % suit chocolate (common practice)."""
    lines = []
    low, high = BEST_C
    if room.room_c > USABLE_C[1]:
        lines.append(
            f"{room.room_c:g} °C is warm: chocolate sets slowly and dip tests mislead. Cool the "
            f"room to {low:g} to {high:g} °C or work early in the morning."
        )
    elif room.room_c < USABLE_C[0]:
        lines.append(
            f"{room.room_c:g} °C is cool: chocolate thickens fast at the bowl's wall. Warm the "
            f"room to {low:g} to {high:g} °C and the moulds with it."
        )
    elif not (low <= room.room_c <= high):
        lines.append(f"{room.room_c:g} °C is usable; {low:g} to {high:g} °C is better.")
    if room.rh_share > WORST_RH_SHARE:
        lines.append(
            f"{room.rh_share * 100:.0f} % is too damp: sugar draws water and blooms, and anything "
            f"below {room.dew_point_c:.0f} °C gets wet. Dry the room below "
            f"{BEST_RH_SHARE * 100:.0f} % first, and keep the bath covered."
        )
    elif room.rh_share >= BEST_RH_SHARE:
        lines.append(
            f"{room.rh_share * 100:.0f} % is damp: aim below {BEST_RH_SHARE * 100:.0f} % and put "
            "nothing cold from the refrigerator into this air."
        )
    return lines or ["The room suits chocolate work."]


def _psychrolib() -> Any:
    """The library, set to SI units; imported only when air is computed."""
    import psychrolib  # type: ignore[import-untyped]

    psychrolib.SetUnitSystem(psychrolib.SI)
    return psychrolib
