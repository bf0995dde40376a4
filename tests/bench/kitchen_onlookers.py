"""Who else looks at a cycle of kitchens.py, and fills columns of its table.

An onlooker sees each reading as a keeper would show it and says at the end what it found. The
columns of identification, findings, forecast and of cycles that cannot succeed are filled here.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Protocol

from random_kitchens import Kitchen

from glossbath.client.messages import Reading


@dataclass
class Columns:
    """None is 'not measured'. Times in s; shares 0 to 1."""

    values: list[int] | None = None
    """What the board is told of this rig; None: nothing, it keeps the reference model."""
    identified: bool | None = None
    refused: str = ""
    """Why the identification refused its record."""
    findings: list[str] | None = None
    """What a person was told of this healthy kitchen."""
    forecast_error: float | None = None
    """Of the time to working temperature, said at the start, over the truth, less one."""
    forecast_later: float | None = None
    """The same ten minutes into the cycle."""
    hopeless_after_s: float | None = None
    """When it was said that the cycle cannot succeed."""
    extra: dict[str, float] = field(default_factory=dict)


class Onlooker(Protocol):
    """Looks at one cycle."""

    def look(self, reading: Reading) -> None:
        """A reading, once a second."""
        ...

    def tell(self, columns: Columns, ready_s: float | None) -> None:
        """Fill in columns; ready_s is when the hold began, if it did."""
        ...


def identify(kitchen: Kitchen, plant: str, columns: Columns) -> None:
    """Run this rig's identification: sets values, identified and refused."""


def onlookers(kitchen: Kitchen, plant: str) -> list[Onlooker]:
    """Those who look at a cycle in this kitchen."""
    return []
