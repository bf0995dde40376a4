"""Every keeper on this computer and what it says of itself."""

from __future__ import annotations

from typing import Any

from glossbath.errors import KeeperError

from .client import KeeperClient
from .messages import Snapshot
from .paths import keepers


def survey() -> list[dict[str, Any]]:
    """One entry a keeper: rig, answers, virtual, state, recipe, result, folder."""
    found = []
    for rig, path in keepers():
        entry: dict[str, Any] = {"rig": rig, "answers": False, "virtual": None, "state": ""}
        entry.update(recipe="", result="", folder="")
        try:
            with KeeperClient(path) as client:
                client.wait(2.0)
                for message in client.drain():
                    if isinstance(message, Snapshot):
                        entry.update(answers=True, virtual=message.virtual, state=message.state)
                        entry.update(
                            recipe=message.recipe, result=message.result, folder=message.folder
                        )
        except KeeperError:
            pass
        found.append(entry)
    return found
