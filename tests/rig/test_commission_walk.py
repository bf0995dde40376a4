"""A rig is commissioned from a blank board to a signature, with the real firmware."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from rehearsal import Rehearsal, blank

from glossbath.board.orders import start_orders
from glossbath.commission import load, record_path
from glossbath.commission.steps import STEPS
from glossbath.errors import InputError, OrderRefused
from glossbath.recipe import load as load_recipe
from glossbath.recipe.program import board_program
from glossbath.virtual.platinum import Element
from glossbath_board.settings import COMMISSIONED, WATER_ONLY
from glossbath_board.store import Record

ALL = [step.code for step in STEPS]
OFFSETS = {"chocolate": -0.2, "bath": 0.3, "body": 0.1}


@pytest.fixture(autouse=True)
def places(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("RIGS", "MODELS", "CYCLES"):
        monkeypatch.setenv(f"GLOSSBATH_{name}", str(tmp_path / name.lower()))


@pytest.fixture
def rehearsal(tmp_path: Path) -> Iterator[Rehearsal]:
    made = Rehearsal(tmp_path / "world", blank(probe_offset_c=OFFSETS))
    yield made
    made.rig.close()


def _chocolate(rehearsal: Rehearsal) -> dict[str, object]:
    """The board's answer to the start of a chocolate recipe."""
    session = rehearsal.session()
    session.leasing = True
    session.wait(8)
    answer: dict[str, object] = {}
    for order in start_orders(board_program(load_recipe("dark"), 1.0), "test"):
        values = {key: value for key, value in order.items() if key != "k"}
        answer = session.ask(order["k"], **values)
        if not answer["ok"]:
            break
    session.close()
    return answer


def _flash(rehearsal: Rehearsal, folder: Path) -> dict[str, object]:
    content = Record(str(folder / "world" / "flash"), "settings").load()
    assert content is not None
    return content


def test_a_blank_rig_becomes_one_that_may_heat_chocolate(
    rehearsal: Rehearsal, tmp_path: Path
) -> None:
    assert _chocolate(rehearsal)["at"] == "commission"
    assert rehearsal.go(answers={"identify": ("yes",)})
    assert list(rehearsal.results) == ALL
    assert all(result.ok for result in rehearsal.results.values())
    flash = _flash(rehearsal, tmp_path)
    assert flash["rig"] == "kitchen"
    assert flash["level"] == COMMISSIONED
    assert flash["probes"] == {name: chip.rom.hex() for name, chip in rehearsal.rig.chips.items()}
    # The heat model: the virtual heater has 250 W and 1 kg of water in its bowl.
    assert flash["model"][0] == pytest.approx(250, rel=0.05)  # type: ignore[index]
    assert (tmp_path / "models" / "kitchen.toml").exists()
    assert _chocolate(rehearsal)["ok"]


def test_probes_are_corrected_by_what_was_found(rehearsal: Rehearsal) -> None:
    assert rehearsal.go()
    kept = rehearsal.results["calibration"].values["calibration"]
    for name, offset in OFFSETS.items():
        at_31_mc = kept[name]["offset_mc"] + 31.0 * kept[name]["gain_ppm"] / 1000.0
        # Twice the noise of a chip's steps and of both comparisons.
        assert at_31_mc == pytest.approx(-1000 * offset, abs=60)
        assert 0.05 < kept[name]["u_k"] < 0.15
    session = rehearsal.session()
    session.wait(5)
    assert session.reading is not None
    assert session.reading.bath_c == pytest.approx(rehearsal.rig.plant.bath_c, abs=0.15)
    session.close()


def test_until_it_is_signed_the_rig_heats_nothing_but_water(
    rehearsal: Rehearsal, tmp_path: Path
) -> None:
    assert not rehearsal.go(answers={"sign": ("no",)})
    assert rehearsal.failed == "Not signed: the rig goes on heating nothing but water."
    assert _flash(rehearsal, tmp_path)["level"] == WATER_ONLY
    assert _chocolate(rehearsal)["at"] == "water-only"
    assert rehearsal.go(resume=True)
    assert _chocolate(rehearsal)["ok"]


