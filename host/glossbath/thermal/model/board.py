"""A rig's model in the whole numbers that the board keeps."""

from __future__ import annotations

import math

from glossbath_board.model import FIELDS

from .rig import RigModel

_TRUST_LOST_PER_UNCERTAINTY = 2.8
"""The board leans on its model by 1 less 2.8 times the uncertainty: the reference rig with its
15 % gets what the board gives a rig that nobody has measured; engineering choice."""
_HALF = 0.5


def board_values(model: RigModel) -> list[int]:
    """What the order {"k": "model", "v": ...} carries, in the order of the board's FIELDS; values
    beyond the board's limits are cut to them."""
    pace = math.hypot(
        model.uncertainty("heater_w"),
        model.uncertainty("body_j_per_k") * model.body_j_per_k / model.store_j_per_k,
    )
    uncertainty = math.hypot(pace, model.uncertainty("stirred_w_per_k"))
    wanted = {
        "heater_w": model.heater_w,
        "bath_j_k": model.store_j_per_k,
        "body_j_k": model.body_j_per_k,
        "body_lag_ms": 1000.0 * model.body_lag_s,
        "wall_mw_k": 1000.0 * model.bowl_w_per_k(_HALF, 1.0),
        "loss_mw_k": 1000.0 * (model.room_w_per_k + model.bowl_room_w_per_k),
        "chill_mw_k": 1000.0 * model.chill_w_per_k,
        "trust_permille": 1000.0 * (1.0 - _TRUST_LOST_PER_UNCERTAINTY * uncertainty),
    }
    return [min(high, max(low, round(wanted[name]))) for name, low, high, _ in FIELDS]
