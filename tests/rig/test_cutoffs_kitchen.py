"""What a kitchen does in a day must not end a batch; some of it must pause heat or stirring."""

from __future__ import annotations

from pathlib import Path

import pytest
from direct import Direct, direct, program
from sampling import sample

from glossbath.virtual.chocolates import bowl_of
from glossbath.virtual.virtual import Options

MELT = program("melt", 48.0, 56.0, 52.0)
HOLD = program("hold", 30.5, 33.0, 52.0)
WARM = Options(begin={"chocolate_c": 46.0, "bath_c": 52.0, "body_c": 54.0})
AT_HOLD = Options(begin={"chocolate_c": 30.5, "bath_c": 30.5, "body_c": 30.5})


def stirred_s(d: Direct, seconds: float) -> float:
    """For how long the stirrer turns while time passes."""
    turned = 0.0
    end_ms = d.rig.now_ms + seconds * 1000
    while d.rig.now_ms < end_ms:
        turned += 0.25 if d.rig.pin("stir") else 0.0
        d.step()
    return turned


def test_two_minutes_with_the_lid_off_pause_the_stirrer_only(tmp_path: Path) -> None:
    with direct(tmp_path, WARM) as d:
        d.heat(MELT)
        d.run(30)
        d.rig.plant.set_lid(True)
        d.run(0.5)
        assert stirred_s(d, 120) == 0.0
        d.rig.plant.set_lid(False)
        assert stirred_s(d, 2.5) == 0.0  # hands are still there
        assert stirred_s(d, 60) > 55.0
        assert not d.trips and d.reading["st"] == "running"


def test_a_bowl_lifted_out_for_a_minute_pauses_heat_only(tmp_path: Path) -> None:
    with direct(tmp_path) as d:
        d.heat(MELT)
        d.run(30)
        assert d.reading["h"] == 1000
        d.rig.float_held_down = True
        d.run(3)
        assert d.rig.heat_share == 0.0 and d.reading["st"] == "running"
        d.run(57)
        d.rig.float_held_down = False
        d.run(5)
        assert d.rig.heat_share > 0.0 and not d.trips


def test_a_spark_in_a_reading_pauses_heat_only(tmp_path: Path) -> None:
    with direct(tmp_path) as d:
        d.heat(MELT)
        d.run(30)
        d.rig.chips["body"].inject("crc noise")
        d.until(lambda: d.reading["y"] == "crc", 5)
        assert not d.rig.pin("heat")
        d.rig.chips["body"].inject("")
        d.run(5)
        assert d.rig.heat_share > 0.0 and not d.trips


@pytest.mark.parametrize(
    ("habit", "options", "recipe"),
    [
        ("half a litre of boiling water", AT_HOLD, HOLD),
        ("half a litre of cold water", WARM, MELT),
        ("cold callets", WARM, MELT),
        ("a probe wiped for a minute", WARM, MELT),
        ("a probe wiped while holding", AT_HOLD, HOLD),
        ("half of the chocolate used up", AT_HOLD, HOLD),
        ("a draught from the door", AT_HOLD, HOLD),
        ("a weak mains", WARM, MELT),
        ("no ice left", AT_HOLD, HOLD),
    ],
)
def test_a_kitchens_habit_does_not_end_the_batch(
    tmp_path: Path, habit: str, options: Options, recipe: str
) -> None:
    with direct(tmp_path, options) as d:
        d.heat(recipe)
        d.run(60)
        plant, probe = d.rig.plant, d.rig.probes["chocolate"]
        if habit == "half a litre of boiling water":
            plant.add_water(0.5, 90.0)
        elif habit == "half a litre of cold water":
            plant.add_water(0.5, 10.0)
        elif habit == "cold callets":
            plant.add_chocolate(0.3, 20.0)
        elif habit.startswith("a probe wiped"):
            probe.lift(lambda: plant.room_c)
            d.run(60)
            probe.mend()
        elif habit == "half of the chocolate used up":
            plant.take_chocolate(0.5)
        elif habit == "a draught from the door":
            plant.set_room(12.0)
        elif habit == "a weak mains":
            plant.set_mains(0.85)
        else:
            plant.take_ice(plant.ice_kg)
        d.run(1_500)
        assert not d.trips and d.reading["st"] == "running"


@pytest.mark.parametrize(("recipe", "seed"), sample([("white", 2), ("dark", 1)], of=2))
def test_a_normal_cycle_trips_nothing(tmp_path: Path, recipe: str, seed: int) -> None:
    # Eighteen more, with other rooms, batches, heaters and waters: tests/bench/false_trips.py.
    options = Options(parameters=bowl_of(recipe), seed=seed)
    with direct(tmp_path, options) as d:
        d.heat(recipe)
        d.until(lambda: d.state not in ("running", "held"), 5 * 3600)
        assert (d.state, d.trips) == ("complete", [])
        assert d.longest_frame < 200
