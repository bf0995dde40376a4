"""A page of labels to print and cut: dashed lines to cut along, nothing else on the paper."""

from __future__ import annotations

from pathlib import Path

from glossbath.chocolate.label import Label

from . import html_page

_STYLE = """<style>
.sheet { display: grid; grid-template-columns: repeat(3, 1fr); }
.label { border: 1px dashed #999; padding: 3mm; font-size: 9pt; line-height: 1.25;
  break-inside: avoid; overflow-wrap: anywhere; }
.label h2 { margin: 0 0 1mm; font-size: 12pt; } .label p { margin: .6mm 0; }
</style>"""


def write_sheet(label: Label, count: int, path: Path) -> Path:
    """A page with so many copies of a label; its path. Raises LogError."""
    name, *lines = label.printed
    words = "".join(html_page.paragraph(line) for line in lines)
    one = f'<div class="label"><h2>{html_page.text(name)}</h2>{words}</div>'
    parts = [_STYLE, f'<div class="sheet">{one * count}</div>']
    return html_page.write(path, html_page.document(f"Labels: {label.name}", parts))
