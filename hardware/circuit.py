"""Double entry: the wiring against circuit.txt, where the same circuit stands a second time."""

from __future__ import annotations

from functools import cache

from glossbath.errors import InputError
from hardware.wiring import HERE, VARIANTS, Part, Wiring

CIRCUIT_FILE = HERE / "circuit.txt"
Ends = frozenset[tuple[str, str]] | tuple[str, ...]


@cache
def written(variant: str) -> dict[str, Ends]:
    """Part -> its ends in a variant: sorted nets where they are alike, else terminal and net.

    Raises InputError naming the line at fault.
    """
    found: dict[str, Ends] = {}
    text = CIRCUIT_FILE.read_text(encoding="utf-8")
    for number, line in enumerate(text.splitlines(), 1):
        words = line.split("#")[0].split()
        if words and words[0] in VARIANTS:
            only, *words = words
            if only != variant:
                continue
        if not words:
            continue
        name, *ends = words
        if name in found:
            raise InputError(f"circuit.txt, line {number}: {name} stands twice; remove one")
        found[name] = _ends(ends)
    return found


def _ends(ends: list[str]) -> Ends:
    if all("=" not in end for end in ends):
        return tuple(sorted(ends))
    return frozenset((end.partition("=")[0], end.partition("=")[2]) for end in ends)


def _drawn(part: Part, like: Ends) -> Ends:
    if isinstance(like, tuple):
        return tuple(sorted(part.pins.values()))
    return frozenset(part.pins.items())


def double_entry(wiring: Wiring) -> list[str]:
    """Every part is there and joined as circuit.txt says, and no other."""
    wanted = written(wiring.variant)
    found = [
        f"{name} stands in circuit.txt and not in the wiring; put it back, or strike it out there"
        for name in wanted
        if name not in wiring.parts
    ]
    for name, part in wiring.parts.items():
        if name not in wanted:
            found.append(f"{name} is not in circuit.txt; write down there what it joins")
        elif _drawn(part, wanted[name]) != wanted[name]:
            found.append(
                f"{name} is joined otherwise than circuit.txt says; correct whichever is wrong"
            )
    return found


RULES = (double_entry,)
