"""The proof before every enabling of heat: relay and switch each show that they can open.

Needs the load-sense input: with relay open and switch on, and with relay closed and switch off,
no voltage may reach the outlet; with both closed it must.
"""

from .port import const

_STEP_MS = const(1_500)  # relay, charge pump and sense line have settled well before
# (relay, switch, voltage expected, trip when it is not so)
STEPS = (
    (False, False, False, "proof-off"),
    (False, True, False, "proof-relay"),
    (False, False, False, "proof-off"),
    (True, False, False, "proof-switch"),
    (True, True, True, "proof-power"),
)


class Proof:
    """Walks through STEPS; relay and heat are what to drive now."""

    def __init__(self) -> None:
        self.begin()

    def begin(self) -> None:
        """Start over."""
        self._at = 0
        self._step_ms = 0

    @property
    def relay(self) -> bool:
        """Whether the relay line is pulsed in this step."""
        return STEPS[self._at][0]

    @property
    def heat(self) -> bool:
        """Whether the switch is on in this step."""
        return STEPS[self._at][1]

    def step(self, load_on: bool | None, dt_ms: int) -> str:
        """Let dt_ms pass; returns 'proven', a trip code, or '' while it goes on."""
        self._step_ms += dt_ms
        if self._step_ms < _STEP_MS:
            return ""
        if load_on is not STEPS[self._at][2]:
            return STEPS[self._at][3]
        if self._at + 1 >= len(STEPS):
            return "proven"
        self._at += 1
        self._step_ms = 0
        return ""
