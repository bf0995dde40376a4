"""How long a key takes beside a virtual cycle at 60 times real time, against a bare Textual app.

    .venv/bin/python tests/bench/key_latency.py [--presses N]

Both apps run on pseudo-terminals of one size beside the same cycle and are pressed in turn: `n`,
which opens a box to type in, and `z`, which draws the trend anew (the bare app: as many lines of
text). A figure is the time from the key to the words that it brings; what counts is the ratio of
the medians of one run, since a machine that is busy raises both.
"""

from __future__ import annotations

import argparse
import os
import statistics
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from glossbath.cli.demo import begin, virtual_keeper  # noqa: E402
from glossbath.client.launch import connect  # noqa: E402
from glossbath.recipe import dump, load  # noqa: E402
from tests.bench.terminal import Terminal  # noqa: E402

SIZE = (100, 30)
MOST = 1.5
BOX = "A note for the record of this cycle"
SPANS = ("whole cycle", "last 20 min", "window close up")
BARE = f"""
from textual.app import App
from textual.screen import ModalScreen
from textual.widgets import Input, Static

class Box(ModalScreen):
    BINDINGS = [("escape", "dismiss", "Leave")]
    def compose(self):
        yield Static({BOX!r})
        yield Input()

class Bare(App):
    BINDINGS = [("z", "turn", "Turn"), ("n", "note", "Note")]
    at = 0
    def compose(self):
        yield Static("", id="text")
        yield Static({SPANS[0]!r}, id="span")
    def action_turn(self):
        self.at = (self.at + 1) % 3
        row = "".join(chr(0x2800 + (self.at * 85 + cell) % 256) for cell in range(90))
        self.query_one("#text", Static).update("\\n".join([row] * 12))
        self.query_one("#span", Static).update({SPANS!r}[self.at])
    def action_note(self):
        self.push_screen(Box())

Bare().run()
"""


def taken_s(terminal: Terminal, key: str, words: str) -> float:
    """From the key to the words that it brings."""
    terminal.forget()
    began = time.perf_counter()
    terminal.press(key)
    terminal.shows(words)
    taken = time.perf_counter() - began
    time.sleep(0.15)
    return taken


def measure(ours: Terminal, bare: Terminal, presses: int) -> dict[str, dict[str, list[float]]]:
    """Times in s by key and app."""
    found: dict[str, dict[str, list[float]]] = {key: {"ours": [], "bare": []} for key in "nz"}
    for press in range(1, presses + 1):
        for name, terminal in (("ours", ours), ("bare", bare)):
            found["n"][name].append(taken_s(terminal, "n", BOX))
            terminal.press("\x1b")
            time.sleep(0.3)
            found["z"][name].append(taken_s(terminal, "z", SPANS[press % 3]))
    return found


def main() -> int:
    """Press, print, and give the exit code: 1 where a ratio is too high."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--presses", type=int, default=45)
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        for name in ("CYCLES", "RUN", "CONFIG"):
            os.environ[f"GLOSSBATH_{name}"] = str(Path(folder, name.lower()))
        with virtual_keeper(60.0, Path(folder)) as virtual:
            with connect(virtual.rig) as client:
                begin(client, recipe=dump(load("dark")), where="dark", batch_kg=1.0)
            ours = Terminal(["attach", "--rig", virtual.rig], SIZE, {})
            bare = Terminal([], SIZE, {}, start=BARE)
            try:
                ours.shows("RUNNING")
                ours.shows(SPANS[0])
                bare.shows(SPANS[0])
                found = measure(ours, bare, given.presses)
            finally:
                ours.close()
                bare.close()
    good = True
    for key, times_s in found.items():
        median = {name: statistics.median(times) for name, times in times_s.items()}
        ratio = median["ours"] / median["bare"]
        good = good and ratio <= MOST
        print(
            f"{key}: ours {1000 * median['ours']:.0f} ms, bare {1000 * median['bare']:.0f} ms, "
            f"ratio {ratio:.2f}, at most {MOST}"
        )
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())
