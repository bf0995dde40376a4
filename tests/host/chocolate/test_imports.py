"""The chocolate package is cheap to import and knows nothing of files, ports and screens."""

from __future__ import annotations

import json
import subprocess
import sys

LATE = ("numpy", "scipy", "psychrolib", "matplotlib", "serial", "textual", "typer")
SCRIPT = """
import importlib, json, pkgutil, sys
import glossbath.chocolate as package
for module in pkgutil.iter_modules(package.__path__, "glossbath.chocolate."):
    importlib.import_module(module.name)
print(json.dumps(sorted(sys.modules)))
"""


def test_importing_every_module_loads_no_heavy_library() -> None:
    done = subprocess.run(
        [sys.executable, "-c", SCRIPT], capture_output=True, text=True, check=True
    )
    loaded = json.loads(done.stdout)
    assert "glossbath.chocolate.coolingcurve" in loaded
    assert not [name for name in loaded if name.split(".")[0] in LATE]
