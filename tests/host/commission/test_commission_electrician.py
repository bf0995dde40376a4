"""What an electrician has to have seen before mains; each no ends it.

hardware/wiring.toml: the thermostats are printed 90 and 110 °C, 6 below and 2 above.
"""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from glossbath.commission.electrician import electrician
from glossbath.errors import StepFailed

from .willing_person import visited

GOOD = {
    "cooker-class": "earthed",
    "cutout-opens": "90",
    "second-opens": "110",
    "electrician": "A. Sparks",  # invented
}
ASKED = [
    *("cooker-class", "rcd-type", "rcd", "cutout-opens", "second-opens", "cutout-stays"),
    *("earth", "electrician"),
]


@pytest.mark.parametrize(("variant", "more"), [("box", []), ("ready", ["units-marked"])])
def test_everything_is_asked_for_and_kept_with_who_answers(variant: str, more: list[str]) -> None:
    visit, _, person = visited(answers=GOOD, variant=variant)
    found = electrician(visit)
    assert found.values == {"opens_c": 90.0, "second_opens_c": 110.0, "by": "A. Sparks"}
    assert "open at 90 and 110 °C" in found.text
    assert [code for code, _ in person.at] == [ASKED[0], *more, *ASKED[1:]]
    told = " ".join(person.told)
    assert "a licensed electrician under your local codes" in told
    assert "The mains plug stays out until all is good." in told


@pytest.mark.parametrize(
    "answers",
    [
        {"cutout-opens": "84", "second-opens": "104"},
        {"cutout-opens": "92", "second-opens": "112"},
        {"cooker-class": "square"},
    ],
)
def test_a_good_rig_is_not_refused(answers: Mapping[str, str]) -> None:
    assert electrician(visited(answers={**GOOD, **answers})[0])


@pytest.mark.parametrize(
    ("answers", "words"),
    [
        ({"cooker-class": "neither"}, "No earth and no mark: take another cooker"),
        ({"units-marked": "no"}, "protects nobody: take another"),
        ({"rcd-type": "no"}, "have one of type A put in"),
        ({"rcd": "no"}, "The RCD has to trip first"),
        ({"cutout-opens": "83.9"}, "opened at 83.9 °C; it has to open between 84 and 92 °C"),
        ({"cutout-opens": "92.1"}, "opened at 92.1 °C; it has to open between 84 and 92 °C"),
        ({"second-opens": "103.9"}, "opened at 103.9 °C; it has to open between 104 and 112 °C"),
        ({"second-opens": "112.1"}, "opened at 112.1 °C; it has to open between 104 and 112 °C"),
        ({"cutout-opens": "0"}, "opened at 0 °C; it has to open between"),
        ({"cutout-opens": "300"}, "opened at 300 °C; it has to open between"),
        ({"cutout-opens": "-1"}, "No usable answer was given"),
        ({"cutout-opens": "301"}, "No usable answer was given"),
        ({"cutout-stays": "no"}, "closes by itself does not protect"),
        ({"earth": "no"}, "before the cooker is plugged in"),
    ],
)
def test_what_does_not_protect_ends_it(answers: Mapping[str, str], words: str) -> None:
    with pytest.raises(StepFailed, match=words):
        electrician(visited(answers={**GOOD, **answers}, variant="ready")[0])
