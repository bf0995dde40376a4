"""Where the host's other signs begin to tell, and what a refusal says: both sides of each limit.

Chocolate 1,600 J/K a kilogram behind a still wall of 2 W/K (the host's own estimate of a rig).
"""

from __future__ import annotations

from typing import Any

import pytest
from watched_rig import RECIPE, Rig

from glossbath.checks.alarms import Alarms
from glossbath.checks.refusals import refusal

CALM = {"chocolate": 45.5, "bath": 46.0, "body": 47.0, "heat": 0.1, "target": 46.0}


def _ramp(rig: Rig, seconds: int, **c_s: float) -> None:
    for second in range(seconds):
        rig.second(**{**CALM, **{name: CALM[name] + rate * second for name, rate in c_s.items()}})


@pytest.mark.parametrize(
    ("name", "c_min", "span_s"), [("chocolate", 6.0, 60), ("bath", 4.0, 90), ("body", 15.0, 60)]
)
def test_a_rise_is_too_fast_above_its_limit_through_all_its_span(
    name: str, c_min: float, span_s: int
) -> None:
    start = {"chocolate": 30.0, "bath": 30.0, "body": 30.0, "heat": 0.5, "target": 46.0}

    def found(rate_c_min: float, seconds: int) -> bool:
        rig = Rig()
        for second in range(seconds):
            rig.second(**{**start, name: start[name] + rate_c_min / 60 * second})
        return "host-rise" in rig.trips

    assert not found(c_min * 0.97, span_s + 30)
    assert not found(c_min * 1.03, span_s)
    assert found(c_min * 1.03, span_s + 1)


@pytest.mark.parametrize(("jump_c", "told"), [(3.9, False), (4.0, True), (-4.0, True)])
def test_a_reading_jumps_from_four_degrees_in_a_quarter_of_a_minute(
    jump_c: float, told: bool
) -> None:
    rig = Rig()
    for _ in range(20):
        rig.second(**CALM)
    rig.second(**{**CALM, "chocolate": CALM["chocolate"] + jump_c})
    assert ("reading-jumped" in rig.found) == told
    if told:
        assert rig.found["reading-jumped"] == f"{jump_c:+.1f} °C in 15 s"


@pytest.mark.parametrize(
    ("hot", "told"),
    [
        ({"chocolate": RECIPE.max_c + 0.25}, False),
        ({"chocolate": RECIPE.max_c + 0.26}, True),
        ({"body": 96.0}, False),
        ({"body": 96.01}, True),
    ],
)
def test_ceilings_are_passed_and_not_only_reached(hot: dict[str, float], told: bool) -> None:
    rig = Rig()
    rig.second(**{**CALM, "bath": 57.0, "target": 56.0, **hot})
    assert ("host-hot" in rig.trips) == told


@pytest.mark.parametrize(("body_c", "told"), [(96.0, False), (96.01, True)])
def test_an_idle_rig_has_a_ceiling_for_its_body_too(body_c: float, told: bool) -> None:
    rig = Rig(begun=False)
    rig.second(state="idle", heat=0.0, body=body_c)
    assert ("host-hot" in rig.trips) == told


@pytest.mark.parametrize("probe", ["chocolate", "bath", "body"])
def test_a_probe_that_is_gone_is_told_and_then_trips(probe: str) -> None:
    blind = {**CALM, "heat": 0.0, probe: "absent"}
    rig = Rig()
    rig.second(**blind)
    rig.after(1_499, **blind)
    assert rig.found == {}
    rig.after(1, **blind)
    assert rig.found == {f"bad-{probe}": "absent"}
    for ms in (4_000, 4_000, 4_000, 1_499):
        rig.after(ms, **blind)
    assert rig.trips == set()
    rig.after(1, **blind)
    assert rig.found["host-blind"] == f"{probe}, 15 s"


# A bath 8 K above 1 kg of set chocolate lets 2 W/K * 8 K * 300 s = 4.8 kJ through: 3 K.
@pytest.mark.parametrize(("share", "told"), [(0.038, True), (0.042, False)])
def test_chocolate_must_answer_a_warmer_bath_by_a_twenty_fifth(share: float, told: bool) -> None:
    rig = Rig()
    for second in range(300):
        rig.second(**{**CALM, "chocolate": 30.0 + 3.0 * share * second / 300, "bath": 38.0})
    assert "host-implausible" not in rig.trips
    rig.second(**{**CALM, "chocolate": 30.0 + 3.0 * share, "bath": 38.0})
    assert ("host-implausible" in rig.trips) == told


# Molten, 3 K below its bath: 2 W/K * 3 K * 150 s = 900 J, which is 0.56 K.
@pytest.mark.parametrize(("share", "told"), [(0.29, True), (0.31, False)])
@pytest.mark.parametrize("kg", [1.0, 8.0])
def test_molten_chocolate_must_answer_by_three_tenths(share: float, told: bool, kg: float) -> None:
    must_c = 2.0 * kg ** (2 / 3) * 3.0 * 150.0 / (1_600.0 * kg)
    rig = Rig()
    rig.watch.begin(RECIPE, kg, "ours", rig.now_ms)
    # All in the last part of each third, so that no third hides it.
    for second in range(151):
        rig.second(**{**CALM, "chocolate": 40.0 + must_c * share * second / 150, "bath": 43.0})
    assert ("host-implausible" in rig.trips) == told


