"""What people would otherwise use: a thermostat, and one PID loop on the chocolate's probe.

Both know the phase's target and keep the bath inside the phase's limits by switching heat or
chill off beyond them, as a second thermostat in the bath would. Neither knows the rig.
"""

from __future__ import annotations

from simple_pid import PID

from glossbath_board.program import Phase
from glossbath_board.reading import Reading

HYSTERESIS_C = 0.25
_PERIOD_MS = 1_000

# The reference rig under full heat: 250 W into 17.1 kJ/K give 0.0146 °C/s; its lags are 335 s of
# chocolate, 56 s of body and 8 s of probe. Skogestad's rules (J. Process Control 13, 2003): the
# half rule makes 232 s of delay of them; for an integrating process with the tight choice
# Kc = 1 / (k' 2 theta) and tau_I = 8 theta.
_RATE_C_S = 0.0146
_DELAY_S = 335.0 / 2 + 56.0 + 8.0
KP = 1.0 / (_RATE_C_S * 2.0 * _DELAY_S)
KI = KP / (8.0 * _DELAY_S)


class _Guarded:
    """Asked shares, and the bath's limits on them."""

    def __init__(self, chocolate: Reading, bath: Reading) -> None:
        self.chocolate = chocolate
        self.bath = bath
        self.heat_permille = 0
        self.chill_permille = 0
        self.stir_permille = 0
        self._since_ms = 0

    def step(self, phase: Phase | None, dt_ms: int) -> None:
        """Renew what is asked for, once a second."""
        if phase is None:
            self.heat_permille = self.chill_permille = self.stir_permille = 0
            return
        self.stir_permille = phase.stir_permille
        self._since_ms += dt_ms
        chocolate_mc, bath_mc = self.chocolate.milli, self.bath.milli
        if self._since_ms < _PERIOD_MS or chocolate_mc is None or bath_mc is None:
            return
        power = self.power(phase.target_mc / 1000, chocolate_mc / 1000, self._since_ms / 1000)
        self._since_ms = 0
        self.heat_permille = round(1000 * max(0.0, power)) if bath_mc < phase.bath_high_mc else 0
        self.chill_permille = round(1000 * max(0.0, -power)) if bath_mc > phase.bath_low_mc else 0

    def power(self, target_c: float, chocolate_c: float, dt_s: float) -> float:
        """From -1 (full chill) to 1 (full heat)."""
        raise NotImplementedError


class Thermostat(_Guarded):
    """Full heat or chill up to the target, and again when it is off by the hysteresis."""

    _power = 0.0

    def power(self, target_c: float, chocolate_c: float, dt_s: float) -> float:
        error = target_c - chocolate_c
        if abs(error) > HYSTERESIS_C:
            self._power = 1.0 if error > 0.0 else -1.0
        elif self._power * error <= 0.0:
            self._power = 0.0
        return self._power


class SinglePid(_Guarded):
    """simple-pid as its README shows it, with gains from the reference rig."""

    def __init__(self, chocolate: Reading, bath: Reading) -> None:
        super().__init__(chocolate, bath)
        self._pid = PID(KP, KI, 0.0, sample_time=None, output_limits=(-1.0, 1.0))

    def power(self, target_c: float, chocolate_c: float, dt_s: float) -> float:
        self._pid.setpoint = target_c
        return float(self._pid(chocolate_c, dt=dt_s) or 0.0)
