"""What is wrong with a rig, or done wrongly at it, is found in the step that looks for it."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path

import pytest
from firmware_variants import variant
from rehearsal import Rehearsal, blank

from glossbath.commission import load
from glossbath.errors import LinkError

Fault = Callable[[Rehearsal], None]
Script = Mapping[str, Sequence[str]]


@pytest.fixture(autouse=True)
def places(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("RIGS", "MODELS", "CYCLES"):
        monkeypatch.setenv(f"GLOSSBATH_{name}", str(tmp_path / name.lower()))


@pytest.fixture
def rehearsal(tmp_path: Path) -> Iterator[Rehearsal]:
    made = Rehearsal(tmp_path / "world", blank())
    yield made
    made.rig.close()


def _leave(folder: Path, variant: str) -> Path:
    """The folder of a rig and its record, left when all wires and probes had been seen to."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("GLOSSBATH_RIGS", str(folder / "rigs"))
        made = Rehearsal(folder / "world", blank())
        assert not made.go(answers={"rcd": ("",), "variant": (variant,)})
        assert list(made.results)[-1] == "calibration"
        made.rig.close()
    return folder


def _go_on(left: Path, tmp_path: Path) -> Rehearsal:
    shutil.copytree(left / "world" / "flash", tmp_path / "world" / "flash")
    shutil.copytree(left / "rigs", tmp_path / "rigs")
    return Rehearsal(tmp_path / "world", blank())


