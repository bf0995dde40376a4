"""The moment on the slab, from a probe that is late.

Dark chocolate works at 30 to 31 °C and is cooled to 28 to 29 °C (common practice, no source).
"""

from __future__ import annotations

import math

from glossbath.chocolate import slab
from glossbath.chocolate.slabwatch import SlabWatch
from glossbath.chocolate.windows import suggest

DARK = suggest("dark")
PLAN = slab.plan(3.0, 38.0, DARK)


def lying(watch: SlabWatch, lag_s: float = 8.0) -> tuple[list[str], float]:
    """Let chocolate cool on a slab of 18 °C, seen by a late probe; what is said until the moment,
    and how warm the chocolate really is then."""
    said: list[str] = []
    real_c = probe_c = 38.0
    for second in range(1, 1200):
        real_c += (18.0 - real_c) / 300
        probe_c += (real_c - probe_c) / lag_s
        said += watch.take(float(second), probe_c)
        if watch.stage == "mixing":
            return said, real_c
    raise AssertionError(f"never told: {said}")


def test_it_tells_the_moment_although_the_probe_is_late() -> None:
    said, real_c = lying(SlabWatch(PLAN, DARK))
    assert said[-1].startswith("NOW: about 26.")
    # By the method of mixtures: two thirds at 26.75 °C and a third at 38 °C come to 30.5 °C.
    assert math.isclose(real_c, PLAN.cool_to_c, abs_tol=0.15)


def test_it_counts_down_every_quarter_of_a_minute() -> None:
    said, _ = lying(SlabWatch(PLAN, DARK))
    assert said[0].startswith("37.9 °C") or said[0].startswith("38.0 °C")
    assert "to go: about" in said[3]
    left = [float(line.split(", ")[1].split(" ")[0]) for line in said[:-1]]
    assert left == sorted(left, reverse=True)


def test_chocolate_that_does_not_cool_is_told() -> None:
    watch = SlabWatch(PLAN, DARK)
    said = [line for second in range(60) for line in watch.take(float(second), 35.0)]
    assert said[-1] == "35.0 °C, 8.2 °C to go; it is not cooling now."


def test_what_the_mixture_came_to_is_judged_once_it_is_steady() -> None:
    watch = SlabWatch(PLAN, DARK)
    lying(watch)
    said: list[str] = []
    for second in range(1200, 1400):
        celsius = 30.5 - 3.0 * math.exp(-(second - 1200) / 15)
        said += watch.take(float(second), celsius)
        if watch.stage == "done":
            break
    (line,) = said
    assert line.endswith("it is in its window of 30 to 31 °C: make a dip test before you use it.")
    assert watch.take(1500.0, 31.0) == []


def test_a_reading_that_comes_twice_counts_once() -> None:
    watch = SlabWatch(PLAN, DARK)
    assert len(watch.take(1.0, 35.0)) == 1
    assert watch.take(1.0, 20.0) == []
    assert watch.stage == "slab"
