"""stock.toml as typed data: what is bought besides the parts, counted against the wiring."""

from __future__ import annotations

import msgspec

from glossbath.errors import InputError
from hardware.wiring import HERE, VARIANTS, Wiring

STOCK_FILE = HERE / "stock.toml"


class Item(msgspec.Struct, forbid_unknown_fields=True):
    """One thing to buy. Its count is written, or follows from the wiring."""

    text: str
    value: str
    why: str
    value_120: str = ""
    count: int = 0
    unit: str = ""
    only: str = ""
    for_parts: list[str] = []
    for_earthed: bool = False
    for_cables: bool = False

    def needed(self, wiring: Wiring) -> int:
        """How many a variant needs, 0 for none. Raises InputError for a part that there is not."""
        if self.only and self.only != wiring.variant:
            return 0
        if self.for_earthed:
            return sum("PE" in part.pins.values() for part in wiring.parts.values())
        if self.for_cables:
            return len(cables(wiring))
        unknown = [name for name in self.for_parts if name not in wiring.parts]
        if unknown:
            raise InputError(f"stock.toml: {self.text}: {unknown[0]} is not a part; correct it")
        return len(self.for_parts) or self.count


def cables(wiring: Wiring) -> list[str]:
    """The parts whose cable leaves the control box: connectors, cords and capillaries."""
    return list(wiring.of_kind("connector", "cord", "cutout", "second-cutout"))


def items() -> list[Item]:
    """Everything in stock.toml. Raises InputError naming what is wrong."""
    try:
        read = msgspec.toml.decode(STOCK_FILE.read_bytes(), type=dict[str, list[Item]])["stock"]
    except msgspec.DecodeError as err:
        raise InputError(f"{STOCK_FILE.name}: {err}; correct the entry named") from err
    for item in read:
        if item.only and item.only not in VARIANTS:
            raise InputError(f"stock.toml: {item.text}: only {item.only!r} is no variant")
    return read
