"""What the keeper does about what it finds: stop until it is seen, no lease, alarm, record."""

from __future__ import annotations

import csv
import itertools
import shutil
from datetime import datetime
from itertools import pairwise
from pathlib import Path

import pytest
from stand_in_board import Rig

from glossbath.board.clock import iso
from glossbath.client.messages import Reading

HOT = {"c": 53_000}


@pytest.fixture
def rig(tmp_path: Path) -> Rig:
    rig = Rig(tmp_path / "cycles")
    assert rig.start().ok
    assert rig.keeper.snapshot().state == "running"
    return rig


def record(rig: Rig) -> list[tuple[str, str]]:
    """Kind and code of every event that is on the disk now."""
    assert rig.keeper.batch is not None
    with open(Path(rig.keeper.batch.folder) / "events.csv", newline="") as file:
        return [(row["kind"], row["code"]) for row in csv.DictReader(file)]


def on_disk(rig: Rig, entry: tuple[str, str]) -> bool:
    """Whether an event is in the record although the cycle goes on; the disk has a second."""
    assert rig.keeper.batch is not None
    for _ in range(1_000):
        if entry in record(rig):
            return True
        rig.keeper.batch.writer._scribe._thread.join(0.001)
    return False


def test_a_finding_stops_the_rig_and_ends_the_lease(rig: Rig) -> None:
    leases = rig.board.kinds("lease")
    rig.board.values.update(HOT)
    rig.run(2)
    assert rig.board.kinds("stop") >= 1
    rig.run(10)
    assert rig.board.kinds("lease") <= leases + 1
    assert rig.result == "tripped"
    assert rig.alarms() == {"host-hot": "latched"}


def test_a_stop_is_repeated_until_it_is_seen(rig: Rig) -> None:
    rig.board.obeying = False
    rig.board.values.update(HOT)
    rig.run(10)
    assert 8 <= rig.board.kinds("stop") <= 12
    assert rig.result == ""
    assert "host-contradiction" in rig.alarms()
    rig.board.obeying = True
    rig.run(3)
    assert rig.result == "tripped"
    stops = rig.board.kinds("stop")
    rig.run(5)
    assert rig.board.kinds("stop") == stops


def test_a_stop_that_nobody_answers_ends_when_the_lease_is_over(rig: Rig) -> None:
    rig.board.values.update(HOT)
    rig.board.obeying = False
    rig.run(1)
    rig.board.answering = rig.board.reporting = False
    rig.run(12)
    assert rig.result == "tripped"
    assert "unseen" in [event.code for event in rig.events("keeper")]
    end = rig.events("state")[-1]
    assert (end.code, end.values) == ("tripped", {"confirmed": False})
    assert "not confirmed" in end.text


def test_a_stop_that_the_board_confirmed_is_recorded_as_such(rig: Rig) -> None:
    assert rig.ask("stop").ok
    rig.run(1)
    end = rig.events("state")[-1]
    assert (end.code, end.values) == ("stopped", {})
    assert "not confirmed" not in end.text


def test_a_trip_is_in_the_record_before_the_cycle_has_ended(rig: Rig) -> None:
    rig.board.obeying = False
    rig.board.values.update(HOT)
    rig.run(2)
    assert rig.result == ""
    assert on_disk(rig, ("trip", "host-hot"))


def test_nothing_starts_until_a_person_has_cleared_the_trip(rig: Rig) -> None:
    rig.board.values.update(HOT)
    rig.run(5)
    rig.board.values.update(c=44_000)
    refused = rig.start()
    assert not refused.ok
    assert "clear it first" in refused.text
    assert rig.ask("acknowledge").ok
    assert rig.alarms() == {"host-hot": "acknowledged"}
    assert not rig.start().ok
    assert rig.ask("clear").ok
    assert rig.alarms() == {}
    assert rig.start().ok


def test_a_trip_is_not_cleared_while_the_cycle_runs(rig: Rig) -> None:
    rig.board.obeying = False
    rig.board.values.update(HOT)
    rig.run(2)
    assert not rig.ask("clear").ok
    assert "host-hot" in rig.alarms()


