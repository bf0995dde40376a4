"""report.html: one self-contained page about one cycle, printable on two sheets."""

from __future__ import annotations

import html
from collections.abc import Iterable
from itertools import zip_longest
from pathlib import Path

from glossbath.client.messages import Event
from glossbath.errors import LogError
from glossbath.record import PastCycle, open_cycle
from glossbath.record.package import CycleFacts

from .crystals import predict
from .findings import Findings, PhaseFinding, judge
from .picture import curve_svg

FILE = "report.html"

_STYLE = """
body { font: 15px/1.45 system-ui, sans-serif; color: #222; max-width: 62rem; margin: 1.5rem auto;
  padding: 0 1rem; }
h1 { font-size: 1.5rem; margin: 0 0 .2rem; } h2 { font-size: 1.05rem; margin: 1.4rem 0 .4rem; }
p { margin: .3rem 0; } table { border-collapse: collapse; width: 100%; font-size: .92em; }
th, td { text-align: left; padding: .22rem .5rem; border-bottom: 1px solid #ccc;
  vertical-align: top; }
th.n, td.n { text-align: right; font-variant-numeric: tabular-nums; }
.verdict { border-left: .5rem solid #222; padding: .4rem .8rem; background: #f2f2f2; }
.left { border-left-style: double; } .virtual { border: 2px dashed #222; padding: .4rem .8rem; }
svg { width: 100%; height: auto; } .small { color: #555; font-size: .85em; }
@media print { body { margin: 0; max-width: none; font-size: 11px; }
  h2, tr, svg { break-inside: avoid; } @page { size: A4; margin: 14mm; } }
"""


def write_report(folder: Path, out: Path | None = None, heater_w: float | None = None) -> Path:
    """Write the page of a cycle's folder and return where it is; raises LogError."""
    cycle = open_cycle(folder)
    path = out or Path(folder) / FILE
    try:
        path.write_text(page(cycle, heater_w), encoding="utf-8")
    except OSError as error:
        raise LogError(f"{path} cannot be written: {error.strerror}.") from error
    return path


def page(cycle: PastCycle, heater_w: float | None = None) -> str:
    """The page of a cycle as HTML; with the heater's power in W it tells the energy."""
    findings = judge(cycle, heater_w)
    events = cycle.events()
    facts = cycle.facts
    title = f"{facts.recipe.name}, {_moment(facts.started)}" if facts else "Cycle"
    parts = [
        _head(cycle, title),
        _verdict(findings),
        "<h2>Curve</h2>",
        curve_svg(cycle, findings.phases, events) if findings.phases else "<p>No readings.</p>",
        "<h2>Phases</h2>",
        _phases(findings.phases),
        _hold(findings.phases),
        _kitchen(findings),
        _crystals(cycle),
        _events(events),
        _identity(cycle, findings),
    ]
    return (
        f'<!doctype html>\n<html lang="en"><head><meta charset="utf-8"><title>{_text(title)}'
        f"</title><style>{_STYLE}</style></head><body>{''.join(parts)}</body></html>\n"
    )


def _text(value: object) -> str:
    return html.escape(str(value))


def _moment(stamp: str) -> str:
    """A moment of the record, to the minute; the record has UTC."""
    return _text(f"{stamp[:10]} {stamp[11:16]} UTC" if stamp else "unknown")


def _head(cycle: PastCycle, title: str) -> str:
    facts = cycle.facts
    made = ""
    if facts is not None:
        lot = f", lot {_text(facts.lot)}" if facts.lot else ""
        made = (
            f"<p>{facts.batch_kg:g} kg of {_text(facts.recipe.chocolate)} chocolate{lot}, "
            f"recipe {_text(facts.recipe.name)}, on rig {_text(facts.rig)}; began "
            f"{_moment(facts.started)}, ended {_moment(facts.ended)}.</p>"
        )
    virtual = ""
    if cycle.virtual:
        virtual = (
            '<p class="virtual"><strong>VIRTUAL RIG.</strong> This cycle was simulated: no '
            "chocolate was there.</p>"
        )
    return f"<h1>{_text(title)}</h1>{made}{virtual}"


def _verdict(findings: Findings) -> str:
    kind = "verdict" if findings.kept else "verdict left"
    first, *rest = findings.verdict
    more = "".join(f"<p>{_text(sentence)}</p>" for sentence in rest)
    return f'<div class="{kind}"><p><strong>{_text(first)}</strong></p>{more}</div>'


