"""Orders for whoever builds the rig: outputs one at a time, settings, probes, inputs."""

from stand_in_rig import DARK, ROMS, StandInRig, scratch

from glossbath_board.frame import MAX_LINE, encode
from glossbath_board.output_test import LET_GO_MS, MOST_MS, NAMES
from glossbath_board.reading import Reading
from glossbath_board.store import Record


def ready(arm=True):
    """A rig that has looked at its inputs, with a hand on the arm button."""
    rig = StandInRig(scratch("service"))
    rig.run(1_000)
    rig.switches.arm.on = arm
    return rig


def high(rig):
    return [name for name in rig.pins if rig.pins[name].level]


def why(answer):
    assert answer["ok"] == 0, answer
    return (answer["why"], answer["at"])


def test_each_output_alone_for_as_long_as_was_asked():
    for name in ("heat", "chill", "stir", "lamp"):
        rig = ready()
        assert rig.ask("try", o=name, ms=2_000)["v"] == [name, 2_000]
        passes = 0
        while high(rig):
            assert high(rig) == [name]
            rig.step()
            passes += 1
        assert passes == 2_000 // 250
        rig.step()
        (event,) = rig.events("tried")
        assert (event["o"], event["ms"], event["why"], event["ld"]) == (name, 2_000, "time", 0)


def test_the_relays_line_is_pulsed():
    rig = ready()
    rig.ask("try", o="relay", ms=3_000)
    levels = []
    for _ in range(11):
        levels.append(rig.pins["relay"].level)
        rig.step()
    assert levels[:6] in ([1, 0, 1, 0, 1, 0], [0, 1, 0, 1, 0, 1])
    assert set(high(rig)) <= {"relay"}


def test_the_frozen_line_stands_still():
    rig = ready()
    rig.ask("try", o="frozen", ms=3_000)
    for _ in range(11):
        assert high(rig) == ["relay"]
        rig.step()
    rig.step()
    assert rig.dark
    assert rig.events("tried")[0]["o"] == "frozen"


def test_nothing_is_on_for_longer_than_three_seconds():
    assert MOST_MS == 3_000
    for ms in (MOST_MS + 1, 249, -1, 0, True, 1.5, None, "x"):
        rig = ready()
        assert why(rig.ask("try", o="lamp", ms=ms)) == ("range", "ms")
        assert not high(rig)


def test_only_outputs_can_be_tried():
    for name in ("", "load", None, 4, ["heat"], "ssr"):
        assert why(ready().ask("try", o=name, ms=500)) == ("unknown output", "o")


def test_what_heats_or_moves_takes_a_hand_on_the_button():
    for name in ("heat", "relay", "frozen", "stir"):
        rig = ready(arm=False)
        assert why(rig.ask("try", o=name, ms=1_000)) == ("arm", name)
        rig.switches.arm.on = None
        assert why(rig.ask("try", o=name, ms=1_000)) == ("arm", name)
        assert not high(rig)
    for name in ("chill", "lamp"):
        assert ready(arm=False).ask("try", o=name, ms=1_000)["ok"]


def test_letting_go_of_the_button_ends_it_in_the_next_pass():
    for name in ("heat", "relay", "frozen", "stir"):
        rig = ready()
        rig.ask("try", o=name, ms=3_000)
        rig.step()
        rig.switches.arm.on = False
        rig.step()
        assert rig.dark
        rig.step()
        event = rig.events("tried")[0]
        assert event["why"] == "arm"
        assert event["ms"] <= 750


def test_the_stop_button_ends_it_and_keeps_it_from_beginning():
    for name in ("heat", "relay", "frozen", "chill", "stir"):
        rig = ready()
        rig.ask("try", o=name, ms=3_000)
        rig.switches.stop.on = False
        rig.step()
        assert rig.dark
        rig.step()
        assert rig.events("tried")[0]["why"] == "stop"
        rig.run(LET_GO_MS + 250)
        assert why(rig.ask("try", o=name, ms=3_000)) == ("stop", name)


def test_a_stop_order_ends_it():
    rig = ready()
    rig.ask("try", o="stir", ms=3_000)
    assert high(rig) == ["stir"]
    rig.ask("stop")
    assert rig.dark
    assert rig.events("tried")[0]["why"] == "order"