def test_a_trip_of_the_board_is_told_once_with_its_reason(rig: Rig) -> None:
    rig.board.say({"k": "e", "e": "trip", "tr": "bath-hot", "d": "60500"})
    rig.board.values.update(st="tripped", h=0, tr="bath-hot")
    rig.board.say({"k": "e", "e": "state", "st": "tripped", "ph": 0, "cy": rig.board.cycle})
    rig.run(5)
    trips = rig.events("trip")
    assert [event.code for event in trips] == ["bath-hot"]
    assert "60.5 °C" in trips[0].text
    assert rig.result == "tripped"


def test_a_lost_line_comes_and_goes_as_an_alarm(rig: Rig) -> None:
    rig.board.connected = False
    rig.board.open = lambda: False  # type: ignore[method-assign]
    rig.run(2)
    assert rig.alarms() == {"link-lost": "raised"}
    del rig.board.open  # type: ignore[method-assign]
    rig.run(15)
    assert rig.alarms() == {"link-lost": "returned"}
    rig.ask("acknowledge", code="link-lost")
    assert rig.alarms() == {}
    assert rig.told("link-lost") == ["raised", "returned", "cleared"]
    assert rig.result == ""


def test_a_flickering_fault_is_one_alarm(rig: Rig) -> None:
    for _ in range(5):
        rig.board.values.update(w="crc", h=0)
        rig.run(3)
        rig.board.values.update(w=45_000)
        rig.run(3)
    assert rig.told("bad-bath") == ["raised"]


def test_a_record_that_fails_is_told_and_the_rig_is_supervised_as_before(rig: Rig) -> None:
    assert rig.keeper.batch is not None
    cycles = Path(rig.keeper.batch.folder).parent
    cycles.rename(cycles.with_name("away"))
    for _ in range(200):
        rig.run(1)
        if "log-failing" in rig.alarms():
            break
    assert rig.alarms() == {"log-failing": "raised"}
    alarm = rig.keeper.snapshot().alarms[0]
    assert "is not being written" in alarm.happened
    assert not rig.keeper.snapshot().health.log_ok
    assert rig.result == ""
    rig.board.values.update(HOT)
    rig.run(3)
    assert rig.result == "tripped"
    shutil.rmtree(cycles.with_name("away"))


def test_the_hook_hears_of_trips_and_ends(rig: Rig) -> None:
    rig.board.values.update(HOT)
    rig.run(4)
    heard = [(each.event, each.code) for each in rig.hook.occasions]
    assert heard == [("trip", "host-hot"), ("end", "tripped")]
    trip = rig.hook.occasions[0]
    assert trip.rig == "north" and trip.virtual and trip.recipe == "Dark"
    assert "53.0 °C" in trip.text
    assert Path(trip.folder).is_dir()


def test_the_hook_hears_of_a_good_end(rig: Rig) -> None:
    rig.board.values.update(st="complete", h=0)
    rig.run(2)
    assert [(each.event, each.code) for each in rig.hook.occasions] == [("end", "complete")]


def test_a_hook_that_fails_is_an_event_and_an_alarm(rig: Rig) -> None:
    rig.hook.failing.append("exit code 3")
    rig.run(1)
    assert rig.alarms() == {"hook-failed": "raised"}
    assert "exit code 3" in rig.events("alarm")[0].text
    assert rig.result == ""


def test_a_restart_of_the_board_ends_the_cycle_and_nothing_resumes(rig: Rig) -> None:
    rig.board.boot += 1
    rig.board.ms = 0
    rig.board.values.update(st="idle", h=0)
    starts = rig.board.kinds("start")
    rig.run(20)
    assert rig.result == "tripped"
    assert rig.alarms() == {"board-restarted": "latched"}
    assert rig.board.kinds("start") == starts


def test_a_board_that_runs_for_somebody_else_is_stopped(tmp_path: Path) -> None:
    rig = Rig(tmp_path)
    rig.board.values.update(st="running")
    rig.run(4)
    assert rig.board.kinds("stop") >= 1
    assert rig.keeper.snapshot().state == "stopped"
    assert "without having been started" in rig.keeper.snapshot().alarms[0].happened
    assert not rig.start().ok


