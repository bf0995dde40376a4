"""From ingredient lots to batches to bars, and back: which bars hold a lot, and what is in a "
"bar."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import msgspec

from glossbath.errors import InputError, quoted


class Trace(msgspec.Struct, frozen=True):
    """What is linked to one lot."""

    lot: str
    went_into: list[str]
    """Everything made from it, nearest first."""
    made_of: list[str]
    """Everything it was made of, nearest first."""
    ends: list[str]
    """Of what was made from it, that which nothing more was made from: what left the house."""

    def sentences(self) -> list[str]:
        """The links in words."""
        into = ", ".join(self.went_into) or "nothing that is written down"
        of = ", ".join(self.made_of) or "nothing that is written down"
        lines = [f"{self.lot} went into: {into}.", f"{self.lot} was made of: {of}."]
        if self.ends:
            lines.append(f"To call back for {self.lot}: {', '.join(self.ends)}.")
        return lines


def trace(links: Sequence[tuple[str, str]], lot: str) -> Trace:
    """Follow links (from, to) from a lot both ways. Raises InputError for a lot nobody wrote down.

    A lot that is its own ingredient, as rework is, is followed once.
    """
    known = {one for link in links for one in link}
    if lot not in known:
        some = ", ".join(sorted(known)[:8]) or "none"
        raise InputError(f"The lot {quoted(lot)} is not written down; known are {some}.")
    into = _follow(links, lot)
    of = _follow([(after, before) for before, after in links], lot)
    sources = {before for before, _ in links}
    return Trace(lot, into, of, [one for one in into if one not in sources])


def _follow(links: Iterable[tuple[str, str]], start: str) -> list[str]:
    """Everything reached from start, breadth first, without start itself."""
    after: dict[str, list[str]] = {}
    for before, then in links:
        after.setdefault(before, []).append(then)
    found, now = [start], [start]
    while now:
        now = [one for at in now for one in after.get(at, ()) if one not in found]
        found += dict.fromkeys(now)
    return found[1:]
