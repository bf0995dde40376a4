"""The lease: only the board's own answer counts as one, and a person hears when it is missing."""

from __future__ import annotations

from pathlib import Path

import pytest
from stand_in_board import Rig

from glossbath.client.messages import Snapshot


@pytest.fixture
def rig(tmp_path: Path) -> Rig:
    made = Rig(tmp_path)
    assert made.start().ok
    made.run(5)
    return made


def newest(rig: Rig) -> Snapshot:
    return next(m for m in reversed(rig.messages) if isinstance(m, Snapshot))


def test_a_board_that_reports_and_takes_no_lease_is_told(rig: Rig) -> None:
    # Without the lease the board drops heat within 6 s: the person must hear why, not find out.
    assert newest(rig).health.lease_ok
    assert "lease-unconfirmed" not in rig.alarms()
    rig.board.answering = False
    leases = rig.board.kinds("lease")
    rig.run(12)
    assert rig.board.kinds("lease") > leases
    assert "lease-unconfirmed" in rig.alarms()
    assert not rig.keeper.snapshot().health.lease_ok


def test_a_refused_lease_is_no_lease(rig: Rig) -> None:
    rig.board.answering = False
    for _ in range(12):
        last = next(order for order in reversed(rig.board.sent) if order["k"] == "lease")
        rig.board.say({"k": "a", "i": last["i"], "ok": 0, "why": "busy"})
        rig.run(1)
    assert not rig.keeper.snapshot().health.lease_ok
    assert "lease-unconfirmed" in rig.alarms()


def test_an_answer_to_another_order_is_no_lease(rig: Rig) -> None:
    rig.board.answering = False
    for number in range(12):
        rig.board.say({"k": "a", "i": 10**9 + number, "ok": 1})
        rig.run(1)
    assert not rig.keeper.snapshot().health.lease_ok
