"""The host's own cut-offs with the board's supervisor taken away: its table of cut-offs is empty
in a copy of the firmware. What is left is the host, and it must keep the chocolate below its
limit."""

from __future__ import annotations

from pathlib import Path

import pytest
from campaign import WatchedWorld
from host_cases import CASES, HostCase, measure, running
from scenes import SCENES
from witness import UNASKED_MOST_S

from glossbath.checks import words

OVER_C = 1.0


def ends(world: WatchedWorld, scene: str, within_s: float) -> tuple[str, float]:
    """Wait for the host's trip: its code, and the seconds it took. Heat must be off for good."""
    seconds = world.until(lambda: bool(world.result), within_s)
    world.run(60)
    assert world.witness is not None
    assert world.result == "tripped"
    assert world.witness.hottest_c <= SCENES[scene].recipe.max_c + OVER_C
    assert world.witness.heat_after_end_s is None
    code = world.events("trip")[0].code
    assert code in words.codes()
    alarm = world.alarms()[0]
    assert (alarm.code, alarm.state, alarm.priority) == (code, "latched", "high")
    assert "trip" in {event.kind for event in _record(world)}
    return code, seconds


def _record(world: WatchedWorld) -> list:
    from glossbath.record import open_cycle

    assert world.keeper.batch is not None
    return list(open_cycle(world.keeper.batch.folder).events())


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.id)
def test_fault_ends_in_the_computers_own_trip_in_time(case: HostCase, tmp_path: Path) -> None:
    with running(tmp_path, case.scene, case.firmware, case.parameters) as world:
        took_s = measure(world, case)
        assert case.allowed_s is None or took_s <= case.allowed_s
        assert ends(world, case.scene, 20)[0] == case.code


def test_every_trip_of_the_computer_has_a_fault_that_brings_it_about() -> None:
    trips = {code for code in words.codes() if words.meaning(code).priority == words.HIGH}  # type: ignore[union-attr]
    assert trips == {case.code for case in CASES}


def test_a_keeper_that_comes_back_stops_a_board_that_heats_without_it(tmp_path: Path) -> None:
    with running(tmp_path, "melt") as world:
        world.keeper_alive = False
        world.link.close()
        world.run(30)
        assert world.rig.heat_share > 0, "without its lease row this board must heat on"
        world.keeper = world.new_keeper()
        world.keeper_alive = True
        world.until(lambda: world.state == "stopped", 6)
        assert "without having been started" in world.alarms()[0].happened


def test_a_keeper_that_was_frozen_stops_the_rig_when_it_wakes(tmp_path: Path) -> None:
    with running(tmp_path, "melt") as world:
        world.keeper_alive = False
        world.run(30)
        world.keeper_alive = True
        code, _ = ends(world, "melt", 5)
        assert code == "host-absent"


def test_a_board_that_ignores_a_stop_is_told_to_the_person(tmp_path: Path) -> None:
    with running(tmp_path, "melt", "no cut-offs, deaf to stop") as world:
        world.ask("stop")
        world.until(lambda: "host-contradiction" in {alarm.code for alarm in world.alarms()}, 8)
        alarm = world.alarms()[0]
        assert "after a stop" in alarm.happened
        assert "stop button" in alarm.do_now
        sent_before = world.link.written()
        world.run(10)
        assert world.link.written() - sent_before > 9 * 40, "stop must be repeated"


def test_unasked_heat_after_the_stop_lasts_no_longer_than_the_relay(tmp_path: Path) -> None:
    with running(tmp_path, "melt", "no cut-offs, full heat") as world:
        world.rig.mains.switch_shorted = True
        assert world.witness is not None
        ends(world, "melt", 2_400)
        assert world.witness.unasked_s <= UNASKED_MOST_S
