"""The proof before every enabling of heat: relay and switch each show that they can open.

Needs the load-sense input. With relay open and switch on, and with relay closed and switch off,
no voltage may reach the outlet; with both closed it must. The switch is proven twice: before, so
that the relay closes on no load, and after, since only a relay that is known to be closed can
show that the switch beside it opens.

Heat that was enabled and never disabled, as through hold and resume, is not proven again.
"""

from .limits import PROOF_STEP_MS

# (relay, switch, voltage expected, trip when it is not so)
STEPS = (
    (False, False, False, "proof-off"),
    (False, True, False, "proof-relay"),
    (False, False, False, "proof-off"),
    (True, False, False, "proof-switch"),
    (True, True, True, "proof-power"),
    (True, False, False, "proof-switch"),
)
PROVEN = "proven"


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
        """Let dt_ms pass; returns PROVEN, a trip code, or '' while it goes on."""
        self._step_ms += dt_ms
        if self._step_ms < PROOF_STEP_MS:
            # Voltage has to stay: a relay that chatters would pass at a lucky moment.
            settled = 2 * self._step_ms > PROOF_STEP_MS
            if settled and STEPS[self._at][2] and load_on is not True:
                return STEPS[self._at][3]
            return ""
        if load_on is not STEPS[self._at][2]:
            return STEPS[self._at][3]
        if self._at + 1 >= len(STEPS):
            return PROVEN
        self._at += 1
        self._step_ms = 0
        return ""
