"""Every row of the table: it trips past its limit, not on it, not before its time, and stays.

Limits and times are written out here once more: a row that is loosened must fail. What they are
for stands in safety.md.
"""

from stand_in_facts import (
    Watched,
    alone,
    both,
    fact,
    fresh,
    heat_off,
    row,
    seen,
    stale,
    stir_off,
    track,
)
from stand_in_rig import PASS_MS

from glossbath_board.cutoffs import STOP
from glossbath_board.cycle import STATES
from glossbath_board.reading import CRC, FAULTS, HIGH
from glossbath_board.supervisor import CUTOFFS

EDGES = (
    ("chocolate-hot", fresh("chocolate", 55_000), fresh("chocolate", 55_001), 2_000),
    ("bath-hot", fresh("bath", 60_000), fresh("bath", 60_001), 2_000),
    ("body-hot", both(fresh("bath", 55_000), fresh("body", 82_000)), fresh("body", 82_001), 2_000),
    (
        "chocolate-rise",
        track("chocolate", "rise_mc", 30_000),
        track("chocolate", "rise_mc", 30_001),
        0,
    ),
    ("bath-rise", track("bath", "rise_mc", 20_000), track("bath", "rise_mc", 20_001), 0),
    ("body-rise", track("body", "rise_mc", 35_000), track("body", "rise_mc", 35_001), 0),
    ("probe-chocolate", stale("chocolate", 5_000), stale("chocolate", 5_001), 5_000),
    ("probe-bath", stale("bath", 5_000), stale("bath", 5_001), 5_000),
    ("probe-body", stale("body", 5_000), stale("body", 5_001), 5_000),
    ("probe-chocolate", fresh("chocolate", -5_000), fresh("chocolate", -5_001), 5_000),
    (
        "probe-bath",
        both(fresh("body", 20_000), fresh("bath", -5_000)),
        fresh("bath", -5_001),
        5_000,
    ),
    ("probe-body", fresh("body", -5_000), fresh("body", -5_001), 5_000),
    (
        "jump-chocolate",
        track("chocolate", "jump_mc", 10_000),
        track("chocolate", "jump_mc", 10_001),
        5_000,
    ),
    ("jump-bath", track("bath", "jump_mc", 10_000), track("bath", "jump_mc", 10_001), 5_000),
    ("jump-body", track("body", "jump_mc", 10_000), track("body", "jump_mc", 10_001), 5_000),
    (
        "stuck-chocolate",
        seen("stuck_chocolate_mc_s", 6_000_000),
        seen("stuck_chocolate_mc_s", 6_000_001),
        0,
    ),
    ("stuck-bath", seen("stuck_bath_mc", 5_000), seen("stuck_bath_mc", 5_001), 0),
    ("stuck-body", seen("stuck_body_mc", 5_000), seen("stuck_body_mc", 5_001), 0),
    ("swapped", seen("against_mc", 4_000), seen("against_mc", 4_001), 30_000),
    ("chocolate-apart", seen("apart_mc_s", 24_000_000), seen("apart_mc_s", 24_000_001), 0),
    ("body-cold", seen("body_cold_mc", 2_000), seen("body_cold_mc", 2_001), 60_000),
    (
        "body-apart",
        both(fresh("bath", 40_000), fresh("body", 75_000)),
        both(fresh("bath", 40_000), fresh("body", 75_001)),
        240_000,
    ),
    ("no-effect", seen("idle_heat_s", 300), seen("idle_heat_s", 301), 0),
    ("unasked-warming", seen("warming_mc", 4_000), seen("warming_mc", 4_001), 10_000),
    ("unasked-heat", heat_off(False), heat_off(True), 1_500),
    ("no-power", fact("load_on", True), fact("load_on", False), 3_000),
    ("stir-stalled", fresh("stir_current", 1_150), fresh("stir_current", 1_151), 5_000),
    ("stir-current", fresh("stir_current", 1_800), fresh("stir_current", 1_801), 500),
    ("stir-none", fresh("stir_current", 30), fresh("stir_current", 29), 10_000),
    ("stir-unasked", stir_off(60), stir_off(61), 2_000),
    ("stop-button", fact("stop_ready", True), fact("stop_ready", False), 0),
    ("lid", fact("lid_on", True), fact("lid_on", False), 3_600_000),
    ("water-low", fact("water_ok", True), fact("water_ok", False), 300_000),
    ("supply-low", fresh("supply", 10_500), fresh("supply", 10_499), 2_000),
    ("supply-high", fresh("supply", 14_500), fresh("supply", 14_501), 2_000),
    ("lease", fact("lease_age_ms", 6_000), fact("lease_age_ms", 6_001), 0),
    ("phase-time", fact("phase_ms", 50_400_000), fact("phase_ms", 50_400_001), 0),
    ("run-time", fact("run_ms", 86_400_000), fact("run_ms", 86_400_001), 0),
    ("overrun", fact("overruns_in_row", 3), fact("overruns_in_row", 4), 0),
    ("clock", fact("dt_ms", 8_400), fact("dt_ms", 8_401), 0),
    ("clock", fact("dt_ms", 1), fact("dt_ms", 0), 0),
    ("reset-loop", fact("resets", 2), fact("resets", 3), 0),
    ("settings", fact("settings_fault", ""), fact("settings_fault", "damaged"), 0),
    ("files", fact("files_fault", ""), fact("files_fault", "mixed"), 0),
    ("record-lost", fact("record_fault", ""), fact("record_fault", "damaged"), 0),
)

