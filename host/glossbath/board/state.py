"""What the board has said: its identity, its last reading, its state, in the host's units."""

from __future__ import annotations

import re
from typing import Any, NamedTuple, TypeGuard

from glossbath.client.messages import Reading
from glossbath.recipe import Recipe
from glossbath_board.limits import MAX_PHASES
from glossbath_board.version import PROTOCOL

STATES = ("idle", "waiting", "testing", "running", "held", "complete", "stopped", "tripped")
HEATING = ("running", "held")
ENDED = ("complete", "stopped", "tripped")
OFF = ("idle", *ENDED)
"""States in which the board drives neither heat nor chill nor stirrer."""
_PROBES = {"c": "chocolate", "w": "bath", "y": "body"}
_LONG_MS = 10**12  # some thirty years
_ALL = 1_000  # permille
_MOST_BOOT = 1 << 30
_IDENTITY = ("eng", "id", "rig")  # of a hello
_LONGEST_TEXT = 200  # no frame is longer
_CODE = re.compile(r"[a-z0-9-]{1,40}")
# key, lowest, highest of what every reading has
_NUMBERS = (
    ("t", 0, _LONG_MS),
    ("h", 0, _ALL),
    ("x", 0, _ALL),
    ("s", 0, _ALL),
    ("ph", 0, MAX_PHASES - 1),
    ("pt", 0, _LONG_MS),
    ("d", 0, _LONG_MS),
)
_MOST_MA = 100_000
_MOST_MRH = 100_000  # of 1/1000 %
_COLDEST_MC, _HOTTEST_MC = -100_000, 1_000_000  # beyond what any probe can give


def _whole(value: Any, low: int, high: int) -> TypeGuard[int]:
    return isinstance(value, int) and not isinstance(value, bool) and low <= value <= high


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
        "stir_ma",
        "stir_share",
        "trip",
    )

    def __init__(self, message: dict[str, Any]) -> None:
        for key, low, high in _NUMBERS:
            if not _whole(message.get(key), low, high):
                raise ValueError(f"reading without a fitting {key}")
        if message.get("st") not in STATES:
            raise ValueError("reading without a state")
        self.faults: dict[str, str] = {}
        temperatures = {}
        for key, name in _PROBES.items():
            value = message.get(key)
            if _whole(value, _COLDEST_MC, _HOTTEST_MC):
                temperatures[name] = value / 1000
            else:
                self.faults[name] = str(value)
        self.chocolate_c = temperatures.get("chocolate")
        self.bath_c = temperatures.get("bath")
        self.body_c = temperatures.get("body")
        target = message.get("u")
        self.bath_target_c = target / 1000 if _whole(target, _COLDEST_MC, _HOTTEST_MC) else None
        self.board_ms: int = message["t"]
        self.heat_share = message["h"] / 1000
        self.chill_share = message["x"] / 1000
        self.stir_share = message["s"] / 1000
        current = message.get("m")
        self.stir_ma = float(current) if _whole(current, 0, _MOST_MA) else None
        self.state = str(message.get("st"))
        self.index: int = message["ph"]
        self.phase_ms: int = message["pt"]
        self.dwell_ms: int = message["d"]
        self.trip = code_word(message.get("tr", ""))


class News(NamedTuple):
    """What one message told: boot, hello, reading, state, trip, note, health, answer or other; the
    reading where it was one."""

    kind: str
    reading: Raw | None = None


OTHER = News("other")


def _raw(message: dict[str, Any]) -> Raw | None:
    try:
        return Raw(message)
    except ValueError:
        return None


def as_data(value: Any) -> Any:
    """What a board said, with every text in it bounded, on one line and in UTF-8: whatever stands
    in it can be shown, stored and sent on."""
    if isinstance(value, str):
        shown = "".join(c if c.isprintable() else " " for c in value[:_LONGEST_TEXT])
        return shown.encode("utf-8", "replace").decode()
    if isinstance(value, dict):
        return {as_data(key): as_data(item) for key, item in value.items()}
    return [as_data(item) for item in value] if isinstance(value, list) else value


def code_word(value: Any) -> str:
    """The code of a cut-off; a word of its own for what cannot be one."""
    text = str(value)
    return text if not text or _CODE.fullmatch(text) else "unknown-code"