def test_what_the_board_mentions_is_told(rig: Rig) -> None:
    rig.board.say({"k": "e", "e": "also", "tr": "stop-button"})
    rig.board.say({"k": "e", "e": "ended", "tr": "arm"})
    rig.board.say({"k": "e", "e": "alone", "ms": 90_000})
    rig.board.say({"k": "e", "e": "flash"})
    rig.board.say({"k": "e", "e": "something new"})
    rig.run(1)
    told = {event.code: event.text for event in rig.events("board")}
    assert "also" in told["stop-button"]
    assert "arm button" in told["arm"]
    assert "90 s" in told["alone"]
    assert "board-flash" in rig.alarms()


def test_a_phase_that_the_recipe_does_not_have_harms_nobody(rig: Rig) -> None:
    rig.board.values.update(ph=7)
    rig.run(3)
    assert rig.result == "tripped"
    assert rig.alarms() == {"host-contradiction": "latched"}


def test_a_frozen_keeper_stops_the_rig_before_it_reads_old_news(rig: Rig) -> None:
    rig.clock.ms += 30_000
    rig.board.values.update(st="tripped", h=0, tr="lease")
    rig.board.second()
    rig.run(1)
    assert [event.code for event in rig.events("trip")] == ["host-absent", "lease"]
    assert rig.result == "tripped"


def readings(rig: Rig) -> list[Reading]:
    """Every reading that clients were told."""
    return [message for message in rig.messages if isinstance(message, Reading)]


def test_time_runs_on_after_the_end_of_a_cycle(rig: Rig) -> None:
    rig.messages.clear()
    rig.run(5)
    rig.ask("stop")
    rig.run(3)
    assert rig.result == "stopped"
    told_s = [reading.time_s for reading in readings(rig)]
    assert all(0 < later - earlier <= 2 for earlier, later in pairwise(told_s))
    rig.keeper.mention("awake", "The computer may sleep again.")
    assert told_s[-1] <= rig.events("keeper")[-1].time_s <= told_s[-1] + 2


def test_the_room_is_told_with_every_reading(rig: Rig) -> None:
    rig.board.say({"k": "s", "p": 4, "o": 0, "rt": 21_480, "rh": 52_300})
    rig.run(2)
    newest = readings(rig)[-1]
    assert (newest.room_c, newest.room_rh_percent) == (21.48, 52.3)
    rig.board.say({"k": "s", "p": 8, "o": 0, "rt": "absent", "rh": 200_000})
    rig.run(2)
    newest = readings(rig)[-1]
    assert (newest.room_c, newest.room_rh_percent) == (None, None)


def test_the_two_clocks_of_a_row_are_one_moment(rig: Rig) -> None:
    seconds = itertools.count(1_800_000_000)
    rig.clock.wall_ns = lambda: next(seconds) * 10**9  # type: ignore[method-assign]
    rig.run(5)
    rig.ask("stop")
    assert rig.keeper.batch is not None
    with open(Path(rig.keeper.batch.folder) / "readings.csv", newline="") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) > 5
    for row in rows:
        utc = datetime.fromisoformat(row["utc"])
        assert round(utc.timestamp() * 1000) == int(row["wall_ns"]) // 1_000_000


def test_a_cycle_is_found_by_the_day_on_which_it_began(
    rig: Rig, monkeypatch: pytest.MonkeyPatch
) -> None:
    rig.ask("stop")
    # A virtual rig goes through an hour in a minute: its time has run a month ahead.
    rig.clock.wall_set_ms = 30 * 86_400_000
    today = iso(rig.clock.wall_ns() - 30 * 86_400 * 10**9)[:10]
    monkeypatch.setattr(rig.clock, "take_date", lambda: setattr(rig.clock, "wall_set_ms", 0))
    assert rig.start().ok
    assert rig.keeper.batch is not None
    assert Path(rig.keeper.batch.folder).name.startswith(today)
