"""A bad recipe is refused in one sentence that says what, where, the limit and what to do."""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest

from glossbath import recipe
from glossbath.errors import RecipeError

GOOD = recipe.dump(recipe.load("dark"))


def refusal(text: str) -> str:
    with pytest.raises(RecipeError) as caught:
        recipe.loads(text, "my.toml")
    sentence = str(caught.value)
    assert sentence.startswith("my.toml")
    assert "\n" not in sentence
    assert re.search(r"[^.?][.?]$", sentence)
    assert len(sentence) < 400
    return sentence


def changed(phase: str, key: str, value: str) -> str:
    """The good recipe with another value in a phase, or before the phases for phase ''."""
    start = GOOD.index(f'name = "{phase}"') if phase else 0
    head, tail = GOOD[:start], GOOD[start:]
    new_tail, count = re.subn(
        rf"^{key} = .*$", lambda _: f"{key} = {value}", tail, count=1, flags=re.MULTILINE
    )
    assert count == 1
    return head + new_tail


def without_phase(name: str) -> str:
    tables = GOOD.split("[[phase]]\n")
    return "[[phase]]\n".join(table for table in tables if f'name = "{name}"' not in table)


@pytest.mark.parametrize("name", ["melt", "soak", "cool", "reheat", "hold"])
def test_missing_phase(name: str) -> None:
    assert f"phase {name} is missing" in refusal(without_phase(name))


def test_no_phases() -> None:
    assert "[[phase]]" in refusal(GOOD.split("[[phase]]")[0])


def test_phase_table_written_singly() -> None:
    assert "[[phase]]" in refusal(GOOD.split("[[phase]]")[0] + "[phase.melt]\ntarget_c = 48\n")


def test_unknown_phase() -> None:
    assert "did you mean reheat?" in refusal(GOOD.replace('"reheat"', '"rehaet"'))


def test_phase_twice() -> None:
    table = GOOD.split("[[phase]]\n")[1]
    assert "phase melt is there twice" in refusal(GOOD + "[[phase]]\n" + table)


def test_phases_out_of_order() -> None:
    swapped = (
        GOOD.replace('"melt"', '"other"').replace('"soak"', '"melt"').replace('"other"', '"soak"')
    )
    sentence = refusal(swapped)
    assert "out of order" in sentence
    assert "melt, soak, cool, reheat, hold" in sentence


def test_window_upside_down() -> None:
    sentence = refusal(changed("cool", "window_c", "[29, 28]"))
    for word in ("phase cool", "window_c", "29 °C", "28 °C", "upside down"):
        assert word in sentence


@pytest.mark.parametrize("target", ["27.999", "29.001"])
def test_target_outside_its_window(target: str) -> None:
    sentence = refusal(changed("cool", "target_c", target))
    for word in ("phase cool", f"target_c is {target} °C", "28 to 29 °C"):
        assert word in sentence


@pytest.mark.parametrize(
    ("phase", "key", "value", "limit"),
    [
        # 55 and 60 °C: the board's ceilings for chocolate and bath, see safety.md.
        ("melt", "target_c", "55.001", "15 to 55 °C"),
        ("melt", "window_c", "[46, 56]", "15 to 55 °C"),
        ("melt", "bath_c", "[20, 60.001]", "5 to 60 °C"),
        ("", "max_c", "55.5", "20 to 55 °C"),
    ],
)
def test_above_the_ceiling(phase: str, key: str, value: str, limit: str) -> None:
    sentence = refusal(changed(phase, key, value))
    assert key in sentence
    assert limit in sentence


def test_window_above_the_recipes_own_maximum() -> None:
    sentence = refusal(changed("", "max_c", "49"))
    for word in ("phase melt", "50 °C", "max_c of 49 °C"):
        assert word in sentence


def test_fahrenheit_is_recognised() -> None:
    # 118.4 °F is 48 °C: the definition of the scale, °F = 32 + 1.8 °C.
    sentence = refusal(changed("melt", "target_c", "118.4"))
    for word in ("phase melt", "target_c is 118.4 °C", "15 to 55 °C", "Fahrenheit", "48.0 °C"):
        assert word in sentence