def test_relay_and_switch_are_never_closed_together():
    # The charge pump holds the relay for 2.6 s after the last pulse: hardware/charge_pump.py.
    for first in ("relay", "frozen"):
        rig = ready()
        rig.ask("try", o=first, ms=500)
        assert why(rig.ask("try", o="heat", ms=500)) == ("busy", "try")
        while high(rig) or not rig.events("tried"):
            rig.step()
        rig.run(LET_GO_MS - 750)
        assert why(rig.ask("try", o="heat", ms=500)) == ("busy", "try")
        rig.run(750)
        assert rig.ask("try", o="heat", ms=500)["ok"]
        assert not rig.heating


def test_voltage_at_the_outlet_ends_it_at_once():
    rig = ready()
    rig.relay_welded = True
    rig.ask("try", o="heat", ms=3_000)
    rig.step()
    assert rig.dark
    rig.step()
    event = rig.events("tried")[0]
    assert (event["why"], event["ld"], event["ms"]) == ("load", 1, 250)


def test_nothing_is_tried_while_the_outlet_is_live_or_unknown():
    rig = ready()
    rig.relay_welded = rig.heat_welded = True
    rig.step()
    for name in NAMES:
        assert why(rig.ask("try", o=name, ms=500)) == ("load", name)


def test_the_stirrers_highest_current_is_told():
    rig = ready()
    rig.ask("try", o="stir", ms=2_000)
    rig.run(750)
    rig.motor_ma = 1_150
    rig.run(2_000)
    assert rig.events("tried")[0]["ma"] == 1_150


def test_a_trip_ends_it():
    rig = ready()
    rig.ask("try", o="lamp", ms=3_000)
    rig.motor_ma = 500  # a stirrer that nobody asked for
    rig.run(4_500)
    assert rig.trip == "stir-unasked"
    assert not high(rig)
    assert why(rig.ask("try", o="lamp", ms=500)) == ("state", "tripped")


def test_a_start_ends_it():
    rig = ready(arm=False)
    rig.ask("try", o="chill", ms=3_000)
    assert rig.start()["ok"]
    assert rig.state == "waiting"
    assert rig.dark


def test_nothing_here_touches_a_cycle():
    rig = StandInRig(scratch("cycle"))
    rig.heat()
    for kind, values in (
        ("try", {"o": "lamp", "ms": 500}),
        ("set", {"key": "rig", "v": "x"}),
        ("scan", {}),
    ):
        assert why(rig.ask(kind, **values)) == ("state", "running")
    assert rig.ask("get", key="level")["v"] == 2
    assert rig.ask("inputs")["ok"]
    assert rig.state == "running"


def test_settings_are_changed_at_rest_and_take_hold_at_once():
    rig = ready()
    assert rig.ask("set", key="limit.bath-hot", v=50_000)["v"] == 50_000
    assert rig.loop.supervisor.limit("bath-hot") == 50_000
    assert rig.ask("get", key="limit.bath-hot")["v"] == 50_000
    assert why(rig.ask("set", key="limit.bath-hot", v=70_000)) == ("range", "limit.bath-hot")
    assert why(rig.ask("set", key=5, v=1)) == ("unknown key", "key")
    assert why(rig.ask("get")) == ("unknown key", "key")


def test_flash_is_not_written_until_the_relay_has_opened():
    rig = ready()
    rig.ask("try", o="relay", ms=500)
    assert why(rig.ask("set", key="rig", v="x")) == ("busy", "try")
    while not rig.events("tried"):
        rig.step()
    assert why(rig.ask("set", key="rig", v="x")) == ("busy", "try")
    rig.run(LET_GO_MS)
    assert rig.ask("set", key="rig", v="x")["ok"]


def test_a_relay_that_a_cycle_has_closed_is_waited_for_as_well():
    rig = StandInRig(scratch("after"))
    rig.heat()
    rig.ask("stop")
    rig.switches.arm.on = True
    for kind, values in (
        ("try", {"o": "heat", "ms": 500}),
        ("set", {"key": "rig", "v": "x"}),
        ("scan", {}),
    ):
        assert why(rig.ask(kind, **values)) == ("busy", "try")
    rig.run(LET_GO_MS)
    assert rig.ask("try", o="heat", ms=500)["ok"]


def test_settings_are_in_flash():
    folder = scratch("flash")
    rig = StandInRig(folder)
    rig.run(500)
    rig.ask("set", key="rig", v="kitchen")
    content = Record(folder, "settings").load()
    assert content["rig"] == "kitchen"
    assert content["probes"] == ROMS


