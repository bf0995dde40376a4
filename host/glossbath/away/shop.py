"""Every rig of a shop, as the bridges of its computers tell it on the broker. It only looks."""

from __future__ import annotations

import contextlib
import secrets
import threading
import time
from collections import OrderedDict, deque
from typing import Any

import msgspec

from glossbath.errors import GlossbathError, KeeperError
from glossbath.view.sentences import PLEASE
from glossbath.words import NO_NUMBER

from .broker import Broker
from .seen import MOST_POINTS
from .topics import ROOT

STALE_S = 10.0
MOST_RIGS = 2000
MOST_IDS = 20_000
SETTLE_S = 2.0
"""Retained states come at once; this is how long a single look waits for them."""


class Shop:
    """What the broker has told of every rig. Time is an argument of states()."""

    fahrenheit = False  # what a broker keeps is in °C

    def __init__(self, broker: Broker) -> None:
        self._broker = broker
        self._lock = threading.Lock()
        self._rigs: OrderedDict[str, dict[str, Any]] = OrderedDict()
        self._curves: dict[str, deque[list[float]]] = {}
        self._heard: dict[str, bool] = {}
        self._heard_at_s: dict[str, float] = {}
        self._online: dict[str, bool] = {}
        self._ids: OrderedDict[str, None] = OrderedDict()
        self.readings = 0
        self.repeats = 0
        self.connected = False
        self.problem = ""
        self._client = broker.client(f"glossbath-look-{secrets.token_hex(4)}", self._fail)
        self._client.on_connect = self._on_connect
        self._client.on_disconnect = self._on_disconnect
        self._client.on_message = self._on_message

    def start(self) -> None:
        """Begin to listen; goes on trying while the broker is away."""
        self._client.connect_async(self._broker.host, self._broker.port, 20)
        self._client.loop_start()

    def listen(self, seconds: float) -> None:
        """Wait for what the broker keeps. Raises GlossbathError where no broker answers."""
        until = time.monotonic() + max(seconds, 5.0)
        while not self.connected and not self.problem and time.monotonic() < until:
            time.sleep(0.02)
        if not self.connected:
            raise GlossbathError(self.problem or f"The broker {self._broker} does not answer.")
        time.sleep(seconds)

    def stop(self, rig: str) -> str:
        """Nothing can be ordered through a broker; raises KeeperError."""
        raise KeeperError(f"{rig} cannot be stopped from here: use the stop button at the rig.")

    def close(self) -> None:
        """Listen no more."""
        self._client.disconnect()
        self._client.loop_stop()

    def states(self, now_s: float) -> list[dict[str, Any]]:
        """One entry a rig, as `seen` gives it, with its curve; by computer and rig."""
        with self._lock:
            return [self._state(name, now_s) for name in sorted(self._rigs)]

    def _state(self, name: str, now_s: float) -> dict[str, Any]:
        if self._heard.pop(name, False):
            self._heard_at_s[name] = now_s
        state = self._rigs[name]
        heard_s = self._heard_at_s.get(name)
        age_s = None if heard_s is None else now_s - heard_s
        here = self.connected and self._online.get(name.split("/")[0], False)
        answers = bool(state.get("answers", True)) and here
        stale = not answers or (bool(state.get("active")) and (age_s is None or age_s > STALE_S))
        done = list(self._curves.get(name, ()))
        return {
            **state,
            "rig": name,
            "answers": answers,
            "stale": stale,
            "age_s": None if age_s is None else round(age_s, 1),
            "curve": {"done": done, "expected": []},
        }

    def _fail(self, sentence: str) -> None:
        self.problem = sentence

    def _on_connect(self, client: Any, _data: Any, _flags: Any, reason: Any, _: Any) -> None:
        if reason.is_failure:
            self.problem = f"The broker {self._broker} refuses: {reason}."
            return
        self.connected, self.problem = True, ""
        client.subscribe([(f"{ROOT}/+", 1), (f"{ROOT}/+/+/state", 1), (f"{ROOT}/+/+/reading", 1)])

    def _on_disconnect(self, _client: Any, _data: Any, _flags: Any, reason: Any, _: Any) -> None:
        self.connected = False
        self.problem = self.problem or f"The broker {self._broker} is away ({reason})."

    def _on_message(self, _client: Any, _data: Any, message: Any) -> None:
        levels = message.topic.split("/")
        with self._lock, contextlib.suppress(msgspec.MsgspecError, TypeError, KeyError):
            name = "/".join(levels[1:3])
            if not message.payload:
                self._rigs.pop(name, None)
                return
            values = msgspec.json.decode(message.payload)
            if self._is_repeat(str(values["id"])):
                return
            if len(levels) == 2:
                self._online[levels[1]] = bool(values["online"])
            elif levels[3] == "state":
                self._rigs[name] = {**self._rigs.get(name, {}), **values}
                while len(self._rigs) > MOST_RIGS:
                    self._rigs.popitem(last=False)
            elif name in self._rigs:
                self._reading(name, values)

    def _is_repeat(self, identity: str) -> bool:
        if identity in self._ids:
            self.repeats += 1
            return True
        self._ids[identity] = None
        if len(self._ids) > MOST_IDS:
            self._ids.popitem(last=False)
        return False

    def _reading(self, name: str, values: dict[str, Any]) -> None:
        self.readings += 1
        self._heard[name] = True
        figures = ("chocolate_c", "bath_c", "heat_share", "chill_share", "stir_share", "time_s")
        self._rigs[name].update({figure: values.get(figure) for figure in figures})
        curve = self._curves.setdefault(name, deque(maxlen=MOST_POINTS))
        if isinstance(values.get("chocolate_c"), (int, float)):
            if curve and values["time_s"] < curve[-1][0]:
                curve.clear()
            if not curve or values["time_s"] - curve[-1][0] >= 30.0:
                curve.append([values["time_s"], values["chocolate_c"]])


def table(states: list[dict[str, Any]], problem: str) -> Any:
    """The shop as a table for a terminal, what needs a person first."""
    from rich.table import Table

    made = Table(caption=problem or "Figures are as old as the last column says.", box=None)
    for head in ("rig", "", "state", "phase", "chocolate", "needs", "age"):
        made.add_column(head, justify="right" if head in ("chocolate", "age") else "left")
    for state in sorted(states, key=lambda each: (not _needs(each), each["rig"])):
        celsius, age_s = state.get("chocolate_c"), state["age_s"]
        made.add_row(
            state["rig"],
            "VIRTUAL" if state.get("virtual") else "",
            str(state.get("state", "")).upper(),
            str(state.get("phase", "")),
            f"{NO_NUMBER if celsius is None else format(celsius, '.1f')} °C",
            _needs(state),
            "-" if age_s is None else f"{age_s:.0f} s",
        )
    return made


def _needs(state: dict[str, Any]) -> str:
    """Why a rig needs a person, in a few words; empty when it does not."""
    if not state["answers"]:
        return "gone"
    if state.get("tripped"):
        return "TRIPPED"
    if any(alarm["priority"] == "high" for alarm in state.get("alarms", ())):
        return "alarm"
    return "asks" if str(state.get("next", "")).startswith(PLEASE) else ""
