"""What a person can do in the kitchen of a virtual rig that this program brought up."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol


@dataclass(frozen=True)
class Fault:
    """A fault to practise on: its name, what may be done about it now, whether it is there."""

    name: str
    words: str
    there: bool


class Kitchen(Protocol):
    """Its calls may take seconds, so a screen makes them in a thread. Each raises KeeperError."""

    @property
    def rig(self) -> str:
        """The virtual rig's name."""

    def ready_for(self, chocolate: str, kg: float) -> bool:
        """Whether a fresh bowl of that stands there, with fresh water and ice."""

    def new_bowl(self, chocolate: str = "", kg: float = 0.0) -> str:
        """A fresh bowl, water and ice, every fault gone; what stands there now, in words. Nothing
        named is as it was. The rig and its keeper begin anew under the same name."""

    def faults(self) -> list[Fault]:
        """Every fault to practise on."""

    def turn(self, name: str) -> str:
        """Put a fault in, or take it out; what was done, in words."""
