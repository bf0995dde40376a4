"""Every frame the board can send is shorter than 200 bytes, whatever the values are."""

from stand_in_rig import BOOT, StandInRig, scratch

from glossbath_board import report
from glossbath_board.cutoffs import CUTOFFS
from glossbath_board.cycle import STATES
from glossbath_board.frame import encode
from glossbath_board.reading import FAULTS

LONG_MS = 9_999_999_999  # 115 days
MOST_BOOT = (1 << 30) - 1
LONGEST_FAULT = max(FAULTS, key=len)
LONGEST_CODE = max((row.code for row in CUTOFFS), key=len)


def size(message):
    message["n"] = 99_999_999  # three years of a frame a second
    message["b"] = MOST_BOOT
    return len(encode(message))


def board(chocolate, bath, body):
    made = StandInRig(scratch("frames"))
    facts = made.loop.facts
    for name, value in (("chocolate", chocolate), ("bath", bath), ("body", body)):
        reading = getattr(facts, name)
        if isinstance(value, str):
            reading.bad(value)
        else:
            reading.good(value, 0)
    facts.stir_current.good(3_300, 0)
    facts.stir_on_ms = 20_000
    facts.now_ms = LONG_MS
    cycle, control = made.loop.cycle, made.loop.control
    cycle.index, cycle.phase_ms, cycle.dwell_ms = 7, 50_400_000, 50_400_000
    control.bath_target_mc = -55_000
    allowed = made.loop._allowed
    allowed.heat_permille = allowed.chill_permille = allowed.stir_permille = 1_000
    return made


def reading_size(made, trip):
    loop = made.loop
    return size(report.reading(loop.facts, loop.cycle, loop.control, loop._allowed, trip))


def test_readings_fit_with_the_worst_of_everything():
    values = (-55_000, LONGEST_FAULT)
    longest = 0
    for chocolate in values:
        for bath in values:
            for body in values:
                made = board(chocolate, bath, body)
                allowed = made.loop._allowed
                for state in STATES:
                    made.loop.cycle.state = state
                    for heat, chill in ((1_000, 0), (0, 1_000)):
                        allowed.heat_permille, allowed.chill_permille = heat, chill
                        if state != "tripped":
                            longest = max(longest, reading_size(made, ""))
                allowed.none()
                made.loop.cycle.state = "tripped"
                longest = max(longest, reading_size(made, LONGEST_CODE))
    assert longest < 200, longest


def test_a_reading_brings_the_stirrers_current_while_it_turns():
    made = board(30_500, 30_500, 30_500)
    loop = made.loop
    message = report.reading(loop.facts, loop.cycle, loop.control, loop._allowed, "")
    assert message["m"] == 3_300 and message["u"] == -55_000
    loop.facts.stir_on_ms = 0
    assert "m" not in report.reading(loop.facts, loop.cycle, loop.control, loop._allowed, "")


def test_events_fit():
    made = board(30_500, 30_500, 30_500)
    made.loop.cycle.number = "x" * 40
    for state in STATES:
        made.loop.cycle.state = state
        assert size(report.state(made.loop.cycle)) < 200
    for row in CUTOFFS:
        made.loop.supervisor.trip = ""
        made.loop.supervisor.latch(row.code, "x" * 400)
        assert size(report.trip(made.loop.supervisor, LONG_MS)) < 200
        assert size(report.also(row.code)) < 200
        assert size(report.ended(row.code)) < 200
    assert size(report.alone(LONG_MS)) < 200
    assert size(report.flash()) < 200


def test_the_boards_health_fits_and_brings_the_room_where_it_is_known():
    made = board(30_500, 30_500, 30_500)
    loop, room, humidity = made.loop, made.probes.room, made.probes.humidity
    loop.passes = loop.overruns = loop.longest_ms = loop.free_bytes = LONG_MS
    made.link.dropped = made.link.bad = LONG_MS
    assert "rt" not in report.health(loop, made.link, room, humidity)
    room.good(-44_999, 0)
    humidity.good(100_000, 0)
    message = report.health(loop, made.link, room, humidity)
    assert (message["rt"], message["rh"]) == (-44_999, 100_000)
    assert size(message) < 200
    humidity.bad(LONGEST_FAULT)
    assert "rt" not in report.health(loop, made.link, room, humidity)


def test_answers_fit():
    made = StandInRig(scratch("answers"))
    made.run(500)
    for message in (
        {"k": "start", "cycle": "x" * 41, "sum": "0" * 8},
        {"k": "phase", "at": 10**20, "name": "x" * 60, "v": [10**9] * 8},
        {"k": "x" * 100},
        {"k": "plan", "count": -(10**9), "max": 10**9, "g": 10**9},
    ):
        message.update({"i": MOST_BOOT, "h": MOST_BOOT, "b": BOOT})
        made.link.inbox.append(message)
        made.step()
        answer = next(m for m in reversed(made.link.outbox) if m["k"] == "a" and m["ok"] == 0)
        assert size(dict(answer)) < 200, answer
