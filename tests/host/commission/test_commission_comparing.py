"""How far each probe is off: what it is compared with, how long is waited, and what is kept.

Doubts add as roots of squares (JCGM 100, GUM, 5.1).
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pytest

from glossbath.commission import probing
from glossbath.errors import StepFailed
from glossbath_board.settings import PROBES

from .patient_board import Act, PatientBoard
from .willing_person import visited


class Bench:
    """A rig whose probes are put into known temperatures, each off by something."""

    def __init__(self, *methods: str, **answers: str) -> None:
        self.off = {"chocolate": 0.2, "bath": -0.3, "body": 0.1}
        self.methods = [*methods, "done"]
        given = {
            "thermometer": "37",
            "thermometer-uncertainty": "0.1",
            **{name.replace("_", "-"): said for name, said in answers.items()},
        }
        acts = {"into-ice": self._into(0.0), "into-thermometer": self._into(37.0)}
        acts["into-gallium"] = self._into(29.7646)
        self.visit, self.board, self.person = visited(acts, given)
        self.board.settings = {f"cal.{name}": [0, 0] for name in PROBES}
        self.board.settings |= {f"probe.{name}": "28a1b2c3d4000001" for name in PROBES}
        answer = self.person.answer

        def next_method(question: Any, idle: Any) -> str:
            return self.methods.pop(0) if question.code == "calibrate" else answer(question, idle)

        self.person.answer = next_method  # type: ignore[method-assign]

    def _into(self, celsius: float) -> Act:
        def act(board: PatientBoard) -> None:
            for name, off in self.off.items():
                offset_mc, gain_ppm = board.settings[f"cal.{name}"]
                raw = celsius + off
                corrected = raw * (1 + gain_ppm / 1e6) + offset_mc / 1000
                setattr(board.reading, f"{name}_c", corrected)

        return act


def test_every_probe_is_corrected_by_what_it_was_off_in_ice() -> None:
    bench = Bench("ice")
    found = probing.calibrate(bench.visit)
    assert {name: bench.board.settings[f"cal.{name}"] for name in PROBES} == {
        "chocolate": [-200, 0],
        "bath": [300, 0],
        "body": [-100, 0],
    }
    assert "The bath probe is off by -0.30 °C." in bench.person.told
    assert "chocolate -0.20 °C (then good to ±0.17)" in found.text
    kept = found.values["calibration"]["bath"]
    assert (kept["offset_mc"], kept["gain_ppm"]) == (300, 0)
    # Ice 0.05, place 0.05 and the chip's steps 0.036 K; 0.5 % of 31 K for a gain nobody measured.
    assert kept["u_k"] == pytest.approx(0.174, abs=0.002)
    (point,) = kept["points"]
    assert point == {"reference_c": 0.0, "measured_c": -0.3, "u_k": 0.079, "how": "ice point"}
    assert [code for code, _ in bench.person.at] == ["into-ice", "out-of-ice"]
    assert bench.person.told[0].startswith("Tie all probes together.")
    assert "Dry the chocolate probe afterwards." in bench.person.told[0]
    assert "Waiting until the readings stand still; stir." in bench.person.told


def test_a_second_point_gives_the_scale_too() -> None:
    bench = Bench("ice", "thermometer")
    bench.off = {"chocolate": 0.0, "bath": 0.0, "body": 0.0}
    bench.person.acts["into-thermometer"] = lambda board: [  # type: ignore[assignment]
        setattr(board.reading, f"{name}_c", 37.37) for name in PROBES
    ]
    probing.calibrate(bench.visit)
    # 37.37 K read over 37 K: a hundredth too much.
    assert bench.board.settings["cal.body"] == [0, -9_901]


def test_what_the_board_corrects_already_is_taken_out_first() -> None:
    bench = Bench("ice")
    bench.board.settings["cal.bath"] = [250, 1_000]
    probing.calibrate(bench.visit)
    assert bench.board.settings["cal.bath"] == [300, 0]


def test_a_probe_worse_than_its_kind_is_warned_of() -> None:
    bench = Bench("ice")
    bench.off["bath"] = 0.7
    probing.calibrate(bench.visit)
    assert any("bath probe is off by +0.70 °C" in line for line in bench.person.told)
    assert any("may be off by 0.50 °C" in line for line in bench.person.told)
    for kind, warned in (("ntc", False), ("pt100-3-50", True)):
        bench = Bench("ice")
        bench.off["body"] = 0.9
        bench.board.settings["probe.body"] = kind
        probing.calibrate(bench.visit)
        assert any("before you trust it" in line for line in bench.person.told) == warned


@pytest.mark.parametrize(
    ("method", "how"),
    [
        ("ice", "ice point"),
        ("gallium", "melting gallium"),
        ("thermometer", "thermometer good to ±0.1 °C"),
    ],
)
def test_each_known_temperature_is_asked_for_by_its_name(method: str, how: str) -> None:
    bench = Bench(method)
    kept = probing.calibrate(bench.visit).values["calibration"]["body"]
    assert kept["points"][0]["how"] == how
    assert how in bench.person.words[f"into-{method}"]


def test_readings_are_waited_for_until_they_stand_still_half_an_hour_at_most() -> None:
    bench = Bench("ice")
    into = bench.person.acts["into-ice"]

    def restless_for(seconds: float) -> Act:
        def act(board: PatientBoard) -> None:
            board.reading.bath_c = 0.3 * (board.now_ms // 1000 % 2)
            board.later(0.25, act if board.now_ms < 1000 * seconds else into)

        return act

    bench.person.acts["into-ice"] = restless_for(200.0)
    probing.calibrate(bench.visit)
    assert bench.board.settings["cal.bath"] == [300, 0]
    assert 250.0 <= bench.board.now_ms / 1000 <= 265.0
    bench = Bench("ice")
    bench.person.acts["into-ice"] = restless_for(1e6)
    with pytest.raises(StepFailed, match="bath probe did not come to rest within 30 minutes"):
        probing.calibrate(bench.visit)
    assert bench.board.now_ms == pytest.approx(1_800_000, abs=2_000)


@pytest.mark.parametrize(
    ("answers", "how"),
    [
        ({"pressure-from": "barometer", "barometer": "950"}, "water boiling at 950 hPa"),
        # A report is the pressure at sea level: 500 m up a standard one is 954.6 hPa.
        (
            {"pressure-from": "report", "altitude": "500", "report": "1013.25"},
            "water boiling at 954.6 hPa",
        ),
        ({"pressure-from": "nothing", "altitude": "500"}, "water boiling at 500 m"),
    ],
)
def test_where_water_boils_is_known_by_what_tells_the_pressure(
    answers: Mapping[str, str], how: str
) -> None:
    visit, _, _ = visited(answers=answers)
    assert probing.boiling_reference(visit).how.startswith(how)


@pytest.mark.parametrize(
    ("answers", "words"),
    [
        ({"barometer": "499.9"}, "from 500 to 1100 hPa"),
        ({"barometer": "1100.1"}, "from 500 to 1100 hPa"),
        ({"pressure-from": "nothing", "altitude": "-400.1"}, "from -400 to 5000 m"),
        ({"pressure-from": "nothing", "altitude": "5000.1"}, "from -400 to 5000 m"),
        ({"pressure-from": "report", "altitude": "0", "report": "899"}, "from 900 to 1100 hPa"),
        ({"pressure-from": "report", "altitude": "0", "report": "1101"}, "from 900 to 1100 hPa"),
    ],
)
def test_a_pressure_that_no_place_has_is_asked_again(
    answers: Mapping[str, str], words: str
) -> None:
    visit, _, person = visited(answers=answers)
    with pytest.raises(StepFailed, match="No usable answer"):
        probing.boiling_reference(visit)
    assert any(words in line for line in person.told)


@pytest.mark.parametrize(
    ("celsius", "u_k", "words"),
    [
        ("-5", "0.005", ""),
        ("100", "1", ""),
        ("-5.1", "0.1", "from -5 to 100 °C"),
        ("100.1", "0.1", "from -5 to 100 °C"),
        ("37", "0.0049", "from 0.005 to 1 °C"),
        ("37", "1.01", "from 0.005 to 1 °C"),
    ],
)
def test_a_thermometer_that_nobody_has_is_asked_again(celsius: str, u_k: str, words: str) -> None:
    answers = {"thermometer": celsius, "thermometer-uncertainty": u_k}
    visit, _, person = visited(answers=answers)
    if words:
        with pytest.raises(StepFailed, match="No usable answer"):
            probing._reference(visit, "thermometer")
        assert any(words in line for line in person.told)
    else:
        found = probing._reference(visit, "thermometer")
        assert (found.celsius, found.u_k) == (float(celsius), float(u_k))