def test_every_trip_came_from_the_board_with_its_own_code(rehearsal: Rehearsal) -> None:
    assert rehearsal.go()
    after_s = rehearsal.results["trips"].values["after_s"]
    assert set(after_s) == {"probe-chocolate", "probe-bath", "probe-body", "body", "lease"}
    # safety.md: 5 s stale and at the latest 5 s more; the lease runs for 6 s.
    assert all(3.0 <= seconds <= 12.0 for seconds in after_s.values())
    assert rehearsal.dark


def test_the_page_stands_alone_and_says_that_it_is_virtual(rehearsal: Rehearsal) -> None:
    assert rehearsal.go()
    text = record_path("kitchen").with_suffix(".html").read_text()
    assert "VIRTUAL RIG" in text
    assert "Commissioned: every step stands" in text
    assert "a virtual person" in text
    assert "Left for later" in text
    assert "+0.2" in text  # the chocolate probe's correction
    assert not re.search(r"(src|href|url)\s*[=(]", text)
    assert "certifies nothing" in text


def test_left_in_the_middle_it_goes_on_from_there(rehearsal: Rehearsal) -> None:
    assert not rehearsal.go(answers={"rcd": ("",)})
    assert "electrician" not in rehearsal.results
    begun = load("kitchen")
    assert begun is not None
    rehearsal.rig.restart()  # a night passes, the board is powered off and on
    mark = len(rehearsal.said)
    assert rehearsal.go(resume=True)
    said = rehearsal.said[mark:]
    assert "7. How far each probe is off: stands." in said
    assert not any("Warm the" in line for line in said)
    finished = load("kitchen")
    assert finished is not None
    assert finished.begun == begun.begun
    assert finished.results["probes"] == begun.results["probes"]


class Cut(BaseException):
    """Somebody pulls the computer's plug."""


def test_cut_off_while_it_heats_the_rig_is_left_dark_and_nothing_is_lost(
    rehearsal: Rehearsal,
) -> None:
    hands = rehearsal.hands

    def cut(words: str) -> None:
        if words == "pull bath":
            raise Cut
        hands(words)

    rehearsal.hands = cut  # type: ignore[method-assign]
    with pytest.raises(Cut):
        rehearsal.go()
    for _ in range(8):
        rehearsal.rig.step()
    assert rehearsal.dark
    kept = load("kitchen")
    assert kept is not None
    assert list(kept.results) == ALL[: ALL.index("trips")]
    rehearsal.hands = hands  # type: ignore[method-assign]
    assert rehearsal.go(resume=True)


def test_a_board_that_lost_its_memory_is_looked_at_again(
    rehearsal: Rehearsal, tmp_path: Path
) -> None:
    assert rehearsal.go()
    for path in (tmp_path / "world" / "flash").glob("settings.*"):
        path.unlink()
    rehearsal.rig.restart()
    mark = len(rehearsal.said)
    assert rehearsal.go(resume=True)
    said = "\n".join(rehearsal.said[mark:])
    assert "Who is who (the board does not hold rig any more)" in said
    assert "Which probe is which" in said
    assert "What an electrician tries and measures: stands" in said
    assert _flash(rehearsal, tmp_path)["level"] == COMMISSIONED


def test_one_step_again_takes_a_new_signature(rehearsal: Rehearsal) -> None:
    assert rehearsal.go()
    signed = rehearsal.results["sign"].when
    first = rehearsal.results["calibration"].values["calibration"]
    mark = len(rehearsal.said)
    assert rehearsal.go(resume=True, again="calibration")
    # What the board corrects already is taken out of the readings before they are compared.
    for name, kept in rehearsal.results["calibration"].values["calibration"].items():
        assert kept["offset_mc"] == pytest.approx(first[name]["offset_mc"], abs=90)
    assert rehearsal.results["sign"].when > signed
    assert sum("PASSED" in line for line in rehearsal.said[mark:]) == 2


