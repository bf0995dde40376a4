"""The batch plan against hand calculations, and its starting time."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta

import msgspec
import pytest

from glossbath.chocolate.batch import Batch, Rig, Targets, targets
from glossbath.chocolate.level import coil_ice_kg, water_advice
from glossbath.chocolate.plan import Plan, plan
from glossbath.chocolate.schedule import start
from glossbath.chocolate.windows import suggest
from glossbath.errors import InputError

DARK = targets(suggest("dark"))
BATCH = Batch(chocolate_kg=1.0, fat_share=0.36)
RIG = Rig(water_kg=3.0, heater_w=250.0, chill_w=150.0)


def planned(batch: Batch = BATCH, rig: Rig = RIG, goal: Targets = DARK) -> Plan:
    return plan(batch, rig, goal)


def test_targets_lie_in_the_middle_of_the_windows() -> None:
    assert (DARK.cool_c, DARK.work_c) == (28.5, 31.5)
    assert DARK.melt_c == pytest.approx(47.75)


def test_melting_lies_between_the_lossless_bound_and_twice_that() -> None:
    # By hand: 20 to 50 °C without loss takes 36.9 min at 250 W, with 46 kJ of melting.
    goal = Targets(melt_c=50, cool_c=28.5, work_c=31.5)
    melt = planned(goal=goal).melt_s
    assert 36.9 * 60 < melt.nominal < 2 * 36.9 * 60
    assert melt.most is not None
    assert melt.least < melt.nominal < melt.most


def test_cooling_without_a_coil_takes_hours_and_says_what_to_do() -> None:
    # By hand: 50 to 27 °C in a room of 20 °C takes 3.4 h by loss alone at 2 W/K; here the bath
    # starts some degrees above the chocolate.
    goal = Targets(melt_c=50, cool_c=27, work_c=31)
    slow = planned(rig=Rig(water_kg=3, heater_w=250), goal=goal)
    assert slow.cool_s.nominal == pytest.approx(3.4 * 3600, rel=0.12)
    assert slow.ice_kg == 0
    assert any("run ice water" in line for line in slow.advice)
    assert planned(goal=goal).cool_s.nominal < slow.cool_s.nominal / 2


def test_ice_follows_the_heat_to_be_taken_out() -> None:
    # 334 kJ/kg, OpenStax; a quarter is added on purpose.
    assert coil_ice_kg(334_000 / 20, 45, 25) == pytest.approx(1.25)
    assert planned().ice_kg == pytest.approx(1.25 * (15_240 + 1670) * 22.25 / 334_000, rel=1e-3)


def test_energy_is_the_heat_and_the_losses() -> None:
    # Heating the whole 20 to 47.75 °C takes 0.146 kWh; two hours of losses at about 2 W/K and
    # 20 K add 0.05 to 0.12 kWh.
    energy = planned().energy_kwh
    assert 0.146 + 0.05 < energy.nominal < 0.146 + 0.15
    assert energy.most is not None
    assert 0.146 < energy.least < energy.nominal < energy.most
    longer = planned(goal=msgspec.structs.replace(DARK, hold_s=DARK.hold_s + 3600))
    more = longer.energy_kwh.nominal - energy.nominal
    assert more == pytest.approx(2 * 11.5 / 1000)


def test_the_whole_is_the_sum_of_its_phases() -> None:
    made = planned()
    phases = made.melt_s.nominal + made.cool_s.nominal + made.reheat_s.nominal
    assert made.ready_s.nominal == phases + DARK.soak_s + DARK.cool_dwell_s


def test_a_stronger_heater_is_quicker_and_a_larger_batch_slower() -> None:
    weak = planned(rig=Rig(water_kg=3, heater_w=150, chill_w=150))
    large = planned(Batch(chocolate_kg=3, fat_share=0.36))
    assert weak.melt_s.nominal > planned().melt_s.nominal
    assert large.melt_s.nominal > planned().melt_s.nominal


def test_chocolate_that_is_already_melted_skips_the_melt() -> None:
    warm = planned(Batch(chocolate_kg=1, fat_share=0.36, chocolate_c=50, water_c=48))
    assert warm.melt_s.nominal == 0
    assert warm.heat.melt_j == 0


def test_a_warm_room_leaves_the_long_end_open() -> None:
    tropic = planned(
        Batch(chocolate_kg=1, fat_share=0.36, room_c=28.3, water_c=25),
        Rig(water_kg=3, heater_w=250),
    )
    assert tropic.cool_s.most is None
    assert tropic.ready_s.most is None
    assert any("room may be too warm" in line for line in tropic.advice)
    assert any("perhaps for ever" in line for line in tropic.sentences())


def test_a_rig_that_cannot_do_it_is_refused_with_what_would_help() -> None:
    with pytest.raises(InputError, match=r"melt target of 47\.75 °C within 12 h.*a lid"):
        planned(rig=Rig(water_kg=3, heater_w=50, loss_w_per_k=4))
    with pytest.raises(InputError, match=r"cool target of 28\.5 °C"):
        planned(Batch(chocolate_kg=1, fat_share=0.36, room_c=32), Rig(water_kg=3, heater_w=250))


def test_the_plan_reads_as_sentences_and_becomes_plain_data() -> None:
    lines = planned().sentences()
    assert lines[0].startswith("Melting takes 48 min (")
    assert any("kg of ice" in line for line in lines)
    assert msgspec.to_builtins(planned())["melt_s"]["nominal"] > 0


@pytest.mark.parametrize(
    ("batch", "rig", "sentence"),
    [
        (Batch(-1, 0.36), RIG, "chocolate must be between"),
        (Batch(1, 0.0), RIG, "fat must be between 15 and 70 %, not 0 %"),
        (Batch(1, 0.36, chocolate_c=300), RIG, "not 300 °C"),
        (Batch(1, 0.36, room_c=70), RIG, r"if that is 70 °F, enter 21\.1 °C"),
        (Batch(math.nan, 0.36), RIG, "missing number"),
        (BATCH, Rig(0, 250), "water must be between"),
        (BATCH, Rig(3, 0), "heater power must be between 20 and 2000 W"),
        (BATCH, Rig(3, 250, loss_w_per_k=0), "heat loss must be between"),
        (BATCH, Rig(3, 250, coupling_w_per_k=-1), "coupling must be between"),
        (BATCH, Rig(3, 250, crock_l=0), "crock's volume must be between"),
    ],
)
def test_input_that_cannot_be_meant_is_refused(batch: Batch, rig: Rig, sentence: str) -> None:
    with pytest.raises(InputError, match=sentence):
        planned(batch, rig)


def test_targets_in_the_wrong_order_are_refused() -> None:
    with pytest.raises(InputError, match="step from cooling to working"):
        planned(goal=Targets(melt_c=48, cool_c=31, work_c=30))


def test_water_advice_knows_the_crock() -> None:
    assert len(water_advice(1, 3, 6)) == 1
    # 85 % of 7 l less 2 kg of chocolate at 1.2 kg/l.
    assert "fill at most 4.3 l" in water_advice(2, 5, 7)[1]
    assert "no room" in water_advice(6, 3, 5)[1]
    assert "is little" in water_advice(4, 2, None)[1]
    assert "is much" in water_advice(0.5, 4, None)[1]


NOW = datetime(2031, 3, 1, 6, 0, tzinfo=UTC)


def test_starting_at_the_said_time_is_in_time_even_at_the_long_end() -> None:
    made = planned()
    assert made.ready_s.most is not None
    answer = start(made, NOW + timedelta(hours=6), NOW)
    assert answer.in_time
    assert answer.start_at + timedelta(seconds=made.ready_s.most) == answer.ready_at
    assert answer.ready_until == answer.ready_at
    assert answer.sentences()[0].startswith("Switch on at 2031-03-01 09:3")


def test_too_late_says_when_it_will_be_ready_instead() -> None:
    answer = start(planned(), NOW + timedelta(hours=1), NOW)
    assert not answer.in_time
    assert answer.start_at == NOW
    assert answer.ready_from > answer.ready_at
    assert "too late for 2031-03-01 07:00" in answer.sentences()[0]


def test_times_that_cannot_be_meant_are_refused() -> None:
    with pytest.raises(InputError, match="must lie after now"):
        start(planned(), NOW - timedelta(minutes=1), NOW)
    with pytest.raises(InputError, match="time zone"):
        start(planned(), datetime(2031, 3, 1, 12), NOW)
