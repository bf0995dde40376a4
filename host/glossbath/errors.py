"""Every error the host raises on purpose.

GlossbathError            a sentence for a person; exit code 1
├── InputError            what the person gave cannot be used; exit code 2
│   └── RecipeError       a recipe file or value is not acceptable
├── LinkError             the board cannot be reached or does not speak as it should
├── OrderRefused          the board refused an order, with its reason
├── KeeperError           a keeper cannot be started, found or asked
├── StepFailed            a step of a commissioning was not passed
└── LogError              a cycle folder cannot be read or written
"""

from __future__ import annotations

QUOTED = 60
"""Letters of a person's own text that a sentence repeats."""


class GlossbathError(Exception):
    """A failure that is told to a person in one sentence."""

    exit_code = 1


class InputError(GlossbathError):
    """Input that cannot be used: names what, where, the limit, the unit and what to do."""

    exit_code = 2


class RecipeError(InputError):
    """A recipe that is not acceptable."""


class LinkError(GlossbathError):
    """The board cannot be reached or does not speak as it should."""


class OrderRefused(GlossbathError):
    """The board refused an order."""


class KeeperError(GlossbathError):
    """A keeper cannot be started, found or asked."""


class StepFailed(GlossbathError):
    """A step of a commissioning was not passed."""


class LogError(GlossbathError):
    """A cycle folder cannot be read or written."""


def quoted(text: str) -> str:
    """What a person gave, in quotes on one line and cut short, to stand in a sentence."""
    shown = "".join(c if c.isprintable() else " " for c in text)
    return f"'{shown if len(shown) <= QUOTED else shown[: QUOTED - 1] + '…'}'"
