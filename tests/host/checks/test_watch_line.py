"""The host's own cut-offs: stirrer, line, record and probes that say nothing good."""

from __future__ import annotations

import pytest
from watched_rig import RECIPE, Rig


def test_a_stirrer_that_loses_its_load_is_told() -> None:
    rig = Rig()
    for _ in range(20):
        rig.second(stir_ma=240)
    for _ in range(3):
        rig.second(stir_ma=80)
    assert rig.found == {"stir-light": "80 mA"}


def test_chocolate_that_thins_while_it_melts_is_no_lost_load() -> None:
    # 4.3 % a kelvin (estimate of the plant), 20 K in half an hour: 600 falls to 250 mA.
    rig = Rig()
    for second in range(1800):
        celsius = 26 + 20 * second / 1800
        rig.second(
            chocolate=celsius,
            bath=celsius + 1,
            body=celsius + 4,
            stir_ma=round(600 - 0.194 * second),
        )
    assert rig.found == {}


def test_a_stirrer_that_is_held_is_told() -> None:
    rig = Rig()
    for _ in range(4):
        rig.second(stir=0.0)
    assert rig.found.keys() == {"stir-withheld"}


def test_heat_that_is_held_back_is_told() -> None:
    rig = Rig()
    for _ in range(22):
        rig.second(heat=0.0, bath=46.0, target=50.0)
    assert rig.found.keys() == {"heat-withheld"}


def test_silence_is_told_then_trips() -> None:
    rig = Rig()
    rig.second()
    rig.quiet(3.9)
    assert rig.found == {}
    rig.quiet(1.0)
    assert rig.found.keys() == {"readings-missing"}
    rig.quiet(6.0)
    assert rig.trips == {"host-stale"}


def test_readings_that_come_again_are_not_fresh() -> None:
    rig = Rig()
    for _ in range(5):
        rig.second()
    for _ in range(12):
        rig.board_ms -= 1_000
        rig.second()
    assert "host-stale" in rig.trips


def test_readings_that_come_late_are_not_fresh() -> None:
    rig = Rig()
    for _ in range(5):
        rig.second()
    rig.now_ms += 30_000
    for _ in range(12):
        rig.second()
    assert "host-stale" in rig.trips


def test_a_cable_that_is_out_explains_the_silence() -> None:
    rig = Rig()
    rig.second()
    rig.line = rig.line._replace(connected=False)
    rig.quiet(8.0)
    assert rig.found.keys() == {"link-lost"}
    rig.quiet(4.0)
    assert rig.trips == {"host-stale"}


def test_a_lease_that_nobody_confirms_is_told() -> None:
    rig = Rig()
    for second in range(8):
        rig.line = rig.line._replace(lease_age_ms=1_000 * second)
        rig.second()
    assert rig.found.keys() == {"lease-unconfirmed"}


def test_a_noisy_line_is_told() -> None:
    rig = Rig()
    for second in range(70):
        rig.line = rig.line._replace(bad_lines=second)
        rig.second()
    assert rig.found.keys() == {"line-noisy"}


def test_a_noisy_line_is_told_once_half_a_minute_is_over() -> None:
    rig = Rig()
    rig.second()
    for second in range(29):
        rig.line = rig.line._replace(bad_lines=second)
        rig.second()
    assert not rig.found
    rig.second()
    assert rig.found.keys() == {"line-noisy"}


@pytest.mark.parametrize(("lines", "told"), [(9, False), (10, True)])
def test_one_damaged_line_in_three_seconds_is_noise(lines: int, told: bool) -> None:
    rig = Rig()
    for second in range(31):
        rig.line = rig.line._replace(bad_lines=min(second, lines))
        rig.second()
    assert (rig.found.get("line-noisy") == f"{lines} in 30 s") == told


def test_a_record_that_cannot_be_written_is_told_in_its_own_words() -> None:
    rig = Rig()
    rig.line = rig.line._replace(record_failure="The record is full.")
    rig.second(chocolate=60.0)
    assert rig.found["log-failing"] == "The record is full."
    assert "host-hot" in rig.trips


@pytest.mark.parametrize("word", ["crc", "absent", "short", "power-on"])
def test_a_fault_word_is_told_when_it_lasts(word: str) -> None:
    rig = Rig()
    rig.second(bath=word, heat=0.0)
    assert rig.found == {}
    for _ in range(3):
        rig.second(bath=word, heat=0.0)
    assert rig.found == {"bad-bath": word}


def test_a_probe_that_stays_lost_ends_the_cycle() -> None:
    rig = Rig()
    for _ in range(14):
        rig.second(bath="absent", heat=0.0)
    assert rig.trips == set()
    for _ in range(4):
        rig.second(bath="absent", heat=0.0)
    assert rig.trips == {"host-blind"}


def test_a_hold_that_may_go_on_alone_is_not_ended_for_silence_sooner() -> None:
    # A person chose ten minutes: a laptop that naps for one must not cost the batch.
    hold = len(RECIPE.phases) - 1
    for alone_ms, ends in ((600_000, False), (0, True)):
        rig = Rig(begun=False)
        rig.watch.begin(RECIPE, 1.0, "ours", rig.now_ms, alone_ms)
        for _ in range(5):
            rig.second(index=hold, chocolate=30.5, bath=31.0, body=33.0, target=31.0, heat=0.1)
        rig.look()
        rig.look(boot_ms=60_000)
        rig.quiet(60.0)
        assert bool(rig.trips) is ends, alone_ms
