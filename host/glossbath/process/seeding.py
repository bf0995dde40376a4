"""Seeding in a cycle: ask at the right temperature, see by its heat that it was done, go on.

The temperature answers: cold seed makes it fall below what the bath explains. Where so little seed
is asked for that its fall drowns in the trace, only the person's word counts, and this says so.
"""

from __future__ import annotations

from collections import deque
from contextlib import suppress
from typing import Any, Literal, NamedTuple

from glossbath.chocolate.seed import SURVIVES_C, SeedPlan
from glossbath.chocolate.seedtrace import (
    NONE_LEFT,
    SeedSeen,
    coupling_per_s,
    judge_beside_bath,
)
from glossbath.client.messages import Reading
from glossbath.errors import GlossbathError, InputError
from glossbath.recipe import Recipe
from glossbath.recipe.seed import Seed
from glossbath.words import clock

from .seed_plan import plan_seed

LOOK_EVERY_S = 5.0
LOOK_BACK_S = 90.0
"""Seed falls within a minute or so; looked for over this time, wherever it began."""
SETTLE_S = 120.0
"""Once seen, so long until it is judged how much of it melted, with the stirrer running."""
SURE_FALL_C = 0.3
"""A smaller expected fall is not told from a change of cooling (engineering choice, no source)."""
PATIENCE_S = 600.0
KEEP_S = 600.0
USUAL_SEED_C = 22.0
"""What seed has where no room probe tells more: seed lies in the kitchen."""
HELD = ("running", "held")

CODE = "seed-unseen"
PRIORITY = "medium"

Stage = Literal["before", "coming", "asking", "seen", "over"]


def check_seed(recipe: Recipe, batch_kg: float) -> None:
    """Raise InputError where this batch cannot take the seed that the recipe asks for."""
    if recipe.seed is None:
        return
    try:
        plan_seed(recipe.seed, batch_kg, recipe.fat_share, recipe.seed.seed_c, USUAL_SEED_C)
    except InputError as error:
        raise InputError(
            f"{recipe.seed.kg(batch_kg) * 1000:.1f} g of seed do not fit a batch of {batch_kg:g} "
            f"kg. {error} Change the recipe's [seed] or the batch."
        ) from error


class Act(NamedTuple):
    """What the keeper has to do: an order to the board, an event, an alarm or its end."""

    kind: Literal["order", "event", "alarm", "over"]
    code: str
    text: str = ""
    values: dict[str, Any] = {}
    words: tuple[str, str, str] = ("", "", "")


