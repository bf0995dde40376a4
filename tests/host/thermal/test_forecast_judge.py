"""When a cause is told, from minutes of heat that do not add up. The minutes are invented."""

from __future__ import annotations

import msgspec

from glossbath.thermal.forecast.account import Block
from glossbath.thermal.forecast.judge import PATIENCE, SURE, Judge
from glossbath.thermal.model import UNCERTAIN, RigModel

MEASURED = RigModel(uncertainty_shares=dict.fromkeys(UNCERTAIN, 0.03))
WELL = Block(
    odd_body_w=0.0,
    odd_bath_w=0.0,
    odd_bowl_w=0.0,
    heater_w=250.0,
    contact_w=200.0,
    bowl_w=40.0,
    ice_w=0.0,
    water_w=150.0,
    melting_w=0.0,
    body_w=50.0,
    lost_w=10.0,
    open_w_per_m2=0.0,
    unsteady_w=0.0,
    settling_w=0.0,
    noise_w=(1.0, 1.0, 1.0),
)
WEAK = msgspec.structs.replace(WELL, odd_body_w=-150.0)
"""Of the 250 W that the heater is known for, 150 never come."""


def test_a_cause_is_told_once_three_minutes_in_a_row_are_sure_of_it() -> None:
    judge, sure = Judge(MEASURED), 0
    for _ in range(12):
        judge.look(WEAK)
        sure += judge.odds is not None and judge.odds.beliefs["heater-weak"] >= SURE
        if judge.finding is not None:
            break
    assert judge.finding is not None
    assert (judge.finding.code, sure) == ("heater-weak", PATIENCE)
    # 100 of 250 W are left.
    assert abs(judge.finding.evidence["heater_w"] - 100.0) < 10.0
