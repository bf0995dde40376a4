"""A wall that conducts: one-dimensional heat conduction by finite volumes.

Cells of equal thickness, explicit in time; what leaves one cell enters its neighbour, so heat is
kept to rounding. Source of the scheme: Patankar, Numerical Heat Transfer and Fluid Flow (1980),
chapter 4 (from memory).
"""

from __future__ import annotations

from ..limits import require

_COURANT = 0.3
"""Of alpha dt / dx²: an end cell that is held by a film is stable up to one third."""
_THINNEST_MM = 1.0
_MOST_CELLS = 8


class Wall:
    """A slab from its outer face (cell 0) to its inner face (last cell). Temperatures in °C."""

    __slots__ = ("_across", "_half", "area_m2", "cell_j_per_k", "cells_c", "longest_step_s")

    def __init__(
        self,
        thickness_m: float,
        area_m2: float,
        w_per_m_k: float,
        j_per_m3_k: float,
        start_c: float,
        cells: int | None = None,
    ) -> None:
        """A wall at start_c throughout; cells None means about one a millimetre, four to eight.

        Raises InputError when a value cannot be physical.
        """
        require("wall thickness", thickness_m, 1e-3, 0.5, "m")
        require("wall conductivity", w_per_m_k, 0.05, 500.0, "W/(m K)")
        if cells is None:
            cells = max(4, min(_MOST_CELLS, int(1000.0 * thickness_m / _THINNEST_MM)))
        dx = thickness_m / cells
        self.area_m2 = area_m2
        self.cells_c = [require("wall temperature", start_c, 0.0, 300.0, "°C")] * cells
        self.cell_j_per_k = dx * area_m2 * j_per_m3_k
        self._across = w_per_m_k * area_m2 / dx
        self._half = 2.0 * self._across
        self.longest_step_s = _COURANT * j_per_m3_k * dx * dx / w_per_m_k

    @property
    def outer_c(self) -> float:
        """The outermost cell."""
        return self.cells_c[0]

    @property
    def heat_j(self) -> float:
        """Heat above 0 °C in J."""
        return self.cell_j_per_k * sum(self.cells_c)

    def film_w_per_k(self, w_per_k: float) -> float:
        """From what surrounds a face to the middle of its cell, through a film of w_per_k."""
        return w_per_k * self._half / (w_per_k + self._half)

    def face_c(self, inner: bool, to_face_w: float) -> float:
        """Temperature of a face into which to_face_w (W) flows from outside."""
        return self.cells_c[-1 if inner else 0] + to_face_w / self._half

    def step(self, dt_s: float, outer_w: float, inner_w: float) -> None:
        """Let dt_s pass with these flows (W) into the outer and out of the inner face."""
        cells = self.cells_c
        across = self._across
        per_j = dt_s / self.cell_j_per_k
        flow = outer_w
        here = cells[0]
        last = len(cells) - 1
        for at in range(last):
            beyond = cells[at + 1]
            onward = across * (here - beyond)
            cells[at] = here + (flow - onward) * per_j
            flow = onward
            here = beyond
        cells[last] = here + (flow - inner_w) * per_j
