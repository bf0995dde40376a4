"""Where a keeper listens: one lock decides, nothing of another's is taken away."""

from __future__ import annotations

import os
import shutil
import socket
import stat
from pathlib import Path

import pytest

from glossbath.errors import InputError, KeeperError
from glossbath.keeper.place import Place


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "run" / "north.keeper"


@pytest.fixture
def place(path: Path) -> Place:
    path.parent.mkdir()
    return Place(path)


def connects(path: Path) -> bool:
    with socket.socket(socket.AF_UNIX) as peer:
        return peer.connect_ex(str(path)) == 0


def test_what_lies_there_listens_from_its_first_moment(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path.parent.mkdir()
    appeared: list[bool] = []
    replace = Path.replace

    def watched(self: Path, target: Path) -> Path:
        found = replace(self, target)
        if target == path:
            appeared.append(connects(path))
        return found

    monkeypatch.setattr(Path, "replace", watched)
    Place(path).close()
    assert appeared == [True]


def test_a_second_of_the_same_name_is_refused_and_harms_nothing(path: Path, place: Place) -> None:
    with pytest.raises(KeeperError, match="runs already"):
        Place(path)
    assert connects(path)
    place.close()
    assert not path.exists()


def test_its_files_are_private_whatever_the_umask(path: Path) -> None:
    path.parent.mkdir()
    before = os.umask(0)
    try:
        made = Place(path)
    finally:
        os.umask(before)
    for file in path.parent.iterdir():
        assert stat.S_IMODE(file.stat().st_mode) == 0o600, file
    made.close()


def test_a_folder_that_was_removed_is_made_and_bound_again(path: Path, place: Place) -> None:
    assert not place.lost()
    shutil.rmtree(path.parent)
    assert place.lost()
    place.again()
    assert not place.lost()
    assert connects(path)
    place.close()


def test_one_that_ends_leaves_the_socket_of_another(path: Path, place: Place) -> None:
    shutil.rmtree(path.parent)
    path.parent.mkdir()
    other = Place(path)  # took the name before the first looked
    place.again()
    assert place.lost()
    place.close()
    assert connects(path)
    other.close()


def test_a_folder_that_is_not_there_is_told(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"No such file .*GLOSSBATH_RUN"):
        Place(tmp_path / "nowhere" / "north.keeper")
