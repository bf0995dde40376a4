"""Past cycles for a screen: a list to search by words, and one cycle told in lines."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, tzinfo
from pathlib import Path
from typing import Any

from glossbath.client.messages import Event
from glossbath.record import open_cycle
from glossbath.record.package import CycleFacts
from glossbath.words import Degrees, Line, clock, duration, one_line

from .findings import Findings, PhaseFinding, judge

TOLD = ("note", "test", "trip", "alarm")
"""Kinds of events that say more of a cycle than its phases do."""
MOST_TOLD = 100

Entry = dict[str, Any]
"""One cycle as `glossbath.record.list_cycles` gives it."""


def matching(cycles: Iterable[Entry], words: str, zone: tzinfo | None = None) -> list[Entry]:
    """The cycles in whose row all the words stand, in any order; no words match every cycle."""
    wanted = words.lower().split()
    return [cycle for cycle in cycles if all(word in _searched(cycle, zone) for word in wanted)]


def _searched(cycle: Entry, zone: tzinfo | None) -> str:
    texts = ["".join(text for text, _ in row(cycle, zone)), str(cycle["rig"]), cycle["folder"]]
    return " ".join(texts).lower()


def row(cycle: Entry, zone: tzinfo | None = None) -> Line:
    """A cycle in one row of at most 78 cells: begin, recipe, result, batch, lot, kind.

    zone is that of the clock on the wall; None is the computer's.
    """
    result = str(cycle["result"])
    kept = "" if result == "complete" else "strong"
    batch = f"{cycle['batch_kg']:g} kg" if cycle["batch_kg"] else "-"
    lot = _cut(cycle["lot"] or "", 13)
    line: Line = [
        (f"{_moment(cycle['started'], zone):<17}", ""),
        (f"{_cut(cycle['recipe'] or 'unreadable', 15):<16}", "strong"),
        (f"{result:<10}", kept),
        (f"{batch:>8}  ", ""),
        (f"{lot:<14}", ""),
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


def told(folder: Path, degrees: Degrees, zone: tzinfo | None = None) -> list[Line]:
    """One cycle in lines: what it was, the verdict, its phases, its notes, tests and alarms.

    Raises LogError when the folder is not that of a cycle or cannot be read.
    """
    cycle = open_cycle(folder)
    findings = judge(cycle)
    events = cycle.events()
    weight = "strong" if findings.kept else "medium"
    lines: list[Line] = _head(cycle.facts, cycle.result, cycle.virtual, zone)
    lines += [[], [("Verdict", "dim")]]
    lines += [[(f" {findings.verdict[0]} ", weight)]]
    lines += [[(f"  {sentence}", "")] for sentence in findings.verdict[1:]]
    lines += [[], *_phases(findings, degrees), [], *_events(events)]
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


def _phases(findings: Findings, degrees: Degrees) -> list[Line]:
    if not findings.phases:
        return [[("There are no readings of any phase.", "strong")]]
    head = f"{'Phase':<8}{'from':>8}{'lasted':>12}  {'window':<12}{'lowest':>7}{'highest':>9}"
    lines: list[Line] = [[(f"{head}{'mean':>7}{'in window':>12}", "dim")]]
    return lines + [_phase(phase, degrees) for phase in findings.phases]


def _phase(phase: PhaseFinding, degrees: Degrees) -> Line:
    number, window = degrees.number, phase.plan.window
    share = "not reached" if phase.reached_s is None else f"{phase.inside_share:.0%}"
    edges = f"{number(window.low_c)}–{number(window.high_c)}"
    lasted = duration(phase.end_s - phase.start_s)
    return [
        (f"{phase.plan.name:<8}", "strong"),
        (f"{clock(phase.start_s):>8}{lasted:>12}  {edges:<12}", ""),
        (f"{number(phase.low_c):>7}{number(phase.high_c):>9}{number(phase.mean_c):>7}", ""),
        (f"{share:>12}", "" if phase.inside_share > 0.99 else "strong"),
    ]


def _events(events: list[Event]) -> list[Line]:
    chosen = [event for event in events if event.kind in TOLD]
    lines: list[Line] = [[("Notes, tests, alarms", "dim")]]
    if not any(event.kind == "test" for event in chosen):
        lines.append([("No test of temper was recorded in this cycle.", "strong")])
    lines += [
        [(f"{clock(event.time_s):>8}  {event.kind:<6}", "dim"), (one_line(event.text), "")]
        for event in chosen[:MOST_TOLD]
    ]
    if len(chosen) > MOST_TOLD:
        lines.append([(f"and {len(chosen) - MOST_TOLD} more: see the report", "strong")])
    return lines
