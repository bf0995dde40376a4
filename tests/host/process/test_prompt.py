"""What a person is asked for, state by state."""

from __future__ import annotations

import pytest

from glossbath.process.prompt import need

ARM = "Press the arm button at the rig: it allows heat."
TEST = "Make a dip test and record it"
OUT = "do not mould"
UNSURE = "The dip test was not sure"
OVER = "Use the chocolate or take the bowl out"


@pytest.mark.parametrize(
    ("state", "phase", "in_window", "tested", "emptied", "words"),
    [
        ("waiting", "", False, None, False, ARM),
        ("waiting", "hold", True, None, False, ARM),
        ("running", "melt", True, None, False, ""),
        ("running", "hold", False, None, False, ""),
        ("running", "hold", True, None, False, TEST),
        ("held", "hold", True, None, False, TEST),
        ("held", "reheat", True, None, False, ""),
        ("running", "hold", True, "in temper", False, ""),
        ("running", "hold", False, "out of temper", False, OUT),
        ("held", "hold", True, "streaky", False, UNSURE),
        ("complete", "hold", True, None, False, OVER),
        ("complete", "", False, "in temper", False, OVER),
        ("complete", "hold", True, None, True, ""),
        ("tripped", "hold", True, None, False, ""),
        ("stopped", "hold", True, None, False, ""),
        ("idle", "", False, None, False, ""),
        ("testing", "hold", True, None, False, ""),
    ],
)
def test_each_state_asks_for_one_thing_or_nothing(
    state: str, phase: str, in_window: bool, tested: str | None, emptied: bool, words: str
) -> None:
    said = need(state, phase, in_window, tested, emptied)
    assert words in said
    assert bool(said) == bool(words)


def test_a_bowl_counts_as_full_until_a_person_says_otherwise() -> None:
    assert OVER in need("complete", "hold", True, None)
