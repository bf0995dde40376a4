"""Copies of the firmware in which something is taken away, to see what is left without it.

For tests of the host alone. The firmware that ships is never changed.
"""

from __future__ import annotations

import contextlib
import shutil
from collections.abc import Iterator
from pathlib import Path

from glossbath.virtual.engine import Engine
from glossbath_board import files

EMPTY_TABLE = "\n\nCUTOFFS = ()\n"
_ALLOW = "allowed.heat_permille = 0 if self.withheld & HEAT else _share(control.heat_permille)"
_CHILL = "allowed.chill_permille = _share(control.chill_permille)"
_STOP = '        self._cycle.handle("stop")\n'

CUT = """import gc
import machine

try:
    with open("cuts") as file:
        left = file.read()[1:]
    with open("cuts", "w") as file:
        file.write(left)
    if left:
        machine.reset()
except OSError:
    pass
"""

STAGES = ("orders", "sense", "cycle", "control", "supervise", "drive", "report")
"""Of a pass, as loop.py names them."""
FAILING = '''
import os

kept = []


def here(stage):
    """Fail in the way that flash asks for, once."""
    try:
        with open("fail") as file:
            way, where = file.read().split()
    except OSError:
        return
    if where == stage:
        os.remove("fail")
        if way == "raise":
            raise ValueError("on demand")
        full = kept if way == "keep" else []
        while True:
            full.append(bytearray(1000))
'''


def _failing(stage: str) -> tuple[str, str, str]:
    line = f'        self.stage = "{stage}"\n'
    return "loop.py", line, f'{line}        failing.here("{stage}")\n'


VARIANTS = {
    "fails on demand": (
        ("failing.py", "", FAILING),
        ("loop.py", "from . import report\n", "from . import failing, report\n"),
        *map(_failing, STAGES),
    ),
    "cut while importing": (("start.py", "import gc\n", CUT),),
    "heat that nobody asked for has another name": (("cutoffs.py", '"unasked-heat"', '"supply"'),),
    "no cut-offs": (("cutoffs.py", "", EMPTY_TABLE),),
    "no cut-offs, full heat": (
        ("cutoffs.py", "", EMPTY_TABLE),
        ("supervisor.py", _ALLOW, "allowed.heat_permille = 1000"),
        ("supervisor.py", _CHILL, "allowed.chill_permille = 0"),
    ),
    "no cut-offs, deaf to stop": (
        ("cutoffs.py", "", EMPTY_TABLE),
        ("orders.py", _STOP, ""),
    ),
}
"""What each variant replaces: file, text that must be there once (or '' to append), new text."""


@contextlib.contextmanager
def variant(name: str) -> Iterator[None]:
    """Rigs that are built inside this context run the variant."""
    install = Engine._install_libraries

    def install_variant(engine: Engine) -> None:
        install(engine)
        active = engine._flash / "active"
        place = Path(active.read_text())
        changed = place.with_name("variant")
        shutil.copytree(place, changed)
        for file, old, new in VARIANTS[name]:
            _change(changed / "glossbath_board" / file, old, new)
        identity = files.identity(str(changed), str(engine._flash))
        named = place.with_name(files.PREFIX + identity)
        changed.rename(named)
        active.write_text(str(named))

    Engine._install_libraries = install_variant  # type: ignore[method-assign]
    try:
        yield
    finally:
        Engine._install_libraries = install  # type: ignore[method-assign]


def _change(path: Path, old: str, new: str) -> None:
    text = path.read_text() if path.exists() else ""
    if old:
        assert text.count(old) == 1, f"{path.name} has no longer: {old}"
        path.write_text(text.replace(old, new))
    else:
        path.write_text(text + new)
