"""Random kitchens under the real control and supervision, in one table.

    python tests/bench/kitchens.py [--plant distributed] [--rigs 200] [--first SEED] [--each]

Without --first the seeds are those kept for reporting; tune on others. Each kitchen runs one
healthy cycle; excursions and holds are the chocolate's true ones, at the middle of the bowl and at
its wall, beyond the window of the hold. A trip where the cycle can be made is a false one.
"""

from __future__ import annotations

import math
import sys
import time
from collections import Counter
from collections.abc import Iterable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "stand_ins"))

from bucket import is_spent
from chain import Trace
from ideal import Ideal, ideal
from kitchen_bench import chain_of, options
from kitchen_onlookers import Columns, Onlooker, identify
from random_kitchens import Kitchen, kitchen
from verdict import quantile

from glossbath.client.messages import Reading
from glossbath.virtual.plants import AnyPlant
from glossbath_board.program import Program

_PATIENCE_S = 10 * 3600.0


@dataclass
class Result:
    """One kitchen's cycle. Temperatures in °C, NaN where there is none."""

    kitchen: Kitchen
    ideal: Ideal
    end: str
    phase: str
    """The phase in which it ended."""
    ready_s: float = math.nan
    over_ideal: float = math.nan
    """Time to the hold over that of hands that see the truth."""
    core_out_c: float = math.nan
    layer_out_c: float = math.nan
    hold_p95_c: float = math.nan
    hot_c: float = math.nan
    """Above the window of the melt, at the middle of the bowl."""
    certain_s: float = math.nan
    """When a phase of heat began that cannot be reached, or the bucket of a cooling was spent."""
    columns: Columns = field(default_factory=Columns)

    @property
    def false_trip(self) -> bool:
        return self.ideal.possible and self.end not in ("complete", "running")

    @property
    def hopeless(self) -> bool:
        """Neither hands that see the truth nor the rig came through."""
        return not (self.ideal.possible or self.end in ("complete", "refused"))

    @property
    def told_s(self) -> float:
        """How long after it was certain it was said that the cycle cannot succeed."""
        told_s = self.columns.hopeless_after_s
        return math.nan if told_s is None else told_s - self.certain_s


def _beyond(values: list[float], low: float, high: float) -> float:
    """How far the farthest value is outside low to high, below 0 inside; NaN for none."""
    return max((max(low - one, one - high) for one in values), default=math.nan)


def _judge(result: Result, trace: Trace, program: Program) -> None:
    hold, melt = program.phases[-1], program.phases[0]
    low, high, target = hold.low_mc / 1000, hold.high_mc / 1000, hold.target_mc / 1000
    core = trace.of("hold")
    if core:
        result.ready_s = trace.entered_s["hold"]
        before_hold = program.phases[-2].name
        result.over_ideal = result.ready_s / result.ideal.ends_s.get(before_hold, math.nan)
    result.core_out_c = _beyond(core, low, high)
    result.layer_out_c = _beyond(trace.of("hold", layer=True), low, high)
    result.hold_p95_c = quantile([abs(celsius - target) for celsius in core], 0.95)
    if trace.chocolate_c[0] <= melt.high_mc / 1000:
        result.hot_c = max(trace.of("melt", "soak")) - melt.high_mc / 1000


def run(seed: int, plant: str, hold_s: float) -> Result:
    """The cycle of a seed's kitchen on one of the plants."""
    found = kitchen(seed)
    program = found.program(hold_s)
    best = ideal(found.plant(plant), program)
    if best.why.startswith("starts"):
        return Result(found, best, "refused", "start")
    columns = Columns()
    identify(found, plant, columns)
    chain = chain_of(found, found.plant(plant), hold_s, columns.values)
    looking = Onlooker(found, hold_s, columns.model)
    certain_s = math.nan
    for reading in chain:
        looking.look(reading)
        if math.isnan(certain_s) and _certain(best, reading, chain.plant):
            certain_s = reading.time_s
        if reading.time_s > _PATIENCE_S:
            break
    trace = chain.trace
    end, phase = trace.end or "running", trace.phase[-2]
    result = Result(found, best, end, phase, certain_s=certain_s, columns=columns)
    _judge(result, trace, program)
    looking.tell(columns, None if math.isnan(result.ready_s) else result.ready_s)
    return result


def _certain(best: Ideal, reading: Reading, plant: AnyPlant) -> bool:
    """Whether nothing can bring about the phase that hands have failed in."""
    if reading.phase != best.why.split(" ")[0]:
        return False
    return reading.phase != "cool" or is_spent(plant)


