"""The stirrer: a gear motor whose current follows the drag of a power-law liquid.

Ostwald-de Waele with a suspension law after Krieger and Dougherty (1959); every number is an
estimate.
"""

from __future__ import annotations

import math

from ..drive import Drive

_NO_LOAD_MA = 85.0
_STALL_MA = 1250.0
_MA_AT_40_C = 140.0
"""Drag of liquid chocolate at 40 °C in a full bowl at full voltage."""
_THICKER_PER_K = 0.04
_PACKED = 0.52
"""Solid share of the fat at which crystals lock."""
_PIECES_MA = 130.0
_SEIZED = 30.0
_HEAT_W_PER_MA = 0.006


class Motor(Drive):
    """Sets what the last drive came to."""

    __slots__ = ()

    def drive(
        self, share: float, celsius: float, afloat: float, pieces: float, fill: float
    ) -> None:
        """Run at share (0 to 1) of full voltage; sets current_ma, heat_w and turning_share.

        afloat and pieces: solid shares of the fat as crystals and as pieces; fill: of a full bowl.
        """
        self.current_ma = self.heat_w = self.turning_share = 0.0
        if share <= 0.0:
            return
        if self.belt_off:
            self.current_ma = _NO_LOAD_MA
            return
        free = 1.0 - afloat / _PACKED
        if free > 0.0 and not self.jammed:
            drag_ma = _MA_AT_40_C * math.exp(_THICKER_PER_K * (40.0 - celsius))
            drag_ma *= math.pow(free, -2.5 * _PACKED) * math.sqrt(share)
            if self.seized:
                drag_ma *= _SEIZED
            load_ma = fill * (drag_ma + _PIECES_MA * pieces)
            if _NO_LOAD_MA + load_ma < _STALL_MA * share:
                self.current_ma = _NO_LOAD_MA + load_ma
                self.heat_w = _HEAT_W_PER_MA * load_ma
                self.turning_share = share
                return
        self.current_ma = _STALL_MA * share
