"""What must not lead to heat: failed switches, a damaged flash, resets, and nobody at the rig."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from direct import Direct, direct, program
from firmware_variants import variant

from glossbath.virtual.virtual import Options

HOLD = program("hold", 30.5, 33.0)
AT_HOLD = Options(begin={"chocolate_c": 30.5, "bath_c": 30.5, "body_c": 30.5})
# No crystals form here, which would thicken the chocolate for as long as it is stirred.
KEEP = program("hold", 45.0, 50.0)
MOLTEN = Options(begin={"chocolate_c": 45.0, "bath_c": 45.0, "body_c": 45.0})
PROOF_S = 9.0


@pytest.mark.parametrize(
    ("fault", "code"),
    [
        ("relay_welded", "proof-relay"),
        ("switch_shorted", "proof-switch"),
        ("relay_dead", "proof-power"),
        ("switch_open", "proof-power"),
        ("cutout_open", "proof-power"),
        ("sense_dead", "proof-power"),
    ],
)
def test_a_failed_switch_is_found_before_heat(tmp_path: Path, fault: str, code: str) -> None:
    with direct(tmp_path) as d:
        setattr(d.rig.mains, fault, True)
        assert d.load()["ok"]
        took_s = d.until_trip(30)
        assert d.trips == [(code, "")]
        assert took_s <= 5.0 + PROOF_S  # the hand takes 2 s to the button
        d.run(3)
        assert d.dark and d.rig.heat_share == 0.0


def test_both_switches_closed_are_found_at_rest(tmp_path: Path) -> None:
    with direct(tmp_path) as d:
        d.run(5)
        d.rig.mains.relay_welded = d.rig.mains.switch_shorted = True
        assert d.until_trip(10) <= 2.5
        assert d.trips[0][0] == "unasked-heat"
        assert not d.ask("clear")["ok"]
        d.rig.mains.switch_shorted = False
        d.run(1)
        assert d.ask("clear")["ok"]


def test_nobody_at_the_button_ends_as_stopped(tmp_path: Path) -> None:
    with direct(tmp_path) as d:
        d.rig.hand.willing = False
        assert d.load()["ok"]
        d.until(lambda: d.state == "stopped", 305)
        assert d.dark and not d.trips
        assert [event["tr"] for event in d.events if event["e"] == "ended"] == ["arm"]


def _trip(d: Direct) -> None:
    d.heat(HOLD)
    d.rig.mains.stop_pressed = True
    d.until_trip(2)
    d.rig.mains.stop_pressed = False


@pytest.mark.parametrize("cause", [1, 3])
def test_a_trip_outlives_power_cut_and_watchdog(tmp_path: Path, cause: int) -> None:
    with direct(tmp_path) as d:
        _trip(d)
        d.restart(cause)
        assert d.reading["tr"] == "stop-button"
        assert not d.load(HOLD)["ok"]
        d.run(10)
        assert d.dark and d.state == "tripped"
        assert d.ask("clear")["ok"]
        d.heat(HOLD)


def test_after_a_hang_the_board_is_idle_and_after_three_it_is_locked(tmp_path: Path) -> None:
    with direct(tmp_path) as d:
        for count in (1, 2, 3):
            d.heat(HOLD)
            d.rig.stall_ms = 9_000
            resets = d.rig.resets
            d.until(lambda before=resets: d.rig.resets > before, 30)  # type: ignore[misc]
            d.rig.stall_ms = 0
            assert d.rig.heat_share == 0.0
            d.restarted()
            assert d.reading["st"] == ("tripped" if count == 3 else "idle")
            d.run(5)
            assert d.dark
        assert d.reading["tr"] == "reset-loop"
        d.restart(1)
        assert d.reading["tr"] == "reset-loop"
        assert d.ask("clear")["ok"]
        d.heat(HOLD)


def test_starts_that_are_cut_while_importing_are_counted(tmp_path: Path) -> None:
    with variant("cut while importing"), direct(tmp_path) as d:
        d.run(3)
        assert d.reading["st"] == "idle"
        (tmp_path / "flash" / "cuts").write_text("." * 10)
        d.restart(1)
        assert d.reading["tr"] == "reset-loop"
        assert not d.load(HOLD)["ok"]
        assert d.ask("clear")["ok"]
        d.restart(1)
        d.heat(HOLD)


def _damage(flash: Path, name: str) -> None:
    copies = list(flash.glob(name + ".[ab]"))
    assert copies
    for copy in copies:
        copy.write_bytes(b"\xff" * 64)


def test_a_damaged_record_of_a_trip_locks_until_cleared(tmp_path: Path) -> None:
    with direct(tmp_path) as d:
        _trip(d)
        _damage(tmp_path / "flash", "trip")
        d.restart(1)
        assert d.reading["tr"] == "record-lost"
        assert not d.load(HOLD)["ok"]
        assert d.ask("clear")["ok"]
        d.restart(1)
        assert d.reading["st"] == "idle"


def test_damaged_settings_do_not_heat(tmp_path: Path) -> None:
    with direct(tmp_path) as d:
        d.run(3)
        _damage(tmp_path / "flash", "settings")
        d.restart(1)
        answer = d.load(HOLD)
        assert (answer["ok"], answer["why"]) == (0, "objection")
        d.run(20)
        assert d.dark


@pytest.mark.parametrize("name", ["settings", "trip"])
def test_one_copy_of_two_that_is_damaged_does_not_heat(tmp_path: Path, name: str) -> None:
    with direct(tmp_path) as d:
        for _ in range(2):
            _trip(d)
            d.run(4)
            assert d.ask("clear")["ok"]
            d.rig.hand.holds_arm = True
            assert d.ask("set", key="limit.bath-hot", v=50_000)["ok"]
            d.rig.hand.holds_arm = False
        copy = tmp_path / "flash" / f"{name}.a"
        whole = bytearray(copy.read_bytes())
        whole[20] ^= 0x04
        copy.write_bytes(whole)
        d.restart(1)
        answer = d.load(HOLD)
        if name == "settings":
            assert (answer["at"], answer["d"]) == ("settings", "damaged")
        else:
            assert (answer["at"], d.trips) == ("tripped", [("record-lost", "damaged")])
        d.run(10)
        assert d.dark


def test_one_file_changed_does_not_heat(tmp_path: Path) -> None:
    with direct(tmp_path) as d:
        d.run(3)
        (module,) = tmp_path.glob("firmware-*/glossbath_board/limits.py")
        text = module.read_text()
        module.write_text(text.replace("const(60_000)", "const(66_000)", 1))
        d.restart(1)
        answer = d.load(HOLD)
        assert (answer["at"], answer["d"]) == ("files", "mixed")
        module.write_text(text)
        d.restart(1)
        d.heat(HOLD)


def test_start_files_of_another_firmware_do_not_heat(tmp_path: Path) -> None:
    with direct(tmp_path) as d:
        d.run(3)
        with open(tmp_path / "flash" / "main.py", "a") as file:
            file.write("# of another version")
        d.restart(1)
        answer = d.load(HOLD)
        assert (answer["at"], answer["d"]) == ("files", "mixed")


def test_a_limit_in_the_settings_holds_if_it_is_lower(tmp_path: Path) -> None:
    options = Options(begin=AT_HOLD.begin, limits={"bath-hot": 35_000})
    with direct(tmp_path, options) as d:
        d.heat(HOLD)
        d.rig.plant.add_water(0.5, 80.0)
        d.until_trip(30)
        assert d.trips[0][0] == "bath-hot"
        assert 35_000 < int(d.trips[0][1]) < 42_000


def test_a_limit_in_the_settings_that_is_higher_does_not_heat(tmp_path: Path) -> None:
    with direct(tmp_path, Options(limits={"bath-hot": 60_001})) as d:
        answer = d.load(HOLD)
        assert (answer["at"], answer["d"]) == ("settings", "limit bath-hot")


def test_a_hold_goes_on_alone_where_chosen_and_no_longer(tmp_path: Path) -> None:
    with direct(tmp_path, MOLTEN) as d:
        d.heat(KEEP, alone=60)
        d.leasing = False
        d.run(600)
        assert d.reading["st"] == "running" and not d.trips
        d.leasing = True
        d.run(3)
        (told,) = [event for event in d.events if event["e"] == "alone"]
        assert abs(told["ms"] - 600_000) < 3_000
    with direct(tmp_path / "again", replace(MOLTEN, limits={"lease": 5_000})) as d:
        d.heat(KEEP, alone=60)
        d.leasing = False
        assert 3_603 <= d.until_trip(3_700) <= 3_606.5
        assert d.trips[0][0] == "lease"
