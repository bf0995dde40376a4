"""Tempering on a slab: how much to pour out, how far to cool it, and whether to go round again."""

from __future__ import annotations

from typing import Literal

import msgspec

from glossbath.errors import InputError

from . import limits
from .windows import Suggestion

POURED_SHARE = 2 / 3
"""Common practice, no source."""
SLAB_ROOM_C = 1.5
"""How far below the cooling window chocolate may be worked on the slab before it sets there
(engineering choice, no source)."""


class SlabPlan(msgspec.Struct, frozen=True):
    """What to pour out and what it comes to when it goes back."""

    poured_kg: float
    kept_kg: float
    poured_share: float
    cool_to_c: float
    mix_c: float
    workable: bool
    """Whether the poured part can be cooled that far without setting on the slab."""
    pour_instead_share: float | None
    """A share that is workable; None when the plan is, or when no share helps."""
    lines: list[str]

    def sentences(self) -> list[str]:
        """The plan in words."""
        return list(self.lines)


class Next(msgspec.Struct, frozen=True):
    """What to do with the mixture."""

    action: Literal["test", "again", "warm", "cool"]
    celsius: float
    line: str

    def sentences(self) -> list[str]:
        """The advice in words."""
        return [self.line]


def plan(
    mass_kg: float, batch_c: float, windows: Suggestion, *, poured_share: float = POURED_SHARE
) -> SlabPlan:
    """Pour `poured_share`, cool it so that the whole lands on the working target.

    Method of mixtures with one specific heat; the kept part is taken to stay at `batch_c`. The
    heat of the few per cent that crystallise (about 0.3 °C for each per cent of the fat) is left
    out. Raises InputError for implausible numbers and for a batch that is already cool.
    """
    limits.mass_kg("chocolate", mass_kg)
    limits.celsius("batch", batch_c, (20.0, 60.0))
    limits.share("part poured out", poured_share, 0.1, 0.95)
    target_c = windows.work_target_c
    if not (batch_c > windows.work.high_c):
        raise InputError(
            f"The batch must be warmer than its working window's end of {windows.work.high_c:g} "
            f"°C to be cooled on a slab, not {batch_c:g} °C: melt it first."
        )
    cool_to_c = (target_c - (1 - poured_share) * batch_c) / poured_share
    coolest_c = windows.cool.low_c - SLAB_ROOM_C
    workable = cool_to_c >= coolest_c
    instead = None
    if not workable:
        share = (batch_c - target_c) / (batch_c - (windows.cool.low_c + windows.cool.high_c) / 2)
        instead = round(share, 2) if share <= 0.9 else None
    made = SlabPlan(
        poured_kg=mass_kg * poured_share,
        kept_kg=mass_kg * (1 - poured_share),
        poured_share=poured_share,
        cool_to_c=cool_to_c,
        mix_c=target_c,
        workable=workable,
        pour_instead_share=instead,
        lines=[],
    )
    return msgspec.structs.replace(made, lines=_lines(made, batch_c, coolest_c, windows))


def mixed_c(poured_share: float, poured_c: float, kept_c: float) -> float:
    """Temperature in °C when the poured part goes back to the kept part, by mixtures.

    Raises InputError.
    """
    limits.share("part poured out", poured_share, 0.1, 0.95)
    limits.celsius("poured part", poured_c, (15.0, 60.0))
    limits.celsius("kept part", kept_c, (15.0, 60.0))
    return poured_share * poured_c + (1 - poured_share) * kept_c


def after(celsius: float, windows: Suggestion) -> Next:
    """What to do once the parts are mixed: test it, go round again, or warm it.

    Above the highest working window of its kind nothing has set that would last (dark above 32 °C:
    again; common practice, no source). Raises InputError.
    """
    limits.celsius("mixture", celsius, (15.0, 60.0))
    work = windows.work
    if celsius > windows.lost_above_c:
        return Next(
            "again",
            celsius,
            f"At {celsius:g} °C {windows.kind} chocolate is above {windows.lost_above_c:g} °C: "
            "pour out two thirds and go round again.",
        )
    if celsius > work.high_c:
        return Next(
            "cool",
            celsius,
            f"At {celsius:g} °C it is above its window of {work.low_c:g} to {work.high_c:g} °C: "
            f"let it cool to {windows.work_target_c:g} °C with stirring, then make a dip test.",
        )
    if celsius < work.low_c:
        return Next(
            "warm",
            celsius,
            f"At {celsius:g} °C it is below its window: warm it gently to "
            f"{windows.work_target_c:g} °C, not above {work.high_c:g} °C, then make a dip test.",
        )
    return Next(
        "test",
        celsius,
        f"At {celsius:g} °C it is in its window of {work.low_c:g} to {work.high_c:g} °C: make a "
        "dip test before you use it.",
    )


def _lines(plan: SlabPlan, batch_c: float, coolest_c: float, windows: Suggestion) -> list[str]:
    lines = [
        f"Pour out {plan.poured_kg:.2f} kg ({plan.poured_share * 100:.0f} %) and keep "
        f"{plan.kept_kg:.2f} kg warm."
    ]
    if plan.workable:
        return [
            *lines,
            f"Work it on the slab to {plan.cool_to_c:.1f} °C: then the whole comes to "
            f"{plan.mix_c:.1f} °C.",
            "Stop when it thickens or reaches that temperature, whichever comes first, and put "
            "it back at once.",
        ]
    lines.append(
        f"It would have to cool to {plan.cool_to_c:.1f} °C, below {coolest_c:g} °C, where it sets "
        f"on the slab, because the kept part is at {batch_c:g} °C."
    )
    if plan.pour_instead_share is not None:
        lines.append(
            f"Pour out {plan.pour_instead_share * 100:.0f} % and cool that to about "
            f"{(windows.cool.low_c + windows.cool.high_c) / 2:g} °C, or let the batch cool first."
        )
    else:
        lines.append("Let the batch cool first, then pour.")
    return lines
