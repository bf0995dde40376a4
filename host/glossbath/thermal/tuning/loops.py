"""The two control loops of a rig as simple models, and the gains that follow for them."""

from __future__ import annotations

import msgspec

from ..model import Contents, RigModel
from .rules import Gains, Lags, first_order, simc_integrating, simc_pi

_CONVERSION_S = 1.0
"""A DS18B20 takes 0.75 s to convert, and the board asks for one about every second."""


class LoopGains(msgspec.Struct, frozen=True):
    """Gains of both loops, and the models they were made from.

    bath: heater share for each K of bath, kp in 1/K. chocolate: K of bath for each K of chocolate.
    """

    bath: Gains
    bath_slope_k_per_s: float
    bath_dead_time_s: float
    chocolate: Gains
    chocolate_model: Lags


def loop_gains(model: RigModel, contents: Contents, stir_share: float) -> LoopGains:
    """SIMC gains of bath and chocolate loop, with closed-loop lags of three dead times and of a
    third of the chocolate's lag: calm rather than quick, since a batch forgives no overshoot.

    The bath integrates the heater's power; lags of body and probe count as its dead time. The
    chocolate follows the bath with the lag of its heat capacity. Raises InputError.
    """
    parallel = model.body_j_per_k * model.bath_j_per_k / model.store_j_per_k
    dead_s = parallel / model.body_bath_w_per_k + model.probe_lag_s + _CONVERSION_S
    slope = model.heater_w / (model.store_j_per_k + contents.kg * contents.cool_j_per_kg_k)
    bath = simc_integrating(slope, dead_s, 3.0 * dead_s)
    lag_s = contents.kg * contents.cool_j_per_kg_k / model.bowl_w_per_k(stir_share, contents.kg)
    process = first_order(1.0, [lag_s, model.probe_lag_s], _CONVERSION_S)
    return LoopGains(bath, slope, dead_s, simc_pi(process, lag_s / 3.0), process)
