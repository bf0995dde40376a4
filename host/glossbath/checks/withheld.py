"""What a person cannot see from outside: heat or stirring that the board withholds for a while,
and a stirrer whose load has gone."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator
from statistics import median

from glossbath.board.state import Raw
from glossbath.chocolate.phase import PhasePlan

from . import limits
from .finding import Finding, Lasting, caution


class Withheld:
    """Looks at what is given against what the recipe asks for."""

    def __init__(self) -> None:
        self._lasting = Lasting()
        self._usual_ma: deque[float] = deque(maxlen=limits.STIR_SAMPLES)
        self._light = 0
        self._last_ma = 0.0

    def look(self, raw: Raw, phase: PhasePlan, now_ms: int) -> Iterator[Finding]:
        """Judge a reading taken while this phase runs."""
        still = phase.stir_share > 0 and raw.stir_share == 0
        if self._lasting.for_ms("still", still, now_ms) >= limits.FAULT_MS:
            yield caution("stir-withheld", "")
        below_k = 0.0
        if raw.bath_target_c is not None and raw.bath_c is not None:
            below_k = raw.bath_target_c - raw.bath_c
        far = (
            raw.body_c is not None
            and raw.bath_c is not None
            and raw.body_c - raw.bath_c > limits.EXPLAINED_K
        )
        cold = raw.heat_share == 0 and below_k > limits.WITHHELD_K and not far
        if self._lasting.for_ms("cold", cold, now_ms) >= limits.WITHHELD_MS:
            yield caution("heat-withheld", f"{below_k:.1f} °C")
        if self._load_gone(raw.stir_ma):
            yield caution("stir-light", f"{self._last_ma:.0f} mA")

    def _load_gone(self, stir_ma: float | None) -> bool:
        """Whether the current fell at once and stays low; the usual one is kept meanwhile."""
        usual = self._usual_ma
        if stir_ma is None:
            return self._light >= 2
        self._last_ma = stir_ma
        if len(usual) < limits.STIR_SAMPLES:
            usual.append(stir_ma)
        elif stir_ma < limits.STIR_LIGHT_SHARE * median(usual):
            self._light += 1
        else:
            self._light = 0
            usual.append(stir_ma)
        return self._light >= 2