def test_beginning_anew_takes_the_rig_back(rehearsal: Rehearsal, tmp_path: Path) -> None:
    assert rehearsal.go()
    assert not rehearsal.go(answers={"rcd": ("",)})
    assert _flash(rehearsal, tmp_path)["level"] == 0
    assert _chocolate(rehearsal)["at"] == "commission"
    assert not rehearsal.go(answers={"anew": ("no",)})


def test_another_board_is_not_taken_for_the_rigs_own(rehearsal: Rehearsal) -> None:
    assert not rehearsal.go(answers={"rcd": ("",)})
    path = record_path("kitchen")
    path.write_text(path.read_text().replace('"board": "5649', '"board": "0000'))
    with pytest.raises(InputError, match="is of board 0000"):
        rehearsal.go(resume=True)
    with pytest.raises(InputError, match="no commissioning to go on with"):
        rehearsal.go(resume=True, name="other")
    with pytest.raises(InputError, match="no step 'paint'"):
        rehearsal.go(again="paint")


def test_a_tripped_board_is_told_and_cleared_first(rehearsal: Rehearsal) -> None:
    rehearsal.rig.low_voltage.stirrer_shorted = True
    session = rehearsal.session()
    assert session.until(lambda: session.state == "tripped", 30)
    session.close()
    rehearsal.rig.low_voltage.stirrer_shorted = False
    assert not rehearsal.go(answers={"rcd": ("",)})
    assert any(line.startswith("The board has tripped: ") for line in rehearsal.said)
    assert rehearsal.results["identity"].ok


def test_the_session_says_refusals_in_words(rehearsal: Rehearsal) -> None:
    session = rehearsal.session()
    with pytest.raises(OrderRefused, match="Nobody holds the arm button"):
        session.order("try", o="heat", ms=1000)
    with pytest.raises(OrderRefused, match=r"limit.bath-hot: it must be from 1 to 60000"):
        session.put("limit.bath-hot", 70_000)
    with pytest.raises(OrderRefused, match="not the number of an undamaged DS18B20"):
        session.put("probe.bath", "ff")
    session.close()


def test_the_thermistor_as_the_bodys_probe(tmp_path: Path) -> None:
    made = Rehearsal(tmp_path / "world", blank(body_is_ntc=True))
    made.rig.bus.chips.remove(made.rig.chips["body"])
    acts = {"pull-body": ("cut thermistor",), "plug-body": ("mend thermistor",)}
    try:
        assert made.go(acts=acts), made.failed
        assert _flash(made, tmp_path)["probes"]["body"] == "ntc"  # type: ignore[index]
        # Made hot it must trip as the body's, like any other guard probe.
        assert {"probe-body", "body"} <= set(made.results["trips"].values["after_s"])
    finally:
        made.rig.close()


def test_a_platinum_element_as_the_chocolates_probe_is_bound_and_calibrated(
    tmp_path: Path,
) -> None:
    """Two wires of 2 ohm together read 2/3.9 = 0.51 °C too high; the ice and the boiling water
    show it. 3.9 ohm/K: IEC 60751, Pt1000 near 31 °C."""
    element = replace(Element(), wires=2, lead_ohm=1.0, setting="pt1000-2-50")
    made = Rehearsal(tmp_path / "world", blank(platinum=element))
    answers = {
        "body-is-ntc": ("no",),
        "chocolate-is-platinum": ("yes",),
        "platinum-wires": ("2",),
    }
    try:
        assert made.go(answers=answers), made.failed
        assert _flash(made, tmp_path)["probes"]["chocolate"] == "pt1000-2-50"  # type: ignore[index]
        kept = made.results["calibration"].values["calibration"]["chocolate"]
        at_31_mc = kept["offset_mc"] + 31.0 * kept["gain_ppm"] / 1000.0
        assert at_31_mc == pytest.approx(-1000 * 2.0 / 3.9, abs=60)
        assert "probe-chocolate" in made.results["trips"].values["after_s"]
    finally:
        made.rig.close()
