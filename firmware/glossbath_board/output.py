"""What is allowed becomes pin levels. Anything unknown is off.

Heat, pump and stirrer are switched by plain pins in windows of time: a PWM slice can freeze with
its pin high at a soft reset. The relay line is no level at all but a pulse train: it toggles once
a pass, and a charge pump drops the relay when the pulses end, whichever way the pin stuck.
"""

from .port import const

_HEAT_WINDOW_MS = const(2_000)  # slow against the mains period, fast against the bath
_CHILL_WINDOW_MS = const(10_000)  # a pump dislikes being switched every second
_STIR_WINDOW_MS = const(20_000)  # a share of stirring means stirring for a share of the time


class Proportioner:
    """Turns a share into on and off within a window, carrying what a window could not give.

    Integers throughout: permille in, milliseconds kept. What is no share is off.
    """

    def __init__(self, window_ms: int) -> None:
        self._window_ms = window_ms
        self._at_ms = window_ms
        self._on_ms = 0
        self._carry_ms = 0

    def step(self, permille: int, dt_ms: int) -> bool:
        """Whether the output is on for the coming dt_ms."""
        if not isinstance(permille, int) or not 0 < permille <= 1000 or dt_ms <= 0:
            self._at_ms = self._window_ms
            self._carry_ms = 0
            return False
        if self._at_ms >= self._window_ms:
            wanted = self._carry_ms + self._window_ms * permille // 1000
            self._on_ms = wanted // dt_ms * dt_ms
            self._carry_ms = wanted - self._on_ms
            self._at_ms = 0
        on = self._at_ms < self._on_ms
        self._at_ms += dt_ms
        return on


class Outputs:
    """The five outputs. pins maps heat, relay, chill, stir, lamp to objects with value(level)."""

    def __init__(self, pins: dict) -> None:
        self._heat = pins["heat"].value
        self._relay = pins["relay"].value
        self._chill = pins["chill"].value
        self._stir = pins["stir"].value
        self._lamp = pins["lamp"].value
        self._heat_window = Proportioner(_HEAT_WINDOW_MS)
        self._chill_window = Proportioner(_CHILL_WINDOW_MS)
        self._stir_window = Proportioner(_STIR_WINDOW_MS)
        self._pulse = 0
        self.heat_on = False
        self.relay_on = False
        self.stir_on = False
        self.off()

    def off(self) -> None:
        """Everything off, at once; allocates nothing and may be called from anywhere."""
        self._heat(0)
        self._relay(0)
        self._chill(0)
        self._stir(0)
        self.heat_on = False
        self.relay_on = False
        self.stir_on = False

    def drive(self, allowed: "Allowed", dt_ms: int) -> None:
        """Set every pin for the coming dt_ms."""
        heat = self._heat_window.step(allowed.heat_permille, dt_ms)
        self.heat_on = heat and allowed.relay is True
        self._heat(1 if self.heat_on else 0)
        self._chill(1 if self._chill_window.step(allowed.chill_permille, dt_ms) else 0)
        self.stir_on = self._stir_window.step(allowed.stir_permille, dt_ms)
        self._stir(1 if self.stir_on else 0)
        self._pulse_relay(allowed.relay)
        self._lamp(1 if allowed.lamp is True else 0)

    def drive_test(self, relay: bool, heat: bool) -> None:
        """Set relay and switch alone, for the proof that each of them opens."""
        self.heat_on = heat is True
        self._heat(1 if self.heat_on else 0)
        self._chill(0)
        self._stir(0)
        self.stir_on = False
        self._pulse_relay(relay)

    def drive_alone(self, name: str) -> None:
        """One output on and all others off. 'frozen' is the relay's line held high, not pulsed."""
        self.heat_on = name == "heat"
        self.stir_on = name == "stir"
        self._heat(1 if self.heat_on else 0)
        self._chill(1 if name == "chill" else 0)
        self._stir(1 if self.stir_on else 0)
        self._lamp(1 if name == "lamp" else 0)
        if name == "frozen":
            self._relay(1)
        else:
            self._pulse_relay(name == "relay")

    def _pulse_relay(self, on: bool) -> None:
        self.relay_on = on is True
        self._pulse = 1 - self._pulse if self.relay_on else 0
        self._relay(self._pulse)


class Allowed:
    """What the supervisor allows for the coming pass; made once, all off."""

    def __init__(self) -> None:
        self.lamp = False
        self.none()

    def none(self) -> None:
        """Allow nothing."""
        self.heat_permille = 0
        self.chill_permille = 0
        self.stir_permille = 0
        self.relay = False
