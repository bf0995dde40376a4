"""A keeper whose own program fails, as a real process beside a rig that heats."""

from __future__ import annotations

import csv
import json
import subprocess
import sys
from pathlib import Path

import pytest
from patience import PATIENCE_S, until

from glossbath.cli.demo import begin, virtual_keeper
from glossbath.client.launch import connect, last_words
from glossbath.client.messages import Alarm, Reading
from glossbath.recipe import dump, load
from glossbath.record import open_cycle

# Python reads this file when it starts (the site module's documentation). In the keeper, and in no
# other process, the check of each step raises once the file that is named there exists.
SITE = """
import os, sys
if "glossbath.keeper.serve" in sys.orig_argv:
    from glossbath.keeper.alarm_manager import AlarmManager
    _look = AlarmManager.look
    def look(self, *words):
        if os.path.exists(os.environ["INVENTED_FAILURE"]):
            raise RuntimeError("an invented failure")
        return _look(self, *words)
    AlarmManager.look = look
"""


def test_it_stops_the_rig_says_so_closes_the_record_and_ends_with_three(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "site").mkdir()
    (tmp_path / "site" / "sitecustomize.py").write_text(SITE)
    flag = tmp_path / "fail"
    monkeypatch.setenv("PYTHONPATH", str(tmp_path / "site"))
    monkeypatch.setenv("INVENTED_FAILURE", str(flag))
    monkeypatch.setenv("GLOSSBATH_RUN", str(tmp_path / "run"))
    heard: list[object] = []
    with virtual_keeper(50.0, tmp_path / "cycles") as virtual, connect(virtual.rig) as client:
        folder = begin(
            client, recipe=dump(load("dark").with_hold(600.0)), where="dark", batch_kg=1.0
        )

        def heats() -> bool:
            heard.extend(client.drain())
            return any(isinstance(m, Reading) and m.heat_share > 0 for m in heard)

        until(heats, lambda: client.wait(0.1))
        flag.touch()

        def told() -> bool:
            heard.extend(client.drain())
            return any(isinstance(m, Alarm) and m.code == "keeper-failed" for m in heard)

        until(told, lambda: client.wait(0.1))
        assert virtual.keeper.wait(PATIENCE_S) == 3
        assert "an invented failure" in last_words(virtual.rig)
    cycle = open_cycle(folder)
    assert cycle.result == "tripped"
    with open(Path(folder) / "events.csv", newline="") as file:
        assert any("an invented failure" in row["text"] for row in csv.DictReader(file))
    shown = subprocess.run(
        [
            *(sys.executable, "-c", "from glossbath.cli.app import main; main()"),
            *("log", "show", folder, "--json"),
        ],
        capture_output=True,
        text=True,
        check=True,
    )
    assert json.loads(shown.stdout)["result"] == "tripped"
