"""Every row of the table: it trips past its limit, not on it, not before its time, and stays.

Limits and times are written out here once more: a row that is loosened must fail. What they are
for stands in safety.md.
"""

from stand_in_rig import PASS_MS, heap_lock, heap_unlock

from glossbath_board import cutoffs, proof
from glossbath_board.cutoffs import GONE, HEAT, START, STIR, STOP
from glossbath_board.cycle import COMPLETE, HEATING, HELD, IDLE, RUNNING, STATES, TESTING, WAITING
from glossbath_board.facts import Facts
from glossbath_board.output import Allowed
from glossbath_board.reading import CRC, FAULTS, HIGH, Reading
from glossbath_board.supervisor import CUTOFFS, Supervisor

CLEAN = ""


class Asked:
    """What control asks for."""

    heat_permille = 700
    chill_permille = 0
    stir_permille = 500


class Watched:
    """Facts of a sound rig that heats, and a supervisor that looks at them."""

    def __init__(self, lowered=None):
        names = ("chocolate", "bath", "body", "stir_current", "supply")
        self.facts = facts = Facts(*[Reading(name) for name in names])
        self.fresh = {
            "chocolate": 40_000,
            "bath": 45_000,
            "body": 50_000,
            "stir_current": 200,
            "supply": 12_000,
        }
        self.ages_ms = {}
        facts.state = RUNNING
        facts.lease_age_ms = 1_000
        facts.heat_on_ms = facts.stir_on_ms = 10_000
        facts.load_on = facts.stop_ready = facts.lid_on = facts.water_ok = True
        facts.settings_fault = facts.files_fault = CLEAN
        self.supervisor = Supervisor(facts, lowered)
        self.step()
        facts.dt_ms = PASS_MS

    def step(self):
        """One pass; the row that has had its time, or None."""
        self.facts.now_ms += PASS_MS
        for name, value in self.fresh.items():
            reading = getattr(self.facts, name)
            if isinstance(value, str):
                reading.bad(value)
            else:
                reading.good(value, self.facts.now_ms - self.ages_ms.get(name, 0))
        return self.supervisor.check(PASS_MS)

    def found_after_ms(self, within_ms):
        """Code of what is found, and how long the condition had then lasted."""
        for at in range(within_ms // PASS_MS + 2):
            row = self.step()
            if row is not None:
                return row.code, at * PASS_MS
        return "", None


def fresh(name, value):
    def put(watched):
        watched.fresh[name] = value

    return put


def fact(name, value):
    def put(watched):
        setattr(watched.facts, name, value)

    return put


def seen(name, value):
    def put(watched):
        setattr(watched.facts.evidence, name, value)

    return put


def track(probe, name, value):
    def put(watched):
        setattr(getattr(watched.facts.evidence, probe), name, value)

    return put


def stale(name, age_ms):
    """A reading that is as old as that in every pass."""

    def put(watched):
        watched.ages_ms[name] = age_ms

    return put


def both(first, second):
    def put(watched):
        first(watched)
        second(watched)

    return put


def heat_off(load_on):
    def put(watched):
        watched.facts.heat_on_ms = 0
        watched.facts.heat_off_ms = 10_000
        watched.facts.load_on = load_on

    return put


def stir_off(milliampere):
    def put(watched):
        watched.facts.stir_on_ms = 0
        watched.facts.stir_off_ms = 10_000
        watched.fresh["stir_current"] = milliampere

    return put


# code, on the limit, past it, ms allowed
EDGES = (
    ("chocolate-hot", fresh("chocolate", 55_000), fresh("chocolate", 55_001), 2_000),
    ("bath-hot", fresh("bath", 60_000), fresh("bath", 60_001), 2_000),
    ("body-hot", both(fresh("bath", 55_000), fresh("body", 85_000)), fresh("body", 85_001), 2_000),
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
        both(fresh("bath", 45_000), fresh("body", 80_000)),
        fresh("body", 80_001),
        10_000,
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


def row(code):
    return next(r for r in CUTOFFS if r.code == code)


def alone(code):
    """A supervisor that has this row and no other, and the facts of a sound rig."""
    watched = Watched()
    watched.supervisor = Supervisor(watched.facts, None, (row(code),))
    return watched


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
        if allowed_ms < 2 * PASS_MS or code in ("probe-chocolate", "probe-bath", "probe-body"):
            continue
        watched = Watched()
        for _ in range(3):
            past(watched)
            for _ in range(allowed_ms // PASS_MS):
                assert watched.step() is None, code
            on_limit(watched)
            assert watched.step() is None, code


def test_rows_watch_only_where_they_should():
    # Where the relay may be closed everything that heat can do is watched; the outlet and the
    # stirrer's driver are watched at rest as well.
    at_rest = {"unasked-heat", "stir-unasked", "reset-loop", "record-lost"}
    for r in CUTOFFS:
        if r.value is None or r.does & STOP:
            continue
        assert RUNNING in r.states and HELD in r.states, r.code
        for state in (IDLE, COMPLETE):
            assert (state in r.states) == (r.code in at_rest), r.code


def test_the_switches_are_the_proofs_own_business_while_it_tests():
    assert TESTING not in row("unasked-heat").states
    assert TESTING not in row("no-power").states


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


def test_a_stirrer_that_starts_may_draw_much_for_a_moment():
    watched = Watched()
    watched.facts.stir_on_ms = 750
    watched.fresh["stir_current"] = 3_000
    assert watched.found_after_ms(30_000) == ("", None)


def test_first_cause_stays_latched():
    watched = Watched()
    watched.supervisor.latch("bath-hot", "61000")
    watched.supervisor.latch("lease", "7000")
    assert (watched.supervisor.trip, watched.supervisor.detail) == ("bath-hot", "61000")
    for _ in range(100):
        watched.step()
    assert watched.supervisor.trip == "bath-hot"


def test_nothing_is_allowed_under_a_trip_or_outside_a_run():
    watched, allowed = Watched(), Allowed()
    watched.supervisor.allow(Asked, allowed)
    assert (allowed.heat_permille, allowed.stir_permille, allowed.relay) == (700, 500, True)
    for state in STATES:
        watched.facts.state = state
        watched.supervisor.allow(Asked, allowed)
        assert allowed.relay is (state in HEATING)
        assert (allowed.heat_permille > 0) is (state in HEATING)
    watched.facts.state = RUNNING
    watched.supervisor.latch("lease")
    watched.supervisor.allow(Asked, allowed)
    assert (allowed.heat_permille, allowed.chill_permille, allowed.stir_permille) == (0, 0, 0)
    assert allowed.relay is False


def test_asked_shares_that_are_no_shares_are_not_allowed():
    watched, allowed = Watched(), Allowed()
    for wrong in (None, -1, 1_001, float("nan"), float("inf"), 0.5, "full"):

        class Wrong:
            heat_permille = wrong
            chill_permille = wrong
            stir_permille = wrong

        watched.supervisor.allow(Wrong, allowed)
        assert allowed.heat_permille == allowed.chill_permille == allowed.stir_permille == 0


def test_interlocks_withhold_and_give_back():
    for code, on_limit, past, _ in EDGES:
        watched, allowed = Watched(), Allowed()
        on_limit(watched)
        watched.step()
        watched.supervisor.allow(Asked, allowed)
        assert (allowed.heat_permille, allowed.stir_permille) == (700, 500), code
        past(watched)
        watched.step()
        watched.supervisor.allow(Asked, allowed)
        does = row(code).does
        assert (allowed.heat_permille == 0) is bool(does & HEAT), code
        assert (allowed.stir_permille == 0) is bool(does & STIR), code
        assert allowed.relay is True


def test_which_rows_withhold():
    assert {r.code for r in CUTOFFS if r.does & STIR} == {"lid"}
    assert {r.code for r in CUTOFFS if r.does & HEAT} == {
        "chocolate-hot",
        "bath-hot",
        "body-hot",
        "probe-chocolate",
        "probe-bath",
        "probe-body",
        "jump-chocolate",
        "jump-bath",
        "jump-body",
        "body-apart",
        "water-low",
    }


def test_a_person_clears_only_what_is_gone():
    for code, on_limit, past, _ in EDGES:
        watched = Watched()
        past(watched)
        watched.step()
        watched.supervisor.latch(code)
        watched.facts.state = "tripped"
        watched.step()
        may = not row(code).does & GONE
        watched.supervisor.clear()
        assert (watched.supervisor.trip == "") is may, code
        if not may:
            on_limit(watched)
            watched.step()
            watched.supervisor.clear()
            assert watched.supervisor.trip == "", code


def test_which_rows_look_before_they_are_cleared():
    assert {r.code for r in CUTOFFS if r.does & GONE} == {
        "chocolate-hot",
        "bath-hot",
        "body-hot",
        "probe-chocolate",
        "probe-bath",
        "probe-body",
        "body-apart",
        "unasked-heat",
        "stir-unasked",
        "stop-button",
        "water-low",
        "supply-low",
        "supply-high",
        "settings",
        "files",
    }


def test_no_start_against_a_standing_condition():
    for code, _, past, _ in EDGES:
        watched = Watched()
        past(watched)
        watched.facts.state = IDLE
        watched.step()
        refused = bool(row(code).does & START)
        assert (watched.supervisor.objection()[0] == code) is refused, code
    assert {r.code for r in CUTOFFS if r.does & START} == {
        r.code for r in CUTOFFS if r.does & GONE
    }
    watched = Watched()
    assert watched.supervisor.objection() == ("", "")
    watched.supervisor.latch("lease", "7000")
    assert watched.supervisor.objection() == ("lease", "7000")


def test_nobody_who_does_not_arm_ends_as_stopped():
    watched = Watched()
    watched.facts.state = WAITING
    watched.facts.waiting_ms = 300_000
    assert watched.step() is None
    watched.facts.waiting_ms = 300_001
    found = watched.step()
    assert found.code == "arm" and found.does & STOP


def test_no_setting_raises_a_ceiling():
    for r in CUTOFFS:
        for limit in (r.limit + 1, r.limit - 1, r.limit):
            supervisor = Watched({r.code: limit}).supervisor
            tight = max if r.code in ("stir-none", "supply-low") else min
            assert supervisor.limit(r.code) == tight(limit, r.limit)
            supervisor.lower(r.code, 10**9 if tight is min else -(10**9))
            assert supervisor.limit(r.code) == tight(limit, r.limit)


def test_a_recipe_lowers_and_the_next_one_starts_from_the_ceiling():
    watched = Watched({"chocolate-hot": 54_000})
    watched.supervisor.lower("chocolate-hot", 46_500)
    watched.fresh["chocolate"] = 46_501
    assert watched.found_after_ms(3_000) == ("chocolate-hot", 2_000)
    watched.supervisor.lower("chocolate-hot", 52_000)
    assert watched.supervisor.limit("chocolate-hot") == 52_000
    watched.supervisor.lower("chocolate-hot", 55_000)
    assert watched.supervisor.limit("chocolate-hot") == 54_000


def test_alone_lengthens_the_lease_by_what_was_chosen_only():
    watched = Watched()
    watched.facts.alone_ms = 3_600_000
    watched.facts.lease_age_ms = 3_606_000
    assert watched.found_after_ms(1_000) == ("", None)
    watched.facts.lease_age_ms = 3_606_001
    assert watched.found_after_ms(1_000) == ("lease", 0)
    watched.facts.lease_age_ms = None
    assert watched.found_after_ms(1_000) == ("lease", 0)


def test_every_code_that_can_be_latched_has_a_row():
    codes = [r.code for r in CUTOFFS]
    assert len(codes) == len(set(codes))
    elsewhere = {r.code for r in CUTOFFS if r.value is None}
    assert elsewhere == {step[3] for step in proof.STEPS} | {"firmware"}
    assert max(len(code) for code in codes) <= 16  # a reading with a trip fits into its frame


def test_the_table_says_what_safety_needs_to_know():
    for r in CUTOFFS:
        assert isinstance(r.limit, int) and isinstance(r.allowed_ms, int), r.code
        assert r.unit or not r.limit, r.code
        assert r.limit < 1 << 29 and r.allowed_ms < 1 << 29, r.code
    assert cutoffs.CUTOFFS is CUTOFFS


def test_a_steady_pass_allocates_nothing():
    watched, allowed = Watched(), Allowed()
    facts, check, allow = watched.facts, watched.supervisor.check, watched.supervisor.allow
    evidence = facts.evidence.step
    for _ in range(8):
        facts.follow_outputs(True, True, PASS_MS)
        evidence(RUNNING, 700, 0, True, PASS_MS)
        check(PASS_MS)
        allow(Asked, allowed)
    heap_lock()
    try:
        for _ in range(8):
            facts.follow_outputs(True, True, PASS_MS)
            evidence(RUNNING, 700, 0, True, PASS_MS)
            found = check(PASS_MS)
            allow(Asked, allowed)
    finally:
        heap_unlock()
    assert found is None and allowed.heat_permille == 700
