"""report.html: one self-contained page about one cycle, printable on two sheets."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from glossbath.chocolate.phase import PhasePlan
from glossbath.client.messages import Event
from glossbath.record import PastCycle, open_cycle
from glossbath.record.package import CycleFacts
from glossbath.words import Degrees

from .crystals import predict
from .findings import Findings, PhaseFinding, judge
from .html_page import VIRTUAL, Cell, document, paragraph, table, text, write
from .picture import curve_svg

FILE = "report.html"


def write_report(
    folder: Path,
    out: Path | None = None,
    heater_w: float | None = None,
    degrees: Degrees | None = None,
) -> Path:
    """Write the page of a cycle's folder and return where it is; raises LogError."""
    return write(out or Path(folder) / FILE, page(open_cycle(folder), heater_w, degrees))


def page(cycle: PastCycle, heater_w: float | None = None, degrees: Degrees | None = None) -> str:
    """The page of a cycle as HTML; with the heater's power in W it tells the energy."""
    degrees = degrees or Degrees()
    findings = judge(cycle, heater_w, degrees)
    events = cycle.events()
    facts = cycle.facts
    title = f"{facts.recipe.name}, {moment(facts.started)}" if facts else "Cycle"
    curve = curve_svg(cycle, findings.phases, events, degrees) if findings.phases else ""
    return document(
        title,
        [
            _head(cycle, title),
            _verdict(findings),
            "<h2>Curve</h2>",
            curve or "<p>No readings.</p>",
            "<h2>Phases</h2>",
            _phases(findings.phases, degrees),
            _hold(findings.phases, events, degrees),
            _kitchen(findings, degrees),
            _crystals(cycle),
            _events(events),
            _identity(cycle, findings),
        ],
    )


def moment(stamp: str) -> str:
    """A moment of the record to the minute, by the clock on the wall and in UTC."""
    try:
        utc = datetime.fromisoformat(stamp)
        local = utc.astimezone()
    except (ValueError, OverflowError):
        return "unknown"
    if not local.utcoffset():
        return f"{local:%Y-%m-%d %H:%M} UTC"
    day = "" if local.date() == utc.date() else f"{utc:%Y-%m-%d} "
    return f"{local:%Y-%m-%d %H:%M} ({day}{utc:%H:%M} UTC)"


def _head(cycle: PastCycle, title: str) -> str:
    facts = cycle.facts
    made = ""
    if facts is not None:
        lot = f", lot {text(facts.lot)}" if facts.lot else ""
        made = (
            f"<p>{facts.batch_kg:g} kg of {text(facts.recipe.chocolate)} chocolate{lot}, "
            f"recipe {text(facts.recipe.name)}, on rig {text(facts.rig)}; began "
            f"{text(moment(facts.started))}, ended {text(moment(facts.ended))}.</p>"
        )
    virtual = paragraph(VIRTUAL, "virtual") if cycle.virtual else ""
    return f"<h1>{text(title)}</h1>{made}{virtual}"


def _verdict(findings: Findings) -> str:
    good = findings.kept and findings.temper != "out of temper"
    kind = "verdict" if good else "verdict left"
    first, *rest = findings.verdict
    more = "".join(paragraph(sentence) for sentence in rest)
    return f'<div class="{kind}"><p><strong>{text(first)}</strong></p>{more}</div>'


def _phases(phases: tuple[PhaseFinding, ...], degrees: Degrees) -> str:
    sign = degrees.sign
    head = (
        *("phase", f"window {sign}", "from min", "to min", f"lowest {sign}", f"highest {sign}"),
        *(f"mean {sign}", f"overshoot {sign}", "in window"),
    )

    def cell(celsius: float | None) -> Cell:
        return ("–" if celsius is None else f"{degrees.value(celsius):.2f}", True)

    def span(kelvin: float | None) -> Cell:
        factor = 1.8 if degrees.fahrenheit else 1.0
        return ("–" if kelvin is None else f"{kelvin * factor:.2f}", True)

    rows = [
        (
            (phase.plan.name, False),
            (window(phase.plan, degrees), False),
            (f"{phase.start_s / 60:.1f}", True),
            (f"{phase.end_s / 60:.1f}", True),
            cell(phase.low_c),
            cell(phase.high_c),
            cell(phase.mean_c),
            span(phase.overshoot_c),
            ("not reached" if phase.reached_s is None else f"{phase.inside_share:.0%}", True),
        )
        for phase in phases
    ]
    return table(head, rows) + paragraph(
        "In window: share of the time after it was first reached. Overshoot: how far past the "
        "target after that, below it in cool, above it elsewhere.",
        "small",
    )


def window(plan: PhasePlan, degrees: Degrees) -> str:
    """A window as short as it can be, without its unit."""
    ends = (plan.window.low_c, plan.window.high_c)
    return " to ".join(f"{round(degrees.value(celsius), 1):g}" for celsius in ends)


def _hold(phases: tuple[PhaseFinding, ...], events: list[Event], degrees: Degrees) -> str:
    hold = next((phase for phase in phases if phase.plan.name == "hold"), None)
    if hold is None or hold.spread_c is None or hold.mean_c is None:
        return ""
    minutes = (hold.end_s - hold.start_s) / 60
    factor = 1.8 if degrees.fahrenheit else 1.0
    said = (
        f"{minutes:.0f} minutes, averaging {degrees.value(hold.mean_c):.2f} {degrees.sign}; 95 % "
        f"of the readings within ±{hold.spread_c * factor:.2f} {degrees.sign} of "
        f"{round(degrees.value(hold.plan.target_c), 1):g} {degrees.sign}."
    )
    worked = [event.text for event in events if event.code == "finished"]
    return f"<h2>Hold</h2>{paragraph(' '.join([said, *worked]))}"


def _kitchen(findings: Findings, degrees: Degrees) -> str:
    minutes = findings.full_heat_s / 60
    energy = "" if findings.heat_wh is None else f", about {findings.heat_wh:.0f} W h"
    lines = [f"The heat was equivalent to {minutes:.0f} min at full power{energy}."]
    if findings.room is None:
        lines.append("Nobody measured the room.")
    else:
        low, mean, high = (degrees.number(celsius) for celsius in findings.room)
        humidity = findings.humidity_percent
        damp = "" if humidity is None else f" and {humidity:.0f} % relative humidity"
        lines.append(f"The room averaged {mean} {degrees.sign} ({low} to {high}){damp}.")
    return f"<h2>Heat and room</h2>{paragraph(' '.join(lines))}"


def _crystals(cycle: PastCycle) -> str:
    sentences = "".join(paragraph(line) for line in predict(cycle).sentences())
    return f"<h2>Crystals, a prediction</h2>{sentences}"


def _events(events: list[Event]) -> str:
    rows = [
        ((f"{event.time_s / 60:.1f}", True), (event.kind, False), (event.text, False))
        for event in events
    ]
    tests = [event for event in events if event.kind == "test"]
    none = "" if tests else "<p>No test of temper was recorded in this cycle.</p>"
    return "<h2>What happened</h2>" + none + table(("min", "kind", "what"), rows)


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
    body = "".join(paragraph(line, "small") for line in lines)
    return f"<h2>Where this comes from</h2>{body}"
