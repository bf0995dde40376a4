"""The host's own cut-offs: rest, clocks, and what they say."""

from __future__ import annotations

import pytest
from watched_rig import Rig

from glossbath import checks
from glossbath.checks import words


def test_an_idle_rig_that_is_being_filled_finds_nothing() -> None:
    rig = Rig(begun=False)
    for second in range(300):
        rig.second(state="idle", heat=0.0, bath=20 + second * 0.2, body=20 + second * 0.15)
    assert rig.found == {}


def test_a_wall_clock_that_is_set_is_told_and_nothing_more() -> None:
    rig = Rig()
    rig.second()
    for at in range(5):
        rig.now_ms += 250
        rig.look(wall_ms=-3_600_000 if at else 0)
    assert rig.found == {"clock-jump": "-3600 s"}
    assert rig.trips == set()


@pytest.mark.parametrize(
    ("seconds", "code"), [(1.5, ""), (4.0, "host-paused"), (30.0, "host-absent")]
)
def test_a_computer_that_slept(seconds: float, code: str) -> None:
    # In suspend Linux's steady clock stands still, its boot clock and the wall's go on (PEP 418).
    rig = Rig()
    rig.second()
    ahead_ms = round(seconds * 1000)
    rig.now_ms += 250
    rig.look(boot_ms=ahead_ms, wall_ms=ahead_ms)
    assert list(rig.found) == ([code] if code else [])
    if code:
        assert "asleep" in rig.found[code]
    assert bool(rig.trips) == (code == "host-absent")


def test_a_keeper_that_was_frozen() -> None:
    rig = Rig()
    rig.second()
    rig.now_ms += 30_000
    rig.look()
    assert "not running for 30 s" in rig.found["host-absent"]


def test_sleep_without_a_cycle_is_nobodys_business() -> None:
    rig = Rig(begun=False)
    rig.look()
    rig.now_ms += 60_000
    rig.look()
    assert rig.found == {}


@pytest.mark.parametrize("code", words.codes())
def test_every_finding_says_what_happened_what_the_rig_did_and_what_to_do(code: str) -> None:
    for detail in ("", "it was 5"):
        meant = checks.meaning(code, detail)
        assert meant is not None
        assert meant.priority in ("high", "medium", "low")
        assert "{" not in meant.happened and "()" not in meant.happened
        for sentence in meant[1:]:
            if code == "log-failing" and sentence == (detail or "no word"):
                continue  # the record's own sentence stands there
            assert sentence[0].isupper() and sentence.endswith(".")


def test_other_peoples_codes_have_no_meaning_here() -> None:
    assert checks.meaning("lease") is None