# code, what is not known or no number, in ways that can happen
UNKNOWN = (
    ("chocolate-hot", fresh("chocolate", None)),
    ("bath-hot", fresh("bath", None)),
    ("body-hot", fresh("body", None)),
    ("bath-hot", fresh("bath", float("nan"))),
    ("chocolate-rise", track("chocolate", "rise_mc", None)),
    ("bath-rise", track("bath", "rise_mc", float("nan"))),
    ("body-rise", track("body", "rise_mc", None)),
    ("probe-chocolate", fresh("chocolate", CRC)),
    ("probe-bath", fresh("bath", CRC)),
    ("probe-body", fresh("body", CRC)),
    ("jump-chocolate", track("chocolate", "jump_mc", None)),
    ("jump-bath", track("bath", "jump_mc", None)),
    ("jump-body", track("body", "jump_mc", None)),
    ("stuck-chocolate", seen("stuck_chocolate_mc_s", None)),
    ("stuck-bath", seen("stuck_bath_mc", None)),
    ("stuck-body", seen("stuck_body_mc", None)),
    ("swapped", seen("against_mc", None)),
    ("chocolate-apart", seen("apart_mc_s", None)),
    ("body-cold", seen("body_cold_mc", None)),
    ("no-effect", seen("idle_heat_s", None)),
    ("unasked-warming", seen("warming_mc", None)),
    ("unasked-heat", heat_off(None)),
    ("no-power", fact("load_on", None)),
    ("stir-stalled", fresh("stir_current", CRC)),
    ("stir-current", fresh("stir_current", HIGH)),
    ("stir-unasked", stir_off(CRC)),
    ("stop-button", fact("stop_ready", None)),
    ("lid", fact("lid_on", None)),
    ("water-low", fact("water_ok", None)),
    ("supply-low", fresh("supply", CRC)),
    ("lease", fact("lease_age_ms", None)),
    ("phase-time", fact("phase_ms", None)),
    ("run-time", fact("run_ms", None)),
    ("overrun", fact("overruns_in_row", None)),
    ("clock", fact("dt_ms", -250)),
    ("reset-loop", fact("resets", None)),
    ("settings", fact("settings_fault", None)),
    ("files", fact("files_fault", None)),
    ("record-lost", fact("record_fault", None)),
)


