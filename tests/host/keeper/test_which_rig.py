"""Which rig a person means who names one, or none."""

from __future__ import annotations

import contextlib
import socket
from collections.abc import Iterator
from pathlib import Path

import pytest

from glossbath.client.launch import answering, the_rig
from glossbath.client.paths import runtime_folder
from glossbath.errors import InputError, KeeperError


@pytest.fixture(autouse=True)
def own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("GLOSSBATH_RUN", str(tmp_path))


@contextlib.contextmanager
def keepers(*rigs: str) -> Iterator[None]:
    """Somebody listens where these rigs' keepers would."""
    with contextlib.ExitStack() as ends:
        for rig in rigs:
            end = ends.enter_context(socket.socket(socket.AF_UNIX))
            end.bind(str(runtime_folder() / f"{rig}.keeper"))
            end.listen()
        yield


def test_the_only_one_that_runs_is_meant_whatever_it_is_called() -> None:
    with keepers("north"):
        assert the_rig("") == "north"
        assert the_rig("north") == "north"


def test_one_of_several_must_be_named() -> None:
    with keepers("north", "south"):
        assert answering() == ["north", "south"]
        assert the_rig("south") == "south"
        with pytest.raises(InputError, match=r"Several rigs run: north, south\. Name one"):
            the_rig("")


def test_a_name_that_does_not_run_is_told_with_those_that_do() -> None:
    with (
        keepers("north"),
        pytest.raises(KeeperError, match=r"No keeper of rig 'east' runs\. Running: north\."),
    ):
        the_rig("east")
    with pytest.raises(KeeperError, match=r"No keeper runs on this computer\."):
        the_rig("east")


def test_without_any_the_way_to_start_one_is_told() -> None:
    with pytest.raises(KeeperError, match=r"No keeper runs .* Start a cycle with glossbath run"):
        the_rig("")


def test_a_file_that_a_killed_keeper_left_behind_is_nobody() -> None:
    with keepers("north"):
        pass
    assert answering() == []


def test_a_name_that_no_rig_can_have_is_refused_as_one() -> None:
    with keepers("north"), pytest.raises(InputError, match="must be 1 to 32 letters"):
        the_rig("../north")
