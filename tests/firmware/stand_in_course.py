"""Three readings that follow courses of temperature, and the plausibility they give."""

from glossbath_board.cycle import RUNNING
from glossbath_board.plausibility import Plausibility
from glossbath_board.reading import Reading

PASS_MS = 250
STEP_MC = 62.5


class Course:
    """Three readings that follow functions of time (s -> m°C), and the plausibility they give."""

    def __init__(self, chocolate, bath, body, step_mc=STEP_MC):
        self.readings = tuple(Reading(name) for name in ("chocolate", "bath", "body"))
        self._courses = [chocolate, bath, body]
        self._step_mc = step_mc
        self.plausibility = Plausibility(*self.readings)
        self.now_ms = 0

    def go(self, seconds, heat=0, chill=0, state=RUNNING, heat_on=None):
        """Let time pass with heat and chill in permille."""
        for _ in range(int(seconds * 1000) // PASS_MS):
            if self.now_ms % 1_500 == 0:
                for at, reading in enumerate(self.readings):
                    course = self._courses[at]
                    value = course(self.now_ms / 1000) if callable(course) else course
                    if isinstance(value, str):
                        reading.bad(value)
                    else:
                        steps = int(value / self._step_mc + 0.5)
                        reading.good(int(steps * self._step_mc), self.now_ms)
            on = heat > 0 if heat_on is None else heat_on
            self.plausibility.step(state, heat, chill, on, PASS_MS)
            self.now_ms += PASS_MS
        return self.plausibility

    def follow(self, chocolate=None, bath=None, body=None):
        """From now on other courses."""
        for at, course in enumerate((chocolate, bath, body)):
            if course is not None:
                self._courses[at] = course


def numbers(plausibility):
    """Everything a cut-off compares, in the order of its limits."""
    return (
        plausibility.chocolate.jump_mc,
        plausibility.bath.jump_mc,
        plausibility.body.jump_mc,
        plausibility.chocolate.rise_mc,
        plausibility.bath.rise_mc,
        plausibility.body.rise_mc,
        plausibility.stuck_chocolate_mc_s,
        plausibility.stuck_bath_mc,
        plausibility.stuck_body_mc,
        plausibility.against_mc,
        plausibility.apart_mc_s,
        plausibility.body_cold_mc,
        plausibility.idle_heat_s,
        plausibility.warming_mc,
    )


def ramp(start, per_minute, from_s=0):
    """Degrees (m°C) that change by so much a minute."""

    def course(t):
        return start + per_minute * max(0, t - from_s) / 60

    return course


def fine(chocolate, bath, body):
    """A course in steps of 1 m°C, to meet thresholds from both sides."""
    return Course(chocolate, bath, body, step_mc=1)
