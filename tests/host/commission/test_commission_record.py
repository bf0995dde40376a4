"""Which steps stand, the record's file, the page, and the lines of a terminal."""

from __future__ import annotations

import io
import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace

from glossbath.commission import CommissionRecord, Console, Left, Question, Result, load
from glossbath.commission.page import page, write
from glossbath.commission.record import brief, record_path, save
from glossbath.commission.steps import STEPS, standing, wanted_settings
from glossbath.errors import InputError, LogError

VALUES: dict[str, dict[str, Any]] = {
    "identity": {"name": "kitchen"},
    "stirrer": {"limit_ma": 900},
    "probes": {"probes": {"bath": "28aa"}},
    "calibration": {
        "calibration": {
            "bath": {
                "offset_mc": -310,
                "gain_ppm": 1200,
                "u_k": 0.104,
                "points": [
                    {"how": "ice point", "measured_c": 0.31, "reference_c": 0.0, "u_k": 0.08}
                ],
            }
        }
    },
    "identify": {"done": True, "model": [250]},
    "sign": {"name": "A. Baker"},
}
HELD = {
    "rig": "kitchen",
    "limit.stir-stalled": 900,
    "probe.bath": "28aa",
    "cal.bath": [-310, 1200],
    "model": [250],
    "level": 2,
}