class Seeding:
    """The seed of one cycle, from the recipe and the mass of the batch."""

    def __init__(self, seed: Seed, batch_kg: float, fat_share: float) -> None:
        self._seed = seed
        self._kg = seed.kg(batch_kg)
        self._batch_kg = batch_kg
        self._fat_share = fat_share
        self._stage: Stage = "before"
        self._trace: deque[tuple[float, float, float]] = deque()
        """Time in s, chocolate and bath in °C."""
        self._per_s = 0.0
        self._chocolate_c: float | None = None
        self._room_c = USUAL_SEED_C
        self._now_s = self._asked_s = self._looked_s = self._fell_s = self._seen_s = 0.0
        self._held_here = False
        self._told = False
        self._again = False
        """Whether seed was asked for once more because none was left."""

    # --- what is asked of the person ---------------------------------------------------------

    @property
    def amount(self) -> str:
        """How much of what, in words."""
        return f"{self._kg * 1000:.0f} g of {self._seed.name} seed"

    @property
    def request(self) -> str:
        """What the person should do now; empty when nothing."""
        if self._stage == "coming":
            return (
                f"Have {self.amount} ready for {self._seed.seed_c:g} °C. Above {SURVIVES_C:g} °C "
                "it would be lost."
            )
        if self._stage == "asking":
            how = (
                "say done when it is in."
                if self._only_words
                else "it goes on when the temperature shows it, or when you say done."
            )
            return (
                f"Add {self.amount} now and keep stirring (asked at {clock(self._asked_s)}); {how}"
            )
        if self._stage == "seen":
            return "The seed is in: keep stirring, it goes on in a moment."
        return ""

    @property
    def _only_words(self) -> bool:
        """Whether the fall is too small to be seen, so that only the person can tell."""
        return self._plan(self._seed.seed_c).drop_least_c < SURE_FALL_C

    def _plan(self, base_c: float) -> SeedPlan:
        return plan_seed(self._seed, self._batch_kg, self._fat_share, base_c, self._room_c)

    # --- what happens ------------------------------------------------------------------------

    def follow(self, reading: Reading) -> list[Act]:
        """One reading of the cycle and what follows from it."""
        if self._stage == "over" or reading.state not in HELD:
            return []
        self._now_s = reading.time_s
        if reading.room_c is not None:
            self._room_c = reading.room_c
        if reading.phase != "cool":
            return self._elsewhere()
        if reading.chocolate_c is None or reading.bath_c is None:
            return []
        self._chocolate_c = reading.chocolate_c
        self._trace.append((reading.time_s, reading.chocolate_c, reading.bath_c))
        while reading.time_s - self._trace[0][0] > KEEP_S:
            self._trace.popleft()
        if self._stage == "before":
            self._stage = "coming"
        if self._stage == "coming":
            return self._ask(reading) if reading.chocolate_c <= self._seed.seed_c else []
        return self._watch()

    def done(self) -> list[Act]:
        """The person says that the seed is in. Raises GlossbathError when that cannot be."""
        if self._stage == "coming" and not self._survives:
            raise GlossbathError(
                f"At {self._chocolate_c:.1f} °C the seed would be lost: form V does not survive "
                f"above {SURVIVES_C:g} °C. Wait until it is asked for at {self._seed.seed_c:g} °C."
            )
        if self._stage not in ("coming", "asking", "seen"):
            raise GlossbathError("No seed is asked for now.")
        seen = self._judge(self._fell_s or max(self._asked_s, self._now_s - LOOK_BACK_S))
        if seen is not None and seen.verdict in NONE_LEFT and not self._again:
            return self._ask_again(seen)
        return self._end("said", "A person said that the seed is in.", seen)

    def went_on(self) -> list[Act]:
        """A person let the recipe go on while seed was asked for."""
        if self._stage not in ("asking", "seen"):
            return []
        self._held_here = False
        return self._end("skipped", "The recipe went on although no seed was seen.", None)

    @property
    def _survives(self) -> bool:
        return self._chocolate_c is not None and self._chocolate_c <= SURVIVES_C

    def _elsewhere(self) -> list[Act]:
        """Another phase runs: if that of the seed is over, so is seeding."""
        if self._stage == "before":
            return []
        self._held_here = False
        return self._end("skipped", "The cooling phase ended without the seed being seen.", None)

    def _ask(self, reading: Reading) -> list[Act]:
        self._stage = "asking"
        self._asked_s = self._looked_s = reading.time_s
        # On the way down the bath moves the chocolate most, so that is where its part is learnt.
        with suppress(InputError):
            self._per_s = coupling_per_s(*zip(*self._trace, strict=True))
        # A recipe that a person holds stays with that person.
        self._held_here = reading.state == "running"
        plan = self._plan(self._seed.seed_c)
        values = {
            "grams": round(self._kg * 1000, 1),
            "kind": self._seed.kind,
            "seed_c": self._seed.seed_c,
            "fall_least_c": round(plan.drop_least_c, 2),
            "fall_most_c": round(plan.drop_most_c, 2),
        }
        order = [Act("order", "hold")] if self._held_here else []
        return [*order, Act("event", "order", f"Add {self.amount} now.", values)]

    def _watch(self) -> list[Act]:
        if self._now_s - self._looked_s < LOOK_EVERY_S:
            return []
        self._looked_s = self._now_s
        if self._stage == "seen":
            if self._now_s - self._seen_s < SETTLE_S:
                return []
            seen = self._judge(self._fell_s)
            if seen is not None and seen.verdict in NONE_LEFT:
                return self._ask_again(seen)
            return self._end("seen", "The temperature shows that the seed is in.", seen)
        from_s = max(self._asked_s, self._now_s - LOOK_BACK_S)
        seen = None if self._only_words else self._judge(from_s)
        if seen is not None and seen.verdict in ("added", *NONE_LEFT):
            self._stage = "seen"
            self._fell_s, self._seen_s = from_s, self._now_s
            return [Act("over", CODE)] if self._told else []
        if self._now_s - self._asked_s > PATIENCE_S and not self._told:
            return self._tell(seen)
        return []

    def _tell(self, seen: SeedSeen | None) -> list[Act]:
        """Say that nothing was seen for too long."""
        self._told = True
        plan = self._plan(self._seed.seed_c)
        if seen is None:
            happened = (
                f"The seed was asked for {PATIENCE_S / 60:.0f} minutes ago and nobody has said "
                f"that it is in; its fall of {plan.drop_least_c:.1f} °C is too small to be seen."
            )
        else:
            happened = " ".join(["No seed was seen.", *seen.sentences()])
        words = (
            happened,
            "The recipe waits; the temperature is kept and the stirrer runs.",
            f"Add {self.amount}, or say done if it is in.",
        )
        test = self._test("not seen", "The seed was not seen.", seen)
        return [test, Act("alarm", CODE, words=words)]

    def _ask_again(self, seen: SeedSeen) -> list[Act]:
        """No seed is left: the recipe waits for more."""
        self._stage, self._again, self._told = "asking", True, True
        self._asked_s = self._looked_s = self._now_s
        words = (
            " ".join(seen.sentences()),
            "The recipe waits; the temperature is kept and the stirrer runs.",
            f"Add {self.amount} again, or say done if you know that seed is left.",
        )
        test = self._test("none left", "No seed is left.", seen)
        return [test, Act("alarm", CODE, words=words)]

    def _judge(self, from_s: float) -> SeedSeen | None:
        """What the trace shows of seed that went in about `from_s`; None when it cannot tell."""
        at_c = next((c for t, c, _ in self._trace if t >= from_s), self._seed.seed_c)
        times, celsius, bath = zip(*self._trace, strict=True)
        try:
            return judge_beside_bath(times, celsius, bath, from_s, self._plan(at_c), self._per_s)
        except InputError:
            return None  # too short a trace yet, or one with a gap

    def _end(self, result: str, text: str, seen: SeedSeen | None) -> list[Act]:
        acts = [self._test(result, text, seen)]
        if self._told:
            acts.append(Act("over", CODE))
        if self._held_here:
            acts.append(Act("order", "resume"))
        self._stage = "over"
        return acts

    def _test(self, result: str, text: str, seen: SeedSeen | None) -> Act:
        values: dict[str, Any] = {"result": result, "grams": round(self._kg * 1000, 1)}
        lines = [text]
        if seen is not None:
            values |= {
                "verdict": seen.verdict,
                "fell_c": round(seen.seen_drop_c, 2),
                "expected_least_c": round(seen.expected_least_c, 2),
                "expected_most_c": round(seen.expected_most_c, 2),
                "melted_share": seen.melted_share,
            }
            lines += seen.sentences()
        if result in ("seen", "said"):
            values["crystal_share"] = self._crystal_share(seen)
        return Act("event", "test", " ".join(lines), values)

    def _crystal_share(self, seen: SeedSeen | None) -> float:
        """Fat of the seed that is left as crystals, as a share of all the fat."""
        plan = self._plan(self._seed.seed_c)
        whole = plan.crystal_share / (1.0 if self._seed.kind == "butter" else 0.5)
        melted = seen.melted_share if seen is not None else None
        return round(plan.crystal_share if melted is None else whole * (1.0 - melted), 5)
