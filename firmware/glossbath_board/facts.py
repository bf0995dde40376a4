"""What the cut-offs look at: one object, renewed by the loop before every pass of the supervisor.

None means unknown and counts as bad.
"""

from . import cycle, limits
from .plausibility import Plausibility
from .reading import Reading


class Facts:
    """The rig as it is now. Times in ms, temperatures in m°C, shares in permille.

    stir_current is in mA, supply in mV. max_mc is the running recipe's own limit. alone_ms is for
    how long the present phase may go on after the lease has lapsed. *_on_ms and *_off_ms count how
    long an output has been so.
    """

    def __init__(
        self, chocolate: Reading, bath: Reading, body: Reading, current: Reading, supply: Reading
    ) -> None:
        self.chocolate = chocolate
        self.bath = bath
        self.body = body
        self.stir_current = current
        self.supply = supply
        self.plausibility = Plausibility(chocolate, bath, body)
        self.now_ms = 0
        self.dt_ms = limits.PASS_MS
        self.state = cycle.IDLE
        self.waiting_ms = 0
        self.phase_ms = 0
        self.run_ms = 0
        self.lease_age_ms: int | None = None
        self.alone_ms = 0
        self.overruns_in_row = 0
        self.heat_permille = 0
        self.chill_permille = 0
        self.heat_on_ms = 0
        self.heat_off_ms = 0
        self.stir_on_ms = 0
        self.stir_off_ms = 0
        self.load_on: bool | None = None
        self.stop_ready: bool | None = None
        self.lid_on: bool | None = None
        self.water_ok: bool | None = None
        self.settings_fault: str | None = None
        self.files_fault: str | None = None
        self.resets: int | None = 0
        self.record_fault: str | None = ""

    def follow_outputs(self, heat_on: bool | None, stir_on: bool | None, dt_ms: int) -> None:
        """Count how long heat and stirrer have been on or off, dt_ms after the last time."""
        if heat_on is True:
            self.heat_on_ms += dt_ms
            self.heat_off_ms = 0
        else:
            self.heat_off_ms += dt_ms
            self.heat_on_ms = 0
        if stir_on is True:
            self.stir_on_ms += dt_ms
            self.stir_off_ms = 0
        else:
            self.stir_off_ms += dt_ms
            self.stir_on_ms = 0
