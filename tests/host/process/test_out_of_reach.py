"""What the keeper tells and orders where a phase cannot be reached.

That melted chocolate which is stirred keeps for hours, and chocolate that is stirred where it sets
grows thick: common practice, no source.
"""

from __future__ import annotations

import msgspec
import pytest

from glossbath.chocolate.phase import MELTING
from glossbath.client.messages import Reading
from glossbath.process.out_of_reach import OutOfReach
from glossbath.recipe import Recipe, load
from glossbath_board import program

from .bowl import Bowl
from .heard import Heard

NAMES = ("melt", "soak", "cool", "reheat", "hold")
COOL = next(phase for phase in load("dark").phases if phase.name == "cool")
NO_ICE = "No ice."


class Cycle:
    """One cycle of dark chocolate, what is heard of it and what is ordered."""

    def __init__(self, recipe: Recipe | None = None) -> None:
        self.heard = Heard()
        self.ordered: list[object] = []
        recipe = recipe or load("dark")
        self.names = [phase.name for phase in recipe.phases]
        self.reach = OutOfReach(
            recipe, self.heard, lambda: self.ordered.append("hold"), self.ordered.append
        )

    def see(
        self,
        phase: str,
        problem: str = "",
        state: str = "running",
        time_s: float = 0.0,
        elapsed_s: float = 60.0,
        dwell_s: float = 0.0,
    ) -> None:
        """A reading in a phase, and what the forecast says of it."""
        reading = msgspec.structs.replace(
            Bowl().reading(31.0, 30.0),
            time_s=time_s,
            phase=phase,
            phase_index=self.names.index(phase) if phase else 0,
            state=state,
            phase_elapsed_s=elapsed_s,
            dwell_s=dwell_s,
        )
        self.reach.look(reading, problem)

    @property
    def words(self) -> tuple[str, str, str]:
        """What stands of it."""
        priority, words = self.heard.standing["out-of-reach"]
        assert priority == "medium"
        return words


def test_the_phases_that_melt_are_the_boards() -> None:
    assert MELTING == program.MELTING


@pytest.mark.parametrize("name", ["melt", "soak"])
def test_a_phase_that_melts_is_held_and_an_alarm_until_it_can_be_reached(name: str) -> None:
    cycle = Cycle()
    cycle.see(name, NO_ICE)
    happened, did, do = cycle.words
    assert happened == NO_ICE
    assert f"holds the recipe in its phase {name}" in did and "Nothing goes on by itself." in do
    cycle.see(name, "Still none.", state="held")
    assert cycle.words[0] == NO_ICE
    assert cycle.ordered == ["hold"]
    for _ in range(2):
        cycle.see(name, state="held")
        assert list(cycle.heard.standing) == ["in-reach"]
    cycle.see(name)  # a person has resumed it
    assert cycle.heard.standing == {} and cycle.ordered == ["hold"]


def test_a_cooling_out_of_reach_goes_back_to_where_chocolate_keeps_unless_it_is_mended() -> None:
    cycle = Cycle()
    cycle.see("cool", NO_ICE)
    happened, did, do = cycle.words
    assert happened == NO_ICE
    assert did.startswith("The rig cools on. Unless that changes within 10 min it goes back")
    assert "resume" in do and "Nothing goes on by itself." in do
    cycle.see("cool", NO_ICE, time_s=599.0)
    assert cycle.ordered == []
    cycle.see("cool", NO_ICE, time_s=600.0)
    happened, did, do = cycle.words
    assert happened == f"The cooling is given up for now. {NO_ICE}"
    assert did.startswith(
        "The rig goes back to the phase soak and holds the recipe there, at 46 to"
    )
    assert "resume" in do and "Nothing goes on by itself." in do
    for _ in range(3):
        cycle.see("cool", NO_ICE, time_s=601.0)  # the order is on its way
    for _ in range(3):
        cycle.see("soak", state="held", time_s=602.0)  # that this is in reach is not the question
    assert cycle.ordered == [1] and cycle.words[0] == happened
    cycle.see("soak", time_s=3_600.0)  # a person has resumed it
    assert cycle.heard.standing == {}
    cycle.see("cool", NO_ICE, time_s=5_000.0)
    assert cycle.ordered == [1]  # it has its ten minutes again
    cycle.see("cool", NO_ICE, time_s=5_600.0)
    assert cycle.ordered == [1, 1]


def test_a_cooling_has_its_time_again_once_a_person_has_done_something() -> None:
    cycle = Cycle()
    cycle.see("cool", NO_ICE)
    cycle.see("cool", NO_ICE, time_s=590.0)
    cycle.reach.mended()
    assert cycle.heard.standing == {}
    cycle.see("cool", NO_ICE, time_s=900.0)  # it did not help
    assert cycle.words[0] == NO_ICE
    cycle.see("cool", NO_ICE, time_s=1_499.0)
    assert cycle.ordered == []
    cycle.see("cool", NO_ICE, time_s=1_500.0)
    assert cycle.ordered == [1]
    cycle.reach.mended()  # what went back waits for a person all the same
    cycle.see("soak", state="held", time_s=1_600.0)
    assert NO_ICE in cycle.words[0] and cycle.ordered == [1]