@pytest.mark.parametrize(("below_k", "told"), [(1.5, False), (1.51, True)])
def test_withheld_heat_is_told_after_twenty_seconds(below_k: float, told: bool) -> None:
    cold = {**CALM, "heat": 0.0, "target": CALM["bath"] + below_k}
    rig = Rig()
    rig.second(**cold)
    for _ in range(4):
        rig.after(4_999, **cold)
    assert "heat-withheld" not in rig.found
    rig.after(4, **cold)
    assert ("heat-withheld" in rig.found) == told


@pytest.mark.parametrize(("ma", "told"), [(145, False), (143, True)])
def test_a_stirrer_is_light_below_six_tenths_and_twice(ma: int, told: bool) -> None:
    rig = Rig()
    for _ in range(8):
        rig.second(**CALM, stir_ma=240)
    rig.second(**CALM, stir_ma=ma)
    assert "stir-light" not in rig.found
    rig.second(**CALM, stir_ma=None)
    assert "stir-light" not in rig.found, "what is not told is no second sign"
    rig.second(**CALM, stir_ma=ma)
    assert rig.found.get("stir-light") == (f"{ma} mA" if told else None)


@pytest.mark.parametrize(("out_c", "told"), [(1.0, False), (1.02, True)])
def test_a_hold_is_astray_beyond_a_degree_for_three_minutes(out_c: float, told: bool) -> None:
    low_c = RECIPE.phases[-1].window.low_c
    work = {"bath": 30.6, "body": 31.0, "target": 30.5, "heat": 0.1, "index": 4}
    rig = Rig()
    rig.second(chocolate=low_c, **work)
    for _ in range(181):
        rig.second(chocolate=low_c - out_c, **work)
        if rig.now_ms < 100_000 + 182_000:
            assert "hold-astray" not in rig.found
    assert ("hold-astray" in rig.found) == told


def test_readings_are_missing_after_four_seconds_and_stale_after_ten() -> None:
    rig = Rig()
    rig.now_ms += 4_000  # none has come since the start
    rig.look()
    assert rig.found == {}
    rig.now_ms += 1
    rig.look()
    assert rig.found == {"readings-missing": "4 s"}
    rig.now_ms += 1_500
    rig.look()
    rig.now_ms += 1_500
    rig.look()
    rig.now_ms += 1_500
    rig.look()
    rig.now_ms += 1_499
    rig.look()
    assert "host-stale" not in rig.trips
    rig.now_ms += 1
    rig.look()
    assert rig.trips == {"host-stale"}


@pytest.mark.parametrize(("jump_ms", "told"), [(2_000, False), (2_001, True), (-2_001, True)])
def test_a_clock_jumps_by_more_than_two_seconds(jump_ms: int, told: bool) -> None:
    rig = Rig()
    rig.second()
    rig.look(wall_ms=jump_ms)
    assert ("clock-jump" in rig.found) == told


@pytest.mark.parametrize(
    ("ms", "code"),
    [(2_000, ""), (2_001, "host-paused"), (6_500, "host-paused"), (6_501, "host-absent")],
)
def test_a_keeper_pauses_after_two_seconds_and_is_absent_after_six_and_a_half(
    ms: int, code: str
) -> None:
    rig = Rig()
    rig.second()
    rig.now_ms += ms
    rig.look()
    assert [found for found in rig.found if found.startswith("host-")] == ([code] if code else [])


def test_a_board_that_restarts_begins_a_new_account() -> None:
    # 90 W that nobody asked for, for six minutes: but the board restarted in between.
    for restarts in (False, True):
        rig = Rig()
        for second in range(380):
            if restarts and second == 200:
                rig.watch.restarted()
            warm_c = 46.0 + 90.0 / 15_490.0 * second
            rig.second(chocolate=45.5, bath=warm_c, body=warm_c, heat=0.0, target=46.0)
        assert ("host-unasked" in rig.trips) == (not restarts)


def test_urgent_alarms_stand_before_lesser_ones_and_those_before_the_least() -> None:
    alarms = Alarms()
    for priority in ("low", "high", "medium"):
        alarms.raise_(priority, priority, "2027-01-15T08:00:00Z", ("A.", "B.", "C."), False)
    assert [alarm.code for alarm in alarms.standing()] == ["high", "medium", "low"]


@pytest.mark.parametrize(
    ("answer", "said"),
    [
        ({"why": "busy"}, "Another computer steers this board: stop it there first."),
        ({"why": "state", "at": "idle"}, "The board cannot do that while it is idle."),
        (
            {"why": "range", "at": "target", "lo": 10, "hi": 20},
            "The board refused target: it must be from 10 to 20.",
        ),
        ({"why": "silent"}, "The board did not answer: check the cable."),
        (
            {"why": "flash"},
            "The board cannot write its flash memory: install its firmware again.",
        ),
        (
            {"why": "objection", "at": "commission"},
            "This rig has not been commissioned: run glossbath commission first.",
        ),
        ({"why": "new", "at": "thing"}, "The board refused the order (new thing)."),
        ({"why": "w" * 99, "at": "a"}, f"The board refused the order ({'w' * 80} a)."),
    ],
)
def test_each_refusal_has_its_own_sentence(answer: dict[str, Any], said: str) -> None:
    assert refusal({"ok": 0, **answer}) == said
