"""Which keeper owns which board: a command that needs one starts it, and takes no other for it."""

from __future__ import annotations

import os

from glossbath.errors import InputError

PATIENCE_S = 2.0


def keeper_of(rig: str, port: str, hook: str) -> None:
    """See to it that this rig's keeper runs on that port.

    Raises LinkError for a port that is not there, and InputError where the keeper has another
    board: what identifies a keeper is its board, not its name.
    """
    from glossbath.board.link import named_port
    from glossbath.client.launch import answers, connect, start_keeper
    from glossbath.client.messages import Snapshot

    if not answers(rig):
        start_keeper(rig, named_port(port), hook=hook)
        return
    if hook:
        raise InputError(
            f"The keeper of rig '{rig}' runs already, without this --hook: end it with glossbath "
            f"end --rig {rig} first, or leave --hook out."
        )
    if port == "auto":
        return
    wanted, held = named_port(port), ""
    with connect(rig) as client:
        client.wait(PATIENCE_S)
        for message in client.drain():
            if isinstance(message, Snapshot):
                held = message.port
    if os.path.realpath(held) != os.path.realpath(wanted):
        raise InputError(
            f"The keeper of rig '{rig}' has the board at {held or 'another port'}, not at "
            f"{wanted}: give the other rig a name with --rig, or end that keeper with glossbath "
            f"end --rig {rig}."
        )