def test_letting_the_rig_heat_takes_a_hand_at_the_rig():
    rig = ready(arm=False)
    assert rig.ask("set", key="level", v=1)["ok"]
    assert why(rig.ask("set", key="level", v=2)) == ("arm", "level")
    assert why(rig.start()) == ("objection", "water-only")
    rig.switches.arm.on = True
    assert rig.ask("set", key="level", v=2)["v"] == 2
    rig.switches.arm.on = False
    assert rig.start()["ok"]


def test_a_rig_that_was_not_commissioned_starts_nothing():
    rig = ready(arm=False)
    rig.ask("set", key="level", v=0)
    assert why(rig.start()) == ("objection", "commission")
    assert why(start_water(rig)) == ("objection", "commission")
    assert rig.state == "idle"


def test_a_rig_half_way_takes_water_only():
    rig = ready(arm=False)
    rig.ask("set", key="level", v=1)
    assert why(rig.start()) == ("objection", "water-only")
    assert start_water(rig)["ok"]
    assert rig.state == "waiting"


def test_the_mark_of_water_is_part_of_the_checksum():
    rig = ready(arm=False)
    rig.ask("set", key="level", v=1)
    for order in water_orders():
        values = dict(order)
        if values["k"] == "plan":
            values.pop("w")
        answer = rig.ask(values.pop("k"), **values)
    assert why(answer) == ("checksum", "sum")
    assert why(rig.ask("plan", count=1, max=50_000, g=100, w=2)) == ("range", "w")


def water_orders():
    from glossbath_board.program import Phase, Program

    program = Program(len(DARK), 52_000, 1_000, 1)
    orders = [{"k": "plan", "count": len(DARK), "max": 52_000, "g": 1_000, "w": 1}]
    for at, (name, values) in enumerate(DARK):
        program.put(at, Phase(name, values))
        orders.append({"k": "phase", "at": at, "name": name, "v": list(values)})
    orders.append({"k": "start", "cycle": "water", "sum": program.checksum()})
    return orders


def start_water(rig):
    for order in water_orders():
        values = dict(order)
        answer = rig.ask(values.pop("k"), **values)
    return answer


def test_inputs_as_the_board_sees_them():
    rig = ready()
    rig.switches.lid.on = None
    rig.switches.water.on = False
    rig.probes.values["supply"] = "low"
    rig.step()
    assert rig.ask("inputs")["v"] == [1, 1, None, 0, 0, 0, "low"]


def test_chips_on_the_wire_are_told_one_by_one():
    rig = ready()
    found = [Reading(rom) for rom in sorted(ROMS.values())]

    def survey():
        rig.probes.surveying = True
        return found

    rig.probes.survey = survey
    assert rig.ask("scan")["v"] == 3
    rig.run(1_000)
    assert not rig.events("rom")
    found[0].good(21_500, 500)
    found[1].bad("crc")
    found[2].good(-62, 500)
    rig.probes.surveying = False
    rig.run(1_250)
    told = [(event["at"], event["rom"], event["mc"]) for event in rig.events("rom")]
    roms = sorted(ROMS.values())
    assert told == [(0, roms[0], 21_500), (1, roms[1], "crc"), (2, roms[2], -62)]


def test_a_wire_that_fails_is_told():
    rig = ready()

    def survey():
        raise OSError(5)

    rig.probes.survey = survey
    assert why(rig.ask("scan")) == ("bus", "scan")
    rig.run(1_000)
    assert not rig.events("rom")


def test_every_answer_and_event_fits_a_frame():
    rig = ready()
    rig.probes.survey = lambda: [Reading("28ffffffffffffff")] * 8
    rig.ask("set", key="rig", v="x" * 32)
    most = [3_000, 200_000, 100_000, 1_800_000, 100_000, 50_000, 500_000, 1_000]
    rig.ask("set", key="model", v=most)
    for key in ("rig", "model", "probe.chocolate", "cal.chocolate", "limit.chocolate-apart"):
        rig.ask("get", key=key)
    rig.ask("set", key="limit.chocolate-apart", v=1 << 29)
    rig.ask("inputs")
    rig.ask("scan")
    rig.ask("try", o="frozen", ms=3_000)
    rig.run(8_000)
    for message in rig.link.outbox:
        # The largest numbers that a long session brings.
        long = dict(message, n=99_999_999, b=(1 << 30) - 1)
        if "i" in long:
            long["i"] = (1 << 30) - 1
        assert len(encode(long)) <= MAX_LINE, message