class Board:
    """Folds the board's messages. `receive` gives what a message told."""

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
        self._stranger: int | None = None

    @property
    def known(self) -> bool:
        """Whether the board has said who it is since its last restart."""
        return bool(self.hello)

    @property
    def virtual(self) -> bool:
        """Whether the board says that it is a virtual rig."""
        return self.hello.get("rig") == "virtual"

    @property
    def room_c(self) -> float | None:
        """Air of the room in °C as last told; None where no sensor tells it."""
        value = self.health.get("rt")
        return value / 1000 if _whole(value, _COLDEST_MC, _HOTTEST_MC) else None

    @property
    def room_rh_percent(self) -> float | None:
        """Relative humidity of the room in % as last told; None where no sensor tells it."""
        value = self.health.get("rh")
        return value / 1000 if _whole(value, 0, _MOST_MRH) else None

    def cleared(self) -> None:
        """The board took a clear: its next reading says so too, but a moment later."""
        self.trip = self.trip_detail = ""
        self.state = "idle"

    def reading(self, raw: Raw, time_s: float, wall: str, recipe: Recipe | None) -> Reading:
        """A reading as clients get it; without a recipe there is no target."""
        phase = None
        if recipe is not None and raw.state in HEATING and raw.index < len(recipe.phases):
            phase = recipe.phases[raw.index]
        left_s = None
        if phase is not None and phase.name == "hold":
            left_s = max(0.0, phase.dwell_s - raw.dwell_ms / 1000)
        return Reading(
            time_s=time_s,
            wall=wall,
            chocolate_c=raw.chocolate_c,
            bath_c=raw.bath_c,
            body_c=raw.body_c,
            target_c=phase.target_c if phase else None,
            bath_target_c=raw.bath_target_c,
            heat_share=raw.heat_share,
            chill_share=raw.chill_share,
            stir_share=raw.stir_share,
            state=raw.state,
            phase=phase.name if phase else "",
            phase_index=raw.index,
            phase_elapsed_s=raw.phase_ms / 1000,
            dwell_s=raw.dwell_ms / 1000,
            phase_left_s=left_s,
            cycle_left_s=None,
            faults=raw.faults,
            room_c=self.room_c,
            room_rh_percent=self.room_rh_percent,
            stir_ma=raw.stir_ma,
        )

    @property
    def refusal(self) -> str:
        """Why no host of this version can work with the board, in words; empty when it can."""
        if not self.hello or self.hello.get("v") == PROTOCOL:
            return ""
        return (
            f"The board's firmware {self.hello.get('fw', '')} speaks version "
            f"{self.hello.get('v', 'unknown')} of the protocol, this program version {PROTOCOL}: "
            "install the firmware that belongs to it with glossbath install."
        )

    def receive(self, message: dict[str, Any]) -> News:
        """Fold one message, of which `as_data` was made; gives what it told."""
        kind, boot = message.get("k"), message.get("b")
        raw = _raw(message) if kind == "r" else None
        hello = kind == "hello" and all(isinstance(message.get(key), str) for key in _IDENTITY)
        if not _whole(boot, 0, _MOST_BOOT) or (kind in ("r", "hello") and not (raw or hello)):
            return OTHER
        restarted = False
        if boot != self.boot:
            if not self._believed(boot, hello, raw is not None):
                return OTHER
            restarted = self.boot is not None
            self.boot = boot
            self.hello = {}
        self._stranger = None
        news = OTHER
        if hello:
            self.hello = message
            news = News("hello")
        elif raw is not None:
            self.raw = raw
            self.state, self.index, self.trip = raw.state, raw.index, raw.trip
            news = News("reading", raw)
        elif not restarted:
            news = self._event(kind, message)
        return News("boot", news.reading) if restarted else news

    def _believed(self, boot: int, hello: bool, reading: bool) -> bool:
        """Whether the board has restarted: it says hello, or two readings in a row say so. What
        has strayed here from elsewhere is no reason to end a cycle."""
        if self.boot is None or hello:
            return hello or reading
        again = reading and boot == self._stranger
        self._stranger = boot if reading else self._stranger
        return again

    def _event(self, kind: object, message: dict[str, Any]) -> News:
        if kind == "e" and message.get("e") == "state":
            state, index = message.get("st"), message.get("ph")
            if state not in STATES or not _whole(index, 0, MAX_PHASES - 1):
                return OTHER
            self.state, self.index = str(state), index
            self.cycle = str(message.get("cy", ""))
            return News("state")
        if kind == "e" and message.get("e") == "trip":
            self.trip = code_word(message.get("tr", ""))
            self.trip_detail = str(message.get("d", ""))
            return News("trip")
        if kind == "e":
            return News("note")
        if kind == "s":
            if not all(_whole(message.get(key), 0, _LONG_MS) for key in ("p", "o")):
                return OTHER
            self.health = message
            return News("health")
        return News("answer") if kind == "a" else OTHER
