"""A bowl of chocolate that cools with its bath, and the seeding that follows it.

The traces are made here: chocolate that follows its bath, dT/dt = k (bath - T), with readings in
steps of the probe, and seed as a fall by the method of mixtures.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from glossbath.client.messages import Reading
from glossbath.process.seeding import Act, Seeding
from glossbath.recipe.seed import Seed

K_PER_S = 1 / 330
CHOCOLATE = Seed("chocolate", 33.0, share=0.06)
BUTTER = Seed("butter", 33.0, mass_kg=0.01)


class Bowl:
    """Chocolate that cools with its bath from 42 °C, read once a second."""

    def __init__(self, seed: Seed = CHOCOLATE, phase: str = "cool") -> None:
        self.seeding = Seeding(seed, 1.0, 0.36)
        self.phase = phase
        self.state = "running"
        self.celsius = 42.0
        self.now_s = 0.0
        self.room_c: float | None = None
        self._left_c = 0.0

    def add_seed(self, fall_c: float) -> None:
        """Stir in what brings the temperature down by this much within a minute."""
        self._left_c = fall_c

    def read(self) -> list[Act]:
        """One second and its reading."""
        self.now_s += 1.0
        bath_c = 28.0 + 0.3 * math.sin(self.now_s / 90)
        self.celsius += K_PER_S * (bath_c - self.celsius)
        falls_c = self._left_c / 20
        self._left_c -= falls_c
        self.celsius -= falls_c
        acts = self.seeding.follow(self.reading(round(self.celsius * 16) / 16, bath_c))
        for act in acts:
            if act.kind == "order":
                self.state = {"hold": "held", "resume": "running"}[act.code]
        return acts

    def reading(self, chocolate_c: float | None, bath_c: float) -> Reading:
        return Reading(
            time_s=self.now_s, wall="", chocolate_c=chocolate_c, bath_c=bath_c, body_c=30.0,
            target_c=28.5, bath_target_c=28.0, heat_share=0.0, chill_share=0.0, stir_share=0.8,
            state=self.state, phase=self.phase, phase_index=2, phase_elapsed_s=0.0,
            phase_left_s=None, cycle_left_s=None, room_c=self.room_c,
        )  # fmt: skip

    def acts(self, seconds: float) -> Iterator[Act]:
        """What happens over some seconds."""
        for _ in range(int(seconds)):
            yield from self.read()

    def when(self, code: str, seconds: int = 700) -> float:
        """After how many seconds an act of this code comes."""
        began_s = self.now_s
        for _ in range(seconds):
            if code in [act.code for act in self.read()]:
                return self.now_s - began_s
        raise AssertionError(f"{code} did not come")

    def until_asked(self) -> list[Act]:
        """Go on until seed is asked for."""
        for _ in range(3600):
            acts = self.read()
            if acts:
                return acts
        raise AssertionError("seed was never asked for")


def kinds(acts: list[Act]) -> list[tuple[str, str]]:
    return [(act.kind, act.code) for act in acts]
