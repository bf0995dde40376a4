"""Past cycles for a screen: a list to search by words, and one cycle told in lines."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, tzinfo
from pathlib import Path
from typing import TYPE_CHECKING, Any

from glossbath.client.messages import Event
from glossbath.errors import InputError
from glossbath.record import open_cycle
from glossbath.record.package import CycleFacts
from glossbath.words import Degrees, Line, clock, duration, one_line

if TYPE_CHECKING:
    from .findings import Findings, PhaseFinding

SHOWN_KINDS = ("note", "test", "trip", "alarm")
"""Kinds of events that say more of a cycle than its phases do."""
MOST_EVENTS = 100

Entry = dict[str, Any]
"""One cycle as `glossbath.record.list_cycles` gives it."""


def matching(cycles: Iterable[Entry], words: str, zone: tzinfo | None = None) -> list[Entry]:
    """The cycles in whose row all the words stand, in any order; no words match every cycle."""
    wanted = words.lower().split()
    return [cycle for cycle in cycles if all(word in _searched(cycle, zone) for word in wanted)]


def _searched(cycle: Entry, zone: tzinfo | None) -> str:
    texts = ["".join(text for text, _ in row(cycle, zone)), str(cycle["rig"]), cycle["folder"]]
    return " ".join(texts).lower()


def row(cycle: Entry, zone: tzinfo | None = None, *, narrow: bool = False) -> Line:
    """A cycle in one row of at most 76 cells: begin, recipe, result, batch, lot, kind;
    narrow ones have 54 cells and no year and lot.

    zone is that of the clock on the wall; None is the computer's.
    """
    result = str(cycle["result"])
    kept = "" if result == "complete" else "strong"
    batch = f"{cycle['batch_kg']:g} kg" if cycle["batch_kg"] else "-"
    lot = _cut(cycle["lot"] or "", 11)
    began = _moment(cycle["started"], zone)
    if narrow:
        line: Line = [
            (f"{began[5:]:<12}", ""),
            (f"{_cut(cycle['recipe'] or 'unreadable', 12):<13}", "strong"),
            (f"{result:<10}", kept),
            (f"{batch:>7} ", ""),
        ]
        return [*line, (" VIRTUAL ", "virtual")] if cycle["virtual"] else line
    line = [
        (f"{began:<17}", ""),
        (f"{_cut(cycle['recipe'] or 'unreadable', 15):<16}", "strong"),
        (f"{result:<10}", kept),
        (f"{batch:>8}  ", ""),
        (f"{lot:<12}", ""),
    ]
    return [*line, (" VIRTUAL ", "virtual")] if cycle["virtual"] else line


def _moment(started: str | None, zone: tzinfo | None) -> str:
    try:
        return datetime.fromisoformat(started or "").astimezone(zone).strftime("%Y-%m-%d %H:%M")
    except (ValueError, OverflowError):
        return "no date"


def _cut(text: str, cells: int) -> str:
    shown = one_line(text)
    return shown if len(shown) <= cells else shown[: cells - 1] + "…"


def cycle_lines(
    folder: Path, degrees: Degrees, zone: tzinfo | None = None, wide: bool = True
) -> list[Line]:
    """One cycle in lines: what it was, the verdict, its phases, its notes, tests and alarms. Where
    there is no room for all columns of its phases, the most important ones.

    Raises LogError when the folder is not that of a cycle or cannot be read.
    """
    from .findings import judge

    cycle = open_cycle(folder)
    findings = judge(cycle, degrees=degrees)
    events = cycle.events()
    good = findings.kept and findings.temper == "in temper"
    weight = "strong" if good else "medium"
    lines: list[Line] = _head(cycle.facts, cycle.result, cycle.virtual, zone)
    lines += [[], [("Verdict", "dim")]]
    lines += [[(f" {findings.verdict[0]} ", weight)]]
    lines += [[(f"  {sentence}", "")] for sentence in findings.verdict[1:]]
    lines += [[], *_phases(findings, degrees, wide), [], *_events(events)]
    lines += [[(problem, "medium")] for problem in cycle.problems]
    return [*lines, [], [(f"Record in {folder}", "dim")]]


def _head(
    facts: CycleFacts | None, result: str, virtual: bool | None, zone: tzinfo | None
) -> list[Line]:
    kind: Line = [(" VIRTUAL RIG ", "virtual"), (" ", "")] if virtual else []
    if facts is None:
        return [[*kind, (f"Unreadable, {result}", "strong")]]
    lot = f", lot {one_line(facts.lot)}" if facts.lot else ""
    recipe = facts.recipe
    return [
        [*kind, (f"{recipe.name}, version {recipe.version}: {result}", "strong")],
        [
            (f"{_moment(facts.started, zone)}, {facts.batch_kg:g} kg of {recipe.chocolate}", ""),
            (f"{lot}, on {one_line(facts.rig)}", ""),
        ],
    ]


def _phases(findings: Findings, degrees: Degrees, wide: bool) -> list[Line]:
    if not findings.phases:
        return [[("There are no readings of any phase.", "strong")]]
    begun = f"{'from':>8}" if wide else ""
    ends = f"{'lowest':>7}{'highest':>8}" if wide else ""
    head = f"{'Phase':<7}{begun}{'lasted':>11}  {'window':<12}{ends}"
    lines: list[Line] = [[(f"{head}{'mean':>6}{'inside':>12}", "dim")]]
    return lines + [_phase(phase, degrees, wide) for phase in findings.phases]


def _phase(phase: PhaseFinding, degrees: Degrees, wide: bool) -> Line:
    number, window = degrees.number, phase.plan.window
    share = "not reached" if phase.reached_s is None else f"{phase.inside_share:.0%}"
    edges = f"{number(window.low_c)}–{number(window.high_c)}"
    lasted = duration(phase.end_s - phase.start_s)
    begun = f"{clock(phase.start_s):>8}" if wide else ""
    ends = f"{number(phase.low_c):>7}{number(phase.high_c):>8}" if wide else ""
    return [
        (f"{phase.plan.name:<7}", "strong"),
        (f"{begun}{lasted:>11}  {edges:<12}", ""),
        (f"{ends}{number(phase.mean_c):>6}", ""),
        (f"{share:>12}", "" if phase.inside_share > 0.99 else "strong"),
    ]


def _events(events: list[Event]) -> list[Line]:
    chosen = [event for event in events if event.kind in SHOWN_KINDS]
    lines: list[Line] = [[("Notes, tests, alarms", "dim")]]
    if not any(event.kind == "test" for event in chosen):
        lines.append([("No test of temper was recorded in this cycle.", "strong")])
    lines += [
        [(f"{clock(event.time_s):>8}  {event.kind:<6}", "dim"), (one_line(event.text), "")]
        for event in chosen[:MOST_EVENTS]
    ]
    if len(chosen) > MOST_EVENTS:
        lines.append([(f"and {len(chosen) - MOST_EVENTS} more: see the report", "strong")])
    return lines


def holds_lines(newest_first: list[Path]) -> list[Line]:
    """What the holds of these cycles say together, in lines."""
    from .compare import compare_cycles

    try:
        sentences = compare_cycles(newest_first).sentences()
    except InputError as error:
        sentences = [str(error)]
    return [[("All cycles of this recipe", "strong")], *([(line, "")] for line in sentences)]
