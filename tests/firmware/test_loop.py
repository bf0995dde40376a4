"""The pass as a whole: trips, interlocks, arming, and what is told of them."""

from stand_in_rig import HOLD, StandInRig, heating, holding, rig, scratch


def test_a_trip_switches_everything_off_before_it_is_written():
    board = heating()
    kept = []

    def keep(trip, detail):
        kept.append((trip, detail, board.dark, board.outputs.relay_on))

    board.memory.keep = keep
    board.probes.values["bath"] = 60_001
    board.run(2_250)
    assert kept == [("bath-hot", "60001", True, False)]
    told = board.events("trip")
    assert [(event["tr"], event["d"]) for event in told] == [("bath-hot", "60001")]
    assert board.state == "tripped"


def test_a_trip_stays_through_power_cut_and_watchdog():
    for cause in (1, 3):
        flash = scratch("trip")
        board = StandInRig(flash)
        board.heat()
        board.switches.stop.on = False
        board.step()
        assert board.trip == "stop-button" and board.dark
        again = StandInRig(flash, cause)
        assert (again.state, again.trip) == ("tripped", "stop-button")
        assert not again.start()["ok"]
        again.run(5_000)
        assert again.state == "tripped" and again.dark
        assert again.ask("clear")["ok"] == 1
        assert StandInRig(flash).state == "idle"


def test_after_any_reset_nothing_resumes():
    flash = scratch("reset")
    board = StandInRig(flash)
    board.heat()
    again = StandInRig(flash)
    again.run(60_000)
    assert again.state == "idle" and again.dark


def test_the_first_of_several_causes_is_the_trip_and_the_others_are_told():
    board = heating()
    board.leasing = False
    board.run(7_000)
    assert board.trip == "lease" and board.dark
    board.heat_welded = board.relay_welded = True
    board.run(5_000)
    assert board.trip == "lease"
    assert [event["tr"] for event in board.events("also")] == ["unasked-heat"]
    assert board.memory.trip == "lease"


def test_unasked_heat_is_noticed_at_rest():
    board = rig()
    board.run(2_000)
    board.heat_welded = board.relay_welded = True
    board.run(2_500)
    assert board.trip == "unasked-heat"
    assert not board.ask("clear")["ok"]
    board.heat_welded = False
    board.run(1_000)
    assert board.ask("clear")["ok"] == 1


def test_each_fault_of_the_switches_ends_the_proof():
    for fault, code in (
        ("relay_welded", "proof-relay"),
        ("heat_welded", "proof-switch"),
        ("sense_dead", "proof-power"),
    ):
        board = rig()
        setattr(board, fault, True)
        assert board.start()["ok"], fault
        board.arm()
        board.run(10_000)
        assert (board.trip, board.state, board.dark) == (code, "tripped", True)
        assert board.memory.trip == code


def test_every_start_is_armed_and_proven_again():
    board = heating()
    board.ask("stop")
    assert board.state == "stopped" and board.dark
    board.relay_welded = True
    assert board.start()["ok"]
    board.run(30_000)
    assert board.state == "waiting" and board.dark
    board.arm()
    board.run(10_000)
    assert board.trip == "proof-relay"


def test_hold_and_resume_keep_heat_enabled_and_need_no_new_proof():
    board = heating()
    board.ask("hold")
    board.run(10_000)
    assert board.state == "held" and board.outputs.relay_on
    board.ask("resume")
    board.step()
    assert board.state == "running" and board.outputs.relay_on


def test_a_button_that_is_stuck_down_never_arms():
    board = rig()
    board.switches.arm.on = True
    assert board.start()["ok"]
    board.run(200_000)
    assert board.state == "waiting"
    board.switches.arm.on = None
    board.run(50_000)
    assert board.state == "waiting"
    board.run(60_000)
    assert board.state == "stopped" and board.trip == ""
    assert [event["tr"] for event in board.events("ended")] == ["arm"]


def test_an_open_lid_pauses_the_stirrer_and_nothing_else():
    board = heating()
    board.switches.lid.on = False
    stirred = heated = 0
    for _ in range(4 * 120):
        board.step()
        stirred += board.pins["stir"].level
        heated += board.pins["heat"].level
    assert (stirred, board.trip) == (0, "")
    assert heated > 400
    board.switches.lid.on = True
    board.run(5_000)
    assert board.pins["stir"].level == 1


def test_a_lid_that_is_off_for_an_hour_trips():
    board = holding()
    board.switches.lid.on = False
    board.run(3_600_000, dt_ms=1_000)
    assert board.trip == ""
    board.run(2_000, dt_ms=1_000)
    assert board.trip == "lid" and board.dark


def test_low_water_pauses_heat_and_trips_after_five_minutes():
    board = heating()
    board.switches.water.on = False
    board.run(60_000)
    assert (board.pins["heat"].level, board.trip, board.state) == (0, "", "running")
    board.switches.water.on = True
    board.run(2_000)
    assert board.pins["heat"].level == 1
    board.switches.water.on = False
    board.run(300_000)
    assert board.trip == ""
    board.run(500)
    assert board.trip == "water-low"


def test_a_probe_that_fails_for_a_moment_pauses_heat_only():
    board = heating()
    board.probes.values["body"] = "crc"
    board.step()
    board.step()
    assert (board.pins["heat"].level, board.trip) == (0, "")
    board.run(4_000)
    board.probes.values["body"] = 24_000
    board.run(5_000)
    assert board.trip == "" and board.pins["heat"].level == 1


def test_repeated_overruns_trip_and_single_ones_do_not():
    board = heating()
    for took_ms in (500, 500, 500, 100, 500, 500, 500):
        board.loop.record_pass(took_ms)
        board.step()
    assert board.trip == "" and board.loop.overruns == 6
    board.loop.record_pass(400)  # as long as a pass may take
    assert board.loop.overruns == 6
    board.loop.record_pass(401)
    assert board.loop.overruns == 7
    board.loop.record_pass(100)
    for _ in range(4):
        board.loop.record_pass(500)
        board.step()
    assert board.trip == "overrun"


def test_a_phase_has_its_recipes_time_and_no_more():
    board = rig()
    phases = (("melt", (48_000, 46_000, 50_000, 0, 600_000, 500, 20_000, 56_000)),)
    board.heat(phases)
    for _ in range(10):
        board.probes.values["bath"] += 500
        board.probes.values["body"] += 500
        assert board.trip == ""
        board.run(60_000)
    board.run(500)
    assert board.trip == "phase-time"


def test_a_stall_of_the_stirrer_trips_across_its_pauses():
    board = rig()
    board.heat(HOLD)  # stirs 8 s of every 20
    board.motor_ma = 1_200
    board.run(3_000)
    assert board.trip == ""
    board.run(10_000)
    assert board.trip == "stir-stalled" and board.dark


def test_a_stirrer_that_turns_unasked_trips_at_rest():
    board = rig()
    board.motor_ma = 150
    board.run(4_000)
    assert board.trip == "stir-unasked"


def test_the_lamp_asks_for_the_button_while_waiting_only():
    board = rig()
    board.start()
    board.step()
    assert board.pins["lamp"].level == 1
    board.arm()
    board.run(12_000)
    assert board.state == "running" and board.pins["lamp"].level == 0
