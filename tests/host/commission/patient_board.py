"""A good board in a few lines, for what a walk waits for and how long.

Time goes on only where the walk waits. What a test breaks it sets here, or has happen `later`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import inf
from types import SimpleNamespace
from typing import Any

from glossbath.board.dialog import Dialog
from glossbath.commission.words import INPUTS
from glossbath.errors import LinkError, OrderRefused

PASS_MS = 250
EPOCH_NS = 1_800_000_000_000_000_000  # 15 January 2027, 08:00 UTC: GNU date -u -d @1800000000
PROOF_S = 2.0
LEASE_S = 6.25  # a pass late
TRIAL_S = 3.0

Act = Callable[["PatientBoard"], None]
Change = Callable[["PatientBoard"], object]


class PatientBoard:
    """Answers as the firmware does where everything is well."""

    def __init__(self) -> None:
        self.now_ms = 0
        self.state = "idle"
        self.leasing = False
        self.hello = {"v": 1, "id": "00", "fw": "0.2.0", "eng": "stand-in", "brd": "invented"}
        self.inputs: dict[str, Any] = {"arm": 0, "stop": 1, "lid": 1, "load": 0, "water": 1}
        self.supply_mv = 12_000
        self.reading = SimpleNamespace(
            body_c=20.0,
            bath_c=20.0,
            chocolate_c=20.0,
            faults={},
            board_ms=0,
            heat_share=0.0,
            stir_share=0.0,
            trip="",
        )
        self.chips: dict[str, Any] = {}
        """What answers on the probes' wire: m°C or a fault word by ROM code."""
        self.events: list[dict[str, Any]] = []
        self.asked: list[tuple[str, dict[str, Any]]] = []
        self.settings: dict[str, Any] = {}
        self.warms_k_per_s = 0.1
        self.heats = True
        self.minds_stop = True
        self.refused_at, self.refused_kind = "", "start"
        """Why it refuses an order of this kind, as the board names it."""
        self.proof_fails = ""
        """The trip with which its proof ends; empty where it is passed."""
        self.cut = False
        """Whether a thermostat is open: no voltage comes to the outlet."""
        self.dark_after_s = 0.0
        self.proof_s = PROOF_S
        self.trial_s = TRIAL_S
        self.drawn_ma = 80
        self.tried: dict[str, Any] = {}
        """What its account of a trial says otherwise than that of a good one."""
        self.cause = ""
        """What has not been mended yet: no trip is cleared meanwhile."""
        self.deaf: set[str] = set()
        """Happenings that this board does not mind, by the code of their trip."""
        self.quiet_from_s = inf
        """From when on it gives no more readings."""
        self.lost = ""
        """Why the line to it is gone; empty where it is there."""
        self.met = 0
        self.clock = SimpleNamespace(wall_ns=lambda: EPOCH_NS + self.now_ms * 1_000_000)
        self._later: list[tuple[int, Act]] = []
        self._leased_ms = 0

    def meet(self) -> None:
        if self.lost:
            raise LinkError(self.lost)
        self.met += 1

    def later(self, seconds: float, act: Act) -> None:
        """Have something happen after a time."""
        self._later.append((self.now_ms + round(1000 * seconds), act))

    def trip(self, code: str) -> None:
        """The board's own cut-off acts."""
        if code in self.deaf or self.state == "tripped":
            return
        self._off("tripped")
        self.reading.trip = code
        self.events.append({"e": "trip", "tr": code, "d": "", "at_ms": self.now_ms})

    def run(self) -> None:
        """The proof is passed: heat flows."""
        if self.state == "testing":
            self.state = "running"
            self.reading.heat_share = float(self.heats)
            self.reading.stir_share = 0.5
            self.inputs["load"] = int(self.heats)
            self._leased_ms = self.now_ms

    @property
    def readings(self) -> int:
        """How many there were: one a second."""
        return int(min(self.now_ms / 1000, self.quiet_from_s))

    def tell_chips(self) -> None:
        """Every chip on the wire says its number and its temperature."""
        self.events += [{"e": "rom", "rom": rom, "mc": mc} for rom, mc in self.chips.items()]

    def press_arm(self) -> None:
        """The arm button goes down."""
        self.inputs["arm"] = 1
        if self.state == "waiting":
            self.state = "testing"
            self.later(self.proof_s, lambda board: board.prove())

    def prove(self) -> None:
        """The proof ends: with the outlet's voltage, or without it."""
        if failed := self.proof_fails or ("proof-power" if self.cut else ""):
            self.trip(failed)
        else:
            self.run()

    def _off(self, state: str) -> None:
        self.state = state
        self.reading.heat_share = self.reading.stir_share = 0.0
        if self.dark_after_s:
            self.later(self.dark_after_s, lambda board: board.inputs.update(load=0))
        else:
            self.inputs["load"] = 0

    def step(self) -> None:
        """One pass of the firmware."""
        self.now_ms += PASS_MS
        if self.leasing:
            self._leased_ms = self.now_ms
        self.reading.board_ms = self.now_ms
        due = [item for item in self._later if item[0] <= self.now_ms]
        self._later = [item for item in self._later if item[0] > self.now_ms]
        for _, act in due:
            act(self)
        if self.state == "running":
            self.reading.body_c += self.warms_k_per_s * PASS_MS / 1000
            if self.now_ms - self._leased_ms >= 1000 * LEASE_S:
                self.trip("lease")

    until, wait = Dialog.until, Dialog.wait

    def ask(self, kind: str, **values: Any) -> dict[str, Any]:
        self.asked.append((kind, values))
        if why := self._refuses(kind):
            return {"ok": 0, "why": "objection", "at": why}
        if kind == "start":
            self.state = "waiting"
        elif kind == "stop":
            self._off("stopped")
        elif kind == "clear":
            self.state = "idle"
        return {"ok": 1, "v": self._value(kind, values)}

    def _refuses(self, kind: str) -> str:
        """Why it does not do this now; empty where it does."""
        if kind == "clear":
            return self.cause
        if kind == "start" and self.state not in ("idle", "stopped"):
            return self.reading.trip or "running"
        if kind == "start" and self.minds_stop and not self.inputs["stop"]:
            return "stop-button"
        return self.refused_at if kind == self.refused_kind else ""

    def _value(self, kind: str, values: Mapping[str, Any]) -> Any:
        if kind == "inputs":
            return [*(self.inputs[name] for name in INPUTS), 0, self.supply_mv]
        if kind == "set":
            self.settings[values["key"]] = values["v"]
            return values["v"]
        if kind == "scan":
            self.later(0.5, lambda board: board.tell_chips())
            return len(self.chips)
        if kind == "get":
            return self.settings.get(values["key"])
        if kind == "try":
            drawn = self.drawn_ma if values["o"] == "stir" else 0
            tried = {"e": "tried", "o": values["o"], "why": "time", "ld": 0, "ma": drawn}
            tried |= self.tried
            self.later(self.trial_s, lambda board: board.events.append(tried))
        return None

    def order(self, kind: str, **values: Any) -> Any:
        answer = self.ask(kind, **values)
        if not answer["ok"]:
            raise OrderRefused(str(answer))
        return answer["v"]

    def put(self, key: str, value: Any) -> Any:
        return self.order("set", key=key, v=value)

    def since(self, mark: int, kind: str) -> list[dict[str, Any]]:
        return [event for event in self.events[mark:] if event["e"] == kind]
