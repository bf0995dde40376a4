"""While the batch is worked: seed, slab, holding, remelting, too much heat, seizing."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

from glossbath.errors import InputError
from glossbath.forms.answer import Answer, answer
from glossbath.forms.fields import Choice, File, Minutes, Number, Text, YesNo

from . import columns, options

if TYPE_CHECKING:
    from glossbath.chocolate.seed import SeedPlan

LEARN_S = 600.0
"""So long before the seed the bath's part is learnt."""


@dataclass(frozen=True)
class Seeding:
    """Seed for a batch."""

    kg: options.Kg
    at_c: Annotated[float, Number("Chocolate now", unit="°C", low=20, high=60, live="chocolate_c")]
    seed_c: Annotated[float, Number("Seed", unit="°C", low=-20, high=29, live="room_c")] = 20.0
    butter: Annotated[bool, YesNo("Cocoa butter seed")] = False
    fat_share: options.FatShare = None
    own: options.Own = options.USUAL

    def plan(self) -> SeedPlan:
        """How much seed; raises InputError."""
        from glossbath.chocolate import seed as seeding

        make = seeding.butter_seed if self.butter else seeding.chocolate_seed
        fat_share = options.fat_of(self.own.kind, self.fat_share)
        return make(self.kg, self.at_c, self.seed_c, self.own.windows().work, fat_share=fat_share)


def seed(seeding: Seeding) -> Answer:
    """How much seed to stir in so that the mixture lands in its working window."""
    return answer(seeding.plan())


def seed_block(
    kg: options.Kg,
    at_c: Annotated[
        float, Number("Chocolate now", unit="°C", low=20, high=60, live="chocolate_c")
    ] = 45.0,
    seed_c: Annotated[float, Number("Seed", unit="°C", low=-20, high=29, live="room_c")] = 20.0,
    fat_share: options.FatShare = None,
    own: options.Own = options.USUAL,
) -> Answer:
    """How much chopped tempered chocolate to stir into hot chocolate, and when to stop."""
    from glossbath.chocolate import blockseed

    fat = options.fat_of(own.kind, fat_share)
    work = own.windows().work
    return answer(blockseed.plan(kg, at_c, seed_c, work, fat_share=fat, kind=own.kind))


def seed_check(
    file: options.Readings,
    asked_at_s: Annotated[float, Number("Seeded at", unit="s", low=0, high=86_400)],
    seeding: Seeding,
) -> Answer:
    """Whether a temperature trace (time_s, chocolate_c) shows that the seed was added.

    A bath_c beside them, as in a cycle's readings, is taken into account.
    """
    from glossbath.chocolate import seedtrace

    plan = seeding.plan()
    if "bath_c" not in columns.heads(file):
        times, celsius = columns.numbers(file, ("time_s", "chocolate_c"))
        return answer(seedtrace.judge(times, celsius, asked_at_s, plan))
    times, celsius, bath = columns.numbers(file, ("time_s", "chocolate_c", "bath_c"))
    before = [i for i, t in enumerate(times) if 0 <= asked_at_s - t <= LEARN_S]
    per_s = seedtrace.coupling_per_s(
        [times[i] for i in before], [celsius[i] for i in before], [bath[i] for i in before]
    )
    return answer(seedtrace.judge_beside_bath(times, celsius, bath, asked_at_s, plan, per_s))


def slab(
    kg: Annotated[
        float | None, Number("Chocolate", unit="kg", low=0.01, high=100, live="batch_kg")
    ] = None,
    at_c: Annotated[
        float | None, Number("Chocolate now", unit="°C", low=20, high=60, live="chocolate_c")
    ] = None,
    poured_share: options.Poured = 2 / 3,
    own: options.Own = options.USUAL,
    live: Annotated[
        bool, YesNo("Tell the moment from a rig's chocolate probe", on_form=False)
    ] = False,
    rig: Annotated[str, Text("Which rig, for --live", on_form=False)] = "rig",
) -> Answer:
    """How much to pour on the slab and how far to cool it; with --live, when to put it back."""
    from glossbath.chocolate import slab as slabs

    if live:
        from .slab_live import follow

        return follow(rig, kg, at_c, poured_share, own.windows())
    if kg is None or at_c is None:
        raise InputError("Give --kg and --at, or --live to read them from a rig.")
    return answer(slabs.plan(kg, at_c, own.windows(), poured_share=poured_share))


def slab_mix(
    slab_c: Annotated[
        float, Number("The part on the slab", unit="°C", low=15, high=60, live="chocolate_c")
    ],
    kept_c: Annotated[float, Number("The part kept", unit="°C", low=15, high=60)],
    poured_share: options.Poured = 2 / 3,
    own: options.Own = options.USUAL,
) -> Answer:
    """What the slab's part and the rest come to, and whether to go round again."""
    from glossbath.chocolate import slab as slabs

    mixed = slabs.mixed_c(poured_share, slab_c, kept_c)
    return answer(slabs.after(round(mixed, 1), own.windows()))


def hold(
    at_c: options.At,
    held_s: options.Held = 0.0,
    thicker: Annotated[bool, YesNo("It has thickened")] = False,
    own: options.Own = options.USUAL,
) -> Answer:
    """What to do with a batch that is being held."""
    from glossbath.chocolate import rescue

    return answer(rescue.hold(at_c, own.windows(), held_s=held_s, thicker=thicker))


def remelt(
    at_c: options.At,
    good: Annotated[bool, YesNo("Its last dip test was good")] = False,
    own: options.Own = options.USUAL,
) -> Answer:
    """The way back into temper from where the chocolate is."""
    from glossbath.chocolate import rescue

    return answer(rescue.remelt(at_c, own.windows(), good_temper=good))


def overheated(
    at_c: Annotated[
        float, Number("Hottest chocolate", unit="°C", low=0, high=110, live="chocolate_c")
    ],
    hot_s: Annotated[
        float, Minutes("How long so hot", low=0, high=1440, option="--minutes")
    ] = 0.0,
    kind: options.Kind = "dark",
) -> Answer:
    """Whether chocolate that got too hot can be saved."""
    from glossbath.chocolate import rescue

    return answer(rescue.overheat(at_c, options.Own(kind).windows(), for_s=hot_s))


def seized(
    file: Annotated[
        Path | None,
        File(
            "CSV file",
            option="argument",
            example="readings.csv",
            live="readings",
            note="CSV file, such as a cycle's readings.csv; none if you see the paste yourself",
        ),
    ] = None,
    water: Annotated[
        Literal["bath", "drinking", "unknown"],
        Choice("Whose water got in", words=("bath", "drinking", "unknown")),
    ] = "unknown",
) -> Answer:
    """Whether the stirrer's current (time_s, stir_ma, stir_share) shows water, and what to do.

    Without a file: what to do with chocolate that has seized.
    """
    from glossbath.chocolate import seizure

    if file is None:
        return Answer({"verdict": "seized", "water": water}, seizure.remedy(water))
    rows = columns.numbers_or_none(file, ("time_s", "stir_ma", "stir_share"))
    known = [row for row in rows if row[0] is not None and row[2] is not None]
    times = [row[0] or 0.0 for row in known]
    found = seizure.detect_pulsed(
        times, [row[1] for row in known], [row[2] or 0.0 for row in known]
    )
    return Answer(answer(found).values | {"water": water}, found.sentences(water))
