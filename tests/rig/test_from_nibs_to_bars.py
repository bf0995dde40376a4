"""One batch of an invented workshop, from nibs to wrapped, labelled bars, with a virtual rig in
the middle; then its lots are asked for."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from typer.testing import CliRunner
from world import world

from glossbath.cli.desk import app
from glossbath.recipe import dump, load
from glossbath.virtual.virtual import Options

RUNNER = CliRunner()


def desk(*words: str) -> dict[str, Any]:
    """What the desk answers."""
    result = RUNNER.invoke(app, [*words, "--json"])
    assert result.exit_code == 0, result.output
    answer: dict[str, Any] = json.loads(result.stdout)
    return answer


def test_a_batch_goes_from_nibs_to_labelled_bars(tmp_path: Path) -> None:
    # By hand: 0.7 kg of nibs of 54 % fat and 0.3 kg of sugar: cocoa 70, cocoa butter 37.8 %.
    made = desk("formula", "nibs=0.7@9", "sugar=0.3@1", "--bar", "80")
    shares = made["composition"]
    assert round(shares["cocoa_butter_share"], 3) == 0.378
    content = ["--cocoa", "70", "--cocoa-butter", "37.8", "--sugar", "30"]
    names = desk("legal-names", *content)
    assert names["names"][0]["met"]  # Codex CXS 87-1981: chocolate, 35/18/14
    assert desk("windows", *content)["work"] == {"low_c": 30.0, "high_c": 31.0}
    plan = desk("batch", "--kg", "1", "--fat", "37.8", "--rh", "45")
    assert plan["ready_s"]["value"] > 0

    with world(tmp_path, Options()) as rig:
        rig.run(3)
        text = dump(load("dark").with_hold(900.0))
        reply = rig.ask("start", recipe=text, where="dark", batch_kg=1.0, lot="liquor-12")
        assert reply.ok, reply.text
        rig.until(lambda: bool(rig.result), 6 * 3600)
        assert rig.result == "complete"
        folder = Path(rig.keeper.snapshot().folder)
        held = [one for one in rig.readings() if one.phase == "hold"][-1]
    assert held.chocolate_c is not None
    held_c = f"{held.chocolate_c:.2f}"
    assert desk("hold", "--at", held_c, "--held", "15")["action"] == "use"
    assert desk("dip", "--set-after", "4")["result"] == "in temper"

    poured = desk("mould", "--kg", "0.97", "--thickness", "8", "--room", "20", "--rh", "45",
                  "--chocolate", held_c)  # fmt: skip
    assert poured["fast_s"] < poured["slow_s"] < 3 * 3600
    label = desk("label", "cocoa-nibs=70", "sugar=30", "--name", "Lantern 70", "--lot", "bars-1",
                 "--best-before", "2032-05")  # fmt: skip
    assert label["ingredients"] == ["cocoa nibs", "sugar"]

    links = tmp_path / "lots.csv"
    links.write_text(f"from,to\nnibs-7,liquor-12\nsugar-1,{folder.name}\n{folder.name},bars-1\n")
    lots = ["trace", str(links), "--cycles", str(folder.parent), "--lot"]
    assert desk(*lots, "nibs-7")["ends"] == ["bars-1"]
    assert set(desk(*lots, "bars-1")["made_of"]) == {
        folder.name, "liquor-12", "nibs-7", "sugar-1",
    }  # fmt: skip
