"""The file and the page of a commissioning: what a power cut leaves, and what each row says."""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest

from glossbath.commission import CommissionRecord, Console, Question, Result, load
from glossbath.commission.page import page
from glossbath.commission.record import brief, record_path, save
from glossbath.commission.steps import STEPS
from glossbath.errors import InputError


@pytest.fixture(autouse=True)
def rigs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("GLOSSBATH_RIGS", str(tmp_path / "not yet" / "rigs"))
    return tmp_path


def _result(ok: bool = True, text: str = "Well.", **values: object) -> Result:
    return Result(ok, text, "2027-01-15T08:05:30.000Z", "A. Baker", "1.0", values)


def _record(**results: Result) -> CommissionRecord:
    return CommissionRecord("kitchen", "e66118604b", False, "2027-01-15T08:00:00.000Z", 1, results)


def test_a_record_is_on_the_disk_before_it_takes_the_old_ones_place(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    waited: list[int] = []
    real = os.fsync

    def fsync(file: int) -> None:
        # fsync(2): what is not waited for may be lost; what is still in Python's hands, too.
        waited.append(os.fstat(file).st_size)
        real(file)

    monkeypatch.setattr(os, "fsync", fsync)
    path = save(_record(proof=_result()))
    assert waited == [path.stat().st_size]
    assert not path.with_suffix(".new").exists()


def test_a_record_has_a_million_bytes_at_most() -> None:
    path = save(_record())
    path.write_bytes(path.read_bytes().ljust(1_000_000))
    assert load("kitchen") == _record()
    path.write_bytes(path.read_bytes() + b" ")
    with pytest.raises(InputError, match="it has more than 1000000 bytes"):
        load("kitchen")


def test_a_record_that_may_not_be_read_is_told() -> None:
    record_path("kitchen").mkdir(parents=True)
    with pytest.raises(InputError, match="cannot be read: Is a directory; check permissions"):
        load("kitchen")


@pytest.mark.parametrize(
    ("results", "signed"),
    [({}, False), ({"sign": _result()}, True), ({"sign": _result(ok=False)}, False)],
)
def test_only_a_signature_that_stands_signs(results: dict[str, Result], signed: bool) -> None:
    told = brief(_record(**results))
    assert told["signed"] is signed
    assert told["steps"] == {code: result.ok for code, result in results.items()}
    assert (told["rig"], told["board"], told["virtual"]) == ("kitchen", "e66118604b", False)


def _rows(text: str) -> list[list[str]]:
    return [
        re.findall(r"<td[^>]*>(.*?)</td>", row)
        for row in re.findall(r"<tr><td class=\"n\">\d.*?</tr>", text)
    ]


def test_each_step_has_a_row_with_its_number_word_and_moment() -> None:
    record = _record(
        identity=_result(), inputs=_result(ok=False, text="Cut."), outputs=_result(text="Moved.")
    )
    why = {"inputs": "failed", "outputs": "inputs comes before it"}
    rows = _rows(page(record, why))
    assert [row[0] for row in rows] == [str(number) for number in range(1, len(STEPS) + 1)]
    moment = "2027-01-15 08:05, A. Baker, firmware 1.0"
    assert rows[0][1:] == ["Who is who", "passed", "Well.", moment]
    assert rows[1][2:] == ["NOT PASSED", "Cut.", moment]
    assert rows[2][2:] == ["AGAIN: inputs comes before it", "Moved.", moment]
    assert rows[3][2:] == ["NOT DONE", "", ""]


def test_the_page_says_which_board_and_when_and_whether_it_was_real() -> None:
    record = _record()
    assert "Board e66118604b, begun 2027-01-15 (UTC)." in page(record, {})
    assert "VIRTUAL RIG" not in page(record, {})
    record.virtual = True
    assert "VIRTUAL RIG: nothing on this page was tried on a real one." in page(record, {})


@pytest.mark.parametrize("ok", [True, False])
def test_only_corrections_that_stand_are_shown(ok: bool) -> None:
    point = {"how": "ice point", "measured_c": 0.314, "reference_c": 0.0, "u_k": 0.08}
    kept = {"offset_mc": -314, "gain_ppm": -12, "u_k": 0.168, "points": [point, point]}
    result = _result(ok, calibration={"bath": kept})
    text = page(_record(calibration=result), {})
    assert ("<h2>Probes</h2>" in text) == ok
    assert ("-0.314 °C" in text) == ok
    assert ("-12 ppm" in text) == ok
    assert ("±0.17 °C" in text) == ok
    assert ("read 0.31 at 0.00 °C; ice point: read 0.31" in text) == ok


def test_a_signature_that_fell_is_none() -> None:
    record = _record(sign=_result(name="A. Baker"))
    assert "A. Baker answered for these results on 2027-01-15" in page(record, {})
    assert "<p>Not signed.</p>" in page(record, {"sign": "proof was done again"})
    assert "<p>Not signed.</p>" in page(_record(), {})


@pytest.mark.parametrize(
    ("question", "hint"),
    [
        (Question("a", "?", ("yes", "no")), "yes/no"),
        (Question("a", "?", unit="kg", low=0.5, high=20.0), "0.5 to 20 kg"),
        (Question("a", "?"), "text"),
    ],
)
def test_a_question_says_what_an_answer_looks_like(question: Question, hint: str) -> None:
    assert question.hint == hint


def test_an_answer_that_comes_in_pieces_is_one_line(capfd: pytest.CaptureFixture[str]) -> None:
    source, sink = os.pipe()
    pieces = [b"kit", b"chen \xff\n"]

    def idle() -> None:
        if pieces:
            os.write(sink, pieces.pop(0))

    with os.fdopen(os.dup(1), "w") as out:
        said = Console(source, out).answer(Question("a", "Which?"), idle)
    assert said == "kitchen \N{REPLACEMENT CHARACTER}"
    assert "?  Which? [text]" in capfd.readouterr().out
    os.close(source)
    os.close(sink)
