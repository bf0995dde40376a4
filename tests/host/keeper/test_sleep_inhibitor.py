"""Whether the computer can be kept awake differs; it is always said."""

from __future__ import annotations

from glossbath.keeper.sleep_inhibitor import ASLEEP_TEXT, AWAKE_TEXT, SleepInhibitor


def test_it_says_whether_the_computer_stays_awake() -> None:
    awake = SleepInhibitor()
    said = awake.ask()
    assert said == (AWAKE_TEXT if awake.active else ASLEEP_TEXT)
    assert awake.ask() == said
    awake.release()
    assert not awake.active
