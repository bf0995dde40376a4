"""Without a host, and over resets: leases, holding alone, lock-out, records that are lost."""

from stand_in_rig import DARK, HOLD, PASS_MS, StandInRig, heating, holding, rig, scratch

from glossbath_board.memory import Memory

HOUR_MS = 3_600_000


def test_silence_of_the_host_ends_heat_after_the_lease():
    board = heating()
    board.leasing = False
    passes = 0
    while not board.trip:
        board.step()
        passes += 1
    assert board.trip == "lease"
    assert 6_000 - 1_000 <= passes * PASS_MS <= 6_500


def test_a_hold_goes_on_alone_only_where_a_person_chose_it_and_not_longer():
    board = holding()
    board.leasing = False
    board.run(7_000)
    assert board.trip == "lease"

    board = holding(alone=60)
    board.leasing = False
    board.run(HOUR_MS, dt_ms=1_000)
    assert (board.trip, board.state) == ("", "running")
    board.run(10_000, dt_ms=1_000)
    assert board.trip == "lease" and board.dark


def test_other_phases_do_not_go_on_alone():
    board = rig()
    board.heat(DARK, alone=12)
    board.leasing = False
    board.run(7_000)
    assert board.trip == "lease"


def test_a_hold_alone_keeps_every_other_limit():
    board = holding(alone=240)
    board.leasing = False
    board.run(600_000, dt_ms=1_000)
    board.probes.values["chocolate"] = 52_001
    board.run(3_000)
    assert board.trip in ("chocolate-hot", "jump-chocolate")


def test_a_host_that_comes_back_is_told_for_how_long_it_was_gone():
    board = holding(alone=240)
    board.leasing = False
    board.run(600_000, dt_ms=1_000)
    board.leasing = True
    board.run(2_000)
    told = board.events("alone")
    assert len(told) == 1 and abs(told[0]["ms"] - 600_000) <= 2_000
    assert board.state == "running"


def test_an_absence_counts_from_the_end_of_the_lease():
    board = holding(alone=240)
    for gone_ms, told in ((6_000, 0), (6_250, 1)):
        board.leasing = False
        board.run(gone_ms)
        board.leasing = True
        board.run(2_000)
        assert len(board.events("alone")) == told, gone_ms


def test_three_resets_lock_out_until_a_person_clears():
    flash = scratch("resets")
    for _ in range(2):
        assert StandInRig(flash, 3).state == "idle"
    board = StandInRig(flash, 3)
    board.run(1_000)
    assert (board.trip, board.state) == ("reset-loop", "tripped")
    again = StandInRig(flash, 1)
    again.run(1_000)
    assert again.trip == "reset-loop"
    assert again.ask("clear")["ok"] == 1
    again.run(5_000)
    assert again.state == "idle" and again.trip == ""
    assert Memory(flash, 1).resets == 0


def test_resets_are_forgotten_after_ten_minutes_at_rest_and_never_in_a_run():
    flash = scratch("steady")
    StandInRig(flash, 3)
    board = StandInRig(flash, 3)
    board.probes.values.update(chocolate=30_500, bath=30_500, body=30_500)
    board.heat(HOLD)
    board.run(700_000, dt_ms=1_000)
    assert board.memory.resets == 2
    board.ask("stop")
    board.run(1_000)
    assert board.memory.resets == 0


def test_a_lost_record_of_a_trip_locks_until_a_person_clears():
    flash = scratch("lost")
    Memory(flash, 1).keep("bath-hot", "61000")
    with open(flash + "/trip.a", "wb") as file:
        file.write(b"\xff" * 20)
    board = StandInRig(flash)
    board.run(500)
    assert board.trip == "record-lost"
    assert board.ask("clear")["ok"] == 1
    assert StandInRig(flash).trip == ""
