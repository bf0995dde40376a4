"""The stirrer: what its motor draws, whether it turns, and the work it puts into the chocolate.

The load follows Casson's law with the shear rate of an anchor stirrer; crystals in suspension
thicken the chocolate, pieces only drag. The motor is a small 12 V gear motor; its numbers are
estimates.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from .drive import Drive
from .limits import require


@dataclass(frozen=True)
class StirrerParameters:
    """Flow of the chocolate and size of the motor."""

    yield_pa: float = 9.3
    viscosity_pa_s: float = 1.42
    """Casson values at 40 °C: milk chocolate after IOCCC 1973, from an instrument note (RM200)."""
    thinning_per_k: float = 0.043
    """Viscosity falls by this share per kelvin (Arrhenius, about 35 kJ/mol); estimate."""
    packed_share: float = 0.5
    """Solid share of the fat at which crystals lock (Quemada's law); estimate."""
    turns_per_s: float = 1.0
    """Of the stirrer, unloaded, at share 1; estimate."""
    shear_per_turn: float = 25.0
    """Shear rate is this times turns per second (Metzner-Otto, anchor; from memory)."""
    no_load_ma: float = 80.0
    stall_ma: float = 1200.0
    ma_per_pa: float = 2.0
    """Current for each pascal of shear stress; estimate."""
    pieces_ma: float = 150.0
    """More current while all fat sits in loose pieces; estimate."""
    seized_factor: float = 25.0
    """How much stiffer a drop of water makes it; estimate."""
    heat_w_per_ma: float = 0.006
    """Heat from the paddle: 12 V times a gear efficiency of 50 %; estimate."""

    def __post_init__(self) -> None:
        """Raises InputError when a value cannot be physical."""
        for name in self.__dataclass_fields__:
            require(name, getattr(self, name), 0.0, 1e5, "(see its docstring)")
        require("packed_share", self.packed_share, 0.05, 1.0, "(share)")


def casson_pa(yield_pa: float, viscosity_pa_s: float, shear_per_s: float) -> float:
    """Shear stress in Pa: the root of stress is the sum of the roots (Casson)."""
    root = math.sqrt(yield_pa) + math.sqrt(viscosity_pa_s * shear_per_s)
    return root * root


class Stirrer(Drive):
    """Its parameters are `p`."""

    __slots__ = ("_p",)

    def __init__(self, p: StirrerParameters) -> None:
        super().__init__()
        self._p = p

    def drive(
        self,
        stir_share: float,
        celsius: float,
        suspended_share: float,
        piece_share: float,
        fill_share: float,
    ) -> None:
        """Run at stir_share (0 to 1) in chocolate; sets current_ma, heat_w and turning_share.

        suspended_share and piece_share are solid shares of the fat, fill_share is that of a full
        bowl, each 0 to 1: a paddle half out of the chocolate has half the load.
        """
        self.current_ma = self.heat_w = self.turning_share = 0.0
        if stir_share <= 0.0:
            return
        p = self._p
        if self.belt_off:
            self.current_ma = p.no_load_ma
            return
        most_ma = p.stall_ma * stir_share
        room = 1.0 - suspended_share / p.packed_share
        if room > 0.0 and not self.jammed:
            thick = math.exp(p.thinning_per_k * (40.0 - celsius)) / (room * room)
            if self.seized:
                thick *= p.seized_factor
            shear_per_s = p.shear_per_turn * p.turns_per_s * stir_share
            stress_pa = casson_pa(p.yield_pa * thick, p.viscosity_pa_s * thick, shear_per_s)
            load_ma = fill_share * (p.ma_per_pa * stress_pa + p.pieces_ma * piece_share)
            if load_ma + p.no_load_ma < most_ma:
                self.current_ma = load_ma + p.no_load_ma
                self.heat_w = p.heat_w_per_ma * load_ma
                self.turning_share = stir_share
                return
        self.current_ma = most_ma