def test_a_cooling_that_is_mended_in_time_goes_on() -> None:
    cycle = Cycle()
    cycle.see("cool", NO_ICE)
    cycle.see("cool", time_s=500.0)
    assert cycle.heard.standing == {}
    cycle.see("cool", NO_ICE, time_s=700.0)
    cycle.see("cool", NO_ICE, time_s=1_299.0)
    assert cycle.ordered == []


@pytest.mark.parametrize(
    ("left_s", "dwelt_s", "back"),
    [(59.0, 0.0, True), (61.0, 0.0, False), (59.0, COOL.dwell_s - 58.0, False)],
)
def test_a_cooling_whose_time_is_over_does_not_end_the_batch(
    left_s: float, dwelt_s: float, back: bool
) -> None:
    # Nobody foresaw it: the trip for a phase's time would let the chocolate set in the bowl.
    cycle = Cycle()
    cycle.see("cool", elapsed_s=COOL.timeout_s - left_s, dwell_s=dwelt_s)
    assert cycle.ordered == [1] * back
    if back:
        happened = cycle.words[0]
        assert happened.startswith("The cooling has not come to 29 °C and stayed there in its 240")
        assert "more ice" in happened


@pytest.mark.parametrize("phase", ["melt", "reheat", "hold"])
def test_no_other_phase_is_gone_back_from_when_its_time_is_over(phase: str) -> None:
    cycle = Cycle()
    cycle.see(phase, elapsed_s=1e6)
    assert cycle.ordered == [] and cycle.heard.standing == {}


def test_a_reheating_out_of_reach_goes_on_since_no_safer_place_can_be_reached_either() -> None:
    cycle = Cycle()
    cycle.see("reheat", NO_ICE)
    cycle.see("reheat", NO_ICE, time_s=1e4)
    assert cycle.ordered == []
    assert "goes on trying" in cycle.words[1]
    cycle.see("reheat")
    assert cycle.heard.standing == {}


def test_a_recipe_without_a_phase_that_melts_before_has_nowhere_to_go_back_to() -> None:
    recipe = load("dark")
    cycle = Cycle(msgspec.structs.replace(recipe, phases=recipe.phases[2:]))
    cycle.see("cool", NO_ICE)
    cycle.see("cool", NO_ICE, elapsed_s=COOL.timeout_s, time_s=700.0)
    assert cycle.ordered == [] and "goes on trying" in cycle.words[1]


def test_a_board_that_does_not_go_back_is_not_asked_again_and_again() -> None:
    cycle = Cycle()
    for minute in range(100):
        cycle.see("cool", NO_ICE, time_s=60.0 * minute)
    assert cycle.ordered == [1]
    cycle.reach.refused("The board refused the order (unknown order k).")
    happened, did, _ = cycle.words
    assert happened.endswith("and did not. The board refused the order (unknown order k).")
    assert "goes on trying" in did
    cycle.see("reheat")  # ice came, and it went on by itself
    assert cycle.heard.standing == {}


def test_what_can_be_reached_no_more_after_all_is_not_said_to_be_in_reach() -> None:
    cycle = Cycle()
    for problem in (NO_ICE, "", NO_ICE):
        cycle.see("melt", problem, state="held")
    assert list(cycle.heard.standing) == ["out-of-reach"]
    assert cycle.ordered == []


@pytest.mark.parametrize("phase", ["melt", "cool"])
def test_what_a_person_holds_stays_where_it_is(phase: str) -> None:
    cycle = Cycle()
    cycle.see(phase, NO_ICE, state="held")
    cycle.see(phase, NO_ICE, state="held", time_s=1e4)
    assert cycle.ordered == []
    assert cycle.words[0] == NO_ICE


@pytest.mark.parametrize("over", [False, True])
def test_nothing_stands_any_more_once_the_cycle_is_over(over: bool) -> None:
    cycle = Cycle()
    for problem in (NO_ICE, "")[: 1 + over]:
        cycle.see("melt", problem, state="held" if over else "running")
    assert list(cycle.heard.standing) == (["in-reach"] if over else ["out-of-reach"])
    cycle.reach.end()
    assert cycle.heard.standing == {}
    # The same trouble in another cycle is told anew.
    cycle.see("melt", NO_ICE)
    assert list(cycle.heard.standing) == ["out-of-reach"]
    assert cycle.ordered[-1:] == ["hold"]


@pytest.mark.parametrize("state", ["idle", "waiting", "tripped", "complete"])
def test_a_rig_that_rests_is_ordered_nothing(state: str) -> None:
    cycle = Cycle()
    cycle.see("cool", NO_ICE, state=state, elapsed_s=1e6)
    assert cycle.ordered == [] and cycle.heard.standing == {}


def test_a_phase_that_the_recipe_does_not_have_is_let_be() -> None:
    cycle = Cycle()
    reading: Reading = msgspec.structs.replace(Bowl().reading(31.0, 30.0), phase_index=9)
    cycle.reach.look(reading, NO_ICE)
    assert cycle.ordered == []
