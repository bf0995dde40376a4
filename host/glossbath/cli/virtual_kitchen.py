"""The kitchen of the virtual rig that a screen brings up: fresh bowls, and faults to practise on.

A new bowl is a new rig under the same name: its board, water and ice begin anew too, and so does
its clock, which the cycle before may have carried far into the future.
"""

from __future__ import annotations

import contextlib
from dataclasses import dataclass

from glossbath.client.launch import connect
from glossbath.errors import KeeperError
from glossbath.tui.kitchen import Fault

from .demo import VirtualKeeper, virtual_keeper, virtual_name, wait_for_board

KINDS = ("dark", "milk", "white")


@dataclass(frozen=True)
class Practice:
    """A fault: orders for the virtual hands to put it in and to take it out, and words for both.
    One that is over by itself has no `out`."""

    offer: str
    told: str
    put: str
    out: str = ""
    put_right: str = ""


PRACTICE = {
    "probe": Practice(
        "Pull the chocolate probe's plug", "the chocolate probe was unplugged.",
        "pull chocolate", "mend chocolate", "the chocolate probe was plugged in again.",
    ),
    "lid": Practice(
        "Take the lid off the bath", "the lid was taken off.",
        "take lid", "put lid", "the lid was put on again.",
    ),
    "pump": Practice(
        "Unplug the ice water pump", "the ice water pump was unplugged.",
        "pump off", "pump on", "the ice water pump was plugged in again.",
    ),
    "power": Practice(
        "Cut the board's power for ten seconds", "the board's power was cut for ten seconds.",
        "cut power 10",
    ),
    "belt": Practice(
        "Take the stirrer's belt off", "the stirrer's belt was taken off.",
        "paddle off", "paddle on", "the stirrer's belt was put on again.",
    ),
    "water": Practice(
        "Drip water into the chocolate", "water was dripped into the chocolate.",
        "drip water", "", "",
    ),
}  # fmt: skip
LASTING = ("water",)
"""What only a new bowl puts right."""


class VirtualKitchen:
    """Brings up a virtual rig when called for the first time, and ends it with the context."""

    def __init__(self, speed: float) -> None:
        self.rig = virtual_name()
        self._speed = speed
        self._running = contextlib.ExitStack()
        self._virtual: VirtualKeeper | None = None
        self._kind, self._kg = "dark", 1.0
        self._there: set[str] = set()

    def __enter__(self) -> VirtualKitchen:
        return self

    def __exit__(self, *_: object) -> None:
        self._running.close()

    def __call__(self) -> str:
        """The rig's name; raises KeeperError when it does not come up."""
        if self._virtual is None or self._virtual.keeper.poll() is not None:
            self.new_bowl()
        return self.rig

    def ready_for(self, chocolate: str, kg: float) -> bool:
        """Whether a bowl of that stands there that nobody has worked with."""
        if self._there or (_kind(chocolate), kg) != (self._kind, self._kg):
            return False
        with connect(self.rig) as client:
            return not wait_for_board(client).folder

    def new_bowl(self, chocolate: str = "", kg: float = 0.0) -> str:
        """End the rig that is there, if any, and bring up another; raises KeeperError."""
        self._kind = _kind(chocolate) if chocolate else self._kind
        self._kg = kg or self._kg
        self._virtual = None
        self._running.close()
        self._there.clear()
        self._virtual = self._running.enter_context(
            virtual_keeper(self._speed, chocolate=self._kind, batch_kg=self._kg)
        )
        with connect(self.rig) as client:
            wait_for_board(client)
        return f"A new bowl: {self._kg:g} kg of {self._kind} chocolate, fresh water and ice."

    def faults(self) -> list[Fault]:
        """Every fault to practise on, those that are there with the way to put them right."""
        return [
            Fault(name, f"Put right: {it.told}" if name in self._there else it.offer, there)
            for name, it in PRACTICE.items()
            if not ((there := name in self._there) and name in LASTING)
        ]

    def turn(self, name: str) -> str:
        """Put a fault in, or take it out; raises KeeperError when the rig has gone."""
        fault, virtual = PRACTICE[name], self._virtual
        if virtual is None:
            raise KeeperError("The virtual rig has gone: start it again.")
        away = name in self._there and bool(fault.out)
        try:
            virtual.order(fault.out if away else fault.put)
        except (OSError, ValueError) as error:
            raise KeeperError("The virtual rig has gone: start it again.") from error
        if away:
            self._there.discard(name)
            return fault.put_right
        if fault.out or name in LASTING:
            self._there.add(name)
        return fault.told


def _kind(chocolate: str) -> str:
    return chocolate if chocolate in KINDS else "dark"
