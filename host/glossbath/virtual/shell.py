"""What any plant of the virtual rig has besides its physics: room, mains, account of energy."""

from __future__ import annotations

from typing import Generic, NamedTuple, Protocol, TypeVar

from .limits import require


class Rated(Protocol):
    """Parameters of any physics: they name the heater's power."""

    @property
    def heater_w(self) -> float: ...


class Beginning(NamedTuple):
    """Temperatures in °C, and the solid share of the fat; None where nobody said."""

    chocolate_c: float
    bath_c: float
    body_c: float | None
    stable_share: float | None


P = TypeVar("P", bound=Rated)


class Shell(Generic[P]):
    """Temperatures in °C, heat in J, shares from 0 to 1.

    Energy is counted from the start: stored_j = energy_in_j - energy_out_j. In comes from the
    heater, the stirrer and what is filled in; out goes to the room, as vapour, and with what is
    taken out. A physics gives `_reference`, `_rest`, `_total_j` and `_vapour`, and counts in
    `_in_j` and `_out_j`.
    """

    __slots__ = (
        "_heat_w",
        "_heater_w",
        "_in_j",
        "_nominal_w",
        "_out_j",
        "_p",
        "_room_c",
        "_room_share",
        "_start_j",
        "pump_share",
    )

    def __init__(
        self,
        parameters: P | None = None,
        *,
        room_c: float = 24.0,
        room_rh_percent: float = 60.0,
        chocolate_c: float | None = None,
        bath_c: float | None = None,
        body_c: float | None = None,
        stable_share: float | None = None,
    ) -> None:
        """A rig at rest, lid on. A temperature which is None is the room's; the bowl takes the
        bath's. stable_share is the solid share of the fat; None: well set for its temperature.

        Raises InputError when a value is out of range.
        """
        self._p = self._reference() if parameters is None else parameters
        self._room_c = require("room_c", room_c, 0.0, 50.0, "°C")
        self._room_share = require("room_rh_percent", room_rh_percent, 0.0, 100.0, "%") / 100.0
        self._nominal_w = self._heater_w = self._p.heater_w
        self.pump_share = 1.0
        """Flow that a whole pump command gives; 0 is a dead pump."""
        self._heat_w = self._in_j = self._out_j = self._start_j = 0.0
        chocolate_c = room_c if chocolate_c is None else chocolate_c
        bath_c = room_c if bath_c is None else bath_c
        self._rest(Beginning(chocolate_c, bath_c, body_c, stable_share))
        self._start_j = self._total_j()

    @classmethod
    def _reference(cls) -> P:
        """The parameters of the reference rig."""
        raise NotImplementedError

    def _rest(self, begin: Beginning) -> None:
        """Make all nodes, at rest at these temperatures."""
        raise NotImplementedError

    def _total_j(self) -> float:
        """Heat in all nodes."""
        raise NotImplementedError

    def _vapour(self, celsius: float) -> float:
        """What air at saturation holds, in any unit."""
        raise NotImplementedError

    @property
    def room_c(self) -> float:
        return self._room_c

    @property
    def room_rh_percent(self) -> float:
        return 100.0 * self._room_share

    @property
    def heat_w(self) -> float:
        """Heat from the element in the last step, W."""
        return self._heat_w

    @property
    def energy_in_j(self) -> float:
        return self._in_j

    @property
    def energy_out_j(self) -> float:
        return self._out_j

    @property
    def stored_j(self) -> float:
        """Heat in all nodes above that at the start, J."""
        return self._total_j() - self._start_j

    def set_room(self, room_c: float, rh_percent: float | None = None) -> None:
        """Another room temperature; without rh_percent the moisture in the air stays as it was."""
        require("room temperature", room_c, 0.0, 50.0, "°C")
        if rh_percent is None:
            share = self._room_share * self._vapour(self._room_c) / self._vapour(room_c)
            self._room_share = min(1.0, share)
        else:
            self._room_share = require("room humidity", rh_percent, 0.0, 100.0, "%") / 100.0
        self._room_c = room_c

    def set_mains(self, factor: float) -> None:
        """Mains voltage as a factor of nominal (0 to 1.3); heater power goes with its square."""
        require("mains factor", factor, 0.0, 1.3, "(factor)")
        self._heater_w = self._nominal_w * factor * factor
