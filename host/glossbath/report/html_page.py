"""The frame of every page that a person prints: one file, readable in grey, two sheets at most."""

from __future__ import annotations

import html
from collections.abc import Iterable
from itertools import zip_longest
from pathlib import Path

from glossbath.errors import LogError

STYLE = """
body { font: 15px/1.45 system-ui, sans-serif; color: #222; max-width: 62rem; margin: 1.5rem auto;
  padding: 0 1rem; background: #fff; }
h1 { font-size: 1.5rem; margin: 0 0 .2rem; } h2 { font-size: 1.05rem; margin: 1.4rem 0 .4rem; }
p { margin: .3rem 0; } table { border-collapse: collapse; width: 100%; font-size: .92em; }
th, td { text-align: left; padding: .22rem .5rem; border-bottom: 1px solid #ccc;
  vertical-align: top; }
th.n, td.n { text-align: right; font-variant-numeric: tabular-nums; }
.verdict { border-left: .5rem solid #222; padding: .4rem .8rem; background: #f2f2f2; }
.left { border-left-style: double; } .virtual { border: 2px dashed #222; padding: .4rem .8rem; }
.line { margin-top: 2.2rem; border-top: 1px solid #222; width: 20rem; padding-top: .2rem; }
svg { width: 100%; height: auto; } .small { color: #555; font-size: .85em; }
@media print { body { margin: 0; max-width: none; font-size: 11px; }
  h2 { break-after: avoid; } h2, tr, svg { break-inside: avoid; }
  @page { size: A4; margin: 14mm; } }
"""

VIRTUAL = "VIRTUAL RIG: what stands here was simulated; no chocolate was there."

Cell = tuple[str, bool]
"""The text of a cell, and whether it is a number."""


def text(value: object) -> str:
    """Anything as text that is no markup."""
    return html.escape(str(value))


def document(title: str, parts: Iterable[str]) -> str:
    """A page of parts that are HTML already."""
    return (
        f'<!doctype html>\n<html lang="en"><head><meta charset="utf-8"><title>{text(title)}'
        f"</title><style>{STYLE}</style></head><body>{''.join(parts)}</body></html>\n"
    )


def write(path: Path, page: str) -> Path:
    """Write a page and return where it is; raises LogError."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(page, encoding="utf-8")
    except OSError as error:
        raise LogError(f"{path} cannot be written: {error.strerror}; check the disk.") from error
    return path


def paragraph(words: str, kind: str = "") -> str:
    """One paragraph of plain text; kind is its class."""
    return f'<p class="{kind}">{text(words)}</p>' if kind else f"<p>{text(words)}</p>"


def table(head: Iterable[str], rows: Iterable[Iterable[Cell]]) -> str:
    """A table of plain text; a column is one of numbers where its first row says so."""
    rows = [list(row) for row in rows]
    numeric = [number for _, number in rows[0]] if rows else []
    top = "".join(_cell("th", *cell) for cell in zip_longest(head, numeric, fillvalue=False))
    body = "".join(f"<tr>{''.join(_cell('td', *cell) for cell in row)}</tr>" for row in rows)
    return f"<table><thead><tr>{top}</tr></thead><tbody>{body}</tbody></table>"


def _cell(tag: str, words: object, number: object) -> str:
    return f'<{tag} class="n">{text(words)}</{tag}>' if number else f"<{tag}>{text(words)}</{tag}>"
