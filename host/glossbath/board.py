"""What the board has said: its identity, its last reading, its state, in the host's units."""

from __future__ import annotations

from typing import Any

_PROBES = {"c": "chocolate", "w": "bath", "y": "body"}
_NUMBERS = ("t", "h", "x", "s", "ph", "pt", "d")


class Raw:
    """One checked reading: temperatures in °C or None with a word in faults, times in ms."""

    __slots__ = (
        "bath_c",
        "bath_target_c",
        "board_ms",
        "body_c",
        "chill_share",
        "chocolate_c",
        "dwell_ms",
        "faults",
        "heat_share",
        "index",
        "phase_ms",
        "state",
        "stir_share",
        "trip",
    )

    def __init__(self, message: dict[str, Any]) -> None:
        for key in _NUMBERS:
            if not isinstance(message.get(key), int):
                raise ValueError(f"reading without {key}")
        self.faults: dict[str, str] = {}
        temperatures = {}
        for key, name in _PROBES.items():
            value = message.get(key)
            if isinstance(value, int) and not isinstance(value, bool):
                temperatures[name] = value / 1000
            else:
                self.faults[name] = str(value)
        self.chocolate_c = temperatures.get("chocolate")
        self.bath_c = temperatures.get("bath")
        self.body_c = temperatures.get("body")
        target = message.get("u")
        self.bath_target_c = target / 1000 if isinstance(target, int) else None
        self.board_ms: int = message["t"]
        self.heat_share = message["h"] / 1000
        self.chill_share = message["x"] / 1000
        self.stir_share = message["s"] / 1000
        self.state = str(message.get("st"))
        self.index: int = message["ph"]
        self.phase_ms: int = message["pt"]
        self.dwell_ms: int = message["d"]
        self.trip = str(message.get("tr", ""))


class Board:
    """Folds the board's messages. `take` says what kind of news a message was."""

    def __init__(self) -> None:
        self.boot: int | None = None
        self.hello: dict[str, Any] = {}
        self.state = ""
        self.index = 0
        self.cycle = ""
        self.trip = ""
        self.trip_detail = ""
        self.raw: Raw | None = None
        self.health: dict[str, Any] = {}
        self.malformed = 0

    @property
    def known(self) -> bool:
        """Whether the board has said who it is since its last restart."""
        return bool(self.hello)

    @property
    def virtual(self) -> bool:
        """Whether the board says that it is a virtual rig."""
        return self.hello.get("rig") == "virtual"

    def take(self, message: dict[str, Any]) -> str:
        """News of one message: boot, hello, reading, state, trip, health, answer, other."""
        boot = message.get("b")
        news = ""
        if isinstance(boot, int) and boot != self.boot:
            news = "boot" if self.boot is not None else ""
            self.boot = boot
            self.hello = {}
        kind = message.get("k")
        if kind == "hello":
            self.hello = message
            return news or "hello"
        if kind == "r":
            try:
                self.raw = Raw(message)
            except ValueError:
                self.malformed += 1
                return news or "other"
            self.state, self.index = self.raw.state, self.raw.index
            self.trip = self.raw.trip
            return news or "reading"
        return news or self._event(kind, message)

    def _event(self, kind: object, message: dict[str, Any]) -> str:
        if kind == "e" and message.get("e") == "state":
            self.state = str(message.get("st"))
            index = message.get("ph")
            self.index = index if isinstance(index, int) else 0
            self.cycle = str(message.get("cy", ""))
            return "state"
        if kind == "e" and message.get("e") == "trip":
            self.trip = str(message.get("tr", ""))
            self.trip_detail = str(message.get("d", ""))
            return "trip"
        if kind == "s":
            self.health = message
            return "health"
        return "answer" if kind == "a" else "other"