@pytest.fixture(scope="module")
def left(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return _leave(tmp_path_factory.mktemp("left"), "box")


@pytest.fixture(scope="module")
def left_ready(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return _leave(tmp_path_factory.mktemp("ready"), "ready")


@pytest.fixture
def later(left: Path, tmp_path: Path) -> Iterator[Rehearsal]:
    """That rig, to go on with."""
    made = _go_on(left, tmp_path)
    yield made
    made.rig.close()


@pytest.fixture
def later_ready(left_ready: Path, tmp_path: Path) -> Iterator[Rehearsal]:
    """The same of ready units that nobody opens, whose thermostats starve their inputs."""
    made = _go_on(left_ready, tmp_path)
    made.rig.mains.first.wire = made.rig.mains.second.wire = "inputs"
    yield made
    made.rig.close()


def _fails(rehearsal: Rehearsal, step: str, words: str, **script: Script) -> None:
    """The walk stops at a step with these words, and leaves the rig dark."""
    resume = load("kitchen") is not None
    assert not rehearsal.go(resume, **script)  # type: ignore[arg-type]
    assert not rehearsal.results[step].ok, rehearsal.said[-8:]
    assert words in rehearsal.failed
    assert list(rehearsal.results)[-1] == step
    for _ in range(16):
        rehearsal.rig.step()
    assert rehearsal.dark


def _cut_lid(rehearsal: Rehearsal) -> None:
    rehearsal.rig.lid_switch_ok = False


def _weak_supply(rehearsal: Rehearsal) -> None:
    rehearsal.rig.low_voltage.supply_v = 10.9


def _weld_relay(rehearsal: Rehearsal) -> None:
    rehearsal.rig.mains.relay_welded = True


def _short_switch(rehearsal: Rehearsal) -> None:
    rehearsal.rig.mains.switch_shorted = True


def _short_and_weld(rehearsal: Rehearsal) -> None:
    _weld_relay(rehearsal)
    _short_switch(rehearsal)


def _unplug_stirrer(rehearsal: Rehearsal) -> None:
    rehearsal.rig.low_voltage.stirrer_unplugged = True


def _lose_a_probe(rehearsal: Rehearsal) -> None:
    rehearsal.rig.chips["body"].inject("absent")


def _short_the_wire(rehearsal: Rehearsal) -> None:
    rehearsal.rig.bus.inject("shorted")


def _open_cutout(rehearsal: Rehearsal) -> None:
    rehearsal.rig.mains.cutout_open = True


def _open_second(rehearsal: Rehearsal) -> None:
    rehearsal.rig.mains.second.tripped = True


def _weaken_sense(rehearsal: Rehearsal) -> None:
    rehearsal.rig.mains.sense_weak = True


def _relay_chatters(rehearsal: Rehearsal) -> None:
    rehearsal.rig.mains.relay_chatters = True


def _unplug_the_cooker(rehearsal: Rehearsal) -> None:
    rehearsal.rig.mains.cooker_unplugged = True


def _bypass_cutout(rehearsal: Rehearsal) -> None:
    rehearsal.rig.mains.first.bypassed = True


def _bypass_second(rehearsal: Rehearsal) -> None:
    rehearsal.rig.mains.second.bypassed = True


def _cutout_in_the_lamps_wire(rehearsal: Rehearsal) -> None:
    rehearsal.rig.mains.first.wire = "lamp"


def _cutout_in_the_heaters_wire(rehearsal: Rehearsal) -> None:
    rehearsal.rig.mains.first.wire = "heater"


def _cutout_in_the_supplys_wire(rehearsal: Rehearsal) -> None:
    rehearsal.rig.mains.first.wire = "supply"


def _cutout_closes_by_itself(rehearsal: Rehearsal) -> None:
    rehearsal.rig.mains.first.closes_by_itself = True


def _exchange_bath_and_body(rehearsal: Rehearsal) -> None:
    rehearsal.rig.swap_probes("bath", "body")


def _bridge_stop(rehearsal: Rehearsal) -> None:
    rehearsal.rig.mains.stop_bridged = True


def _bridge_lid(rehearsal: Rehearsal) -> None:
    rehearsal.rig.lid_switch_bridged = True


def _stick_float(rehearsal: Rehearsal) -> None:
    rehearsal.rig.float_held_up = True


def _blind_sense(rehearsal: Rehearsal) -> None:
    rehearsal.rig.mains.sense_dead = True


@pytest.mark.parametrize(
    ("fault", "step", "words"),
    [
        (_cut_lid, "inputs", "Input lid says off and should say on"),
        (_weak_supply, "inputs", "12 V supply has 10.9 V, it should have 11.4 to 12.6 V"),
        (_short_and_weld, "identity", "There is voltage at the heater"),
        (_bridge_stop, "inputs", "its coil contact is bridged or welded"),
        (_bridge_lid, "inputs", "Input lid did not change, it says on: look at its switch, its"),
        (_stick_float, "inputs", "the float is stuck or bridged"),
        (_unplug_stirrer, "outputs", "The stirrer drew 0 mA"),
        (_short_the_wire, "probes", "0 probes answer on the wire"),
    ],
)
def test_a_broken_part_is_found(rehearsal: Rehearsal, fault: Fault, step: str, words: str) -> None:
    fault(rehearsal)
    _fails(rehearsal, step, words)


@pytest.mark.parametrize(
    ("fault", "words"),
    [
        (_bridge_stop, "its coil contact is bridged or welded"),
        (_bridge_lid, "Input lid did not change, it says on"),
        (_stick_float, "the float is stuck or bridged"),
    ],
)
def test_a_switch_beside_ready_units_that_would_not_protect_is_found(
    rehearsal: Rehearsal, fault: Fault, words: str
) -> None:
    fault(rehearsal)
    _fails(rehearsal, "inputs", words, answers={"variant": ("ready",)})


@pytest.mark.parametrize(
    ("fault", "lamp", "words"),
    [
        (_open_cutout, "no", "The way to the outlet is open"),
        (_open_second, "no", "the second thermostat's knob inside the box"),
        (_blind_sense, "yes", "the load sense is dead or too weak"),
        (_weaken_sense, "yes", "the load sense is dead or too weak. Have OK1"),
    ],
)
def test_an_outlet_that_stays_dead_is_found(
    later: Rehearsal, fault: Fault, lamp: str, words: str
) -> None:
    fault(later)
    _fails(later, "proof", words, answers={"lamp-flash": (lamp,)})
    assert "proof-power" in later.failed


@pytest.mark.parametrize(
    ("fault", "step", "words"),
    [
        (_weld_relay, "proof", "(proof-relay): The master relay did not open"),
        (_short_switch, "proof", "(proof-switch): The solid-state relay did not open"),
        (_relay_chatters, "proof", "(proof-power)"),
        (_unplug_the_cooker, "proof", "did not become warmer by 1.5 °C in 240 s: is the"),
        (_bypass_cutout, "cutout", "the first thermostat is bypassed, lies in another wire"),
        (_cutout_in_the_lamps_wire, "cutout", "bypassed, lies in another wire than the heater's"),
        (_cutout_in_the_supplys_wire, "cutout", "took the 12 V supply away and not the heater's"),
        (_cutout_closes_by_itself, "cutout", "closed by itself when it cooled"),
        (_bypass_second, "second", "the second thermostat is bypassed, lies in another wire"),
        (_exchange_bath_and_body, "trips", "bath and body probe are exchanged"),
    ],
)
def test_a_layer_that_would_not_protect_is_found(
    later: Rehearsal, fault: Fault, step: str, words: str
) -> None:
    fault(later)
    _fails(later, step, words)


both_variants = pytest.mark.parametrize("of", ["later", "later_ready"])


@both_variants
def test_a_leaky_switch_passes_with_the_cooker_in_and_is_not_condemned_without(
    of: str, request: pytest.FixtureRequest
) -> None:
    rig: Rehearsal = request.getfixturevalue(of)
    rig.rig.mains.switch_leaks = True
    off = {"mains-on": ("mains on", "knob off")}
    _fails(rig, "proof", "leakage of a good switch may look like this", acts=off)
    assert rig.go(resume=True), rig.failed


@both_variants
def test_a_cooker_that_is_off_at_its_own_knob_is_found(
    of: str, request: pytest.FixtureRequest
) -> None:
    rig: Rehearsal = request.getfixturevalue(of)
    off = {"mains-on": ("mains on", "knob off")}
    _fails(rig, "proof", "did not become warmer by 1.5 °C in 240 s", acts=off)
    assert "its knob at HIGH, its own cut-out closed" in rig.failed


def test_where_water_boils_too_low_the_cut_out_is_proven_another_way(later: Rehearsal) -> None:
    # 800 hPa is some 2000 m: water boils at 93.5 °C (IAPWS-IF97).
    high = {"barometer": ("800",)}
    _fails(later, "cutout", "come back when", answers={**high, "hot-oil": ("no",)})
    assert any("Water boils at 93.5 °C here" in line for line in later.said)
    acts = {"bulb-hot": ("dip bulb 104",)}
    assert later.go(resume=True, answers=high, acts=acts), later.failed
    assert later.results["cutout"].values["how"] == "bulb in hot oil by an electrician"


def test_ready_units_lose_their_inputs_and_the_walk_expects_that(rehearsal: Rehearsal) -> None:
    mains = rehearsal.rig.mains
    mains.first.wire = mains.second.wire = "inputs"
    assert rehearsal.go(answers={"variant": ("ready",)}), rehearsal.failed
    assert rehearsal.results["cutout"].values["witness"] == "stop-button"


@pytest.mark.parametrize(
    ("fault", "words"),
    [
        (_bypass_cutout, "the first thermostat is bypassed"),
        (_cutout_closes_by_itself, "closed by itself when it cooled"),
        (_cutout_in_the_heaters_wire, "does not lie in the common feed of both units' inputs"),
        (_cutout_in_the_lamps_wire, "the first thermostat is bypassed, lies in another wire"),
        (_cutout_in_the_supplys_wire, "took the 12 V supply away"),
    ],
)
def test_a_cut_out_of_ready_units_that_would_not_protect_is_found(
    rehearsal: Rehearsal, fault: Fault, words: str
) -> None:
    rehearsal.rig.mains.first.wire = "inputs"
    fault(rehearsal)
    _fails(rehearsal, "cutout", words, answers={"variant": ("ready",)})


@pytest.mark.parametrize(
    ("fault", "step", "words"),
    [
        (_weld_relay, "proof", "(proof-relay)"),
        (_short_switch, "proof", "(proof-switch)"),
        (_open_cutout, "proof", "proof-power"),
        (_open_second, "proof", "a limit thermostat that has opened looks the same"),
        (_weaken_sense, "proof", "the load sense is dead or too weak. Have PT1, its sleeve"),
        (_unplug_the_cooker, "proof", "did not become warmer by 1.5 °C in 240 s"),
        (_bypass_second, "second", "the second thermostat is bypassed"),
        (_exchange_bath_and_body, "trips", "bath and body probe are exchanged"),
    ],
)
def test_a_layer_of_ready_units_that_would_not_protect_is_found(
    later_ready: Rehearsal, fault: Fault, step: str, words: str
) -> None:
    fault(later_ready)
    _fails(later_ready, step, words)


def test_an_unmarked_unit_is_refused(rehearsal: Rehearsal) -> None:
    answers = {"variant": ("ready",), "units-marked": ("no",)}
    _fails(rehearsal, "electrician", "protects nobody: take another", answers=answers)


@pytest.mark.parametrize(
    ("firmware", "words"),
    [
        ("no cut-offs", "sees voltage that nobody asked for and does not trip"),
        (
            "heat that nobody asked for has another name",
            "Expected was unasked-heat, not supply",
        ),
    ],
)
def test_a_board_that_does_not_mind_voltage_which_nobody_asked_for_is_found(
    tmp_path: Path, firmware: str, words: str
) -> None:
    with variant(firmware):
        made = Rehearsal(tmp_path / "world", blank())
    try:
        _fails(made, "inputs", words)
    finally:
        made.rig.close()


def test_a_run_on_water_that_trips_is_told_with_its_record_and_learns_nothing(
    later: Rehearsal, tmp_path: Path
) -> None:
    acts = {"arm-tapped": ("release arm", "pull bath")}
    assert later.go(resume=True), later.failed
    assert not later.go(True, again="identify", answers={"identify": ("yes",)}, acts=acts)
    assert "The run on water ended as tripped: see" in later.failed
    assert not later.results["identify"].ok
    assert any(line.startswith("The page to print") for line in later.said[-3:])
    assert later.dark
    assert not list((tmp_path / "models").glob("*"))


def test_the_record_says_what_the_board_saw(later: Rehearsal) -> None:
    assert later.go(resume=True), later.failed
    values = later.results["cutout"].values
    assert values["witness"] == "no-power"
    assert 5 < values["after_s"] < 120


def test_a_missing_probe_is_found(rehearsal: Rehearsal) -> None:
    _lose_a_probe(rehearsal)
    _fails(
        rehearsal,
        "probes",
        "2 probes answer on the wire and there should be 3",
        answers={"body-is-ntc": ("no",), "chocolate-is-platinum": ("no",)},
    )


def test_a_probe_that_falls_out_while_it_is_compared_is_found(rehearsal: Rehearsal) -> None:
    acts = {"into-ice": ("dip bath 0", "dip body 0", "pull chocolate")}
    _fails(rehearsal, "calibration", "chocolate probe did not come to rest", acts=acts)


def test_a_platinum_probe_whose_chip_is_dead_is_found(rehearsal: Rehearsal) -> None:
    # The virtual rig has no such chip: its line reads all ones, as the pull-up makes it.
    rehearsal.rig.chips["chocolate"].inject("absent")
    _fails(
        rehearsal,
        "probes",
        "The chocolate probe gives no value (bus)",
        answers={"body-is-ntc": ("no",)},
    )


@pytest.mark.parametrize(
    ("acts", "step", "words"),
    [
        # Two wires that touch: the arm button pulls the lid's input along.
        (
            {"input-arm": ("press arm", "take lid")},
            "inputs",
            "Input lid changed together with arm",
        ),
        ({"input-stop": ()}, "inputs", "Input stop did not change, it says out"),
        ({"input-water-back": ()}, "inputs", "Input water says too low"),
        ({"load-jumper": ()}, "inputs", "Input load says"),
        ({"load-jumper-back": ()}, "inputs", "Input load says"),
        ({"arm-press": ()}, "outputs", "Input arm says released"),
        ({"shaft-hold": ()}, "stirrer", "79 mA turning and 79 mA held"),
        ({"warm-bath": ("warm chocolate",)}, "probes", "the probe that was named chocolate"),
        (
            {"warm-bath": ("warm bath", "warm body")},
            "probes",
            "More than one probe became warmer",
        ),
        ({"warm-body": ()}, "probes", "No probe became warmer by 2 °C"),
        (
            {"into-ice": ("dip bath 0",)},
            "calibration",
            "it was not in the liquid, or the points are mixed up",
        ),
    ],
)
def test_what_was_done_wrongly_is_noticed(
    rehearsal: Rehearsal, acts: Script, step: str, words: str
) -> None:
    _fails(rehearsal, step, words, acts=acts)


@pytest.mark.parametrize(
    ("acts", "step", "words"),
    [
        ({"arm-tap": ()}, "proof", "The arm button was not pressed"),
        ({"stop-release": ()}, "stop", "Input stop says pressed and should say out"),
        ({"take-lid": ()}, "interlocks", "Input lid says on and should say off"),
        ({"put-lid": ()}, "interlocks", "Input lid says off and should say on"),
        ({"float-down": ()}, "interlocks", "Input water says high enough and should say too low"),
        (
            {"float-up": ("free float", "press stop")},
            "interlocks",
            "What was taken away with the float down did not come back",
        ),
        (
            {"pull-bath": ("pull body",), "plug-bath": ("mend body",)},
            "trips",
            "Expected was probe-bath. The board tripped (probe-body)",
        ),
        ({"pull-bath": ()}, "trips", "Nothing tripped within"),
    ],
)
def test_what_was_done_wrongly_with_heat_is_noticed(
    later: Rehearsal, acts: Script, step: str, words: str
) -> None:
    _fails(later, step, words, acts=acts)


@pytest.mark.parametrize(
    ("answers", "step", "words"),
    [
        ({"motor-volts": ("no",)}, "inputs", "motor contact is bridged"),
        ({"output-lamp": ("no",)}, "outputs", "The status lamp did not light alone"),
        ({"output-stir": ("no",)}, "outputs", "swap its two wires"),
        ({"output-frozen": ("no",)}, "pulse", "the charge pump does not work"),
        ({"paddle-is-off": ("no",)}, "stirrer", "The paddle has to be off"),
        ({"calibrate": ("done",)}, "calibration", "No comparison was made"),
    ],
)
def test_what_a_person_saw_counts(
    rehearsal: Rehearsal, answers: Script, step: str, words: str
) -> None:
    _fails(rehearsal, step, words, answers=answers)


@pytest.mark.parametrize(
    ("answers", "step", "words"),
    [
        ({"cooker-class": ("neither",)}, "electrician", "No earth and no mark: take another"),
        ({"rcd-type": ("no",)}, "electrician", "have one of type A put in"),
        ({"rcd": ("no",)}, "electrician", "The RCD has to trip first"),
        ({"cutout-opens": ("121",)}, "electrician", "it has to open between 84 and 92 °C"),
        ({"second-opens": ("121",)}, "electrician", "it has to open between 104 and 112 °C"),
        ({"cutout-stays": ("no",)}, "electrician", "closes by itself does not protect"),
        ({"earth": ("no",)}, "electrician", "before the cooker is plugged in"),
        ({"cooker-in": ("no",)}, "proof", "leakage of a good switch looks like voltage"),
        ({"lamp-dark": ("no",)}, "cutout", "the load sense looks elsewhere than the lamp"),
        ({"outlet-lamp": ("no",)}, "proof", "look at H1"),
        ({"stands-still": ("no",)}, "stop", "unplug and look at its circuit"),
    ],
)
def test_what_a_person_saw_of_the_protection_counts(
    later: Rehearsal, answers: Script, step: str, words: str
) -> None:
    _fails(later, step, words, answers=answers)


def test_nonsense_is_asked_again_and_then_given_up(rehearsal: Rehearsal) -> None:
    assert not rehearsal.go(answers={"output-lamp": ("perhaps", "7", "YES"), "rcd": ("maybe",)})
    assert rehearsal.results["outputs"].ok
    assert "No usable answer was given to: Has the RCD been tried" in rehearsal.failed
    assert "Please answer with one of: yes, no." in rehearsal.said
    mark = len(rehearsal.said)
    answers = {"cutout-opens": ("hot", "nan", "91,5")}
    assert rehearsal.go(resume=True, answers=answers)
    assert "Please give a number from 0 to 300 °C, without the unit." in rehearsal.said[mark:]
    assert rehearsal.results["electrician"].values["opens_c"] == 91.5


def test_a_step_is_tried_again_once_it_was_mended(rehearsal: Rehearsal) -> None:
    acts = {"shaft-hold": (), "paddle-off": ("paddle off", "hold shaft", "paddle off")}
    assert not rehearsal.go(acts=acts, answers={"try-again": ("yes", "no")})
    assert sum(line.startswith("NOT PASSED") for line in rehearsal.said) == 2
    assert rehearsal.go(resume=True)


def test_a_probe_far_off_is_not_corrected_away(tmp_path: Path) -> None:
    made = Rehearsal(tmp_path / "world", blank(probe_offset_c={"bath": 2.6}))
    try:
        _fails(made, "calibration", "The probe would need -2.6")
        # Half a degree is what the chip's maker promises (DS18B20 datasheet).
        assert any("may be off by 0.50 °C" in line for line in made.said)
    finally:
        made.rig.close()


def test_a_probe_that_never_settles_is_told(tmp_path: Path) -> None:
    made = Rehearsal(tmp_path / "world", blank(probe_noise_c=0.4))
    try:
        _fails(made, "calibration", "probe did not come to rest within 30 minutes. The reading sc")
    finally:
        made.rig.close()


def test_a_clone_is_pointed_out(rehearsal: Rehearsal) -> None:
    rehearsal.rig.chips["bath"].inject("clone")
    rehearsal.go(answers={"rcd": ("",)})
    assert any("not that of a genuine chip" in line for line in rehearsal.said)


def test_a_board_that_falls_silent_is_told(rehearsal: Rehearsal) -> None:
    acts = {"input-lid": ("unplug",), "input-lid-back": ("plug",)}
    _fails(rehearsal, "inputs", "The board did not answer: check the cable", acts=acts)


def test_no_board_at_all_is_told(rehearsal: Rehearsal) -> None:
    rehearsal.hands("unplug")
    with pytest.raises(LinkError, match="did not answer: check cable, port and firmware"):
        rehearsal.go()