def test_a_key_with_another_unit_is_refused_with_the_right_one() -> None:
    sentence = refusal(GOOD.replace("target_c = 48", "target_f = 118.4", 1))
    for word in ("phase melt", "target_f", "write target_c", "Fahrenheit"):
        assert word in sentence
    assert "write dwell_min" in refusal(GOOD.replace("dwell_min = 10", "dwell_s = 600", 1))


@pytest.mark.parametrize("value", ['"48 °C"', '"48"', "true", "[48]", "{}", "1979-05-27"])
def test_a_number_must_be_a_plain_number(value: str) -> None:
    sentence = refusal(changed("melt", "target_c", value))
    for word in ("phase melt", "target_c", "must be a number in °C", "without quotes or unit"):
        assert word in sentence


@pytest.mark.parametrize("value", ["nan", "-nan", "inf", "-inf", "-1", "1e308", "9" * 200])
@pytest.mark.parametrize(
    "key", ["target_c", "dwell_min", "timeout_min", "stir_percent", "fat_percent", "max_c"]
)
def test_nan_infinite_negative_and_absurd_numbers(key: str, value: str) -> None:
    phase = "" if key in ("fat_percent", "max_c") else "melt"
    assert f"{key} is " in refusal(changed(phase, key, value))


def test_a_number_too_long_for_python_to_show() -> None:
    assert "absurd size" in refusal(changed("melt", "target_c", "0x" + "f" * 9000))
    assert "not TOML" in refusal(changed("melt", "target_c", "9" * 9000))


@pytest.mark.parametrize("value", ["[28]", "[28, 29, 30]", "28", '["28", "29"]', "[nan, 29]"])
def test_window_must_be_two_numbers(value: str) -> None:
    sentence = refusal(changed("cool", "window_c", value))
    assert "phase cool" in sentence
    assert "window_c" in sentence


@pytest.mark.parametrize(("key", "value"), [("dwell_min", "180"), ("timeout_min", "1")])
def test_dwell_must_be_shorter_than_timeout(key: str, value: str) -> None:
    sentence = refusal(changed("melt", key, value))
    assert "dwell_min" in sentence
    assert "less than timeout_min" in sentence


def test_hold_longer_than_any_cycle() -> None:
    text = GOOD.replace("timeout_min = 180", "timeout_min = 700").replace(
        "timeout_min = 360", "timeout_min = 800"
    )
    assert "the board ends any cycle after 24 h" in refusal(text)


@pytest.mark.parametrize(
    ("phase", "bath", "remedy"),
    [
        ("melt", "[20, 48.4]", "raise its upper end to 48.5 °C"),
        ("reheat", "[27, 30.9]", "raise its upper end to 31 °C"),
        ("cool", "[28.1, 33]", "lower its lower end to 28 °C"),
        ("hold", "[31, 33]", "lower its lower end to 30.5 °C"),
    ],
)
def test_bath_that_cannot_reach_the_target(phase: str, bath: str, remedy: str) -> None:
    sentence = refusal(changed(phase, "bath_c", bath))
    assert f"phase {phase}" in sentence
    assert "cannot bring chocolate to its target" in sentence
    assert remedy in sentence


def test_cooling_must_cool_and_reheating_heat() -> None:
    text = changed("cool", "target_c", "47").replace("[28, 29]", "[28, 48]")
    hot = text.replace("bath_c = [21, 31]", "bath_c = [21, 50]").replace(
        "target_c = 47", "target_c = 48"
    )
    assert "phase cool: target_c is 48 °C, not below that of soak" in refusal(hot)
    cold = changed("reheat", "target_c", "28").replace("[30, 31]", "[27, 31]")
    assert "target_c is 28.5 °C, above that of reheat, 28 °C" in refusal(cold)


def test_unknown_key_names_the_nearest() -> None:
    assert "did you mean stir_percent?" in refusal(GOOD.replace("stir_percent", "stirr_prcent", 1))
    assert "did you mean sources?" in refusal(GOOD.replace("sources", "soruces"))
    assert "known are name, chocolate" in refusal("xyzzy = 1\n" + GOOD)


def test_missing_key() -> None:
    text = GOOD.replace("target_c = 48\n", "", 1)
    assert "phase melt: target_c is missing" in refusal(text)
    assert "max_c is missing" in refusal(GOOD.replace("max_c = 52\n", ""))


@pytest.mark.parametrize("value", ['""', '"   "', '"a\\u0007b"', '"a\\nb"', "5", "true", "[]"])
def test_name_must_be_a_readable_line(value: str) -> None:
    assert "name is " in refusal(changed("", "name", value))


