"""States and phases: every event in every state, and what no path of events can reach."""

from glossbath_board.cycle import (
    COMPLETE,
    HEATING,
    HELD,
    IDLE,
    READY,
    RUNNING,
    STATES,
    STOPPED,
    TESTING,
    TRANSITIONS,
    TRIPPED,
    WAITING,
    Cycle,
)
from glossbath_board.errors import OrderError
from glossbath_board.program import Phase, Program

EVENTS = [
    "start",
    "armed",
    "proven",
    "hold",
    "resume",
    "complete",
    "stop",
    "trip",
    "clear",
    "back",
]


def program(*phases):
    made = Program(len(phases), 55_000, 1_000)
    for at, (name, low, high, dwell_ms) in enumerate(phases):
        middle = (low + high) // 2
        values = [middle, low, high, dwell_ms, 10_800_000, 500, 20_000, 56_000]
        made.put(at, Phase(name, values))
    return made


def running(*phases):
    cycle = Cycle()
    cycle.program = program(*phases)
    for event in ("start", "armed", "proven"):
        cycle.handle(event)
    return cycle


MELT = ("melt", 46_000, 50_000, 10_000)
COOL = ("cool", 27_000, 29_000, 60_000)
HOLD = ("hold", 30_000, 31_000, 20_000)


def test_every_event_in_every_state_is_a_row_or_is_refused_and_changes_nothing():
    for state in STATES:
        for event in EVENTS:
            cycle = Cycle()
            cycle.state = state
            after = TRANSITIONS.get((state, event))
            try:
                changed = cycle.handle(event)
            except OrderError as error:
                assert after is None and cycle.state == state and error.field == state
            else:
                assert cycle.state == after and changed is (after != state)


def test_a_trip_is_possible_everywhere_and_left_by_clearing_only():
    for state in STATES:
        assert TRANSITIONS[(state, "trip")] == TRIPPED
    ways_out = {
        event
        for (state, event), after in TRANSITIONS.items()
        if state == TRIPPED and after != TRIPPED
    }
    assert ways_out == {"clear"}
    assert TRANSITIONS[(TRIPPED, "clear")] == IDLE


def test_stop_is_welcome_everywhere_and_never_leads_to_heat():
    for state in STATES:
        assert TRANSITIONS[(state, "stop")] not in HEATING


def test_no_path_of_any_length_reaches_heat_but_by_start_arm_and_proof():
    # Beside the table goes a witness that knows only how far start, armed and proven have followed
    # each other since the last end of a run. All pairs of state and witness are visited.
    steps = ("start", "armed", "proven")
    seen = {(IDLE, 0)}
    waiting = [(IDLE, 0)]
    while waiting:
        state, witness = waiting.pop()
        assert state not in HEATING or witness == 3, (state, witness)
        for event in EVENTS:
            after = TRANSITIONS.get((state, event))
            if after is None:
                continue
            if event in ("stop", "trip", "clear", "complete"):
                reached = 0
            elif event in steps:
                reached = steps.index(event) + 1 if witness == steps.index(event) else 0
            else:
                reached = witness
            if (after, reached) not in seen:
                seen.add((after, reached))
                waiting.append((after, reached))
    assert {state for state, _ in seen} == set(STATES)


def test_only_proven_enters_heat():
    for (state, event), after in TRANSITIONS.items():
        if after in HEATING and state not in HEATING:
            assert (state, event) == (TESTING, "proven")
        if after == TESTING:
            assert (state, event) == (WAITING, "armed")
        if after == WAITING:
            assert state in READY and event == "start"


def test_phase_is_there_only_while_heating():
    cycle = Cycle()
    cycle.program = program(MELT)
    for state in STATES:
        cycle.state = state
        assert (cycle.phase is not None) is (state in HEATING)


def test_dwell_counts_inside_the_window_and_starts_over_outside():
    cycle = running(MELT, HOLD)
    assert cycle.step(9_000, 46_000) == ""
    assert cycle.dwell_ms == 9_000
    cycle.step(1_000, 45_999)
    assert cycle.dwell_ms == 0
    cycle.step(9_000, 50_000)
    assert cycle.step(250, 50_001) == "" and cycle.dwell_ms == 0
    assert cycle.step(10_000, 48_000) == "phase"
    assert (cycle.index, cycle.phase_ms, cycle.dwell_ms) == (1, 0, 0)


def test_a_missing_reading_counts_neither_way():
    cycle = running(MELT)
    cycle.step(5_000, 48_000)
    assert cycle.step(60_000, None) == ""
    assert cycle.dwell_ms == 5_000


def test_a_hold_that_has_begun_goes_on_counting():
    cycle = running(HOLD)
    cycle.step(5_000, 25_000)
    assert cycle.dwell_ms == 0
    cycle.step(5_000, 30_500)
    cycle.step(5_000, 29_000)
    assert cycle.dwell_ms == 10_000
    assert cycle.step(10_000, 30_500) == "complete"
    assert cycle.state == COMPLETE


def test_held_stops_the_recipe_but_not_the_limit_of_the_run():
    cycle = running(MELT)
    cycle.step(5_000, 48_000)
    cycle.handle("hold")
    cycle.step(60_000, 48_000)
    assert (cycle.phase_ms, cycle.dwell_ms, cycle.run_ms) == (5_000, 5_000, 65_000)
    cycle.handle("resume")
    assert cycle.state == RUNNING and cycle.step(5_000, 48_000) == "complete"


def test_alone_belongs_to_one_run_and_its_hold():
    cycle = running(MELT, HOLD)
    cycle.alone_ms = 3_600_000
    assert not cycle.in_hold
    cycle.advance()
    assert cycle.in_hold
    cycle.handle("hold")
    assert cycle.state == HELD and cycle.in_hold
    cycle.handle("stop")
    assert cycle.state == STOPPED and not cycle.in_hold
    cycle.handle("start")
    assert cycle.alone_ms == 0


def test_nothing_advances_while_it_does_not_run():
    for event in ("hold", "stop", "trip"):
        cycle = running(MELT, HOLD)
        cycle.handle(event)
        try:
            cycle.advance()
        except OrderError:
            assert cycle.index == 0
            continue
        raise AssertionError(event)


def test_back_holds_in_the_phase_that_melts_and_its_times_begin_again():
    for event in ("", "hold"):
        cycle = running(MELT, COOL, HOLD)
        cycle.step(10_000, 48_000)
        cycle.step(30_000, 28_000)
        if event:
            cycle.handle(event)
        cycle.back()
        assert (cycle.state, cycle.index, cycle.phase_ms, cycle.dwell_ms) == (HELD, 0, 0, 0)
        assert cycle.step(60_000, 48_000) == "" and cycle.dwell_ms == 0
        cycle.handle("resume")
        assert cycle.step(10_000, 48_000) == "phase" and cycle.phase.name == "cool"


def test_back_leads_to_no_phase_in_which_chocolate_sets_and_nowhere_at_rest():
    begun = running(MELT, COOL, HOLD)
    in_hold = running(MELT, COOL, HOLD)
    for _ in range(2):
        in_hold.advance()
    stopped = running(MELT, COOL, HOLD)
    stopped.advance()
    stopped.handle("stop")
    for cycle in (Cycle(), begun, in_hold, stopped):
        before = (cycle.state, cycle.index)
        try:
            cycle.back()
        except OrderError:
            assert (cycle.state, cycle.index) == before
            continue
        raise AssertionError(before)
