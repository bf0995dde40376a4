"""The forms of the desk without a screen: fields, limits, error sentences, live readings."""

from __future__ import annotations

from pathlib import Path

import pytest

from glossbath.client.messages import Reading, Snapshot
from glossbath.desk import BY_NAME, QUESTIONS, live
from glossbath.errors import InputError
from glossbath.forms.fields import Pair
from glossbath.forms.form import Form
from glossbath.forms.question import Question
from glossbath.forms.signs import Signs

LIVE = {
    "chocolate_c": "33.4",
    "bath_c": "30.1",
    "room_c": "24.0",
    "rh_percent": "55.0",
    "batch_kg": "2",
    "kind": "dark",
    "folder": "/invented/cycles/one",
    "readings": "/invented/cycles/one/readings.csv",
}


def form(name: str, **typed: str) -> Form:
    """A form with something typed into it."""
    made = Form(BY_NAME[name])
    for field, text in typed.items():
        made.type(field, text)
    return made


def beside(made: Form, name: str) -> tuple[str, bool]:
    """What stands beside a field."""
    return made.beside(next(field for field in made.fields if field.name == name))


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda question: question.name)
def test_what_stands_in_a_field_at_the_start_is_allowed_there(question: Question) -> None:
    for field in question.fields:
        if field.typed:
            field.read(field.typed)


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda question: question.name)
def test_labels_and_hints_fit_an_80_column_screen(question: Question) -> None:
    assert len(question.title) <= 44
    for field in question.fields:
        if field.on_form:
            assert len(field.title) <= 32, field.title
            assert len(field.hint()) <= 40, field.hint()


def test_the_unit_stands_in_the_label_and_the_limits_beside_it() -> None:
    made = form("seed")
    kg = made.fields[0]
    assert kg.title == "Chocolate, kg"
    assert made.beside(kg) == ("0.01 to 100 kg", False)


@pytest.mark.parametrize(
    ("name", "field", "typed", "sentence"),
    [
        (
            "seed",
            "kg",
            "lots",
            "'lots' is not a number: type the chocolate in kg, 0.01 to",
        ),
        ("seed", "kg", "0", "The chocolate must be between 0.01 and 100 kg, not 0 kg."),
        ("seed", "at_c", "92", "if that is 92 °F, enter 33.3 °C"),
        ("seed", "at_c", "nan", "The chocolate now must be between 20 and 60 °C, not a missing"),
        ("seed", "kind", "purple", "must be dark, milk or white, not 'purple'."),
        ("seed", "butter", "maybe", "Type y or n for 'cocoa butter seed', not 'maybe'."),
        ("seed", "work", "32 31", "must start below its end, not run from 32 to 31 °C."),
        ("seed", "work", "warm", "'warm' is not a window: type two numbers in °C"),
        ("seed", "work", "31", "is not a window"),
    ],
)
def test_an_error_sentence_stands_beside_the_field(
    name: str, field: str, typed: str, sentence: str
) -> None:
    made = form(name, **{field: typed})
    words, wrong = beside(made, field)
    assert wrong
    assert sentence in words
    assert made.typed[field] == typed
    with pytest.raises(InputError, match=r"\."):
        made.answer()


def test_an_empty_field_complains_only_once_an_answer_is_wanted() -> None:
    made = form("seed", kg="1")
    assert beside(made, "at_c") == ("20 to 60 °C", False)
    problem = made.first_problem()
    assert problem is not None
    assert problem[0].name == "at_c"
    assert problem[1] == "Type the chocolate now: 20 to 60 °C."


@pytest.mark.parametrize("typed", ["31 32", "31-32", "31–32", "31,0 32,0", " 31  32 "])
def test_a_window_may_be_typed_in_several_ways(typed: str) -> None:
    field = Pair("Own working window", unit="°C", low=20, high=34)
    assert field.read(typed) == (31.0, 32.0)


def test_a_decimal_comma_is_a_decimal_point() -> None:
    assert form("seed", kg="1,5").fields[0].read("1,5") == 1.5


@pytest.mark.parametrize("typed", ["d", "D", "dark", " Dark "])
def test_the_beginning_of_a_choice_is_enough(typed: str) -> None:
    kind = next(field for field in BY_NAME["seed"].fields if field.name == "kind")
    assert kind.read(typed) == "dark"


def test_the_answer_is_the_command_s_own() -> None:
    # By hand: 2 x 1590 x 3 J over 1590 x 10.5 + 0.36 x 157 000 / 2 J/kg is 212 g.
    answer = form("seed", kg="2", at_c="33.5").answer()
    assert answer.sentences[0].startswith("Stir in 212 g of tempered chocolate at 33.5 °C")
    assert answer.values["seed_kg"] == pytest.approx(0.212, abs=0.001)


