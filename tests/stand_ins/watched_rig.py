"""A watch of the host's, with a cycle of dark chocolate under way and readings made by hand."""

from __future__ import annotations

from typing import Any

from glossbath.board.state import Raw
from glossbath.checks import Line, Moment, Watch
from glossbath.recipe import load

RECIPE = load("dark")
MELT = RECIPE.phases[0]


def raw(ms: int, **changes: Any) -> Raw:
    """A reading of a rig that melts; temperatures in °C, shares 0 to 1."""
    values: dict[str, Any] = {
        "chocolate": 44.0,
        "bath": 50.0,
        "body": 54.0,
        "heat": 0.5,
        "chill": 0.0,
        "stir": 0.5,
        "stir_ma": None,
        "target": 50.0,
        "state": "running",
        "index": 0,
        "phase_ms": 1_000,
        **changes,
    }
    probe = {
        key: value if isinstance(value, str) else round(value * 1000)
        for key, value in (
            ("c", values["chocolate"]),
            ("w", values["bath"]),
            ("y", values["body"]),
        )
    }
    return Raw(
        {
            "t": ms,
            **probe,
            "u": round(values["target"] * 1000),
            "h": round(values["heat"] * 1000),
            "x": round(values["chill"] * 1000),
            "s": round(values["stir"] * 1000),
            "m": values["stir_ma"],
            "st": values["state"],
            "ph": values["index"],
            "pt": values["phase_ms"],
            "d": 0,
        }
    )


class Rig:
    """A watch with a cycle under way and a clock that moves one second a reading."""

    def __init__(self, begun: bool = True) -> None:
        self.watch = Watch()
        self.now_ms = 100_000
        self.board_ms = 5_000
        self.found: dict[str, str] = {}
        self.trips: set[str] = set()
        self.line = Line(True, True, 0, 0, "")
        if begun:
            self.watch.begin(RECIPE, 1.0, "ours", self.now_ms)

    def second(self, **changes: Any) -> None:
        """A second later a reading comes in."""
        self.after(1_000, **changes)

    def after(self, ms: int, leased: bool = True, cycle: str = "ours", **changes: Any) -> None:
        """So much later a reading comes in, of this cycle; leased: the lease was renewed."""
        self.now_ms += ms
        self.board_ms += ms
        if leased:
            self.watch.lease_sent(self.now_ms)
        self.watch.reading(raw(self.board_ms, **changes), cycle, self.now_ms)
        self.look()

    def look(self, wall_ms: int = 0, boot_ms: int = 0) -> None:
        """Ask what is wrong now; the arguments are what these clocks are ahead."""
        now = Moment(self.now_ms, self.now_ms + boot_ms, self.now_ms + wall_ms)
        for finding in self.watch.absence(now) + self.watch.present(self.line, self.now_ms):
            self.found.setdefault(finding.code, finding.detail)
            if finding.trip:
                self.trips.add(finding.code)

    def quiet(self, seconds: float) -> None:
        """Nothing comes for so long; the keeper steps four times a second."""
        for _ in range(round(seconds * 4)):
            self.now_ms += 250
            self.look()