def test_text_too_long() -> None:
    assert "name has 41 characters, the limit is 40" in refusal(
        changed("", "name", '"' + "x" * 41 + '"')
    )
    sources = 'sources = ["' + "x" * 301 + '"]'
    text = GOOD[: GOOD.index("sources")] + sources + "\n" + GOOD[GOOD.index("\n[[phase]]") :]
    assert "sentence 1 of sources has 301 characters" in refusal(text)


@pytest.mark.parametrize("value", ["[]", '"one"', "[" + '"x",' * 21 + "]", "[5]"])
def test_sources_must_be_sentences(value: str) -> None:
    text = GOOD[: GOOD.index("sources")] + f"sources = {value}\n" + GOOD[GOOD.index("\n[[ph") :]
    assert "of sources" in refusal(text) or "sources must be a list" in refusal(text)


@pytest.mark.parametrize("value", ['"ruby"', "1", "[]"])
def test_kind_of_chocolate(value: str) -> None:
    assert "one of dark, milk, white, own" in refusal(changed("", "chocolate", value))


@pytest.mark.parametrize("value", ["0", "1.5", "true", '"1"', "10000"])
def test_version_must_be_a_small_whole_number(value: str) -> None:
    assert "version is " in refusal(changed("", "version", value))


def test_composition_must_add_up() -> None:
    head, tables = GOOD.split("[[phase]]", 1)
    start = head + "[composition]\ncarbohydrate_percent = "
    good = recipe.loads(f"{start}62\n[[phase]]{tables}", "my.toml")
    assert good.composition is not None
    assert good.composition.carbohydrate_share == 0.62
    assert "adds up to 86 %" in refusal(f"{start}50\n[[phase]]{tables}")
    assert "composition" in refusal(f"{start}nan\n[[phase]]{tables}")
    assert "composition must be a table" in refusal(f"composition = 3\n{GOOD}")


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("", "is empty"),
        (" \n\t\n", "is empty"),
        ("melt at 48 degrees", "not TOML"),
        ("a = " + "[" * 30_000, "not TOML"),
        (GOOD + "\n[[phase]", "not TOML"),
        (GOOD + "# " + "x" * 70_000, "longer than 64 KB"),
    ],
)
def test_not_a_recipe_text(text: str, word: str) -> None:
    assert word in refusal(text)


def file_refusal(path: str | Path) -> str:
    with pytest.raises(RecipeError) as caught:
        recipe.load(path)
    sentence = str(caught.value)
    assert "\n" not in sentence
    return sentence


def test_ten_megabytes_are_refused_unread(tmp_path: Path) -> None:
    path = tmp_path / "big.toml"
    path.write_bytes(b"# " + b"x" * 10_000_000)
    assert "longer than 64 KB" in file_refusal(path)


def test_file_that_is_not_utf8(tmp_path: Path) -> None:
    path = tmp_path / "latin.toml"
    path.write_bytes(b'name = "cr\xe8me"')
    sentence = file_refusal(path)
    assert "not UTF-8" in sentence
    assert "byte 11" in sentence


def test_folder_missing_file_and_misspelt_name(tmp_path: Path) -> None:
    assert "is a folder" in file_refusal(tmp_path)
    assert "no recipe file" in file_refusal(tmp_path / "none.toml")
    assert "did you mean dark?" in file_refusal("drak")
    assert "dark, dark-seeded, milk, white" in file_refusal("no such name")
    assert "cannot be read" in file_refusal("nul\0byte")
    assert "cannot be read" in file_refusal("x" * 5000)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="the system has no named pipes")
def test_a_pipe_is_refused_instead_of_waited_for(tmp_path: Path) -> None:
    path = tmp_path / "pipe.toml"
    os.mkfifo(path)
    assert "not an ordinary file" in file_refusal(path)


def test_a_file_is_read_as_windows_writes_it(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    path.write_bytes(b"\xef\xbb\xbf" + GOOD.replace("\n", "\r\n").encode())
    assert recipe.load(path) == recipe.load("dark")
    assert recipe.load(str(path)) == recipe.load("dark")


def test_the_file_is_named_in_the_refusal(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    path.write_text(changed("cool", "target_c", "82"), encoding="utf-8")
    assert str(path) in file_refusal(path)