def test_every_form_answers_when_it_is_filled_in(tmp_path: Path) -> None:
    readings = tmp_path / "readings.csv"
    rows = [f"{t},{33.5 - (t > 200) * 2},{200 + t % 2},0.5,{t % 3}" for t in range(0, 600, 2)]
    readings.write_text("\n".join(["time_s,chocolate_c,stir_ma,stir_share,x", *rows]))
    samples = tmp_path / "samples.csv"
    samples.write_text("slope_c_per_min,judged\n-0.1,good\n0,good\n0.1,good\n0.9,under\n-1,over\n")
    cycles = tmp_path / "cycles.csv"
    cycles.write_text("chocolate,good,hold_c\nDark,yes,31\n")
    links = tmp_path / "lots.csv"
    links.write_text("from,to\nbean-7,bars-1\n")
    typed = {
        "file": str(readings), "at_c": "33.5", "asked_at_s": "200", "elapsed_s": "2",
        "rh_share": "50", "kg": "1", "from_c": "50", "to_c": "40",
        "room_c": "20", "slab_c": "28.5", "kept_c": "38", "set_after_s": "4",
        "parts": "2@45 1@15", "volume": "50", "signs": "dull soft",
    }  # fmt: skip
    own = {
        "calibrate": {"file": str(samples)},
        "learn": {"file": str(cycles), "chocolate": "Dark"},
        "slab": {"at_c": "40"},
        "heater": {"from_c": "20"},
        "sweat": {"chocolate_c": "5"},
        "mould": {"thickness": "8"},
        "formula": {"parts": "liquor=6@9.5 butter=1@12 sugar=3@1,2"},
        "label": {"parts": "sugar=43 whole-milk-powder=22"},
        "seed-block": {"at_c": "45"},
        "food-safety": {"at_c": "45"},
        "trace": {"file": str(links), "lot": "bean-7"},
        "store": {"file": "", "coolest_c": "16", "warmest_c": "18"},
        "legal-names": {"cocoa_share": "60", "cocoa_butter_share": "36", "sugar_share": "39"},
    }
    for question in QUESTIONS:
        made = Form(question)
        for field in question.fields:
            words = {**typed, **own.get(question.name, {})}.get(field.name)
            if words is not None:
                made.type(field.name, words)
        assert made.answer().sentences, question.name


def test_an_error_that_belongs_to_no_single_field_is_one_sentence() -> None:
    with pytest.raises(InputError, match="add up to 130 %"):
        form("windows", cocoa_share="90", cocoa_butter_share="50", sugar_share="40").answer()


# --- live readings


def test_live_readings_fill_what_nobody_has_typed_into() -> None:
    made = form("seed", kg="3")
    made.fill(LIVE)
    assert made.typed["at_c"] == "33.4"
    assert made.typed["kg"] == "3"
    assert beside(made, "at_c") == ("20 to 60 °C; from the rig", False)
    assert beside(made, "kg") == ("0.01 to 100 kg", False)


def test_a_later_reading_does_not_take_away_what_is_typed() -> None:
    made = form("seed")
    made.fill(LIVE)
    made.type("at_c", "33.0")
    made.fill({**LIVE, "chocolate_c": "31.0"})
    assert made.typed["at_c"] == "33.0"
    made.fill_again({**LIVE, "chocolate_c": "31.0"})
    assert made.typed["at_c"] == "31.0"


def test_without_a_rig_everything_is_typed() -> None:
    made = form("seed")
    made.fill(live.values(None, None))
    assert made.typed["at_c"] == ""
    assert made.from_rig == set()


def test_what_a_rig_tells() -> None:
    reading = Reading(
        time_s=1.0, wall="", chocolate_c=31.44, bath_c=None, body_c=40.0, target_c=31.5,
        bath_target_c=None, heat_share=0.0, chill_share=0.0, stir_share=0.4, state="running",
        phase="hold", phase_index=4, phase_elapsed_s=900.0, phase_left_s=None, cycle_left_s=None,
        room_c=24.0, room_rh_percent=None,
    )  # fmt: skip
    snapshot = Snapshot(
        rig="invented", virtual=True, engine="", board="", firmware="", state="running",
        recipe="Dark", chocolate="own", folder="/invented/cycles/one", batch_kg=1.5,
    )  # fmt: skip
    assert live.values(snapshot, reading) == {
        "chocolate_c": "31.4",
        "room_c": "24.0",
        "held_min": "15",
        "batch_kg": "1.5",
        "recipe": "Dark",
        "rig": "invented",
        "folder": "/invented/cycles/one",
        "cycles": "/invented/cycles",
        "readings": "/invented/cycles/one/readings.csv",
    }


def test_every_live_name_a_field_asks_for_is_one_a_rig_can_tell() -> None:
    told = {*LIVE, "held_min", "recipe", "rig", "cycles", "cool", "work"}
    asked = {field.live for one in QUESTIONS for field in one.fields if field.live}
    assert asked <= told


def test_signs_are_listed_with_their_sentences() -> None:
    signs = next(f for f in BY_NAME["bloom"].fields if isinstance(f, Signs))
    groups = dict(signs.groups())
    assert groups["What you see"]["dull"] == "the surface is dull"
    assert signs.read("dull soft") == ["dull", "soft"]