@pytest.fixture(autouse=True)
def places(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("GLOSSBATH_RIGS", str(tmp_path / "rigs"))


def _results(firmware: str = "1.0") -> dict[str, Result]:
    return {
        step.code: Result(
            ok=True,
            text=f"{step.code} went well.",
            when=f"2027-01-15T08:{minute:02d}:00.000Z",
            who="A. Baker",
            firmware=firmware,
            values=VALUES.get(step.code, {}),
        )
        for minute, step in enumerate(STEPS)
    }


def _record() -> CommissionRecord:
    return CommissionRecord(
        rig="kitchen",
        board="e66118604b",
        virtual=False,
        begun="2027-01-15T08:00:00.000Z",
        results=_results(),
    )


def _missing(results: dict[str, Result], held: dict[str, Any], firmware: str = "1.0") -> list[str]:
    return [code for code, why in standing(results, firmware, held).items() if why]


HEATED = ["proof", "cutout", "second", "stop", "interlocks", "trips"]


def test_a_whole_commissioning_stands() -> None:
    assert _missing(_results(), HELD) == []
    assert wanted_settings(_results()) == HELD


def test_steps_of_one_moment_do_not_make_each_other_old() -> None:
    at_once = {code: replace(result, when="2027") for code, result in _results().items()}
    assert _missing(at_once, HELD) == []


def test_every_step_needs_only_steps_before_it() -> None:
    before: set[str] = set()
    for step in STEPS:
        assert set(step.needs) | set(step.stale_after) <= before
        before.add(step.code)


def test_nothing_done_means_everything_is_missing() -> None:
    assert _missing({}, {}) == [step.code for step in STEPS]


def test_a_step_that_failed_takes_what_needs_it_along() -> None:
    results = _results()
    results["electrician"] = Result(False, "no", "2027-01-15T09:00:00.000Z", "x", "1.0")
    assert _missing(results, HELD) == ["electrician", *HEATED, "identify", "sign"]


def test_other_firmware_has_to_be_tried_again() -> None:
    assert _missing(_results("0.9"), HELD) == [*HEATED, "identify", "sign"]


def test_the_proof_with_new_firmware_proves_nothing_for_the_others() -> None:
    results = _results("0.9") | {"proof": _results("1.0")["proof"]}
    missing = standing(results, "1.0", HELD)
    for code in ("stop", "interlocks", "trips", "sign"):
        assert missing[code] == "done with firmware 0.9"
    assert not any(missing[code] for code in ("cutout", "second", "electrician"))


def test_a_probe_that_was_named_again_is_compared_and_pulled_again() -> None:
    results = _results()
    results["probes"] = Result(
        True, "again", "2027-01-15T09:00:00.000Z", "x", "1.0", VALUES["probes"]
    )
    missing = _missing(results, HELD)
    assert {"calibration", "trips", "sign"} <= set(missing)
    assert "electrician" not in missing


@pytest.mark.parametrize(
    ("key", "value", "step"),
    [
        ("rig", "other", "identity"),
        ("limit.stir-stalled", 1000, "stirrer"),
        ("probe.bath", "28bb", "probes"),
        ("probe.bath", None, "probes"),
        ("cal.bath", [0, 0], "calibration"),
        ("level", 0, "proof"),
        ("level", 1, "sign"),
        ("model", [300], "identify"),
    ],
)
def test_what_the_board_does_not_hold_any_more_is_done_again(
    key: str, value: object, step: str
) -> None:
    missing = standing(_results(), "1.0", HELD | {key: value})
    assert missing[step] == f"the board does not hold {key} any more"


def test_a_record_comes_back_as_it_was() -> None:
    path = save(_record())
    assert path == record_path("kitchen")
    assert load("kitchen") == _record()
    assert load("other") is None
    assert brief(_record())["signed"] is True
    assert not path.with_suffix(".new").exists()


@pytest.mark.parametrize(
    "text",
    [
        "",
        "{",
        "[]",
        '{"rig": 1}',
        '{"rig":"a","board":"b","virtual":false,"begun":"c","version":9}',
    ],
)
def test_a_damaged_record_is_refused_in_words(text: str) -> None:
    path = record_path("kitchen")
    path.parent.mkdir(parents=True)
    path.write_text(text)
    with pytest.raises(InputError, match=r"cannot be used: .*Move it away and commission again"):
        load("kitchen")
    path.write_bytes(b"\xff" * 100)
    with pytest.raises(InputError, match="cannot be used"):
        load("kitchen")


def test_a_disk_that_refuses_is_told(tmp_path: Path) -> None:
    (tmp_path / "rigs").write_text("a file where the folder should be")
    with pytest.raises(InputError, match=r"cannot be written: .*check the disk"):
        save(_record())
    with pytest.raises(LogError, match=r"cannot be written: .*check the disk"):
        write(_record(), {})


def test_a_rigs_name_is_no_path() -> None:
    with pytest.raises(InputError, match="rig name"):
        record_path("../../etc/passwd")


def test_the_page_of_a_signed_rig() -> None:
    text = page(_record(), standing(_results(), "1.0", HELD))
    assert "Commissioned: every step stands and is signed for." in text
    assert "A. Baker answered for these results on 2027-01-15 (UTC)" in text
    assert "-0.310 °C" in text
    assert "+1200 ppm" in text
    assert "ice point: read 0.31 at 0.00 °C" in text
    assert "VIRTUAL" not in text
    assert "licensed electrician" in text


def test_the_page_says_what_is_missing() -> None:
    record = _record()
    del record.results["sign"]
    record.results["trips"] = Result(False, "Nothing tripped.", "2027", "x", "1.0")
    text = page(record, standing(record.results, "1.0", HELD))
    assert "Not finished: the rig heats nothing but water." in text
    assert "Missing: Trips on purpose, " in text
    assert "NOT PASSED" in text
    assert "NOT DONE" in text
    assert "Not signed." in text


def test_the_page_shows_text_as_text() -> None:
    record = _record()
    record.results["sign"] = Result(
        True, "<script>x</script>", "2027-01-15T09:00", "<b>", "1.0", {"name": "<i>A</i>"}
    )
    text = page(record, standing(record.results, "1.0", HELD))
    assert "<script>" not in text
    assert "<i>" not in text
    assert "&lt;i&gt;A&lt;/i&gt;" in text


@pytest.fixture
def terminal() -> Iterator[tuple[int, Console, io.StringIO]]:
    source, sink = os.pipe()
    out = io.StringIO()
    yield sink, Console(source, out), out
    os.close(source)


def test_the_console_asks_and_lets_the_board_live_meanwhile(
    terminal: tuple[int, Console, io.StringIO],
) -> None:
    sink, console, out = terminal
    waits: list[int] = []

    def idle() -> None:
        waits.append(1)
        if len(waits) == 3:
            os.write(sink, "ja, 37,5 °C \nnext\n".encode())

    question = Question("q", "What does it show?", unit="°C", low=-5, high=100)
    assert console.answer(question, idle) == "ja, 37,5 °C"
    assert console.answer(Question("r", "And?"), idle) == "next"
    assert len(waits) == 3
    console.act("a", "Press it.")
    os.close(sink)
    assert out.getvalue().splitlines() == [
        "?  What does it show? [-5 to 100 °C]",
        "?  And? [text]",
        "-> Press it.",
    ]


@pytest.mark.parametrize("said", [b"quit\n", b" LATER \n", b""])
def test_leaving_at_the_console(terminal: tuple[int, Console, io.StringIO], said: bytes) -> None:
    sink, console, _ = terminal
    os.write(sink, said)
    os.close(sink)
    with pytest.raises(Left):
        console.answer(Question("q", "Well?", ("yes", "no")), lambda: None)
