"""One fault of the campaign: how it is put into the rig, and what end is expected of it."""

from __future__ import annotations

import random
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from world import World

Put = Callable[[World, random.Random], None]
Later = tuple[float, Put]
"""Seconds after the fault, and what happens then."""

NONE: frozenset[str] = frozenset()
OFF = frozenset({"tripped"})
GOES_ON = frozenset({"running"})
ANY = frozenset({"tripped", "running", "stopped", "complete"})
PROBES = ("chocolate", "bath", "body")


@dataclass(frozen=True)
class Fault:
    """One way in which things go wrong; times in s after it happened, temperatures in °C.

    `told` holds the codes of which at least one must reach the person; other trips than those in
    `told` and `also` would tell the wrong thing. `blind` names probes whose wrong reading nothing
    on the rig can show, with the reason in `why`.
    """

    put: Put
    scene: str = "melt"
    later: tuple[Later, ...] = ()
    ends: frozenset[str] = OFF
    """running: the cycle goes on."""
    told: frozenset[str] = NONE
    also: frozenset[str] = NONE
    surely_s: float | None = None
    """Whatever the rig was about, the person is told within this time."""
    hidden_by: frozenset[str] = NONE
    """Names of faults behind which nothing can show this one."""
    heat_off_s: float | None = None
    """No heat flows later than this; whatever the rig was about if surely_s is given or away."""
    unasked_s: float = 0.0
    """Heat that may flow unasked, where the fault takes away what would show it soonest."""
    at_s: float = 0.0
    """When it happens, after the scene has begun."""
    within_s: float = 60.0
    blind: frozenset[str] = NONE
    why: str = ""
    silent_on: Mapping[str, str] = field(default_factory=dict)
    """Plants on which nobody need be told, each with the reason."""
    resets: int = 0
    before_start: bool = False
    """The fault is there when the cycle is ordered."""
    away: bool = False
    """The computer does not run meanwhile; one run has room for one of these."""
    port: bool = False
    """Needs a real pseudo-terminal."""
    after: Callable[[World], list[str]] | None = None
    """A last check once the run is over."""
    by_disk: bool = False
    """What shows it is the record's own thread, which takes the computer's time, not the rig's."""
    alone: bool = False
    """Not for random runs: it needs its own beginning, or takes long to show."""


def codes(*names: str) -> frozenset[str]:
    """A set of codes."""
    return frozenset(names)


def bad(probe: str) -> frozenset[str]:
    """Codes for a probe that gives fault words."""
    return codes(f"probe-{probe}", f"bad-{probe}")


PROBE_CODES = NONE.union(*(bad(name) for name in PROBES))
PLACES = codes(
    "swapped",
    "chocolate-apart",
    "body-apart",
    "body-cold",
    "host-implausible",
    "host-dry",
    "reading-jumped",
    "jump-chocolate",
    "jump-bath",
    "jump-body",
    "stuck-chocolate",
    "stuck-bath",
    "stuck-body",
    "host-forecast",
    "unasked-warming",
    "host-unasked",
    "heat-missing",
    "no-effect",
    "chill-weak",
    "heat-weak",
    "host-rise",
    "reading-doubtful",
    "heat-lost",
    "heat-withheld",
)
"""Whatever a probe in the wrong place, or heat that goes astray, may look like."""
