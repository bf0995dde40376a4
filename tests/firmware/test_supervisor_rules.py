"""What the supervisor does with its rows: watch, withhold, latch, clear, refuse, lower, allow."""

from stand_in_facts import Asked, Watched, alone, row
from stand_in_rig import PASS_MS, heap_lock, heap_unlock
from test_supervisor import EDGES

from glossbath_board import cutoffs, proof
from glossbath_board.cutoff_inputs import UNDECIDED
from glossbath_board.cutoffs import GONE, HEAT, START, STIR, STOP, UNDER, Cutoff
from glossbath_board.cycle import COMPLETE, HEATING, HELD, IDLE, RUNNING, STATES, TESTING, WAITING
from glossbath_board.output import Allowed
from glossbath_board.supervisor import CUTOFFS, Supervisor


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
        watched, allowed = alone(code), Allowed()
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


def test_body_far_above_the_bath_gets_no_heat_until_it_has_come_back():
    watched, allowed = alone("body-apart"), Allowed()

    def heat_at(body_mc, seconds=2):
        watched.fresh["body"] = body_mc
        for _ in range(seconds * 4):
            assert watched.step() is None
            watched.facts.plausibility.step(RUNNING, 700, 0, True, 250)
        watched.supervisor.allow(Asked, allowed)
        return allowed.heat_permille

    watched.fresh["bath"] = 40_000
    assert heat_at(74_900) == 700
    assert heat_at(75_100) == 0
    assert heat_at(69_000) == 0  # air cools it so far as well
    assert heat_at(67_900) == 700  # water does
    for watched.fresh["bath"] in (48_000, 56_000):  # by less than a jump
        assert heat_at(70_000) == 700
    assert heat_at(75_900) == 700
    assert heat_at(76_100) == 0  # below the body's ceiling, whatever the bath


def test_body_that_does_not_come_back_without_heat_trips():
    watched = alone("body-apart")
    watched.fresh["bath"], watched.fresh["body"] = 30_000, 66_000
    passes = 0
    found = None
    while found is None and passes < 4 * 300:
        found = watched.step()
        watched.facts.plausibility.step(RUNNING, 0, 0, False, 250)
        watched.fresh["body"] = max(59_000, watched.fresh["body"] - 10)
        passes += 1
    assert found is not None and found.code == "body-apart"
    assert 240 <= passes / 4 <= 241


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
    plausibility = facts.plausibility.step
    for _ in range(8):
        facts.follow_outputs(True, True, PASS_MS)
        plausibility(RUNNING, 700, 0, True, PASS_MS)
        check(PASS_MS)
        allow(Asked, allowed)
    heap_lock()
    try:
        for _ in range(8):
            facts.follow_outputs(True, True, PASS_MS)
            plausibility(RUNNING, 700, 0, True, PASS_MS)
            found = check(PASS_MS)
            allow(Asked, allowed)
    finally:
        heap_unlock()
    assert found is None and allowed.heat_permille == 700


def test_a_pass_judges_every_row_as_the_row_itself_does():
    # check() compares without a call; objection() and stands() ask the row.
    facts = Watched().facts
    for limit in (-5, 0, 7):
        for does in (0, UNDER):
            for value in (
                -6,
                -5,
                -4,
                0,
                6,
                7,
                8,
                True,
                None,
                "word",
                7.0,
                float("nan"),
                UNDECIDED,
            ):
                row = Cutoff("x", (RUNNING,), lambda f, v=value: v, limit, "", 0, does)
                supervisor = Supervisor(facts, cutoffs=(row,))
                found = supervisor.check(250) is row
                wanted = value is not UNDECIDED and row.bad(value, limit)
                assert found is wanted, (limit, does, value)
