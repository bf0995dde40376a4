"""What decides and what writes plain lines must not pay for, or need, a screen."""

from __future__ import annotations

import subprocess
import sys

MODULES = (
    "client.client",
    "view.rig_view",
    "view.sentences",
    "view.panels",
    "view.chart",
    "view.facts",
    "view.pending_orders",
    "cli.plain",
    "view.overview",
    "editing.draft",
    "editing.batch",
    "editing.table",
)


def test_nothing_but_tui_loads_textual() -> None:
    names = ", ".join(f"glossbath.{name}" for name in MODULES)
    code = f"import sys, {names}; sys.exit('textual' in sys.modules or 'numpy' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