def _table(head: Iterable[str], rows: Iterable[Iterable[tuple[str, bool]]]) -> str:
    rows = [list(row) for row in rows]
    numeric = [number for _, number in rows[0]] if rows else []
    top = "".join(
        f'<th class="n">{_text(name)}</th>' if number else f"<th>{_text(name)}</th>"
        for name, number in zip_longest(head, numeric, fillvalue=False)
    )
    body = "".join(
        "<tr>"
        + "".join(
            f'<td class="n">{_text(cell)}</td>' if number else f"<td>{_text(cell)}</td>"
            for cell, number in row
        )
        + "</tr>"
        for row in rows
    )
    return f"<table><thead><tr>{top}</tr></thead><tbody>{body}</tbody></table>"


def _degrees(value: float | None) -> tuple[str, bool]:
    return ("–" if value is None else f"{value:.2f}", True)


def _phases(phases: tuple[PhaseFinding, ...]) -> str:
    head = (
        *("phase", "window °C", "from min", "to min", "lowest °C", "highest °C", "mean °C"),
        *("overshoot °C", "in window"),
    )
    rows = [
        (
            (phase.plan.name, False),
            (f"{phase.plan.window.low_c:g} to {phase.plan.window.high_c:g}", False),
            (f"{phase.start_s / 60:.1f}", True),
            (f"{phase.end_s / 60:.1f}", True),
            _degrees(phase.low_c),
            _degrees(phase.high_c),
            _degrees(phase.mean_c),
            _degrees(phase.overshoot_c),
            ("not reached" if phase.reached_s is None else f"{phase.inside_share:.0%}", True),
        )
        for phase in phases
    ]
    note = (
        "<p class='small'>In window: share of the time after it was first reached. Overshoot: how "
        "far past the target after that, below it in cool, above it elsewhere.</p>"
    )
    return _table(head, rows) + note


def _hold(phases: tuple[PhaseFinding, ...]) -> str:
    hold = next((phase for phase in phases if phase.plan.name == "hold"), None)
    if hold is None or hold.spread_c is None:
        return ""
    minutes = (hold.end_s - hold.start_s) / 60
    return (
        f"<h2>Hold</h2><p>{minutes:.0f} minutes at a mean of {hold.mean_c:.2f} °C; 95 % of the "
        f"readings within ±{hold.spread_c:.2f} °C of {hold.plan.target_c:g} °C.</p>"
    )


def _kitchen(findings: Findings) -> str:
    minutes = findings.full_heat_s / 60
    energy = "" if findings.heat_wh is None else f", about {findings.heat_wh:.0f} W h"
    lines = [f"The heater gave as much as {minutes:.0f} min at full power{energy}."]
    if findings.room is None:
        lines.append("Nobody measured the room.")
    else:
        low_c, mean_c, high_c = findings.room
        humidity = findings.humidity_percent
        damp = "" if humidity is None else f", {humidity:.0f} % relative humidity"
        lines.append(
            f"The room had {mean_c:.1f} °C ({low_c:.1f} to {high_c:.1f} °C){damp} in the mean."
        )
    return f"<h2>Heat and room</h2><p>{_text(' '.join(lines))}</p>"


def _crystals(cycle: PastCycle) -> str:
    sentences = "".join(f"<p>{_text(line)}</p>" for line in predict(cycle).sentences())
    return f"<h2>Crystals, a prediction</h2>{sentences}"


def _events(events: list[Event]) -> str:
    rows = [
        ((f"{event.time_s / 60:.1f}", True), (event.kind, False), (event.text, False))
        for event in events
    ]
    tests = [event for event in events if event.kind == "test"]
    none = "" if tests else "<p>No test of temper was recorded in this cycle.</p>"
    return "<h2>What happened</h2>" + none + _table(("min", "kind", "what"), rows)


def _identity(cycle: PastCycle, findings: Findings) -> str:
    facts: CycleFacts | None = cycle.facts
    lines = []
    if facts is not None:
        lines.append(
            f"Board {facts.board}, firmware {facts.firmware} on {facts.engine}, "
            f"software {facts.software}."
        )
        lines += [f"Recipe's source: {source}" for source in facts.recipe.sources]
        if facts.not_written:
            lines.append(f"{facts.not_written} rows could not be written.")
    if findings.longest_gap_s > 5:
        lines.append(f"The longest gap between readings is {findings.longest_gap_s:.0f} s.")
    lines += list(cycle.problems)
    lines.append("Windows are advice; temper is decided by a test on the chocolate.")
    body = "".join(f'<p class="small">{_text(line)}</p>' for line in lines)
    return f"<h2>Where this comes from</h2>{body}"