def line(result: Result) -> str:
    """One kitchen."""
    k, begin = result.kitchen, result.kitchen.begin
    text = (
        f"{k.seed:6d} {k.chocolate:5s} {k.heater_w:5.0f} W {k.crock_mm:4.1f} mm"
        f" {k.water_kg:3.1f} + {k.batch_kg:4.2f} kg ice {k.ice_kg:3.1f} room {k.room_c:4.1f}"
        f" tap {k.tap_c:4.1f} start {begin.get('chocolate_c', k.room_c):4.1f}"
        f" in {begin.get('bath_c', k.room_c):4.1f} | {result.end} {result.phase}"
    )
    if result.ideal.why:
        told = f" | told {result.told_s:+.0f} s after it was certain" if result.hopeless else ""
        return f"{text} | {result.ideal.why}{told}"
    return (
        f"{text} | {result.over_ideal:.3f} melt {result.hot_c:+.2f} core {result.core_out_c:+.2f}"
        f" layer {result.layer_out_c:+.2f} hold {result.hold_p95_c:.2f}"
        + ("  FALSE TRIP" if result.false_trip else "")
    )


def _numbers(values: Iterable[float | None]) -> list[float]:
    return [value for value in values if value is not None and not math.isnan(value)]


def _spread(name: str, values: list[float], form: str) -> str:
    if not values:
        return f"{name:46s} not measured"
    three = (quantile(values, 0.5), quantile(values, 0.95), max(values))
    return f"{name:46s} median {three[0]:{form}}  95 % {three[1]:{form}}  worst {three[2]:{form}}"


def _count(name: str, count: int, of: int, words: Counter[str] | None = None) -> str:
    more = ", ".join(f"{word} {times}" for word, times in (words or Counter()).most_common())
    return f"{name:46s} {count} of {of}" + (f"  ({more})" if more else "")


def table(results: list[Result]) -> list[str]:
    """The figures of all kitchens."""
    able = [result for result in results if result.ideal.possible]
    tripped = [result for result in able if result.false_trip]
    columns = [result.columns for result in able]
    asked = [one for one in columns if one.identified is not None]
    refused = Counter(one.refused for one in asked if not one.identified)
    told = [one for one in columns if one.findings is not None]
    words = Counter(word for one in told for word in one.findings or ())
    unable = [result for result in results if not result.ideal.possible]
    hopeless = [result for result in unable if result.hopeless]
    told_s = _of(hopeless, "told_s")
    why = Counter(result.ideal.why for result in unable)
    trips = Counter(f"{one.end} in {one.phase}" for one in tripped)
    despaired = sum(one.hopeless_after_s is not None for one in columns)
    accused = sum(bool(one.findings) for one in told)
    known = sum(bool(one.identified) for one in asked)
    return [
        _count("kitchens that can make the cycle", len(able), len(results), why),
        _count("identified", known, len(asked), refused),
        _count("complete", sum(one.end == "complete" for one in able), len(able)),
        _spread("time over that of hands that see the truth", _of(able, "over_ideal"), ".3f"),
        _spread("melt beyond its window, °C", _of(able, "hot_c"), "+.2f"),
        _spread("core beyond the hold's window, °C", _of(able, "core_out_c"), "+.2f"),
        _spread("wall layer beyond the hold's window, °C", _of(able, "layer_out_c"), "+.2f"),
        _spread("hold, 95 % of it within °C of its target", _of(able, "hold_p95_c"), ".2f"),
        _count("false trips", len(tripped), len(able), trips),
        _count("kitchens with a false finding", accused, len(told), words),
        _spread("forecast at the start", _numbers(one.forecast_error for one in columns), "+.2f"),
        _spread("forecast after ten minutes", _of_columns(columns), "+.2f"),
        _count("kitchens falsely called hopeless", despaired, len(able)),
        _count("hopeless ones that were told", len(told_s), len(hopeless)),
        _spread("  after it was certain, s", told_s, ".0f"),
    ]


def _of(results: list[Result], name: str) -> list[float]:
    return _numbers(getattr(result, name) for result in results)


def _of_columns(columns: list[Columns]) -> list[float]:
    return _numbers(one.forecast_later for one in columns)


def main() -> None:
    """Run them and print the table."""
    parser = options(__doc__, 200)
    parser.add_argument("--hold-min", type=float, default=30.0)
    parser.add_argument("--each", action="store_true", help="a line for every kitchen as well")
    asked = parser.parse_args()
    began = time.perf_counter()
    seeds = range(asked.first, asked.first + asked.rigs)
    work = partial(run, plant=asked.plant, hold_s=60.0 * asked.hold_min)
    results = []
    with ProcessPoolExecutor(asked.jobs) as pool:
        for result in pool.map(work, seeds):
            results.append(result)
            if asked.each or result.false_trip:
                print(line(result), flush=True)
    print(f"\n{asked.plant} plant, seeds {seeds[0]} to {seeds[-1]}")
    print("\n".join(table(results)))
    print(f"{time.perf_counter() - began:.0f} s")


if __name__ == "__main__":
    main()
