"""The page of a commissioning: what was tried, what was found, who answers for it. One file, to be
printed and signed by hand as well."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from glossbath.report import html_page
from glossbath.report.html_page import text

from .record import CommissionRecord, Result, record_path
from .steps import STEPS

_CAUTION = (
    "This page certifies nothing: not the rig, not its firmware, not who built it. The protective "
    "function is the hardware cut-out. Mains work belongs to a licensed electrician under local "
    "codes. The proof tests of hardware/care.md go on as long as the rig is used."
)


def write(record: CommissionRecord, why: Mapping[str, str]) -> Path:
    """Write the page beside the record and return where it is; raises LogError.

    why says for each step '' where it stands, else what it lacks.
    """
    return html_page.write(record_path(record.rig).with_suffix(".html"), page(record, why))


def page(record: CommissionRecord, why: Mapping[str, str]) -> str:
    """The page as HTML."""
    title = f"Commissioning of {record.rig}"
    parts = [
        f"<h1>{text(title)}</h1>",
        f"<p>Board {text(record.board)}, begun {text(record.begun[:10])} (UTC).</p>",
        _virtual(record),
        _verdict(record, why),
        "<h2>Steps</h2>",
        _steps(record, why),
        _calibration(record),
        _signature(record, why),
        f'<p class="small">{text(_CAUTION)}</p>',
    ]
    return html_page.document(title, parts)


def _virtual(record: CommissionRecord) -> str:
    if not record.virtual:
        return ""
    return '<p class="virtual">VIRTUAL RIG: nothing on this page was tried on a real one.</p>'


def _verdict(record: CommissionRecord, why: Mapping[str, str]) -> str:
    missing = [step.title for step in STEPS if why.get(step.code)]
    if not missing:
        return '<p class="verdict">Commissioned: every step stands and is signed for.</p>'
    return (
        '<p class="verdict left">Not finished: the rig heats nothing but water. Missing: '
        f"{text(', '.join(missing))}.</p>"
    )


def _steps(record: CommissionRecord, why: Mapping[str, str]) -> str:
    rows = [
        _row(number, step.title, record.results.get(step.code), why.get(step.code, ""))
        for number, step in enumerate(STEPS, 1)
    ]
    head = (
        "<tr><th>#</th><th>Step</th><th>Result</th><th>Found</th><th>When (UTC), by whom</th></tr>"
    )
    return f"<table>{head}{''.join(rows)}</table>"


def _row(number: int, title: str, result: Result | None, why: str) -> str:
    if result is None:
        cells = ["NOT DONE", "", ""]
    else:
        word = "NOT PASSED" if not result.ok else f"AGAIN: {why}" if why else "passed"
        when = f"{result.when[:16].replace('T', ' ')}, {result.who}, firmware {result.firmware}"
        cells = [word, result.text, when]
    shown = "".join(f"<td>{text(cell)}</td>" for cell in (title, *cells))
    return f'<tr><td class="n">{number}</td>{shown}</tr>'


def _calibration(record: CommissionRecord) -> str:
    result = record.results.get("calibration")
    if result is None or not result.ok:
        return ""
    rows = [_probe(name, kept) for name, kept in result.values.get("calibration", {}).items()]
    return (
        '<h2>Probes</h2><table><tr><th>Probe</th><th class="n">Offset</th>'
        '<th class="n">Gain</th><th class="n">Doubt at 31 °C (k = 2)</th><th>Compared with'
        f"</th></tr>{''.join(rows)}</table>"
    )


def _probe(name: str, kept: Mapping[str, Any]) -> str:
    points = "; ".join(
        f"{point['how']}: read {point['measured_c']:.2f} at {point['reference_c']:.2f} °C"
        for point in kept["points"]
    )
    return (
        f'<tr><td>{text(name)}</td><td class="n">{kept["offset_mc"] / 1000:+.3f} °C</td>'
        f'<td class="n">{kept["gain_ppm"]:+d} ppm</td><td class="n">±{kept["u_k"]:.2f} °C</td>'
        f"<td>{text(points)}</td></tr>"
    )


def _signature(record: CommissionRecord, why: Mapping[str, str]) -> str:
    signed = record.results.get("sign")
    if signed is None or why.get("sign"):
        return "<h2>Signature</h2><p>Not signed.</p>"
    name = signed.values.get("name", "")
    return (
        f"<h2>Signature</h2><p>{text(name)} answered for these results on "
        f"{text(signed.when[:10])} (UTC), at the rig, with a hand on the arm button.</p>"
        f'<p class="line">{text(name)}, by hand</p>'
    )
