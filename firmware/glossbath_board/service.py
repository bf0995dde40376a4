"""Orders for whoever builds a rig or cares for it: settings, probes, inputs, one output at a time.

All of them at rest only, with the outlet dead and the relay open, so that none can touch a cycle
and a write to flash holds nothing up.
"""

from . import cycle as states
from .cycle import Cycle
from .errors import OrderError, StoreError
from .output_test import OutputTest
from .settings import NOT_COMMISSIONED, WATER_ONLY, Settings

if False:  # for the type checker alone
    from collections.abc import Callable

    from .kinds import Keeps, Probes, Switches
    from .output import Outputs

_INPUTS = ("arm", "stop", "lid", "load", "water")


class Service:
    """Handles its part of the orders; drive and news are asked once a pass.

    record has save(content). on_change is called when the settings have changed.
    """

    def __init__(
        self,
        settings: Settings,
        record: "Keeps",
        probes: "Probes",
        switches: "Switches",
        outputs: "Outputs",
        cycle: Cycle,
        on_change: "Callable[[], None]",
    ) -> None:
        self._settings = settings
        self._record = record
        self._probes = probes
        self._switches = switches
        self._output_test = OutputTest(outputs, switches, probes.stir_current)
        self._tried: dict | None = None
        self._cycle = cycle
        self._on_change = on_change
        self._found: list = []
        self._told = 0
        self.orders = {
            "set": self._set,
            "get": self._get,
            "scan": self._scan,
            "try": self._try,
            "inputs": self._inputs,
        }

    def objection(self, water: bool) -> tuple:
        """Why this rig may not start a cycle with or without chocolate, as a code and its detail,
        or two times ''."""
        level, fault = self._settings.level, self._settings.fault
        if level == NOT_COMMISSIONED:
            return ("settings", fault) if fault == "damaged" else ("commission", fault)
        return "water-only" if level == WATER_ONLY and not water else "", ""

    def stop(self) -> None:
        """End a trial with the coming pass."""
        self._output_test.stop()

    def drive(self, dt_ms: int) -> bool:
        """Let a trial go on or end; whether it drives the outputs in this pass."""
        self._tried = self._output_test.step(self._at_rest, dt_ms) or self._tried
        return bool(self._output_test.name)

    def news(self) -> dict | None:
        """An event for the host: how a trial ended, or one chip of a scan."""
        if self._tried is not None:
            event, self._tried = self._tried, None
            return event
        if self._told >= len(self._found) or self._probes.surveying:
            return None
        reading = self._found[self._told]
        self._told += 1
        value = reading.fault if reading.milli is None else reading.milli
        return {"k": "e", "e": "rom", "at": self._told - 1, "rom": reading.name, "mc": value}

    @property
    def _at_rest(self) -> bool:
        return self._cycle.state in states.READY

    def _must_rest(self) -> None:
        if not self._at_rest:
            raise OrderError("state", self._cycle.state)
        if not self._output_test.quiet:
            raise OrderError("busy", "try")

    def _set(self, message: dict, now_ms: int) -> object:
        self._must_rest()
        key, value = _key(message), message.get("v")
        raises = key == "level" and isinstance(value, int) and value > self._settings.level
        if raises and self._switches.arm.on is not True:
            raise OrderError("arm", key)  # to let a rig heat takes a hand at the rig
        try:
            applied = self._settings.put(key, value, self._record.save)
        except StoreError as error:
            raise OrderError("flash", key) from error
        self._on_change()
        return applied

    def _get(self, message: dict, now_ms: int) -> object:
        return self._settings.get(_key(message))

    def _scan(self, message: dict, now_ms: int) -> int:
        self._must_rest()
        self._found = []
        try:
            self._found = self._probes.survey()
        except Exception as error:
            # Whatever the wire's driver raises: only the board has its module.
            raise OrderError("bus", "scan") from error
        self._told = 0
        return len(self._found)

    def _try(self, message: dict, now_ms: int) -> list:
        if not self._at_rest:
            raise OrderError("state", self._cycle.state)
        return self._output_test.begin(message.get("o"), message.get("ms"))

    def _inputs(self, message: dict, now_ms: int) -> list:
        """Levels of the switches (1, 0, None for unknown), stirrer current in mA, supply in mV."""
        levels: list = []
        for name in _INPUTS:
            on = getattr(self._switches, name).on
            levels.append(on if on is None else int(on))
        for reading in (self._probes.stir_current, self._probes.supply):
            levels.append(reading.fault if reading.milli is None else reading.milli)
        return levels


def _key(message: dict) -> str:
    key = message.get("key")
    if not isinstance(key, str):
        raise OrderError("unknown key", "key")
    return key
