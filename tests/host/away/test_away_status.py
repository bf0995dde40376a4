"""How the telling goes is there for every screen, as it is now."""

from __future__ import annotations

import pytest

from glossbath.client import away_status
from glossbath.client.away_status import AwayStatus


@pytest.mark.usefixtures("run_folder")
def test_what_has_changed_is_read_and_what_has_not_is_not_written_again() -> None:
    failing = AwayStatus(targets=1, not_delivered={"https://example.org": "08:12"})
    for status in (AwayStatus(targets=1), failing, AwayStatus(targets=1, delivered=1)):
        away_status.write("notifier", status)
        found = away_status.read("notifier")
        assert found is not None
        assert (found.delivered, found.not_delivered) == (status.delivered, status.not_delivered)
    path = next(away_status.runtime_folder().glob("*.status"))
    before = path.stat().st_ino
    away_status.write("notifier", AwayStatus(targets=1, delivered=1))
    assert path.stat().st_ino == before  # a disk that wears is spared
