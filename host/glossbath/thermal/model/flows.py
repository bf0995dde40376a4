"""The heat balance of body and bath: what flows in at given temperatures."""

from __future__ import annotations

from .rig import RigModel


def flows_w(
    model: RigModel,
    temperatures_c: tuple[float, float, float],
    heat: float,
    chill: float,
    bowl_w_per_k: float,
    room_c: float,
    ice_c: float = 0.0,
) -> tuple[float, float, float, float]:
    """Heat in W into body, bath and bowl, and into the ice water.

    temperatures_c are those of body, bath and what is in the bowl; heat and chill are shares of
    heater and pump.
    """
    body_c, bath_c, chocolate_c = temperatures_c
    body_room = model.room_w_per_k * model.body_room_share
    bath_room = model.room_w_per_k - body_room
    ice_w = chill * model.chill_w_per_k * (bath_c - ice_c)
    bath_w = model.probe_bath_w_per_k * (body_c - bath_c)
    bowl_w = bowl_w_per_k * (bath_c - chocolate_c)
    return (
        heat * model.heater_w - bath_w - body_room * (body_c - room_c),
        bath_w - bowl_w - ice_w - bath_room * (bath_c - room_c),
        bowl_w - model.bowl_room_w_per_k * (chocolate_c - room_c),
        ice_w,
    )