def test_every_row_that_looks_is_tested_at_its_edge():
    looking = {r.code for r in CUTOFFS if r.value is not None and not r.does & STOP}
    assert looking == {edge[0] for edge in EDGES}
    assert looking - {"body-apart", "stir-none", "supply-high"} == {code for code, _ in UNKNOWN}


def test_a_sound_rig_trips_nothing():
    for state in STATES:
        watched = Watched()
        watched.facts.state = state
        assert watched.found_after_ms(60_000) == ("", None), state


def test_nothing_on_the_limit_trips():
    for code, on_limit, _, allowed_ms in EDGES:
        watched = alone(code)
        on_limit(watched)
        assert watched.found_after_ms(allowed_ms + 60_000) == ("", None), code


def test_past_the_limit_each_trips_when_its_time_is_over():
    for code, on_limit, past, allowed_ms in EDGES:
        watched = Watched()
        on_limit(watched)
        watched.step()
        past(watched)
        assert watched.found_after_ms(allowed_ms + 1_000) == (code, allowed_ms), code


def test_what_is_not_known_trips_as_if_past_the_limit():
    times = {edge[0]: edge[3] for edge in EDGES}
    for code, make_unknown in UNKNOWN:
        watched = alone(code)
        make_unknown(watched)
        assert watched.found_after_ms(times[code] + 1_000) == (code, times[code]), code


def test_faults_of_probes_are_named_in_the_detail():
    for name in ("chocolate", "bath", "body"):
        for fault in FAULTS:
            watched = Watched()
            watched.fresh[name] = fault
            assert watched.found_after_ms(6_000)[0] == "probe-" + name
            assert row("probe-" + name).detail(watched.facts) == fault
    watched = Watched()
    watched.fresh["bath"] = -6_000
    watched.step()
    assert row("probe-bath").detail(watched.facts) == "too cold"
    assert row("body-apart").detail(watched.facts) == "56000"
    assert row("lease").detail(watched.facts) == "1000"
    assert row("stop-button").detail(watched.facts) == ""


def test_a_condition_that_goes_in_time_starts_over():
    for code, on_limit, past, allowed_ms in EDGES:
        if allowed_ms < 2 * PASS_MS or code in (
            "probe-chocolate",
            "probe-bath",
            "probe-body",
            "no-power",
        ):
            continue
        watched = Watched()
        for _ in range(3):
            past(watched)
            for _ in range(allowed_ms // PASS_MS):
                assert watched.step() is None, code
            on_limit(watched)
            assert watched.step() is None, code


def test_pulses_too_short_to_judge_do_not_hide_a_dead_outlet():
    watched = Watched()
    facts = watched.facts
    facts.load_on = False
    for _ in range(100):
        for on_ms in (250, 500, 750, 0, 0, 0, 0, 0):  # a window of 2 s with 750 ms of heat
            facts.heat_on_ms, facts.heat_off_ms = on_ms, 0 if on_ms else 250
            found = watched.step()
            if found is not None:
                assert found.code == "no-power"
                return
    raise AssertionError("never found")


def test_a_relay_that_chatters_is_found_and_a_short_dip_is_forgiven():
    watched = Watched()
    facts = watched.facts
    facts.heat_on_ms = 10_000
    passes = 0
    while watched.step() is None:
        passes += 1
        facts.load_on = passes % 2 == 0
        assert passes < 80  # twenty seconds
    assert passes > 12
    watched = Watched()
    facts = watched.facts
    facts.heat_on_ms = 10_000
    for _ in range(50):  # two seconds of dip, ten of voltage
        for dead in [True] * 8 + [False] * 40:
            facts.load_on = not dead
            assert watched.step() is None


def test_a_stirrer_that_starts_may_draw_much_for_a_moment():
    watched = Watched()
    watched.facts.stir_on_ms = 750
    watched.fresh["stir_current"] = 3_000
    assert watched.found_after_ms(30_000) == ("", None)
