"""How notices reach their targets when the network, the night or the person is away."""

from __future__ import annotations

from datetime import datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from glossbath.away.notice import Notice
from glossbath.away.outbox import GIVE_UP_S, MOST_REPEATS, MOST_WAITING, Outbox, urgency, words
from glossbath.away.targets import Target

NOON = datetime(2025, 3, 1, 12, 0)
PHONE = Target("1", "json://phone.invalid")


class Network:
    """Time, and a network that can be away."""

    def __init__(self, outbox: Outbox, begin: datetime = NOON) -> None:
        self.outbox = outbox
        self.now_s = 0.0
        self.begin = begin
        self.away = False
        self.received: list[tuple[float, str, str]] = []

    @property
    def now(self) -> datetime:
        return self.begin + timedelta(seconds=self.now_s)

    def add(self, notice: Notice, *targets: Target) -> None:
        self.outbox.add(notice, list(targets or (PHONE,)), self.now_s, self.now)

    def go(self, seconds: float) -> None:
        until = self.now_s + seconds
        while self.now_s < until:
            for letter in self.outbox.take_due(self.now_s, self.now):
                if not self.away:
                    self.received.append((self.now_s, *words(letter, self.now)))
                self.outbox.settle(letter, not self.away, self.now_s)
            self.now_s += 1.0


def notice(event: str = "ended", key: str = "a", **more: object) -> Notice:
    return Notice(key, event, "kitchen", f"kitchen: {event}", "In words.", **more)  # type: ignore[arg-type]


def test_a_notice_arrives_once_and_at_once():
    network = Network(Outbox())
    network.add(notice())
    network.go(3600)
    assert network.received == [(0.0, "kitchen: ended", "In words.")]
    assert len(network.outbox) == 0


def test_after_an_hour_without_network_all_that_still_matters_arrives():
    network = Network(Outbox())
    network.away = True
    asked = [True]
    network.add(notice("trip", "trip"))
    network.add(notice("ended", "end"))
    network.add(notice("ask", "ask", matters=lambda: asked[0]))
    network.go(1800)
    assert network.outbox.failing_since == {"1": NOON}
    asked[0] = False  # somebody came by and put the seed in
    network.go(1800)
    network.away = False
    network.go(600)
    titles = sorted(title for _, title, _ in network.received)
    assert titles == ["kitchen: ended", "kitchen: trip"]
    assert all(text.startswith("At 12:00: ") for _, _, text in network.received)
    assert network.outbox.failing_since == {}


def test_a_trip_is_told_again_until_somebody_has_seen_to_it():
    network = Network(Outbox())
    seen = [False]
    network.add(notice("trip", answered=lambda: seen[0]))
    network.go(119)
    assert len(network.received) == 1
    network.go(2)
    assert "not answered, told 2 times" in network.received[1][1]
    seen[0] = True
    network.go(24 * 3600)
    assert len(network.received) == 2


def test_an_alarm_becomes_urgent_when_nobody_answers_and_a_trip_is_from_the_first() -> None:
    """IEC 62682 lets the urgency of an alarm rise that is not acknowledged."""
    outbox = Outbox()
    outbox.add(notice("alarm", "alarm", answered=lambda: False), [PHONE], 0.0, NOON)
    outbox.add(notice("trip", "trip", answered=lambda: False), [PHONE], 0.0, NOON)
    rings = []
    for now_s in (0.0, 120.0):
        letters = outbox.take_due(now_s, NOON)
        rings.append({letter.notice.event: urgency(letter) for letter in letters})
        for letter in letters:
            outbox.settle(letter, True, now_s)
    assert rings == [
        {"alarm": "warning", "trip": "failure"},
        {"alarm": "failure", "trip": "failure"},
    ]


def test_nobody_is_told_for_ever():
    network = Network(Outbox())
    network.add(notice("trip", answered=lambda: False))
    network.go(3 * 24 * 3600)
    assert len(network.received) == 1 + MOST_REPEATS


def test_quiet_hours_hold_back_all_but_a_trip():
    night = Target("1", "json://phone.invalid", quiet="22:00-07:00")
    network = Network(Outbox(), datetime(2025, 3, 1, 23, 0))
    network.add(notice("ended", "end"), night)
    network.add(notice("trip", "trip"), night)
    network.go(60)
    assert [title for _, title, _ in network.received] == ["kitchen: trip"]
    network.go(8 * 3600)
    assert network.received[1][1] == "kitchen: ended"
    assert network.received[1][2].startswith("At 23:00: ")


def test_a_target_hears_only_of_what_it_asked_for():
    network = Network(Outbox())
    network.add(notice("ended"), Target("1", "json://phone.invalid", events=("trip",)))
    network.go(60)
    assert network.received == []


def test_a_network_that_never_comes_back_costs_no_memory():
    network = Network(Outbox())
    network.away = True
    network.add(notice("trip", "trip"))
    for number in range(2 * MOST_WAITING):
        network.add(notice("ready", str(number)))
    assert len(network.outbox) == MOST_WAITING
    network.go(GIVE_UP_S + 3600)
    assert len(network.outbox) == 0
    assert network.outbox.dropped == 2 * MOST_WAITING + 1


@given(st.times(), st.integers(0, 23), st.integers(0, 23))
def test_quiet_hours_reach_over_midnight(at, begin, end):
    target = Target("1", "json://phone.invalid", quiet=f"{begin:02d}:00-{end:02d}:00")
    hours = [(begin + n) % 24 for n in range((end - begin) % 24)]
    assert target.is_quiet(at) == (at.hour in hours)
