"""Lots followed both ways; rework and forks."""

from __future__ import annotations

import pytest

from glossbath.chocolate.tracing import trace
from glossbath.errors import InputError

LINKS = [
    ("bean-7", "mass-1"), ("mass-1", "batch-3"), ("sugar-1", "batch-3"), ("sugar-1", "batch-4"),
    ("batch-3", "bars-1"), ("batch-3", "bars-2"), ("batch-4", "bars-3"), ("batch-3", "batch-4"),
]  # fmt: skip


def test_one_lot_in_which_bars_out() -> None:
    assert trace(LINKS, "bean-7").ends == ["bars-1", "bars-2", "bars-3"]
    assert trace(LINKS, "batch-4").ends == ["bars-3"]


def test_one_bar_what_is_in_it() -> None:
    made = trace(LINKS, "bars-3")
    assert set(made.made_of) == {"batch-4", "sugar-1", "batch-3", "mass-1", "bean-7"}
    assert made.went_into == []


def test_rework_does_not_go_round_for_ever() -> None:
    links = [("batch-1", "batch-2"), ("batch-2", "batch-1"), ("batch-2", "bars-1")]
    made = trace(links, "batch-1")
    assert made.went_into == ["batch-2", "bars-1"]
    assert made.ends == ["bars-1"]


def test_a_lot_that_nobody_wrote_down_is_refused() -> None:
    with pytest.raises(InputError, match="is not written down"):
        trace(LINKS, "bean-8")
