"""What one cycle may change in what is known of a rig."""

from __future__ import annotations

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from glossbath.thermal.model import UNCERTAIN, RigModel
from glossbath.thermal.tuning.lesson import MOST_FACTOR, after_cycle, changes

KNOWN = RigModel(uncertainty_shares=dict.fromkeys(UNCERTAIN, 0.1))
WALLED = msgspec.structs.replace(
    KNOWN, wall_w_per_k=60.0, element_lag_s=40.0, body_probe_over_k=6.0
)
POSITIVE = ("heater_w", "body_j_per_k", "body_bath_w_per_k", "room_w_per_k", "chill_w_per_k")


def _changed(model: RigModel, **values: float) -> RigModel:
    return msgspec.structs.replace(model, **values)


def test_the_first_cycle_of_a_rig_that_nobody_measured_is_taken_as_it_is() -> None:
    found = _changed(KNOWN, heater_w=700.0)
    assert after_cycle(RigModel.default(), found) == found


@given(
    factors=st.fixed_dictionaries({name: st.floats(0.1, 10.0) for name in POSITIVE}),
    walls=st.sampled_from([(KNOWN, KNOWN), (WALLED, WALLED), (KNOWN, WALLED), (WALLED, KNOWN)]),
)
def test_one_cycle_moves_nothing_by_more_than_its_bound(
    factors: dict[str, float], walls: tuple[RigModel, RigModel]
) -> None:
    before = walls[0]
    found = _changed(walls[1], **{n: f * getattr(walls[1], n) for n, f in factors.items()})
    after = after_cycle(before, found)
    names = ["heater_w", "body_j_per_k", "room_w_per_k", "chill_w_per_k"]
    if before.wall_w_per_k != found.wall_w_per_k:
        names.append("body_lag_s")  # else it follows from conductances, each within its own bound
    for name in names:
        ratio = getattr(after, name) / getattr(before, name)
        assert 1 / MOST_FACTOR - 1e-9 <= ratio <= MOST_FACTOR + 1e-9, name


@pytest.mark.parametrize(
    ("name", "shows", "most"),
    [
        ("element_lag_s", 60.0, 20.0),
        ("body_probe_over_k", 12.0, 4.0),
        ("bath_probe_body_share", 0.3, 0.1),
        ("bowl_room_w_per_k", 0.5, 0.1),
    ],
)
def test_one_cycle_moves_what_may_be_nothing_by_a_step(
    name: str, shows: float, most: float
) -> None:
    """Half of the way where both are as certain; no more than the step, of which there is no
    source."""
    was = getattr(WALLED, name)
    for more, moved in ((shows, most), (most, most / 2.0)):
        after = after_cycle(WALLED, _changed(WALLED, **{name: was + more}))
        assert getattr(after, name) - was == pytest.approx(moved)


def test_what_is_shown_more_surely_counts_more() -> None:
    """Two values of one thing, joined by inverse variance: any textbook of statistics. With 10 %
    before, widened by what a rig drifts (5 %), and 3 % now: 0.93 of the way."""
    sure = dict.fromkeys(UNCERTAIN, 0.03)
    found = _changed(KNOWN, heater_w=240.0)
    found = msgspec.structs.replace(found, uncertainty_shares=sure)
    after = after_cycle(KNOWN, found)
    assert after.heater_w == pytest.approx(250.0 * (240.0 / 250.0) ** 0.9328, rel=1e-3)
    assert after.uncertainty("heater_w") == pytest.approx(0.03, rel=0.05)
    loose = msgspec.structs.replace(found, uncertainty_shares=dict.fromkeys(UNCERTAIN, 0.6))
    assert after_cycle(KNOWN, loose).heater_w == pytest.approx(250.0, rel=0.003)


def test_one_weak_evening_is_forgotten_after_two_good_ones() -> None:
    model = KNOWN
    for watts in (140.0, 250.0, 250.0):
        found = msgspec.structs.replace(
            _changed(KNOWN, heater_w=watts), uncertainty_shares=dict.fromkeys(UNCERTAIN, 0.05)
        )
        model = after_cycle(model, found)
    assert model.heater_w == pytest.approx(250.0, rel=0.03)


def test_another_batch_is_compared_at_its_own_mass() -> None:
    found = msgspec.structs.replace(
        KNOWN,
        bowl_kg=3.0,
        still_w_per_k=KNOWN.bowl_w_per_k(0.0, 3.0),
        stirred_w_per_k=KNOWN.bowl_w_per_k(1.0, 3.0),
    )
    after = after_cycle(KNOWN, found)
    assert after.bowl_w_per_k(1.0, 1.0) == pytest.approx(KNOWN.stirred_w_per_k, rel=1e-6)
    assert changes(found, after) == ""


def test_changes_are_named_with_their_units() -> None:
    after = _changed(KNOWN, heater_w=231.0, room_w_per_k=1.901)
    assert changes(KNOWN, after) == "heater power 250 to 231 W"
