"""Commands for work under way: seed, slab, holding, remelting, too much heat, seizing."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from glossbath.errors import InputError
from glossbath.forms.answer import show

from . import columns, options

if TYPE_CHECKING:
    from glossbath.chocolate.seed import SeedPlan

At = Annotated[float, typer.Option("--at", help="Temperature of the chocolate in °C.")]
Seed = Annotated[float, typer.Option("--seed", help="Temperature of the seed in °C.")]
Butter = Annotated[bool, typer.Option("--butter", help="Cocoa butter seed, not chocolate.")]
Share = Annotated[float, typer.Option("--share", help="Part to pour out in %.")]
LEARN_S = 600.0
"""So long before the seed the bath's part is learnt."""
Csv = Annotated[Path, typer.Argument(help="CSV file, such as a cycle's readings.csv.")]


def seed(
    kg: options.Kg,
    at_c: At,
    seed_c: Seed = 20.0,
    butter: Butter = False,
    kind: options.Kind = options.KindName.dark,
    fat: options.Fat = None,
    work: options.Work = None,
    as_json: options.Json = False,
) -> None:
    """How much seed to stir in so that the mixture lands in its working window."""
    show(_plan(kg, at_c, seed_c, butter, kind, fat, work), as_json)


def seen(
    file: Csv,
    asked_at: Annotated[float, typer.Option("--asked-at", help="When to seed, in s.")],
    kg: options.Kg,
    at_c: At,
    seed_c: Seed = 20.0,
    butter: Butter = False,
    kind: options.Kind = options.KindName.dark,
    fat: options.Fat = None,
    work: options.Work = None,
    as_json: options.Json = False,
) -> None:
    """Whether a temperature trace (time_s, chocolate_c) shows that the seed was added.

    A bath_c beside them, as in a cycle's readings, is taken into account.
    """
    from glossbath.chocolate import seedtrace

    made = _plan(kg, at_c, seed_c, butter, kind, fat, work)
    if "bath_c" not in columns.heads(file):
        times, celsius = columns.numbers(file, ("time_s", "chocolate_c"))
        show(seedtrace.judge(times, celsius, asked_at, made), as_json)
        return
    times, celsius, bath = columns.numbers(file, ("time_s", "chocolate_c", "bath_c"))
    before = [i for i, t in enumerate(times) if 0 <= asked_at - t <= LEARN_S]
    per_s = seedtrace.coupling_per_s(
        [times[i] for i in before], [celsius[i] for i in before], [bath[i] for i in before]
    )
    show(
        seedtrace.judge_beside_bath(times, celsius, bath, asked_at, made, per_s),
        as_json,
    )


def slab(
    kg: Annotated[float | None, typer.Option("--kg", help="Mass of chocolate in kg.")] = None,
    at_c: Annotated[
        float | None, typer.Option("--at", help="Temperature of the chocolate in °C.")
    ] = None,
    share: Share = 200 / 3,
    kind: options.Kind = options.KindName.dark,
    cool: options.Cool = None,
    work: options.Work = None,
    is_live: Annotated[
        bool, typer.Option("--live", help="Tell the moment from a rig's chocolate probe.")
    ] = False,
    rig: Annotated[str, typer.Option("--rig", help="Which rig, for --live.")] = "rig",
    as_json: options.Json = False,
) -> None:
    """How much to pour on the slab and how far to cool it; with --live, when to put it back."""
    from glossbath.chocolate import slab as slabs

    windows = options.windows_of(kind, cool, work)
    if is_live:
        from .slablive import follow

        follow(rig, kg, at_c, share / 100, windows)
        return
    if kg is None or at_c is None:
        raise InputError("Give --kg and --at, or --live to read them from a rig.")
    show(slabs.plan(kg, at_c, windows, poured_share=share / 100), as_json)


def back(
    slab_c: Annotated[float, typer.Option("--slab", help="Temperature on the slab in °C.")],
    kept_c: Annotated[float, typer.Option("--kept", help="Temperature of the rest in °C.")],
    share: Share = 200 / 3,
    kind: options.Kind = options.KindName.dark,
    cool: options.Cool = None,
    work: options.Work = None,
    as_json: options.Json = False,
) -> None:
    """What the slab's part and the rest come to, and whether to go round again."""
    from glossbath.chocolate import slab as slabs

    mixed = slabs.mixed_c(share / 100, slab_c, kept_c)
    show(slabs.after(round(mixed, 1), options.windows_of(kind, cool, work)), as_json)


def hold(
    at_c: At,
    held: Annotated[float, typer.Option("--held", help="Minutes it has been held.")] = 0.0,
    thicker: Annotated[bool, typer.Option("--thicker", help="It has thickened.")] = False,
    kind: options.Kind = options.KindName.dark,
    cool: options.Cool = None,
    work: options.Work = None,
    as_json: options.Json = False,
) -> None:
    """What to do with a batch that is being held."""
    from glossbath.chocolate import rescue

    windows = options.windows_of(kind, cool, work)
    show(rescue.hold(at_c, windows, held_s=held * 60, thicker=thicker), as_json)


def remelt(
    at_c: At,
    good: Annotated[bool, typer.Option("--good", help="Its last dip test was good.")] = False,
    kind: options.Kind = options.KindName.dark,
    cool: options.Cool = None,
    work: options.Work = None,
    as_json: options.Json = False,
) -> None:
    """The way back into temper from where the chocolate is."""
    from glossbath.chocolate import rescue

    windows = options.windows_of(kind, cool, work)
    show(rescue.remelt(at_c, windows, good_temper=good), as_json)


def hot(
    at_c: Annotated[float, typer.Option("--at", help="Highest temperature in °C.")],
    minutes: Annotated[float, typer.Option("--minutes", help="How long it was so hot.")] = 0.0,
    kind: options.Kind = options.KindName.dark,
    as_json: options.Json = False,
) -> None:
    """Whether chocolate that got too hot can be saved."""
    from glossbath.chocolate import rescue

    show(rescue.overheat(at_c, options.windows_of(kind), for_s=minutes * 60), as_json)


def seized(file: Csv, as_json: options.Json = False) -> None:
    """Whether the stirrer's current (time_s, stir_ma, stir_share) shows water in the chocolate."""
    from glossbath.chocolate import seizure

    rows = columns.numbers_or_none(file, ("time_s", "stir_ma", "stir_share"))
    known = [row for row in rows if row[0] is not None and row[2] is not None]
    times = [row[0] or 0.0 for row in known]
    show(
        seizure.detect_pulsed(times, [row[1] for row in known], [row[2] or 0.0 for row in known]),
        as_json,
    )


def _plan(
    kg: float,
    at_c: float,
    seed_c: float,
    butter: bool,
    kind: options.KindName,
    fat: float | None,
    work: tuple[float, float] | None,
) -> SeedPlan:
    from glossbath.chocolate import seed as seeding

    window = options.windows_of(kind, None, work).work
    fat_share = options.fat_share(kind, fat)
    make = seeding.butter_seed if butter else seeding.chocolate_seed
    return make(kg, at_c, seed_c, window, fat_share=fat_share)
