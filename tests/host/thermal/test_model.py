"""The heat model against calorimetry from textbooks and closed forms."""

from __future__ import annotations

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from glossbath.errors import InputError
from glossbath.thermal.model import Contents, Nodes, RigModel, board_values, chocolate, water
from glossbath_board.model import FIELDS
from glossbath_board.model import Model as BoardModel

LOSSLESS = RigModel(room_w_per_k=0.0, bowl_room_w_per_k=0.0, ice_room_w_per_k=0.0)


def nodes(model: RigModel, contents: Contents, celsius: float, **changed: float) -> Nodes:
    start = {"room_c": 20.0, "chocolate_c": celsius, "bath_c": celsius, "body_c": celsius}
    return Nodes(model, contents, **(start | changed))


def test_heat_from_20_to_50_celsius_is_the_sum_of_all_parts() -> None:
    # 3 kg water + 3 kg crock at 900 J/(kg K) + 1 kg chocolate at 1670 J/(kg K) hold 16.91 kJ/K;
    # with 46 kJ to melt they need 553.3 kJ, 36.89 min at 250 W (heat balance by hand; heats of
    # chocolate from Beckett, 4th ed., pp. 667-668).
    model = msgspec.structs.replace(LOSSLESS, bowl_j_per_k=0.0)
    bowl = Contents(1.0, 1670.0, 1670.0, 46e3)
    rig = nodes(model, bowl, 20.0)
    for _ in range(round(36.89 * 60)):
        rig.step(1.0, 1.0, 0.0, 5.0)
    for _ in range(7200):
        rig.step(1.0, 0.0, 0.0, 5.0)
    assert rig.heat_j == pytest.approx(553.3e3, rel=1e-3)
    assert rig.chocolate_c == pytest.approx(50.0, abs=0.05)
    assert rig.bath_c == pytest.approx(50.0, abs=0.05)


def test_water_poured_into_a_hot_pan_settles_as_in_the_textbook() -> None:
    # 0.250 kg of water at 20 °C into a pan of 0.500 kg aluminium at 150 °C: 59.1 °C (OpenStax
    # College Physics m42224, which takes 4186 J/(kg K) for water).
    model = msgspec.structs.replace(
        LOSSLESS, water_kg=0.250 * 4186 / 4180, bowl_j_per_k=0.0, body_j_per_k=0.5 * 900
    )
    pan = nodes(model, water(1.0), 20.0, body_c=150.0)
    for _ in range(600):
        pan.step(1.0, 0.0, 0.0, 0.0)
    assert pan.bath_c == pytest.approx(59.09, abs=0.02)


@pytest.mark.parametrize(
    ("heat", "start_c", "end_c", "expected_s"),
    # t = tau ln((T_end - T_0)/(T_end - T_1)) for 15 kJ/K, 0.25 K/W and 200 W in a room of 20 °C.
    [(1.0, 20.0, 45.0, 2599.3), (0.0, 45.0, 27.0, 4773.6)],
)
def test_one_lump_follows_its_exponential(
    heat: float, start_c: float, end_c: float, expected_s: float
) -> None:
    model = RigModel(
        heater_w=200.0,
        body_j_per_k=15_000.0 - 4180.0,
        water_kg=1.0,
        bowl_j_per_k=0.0,
        body_bath_w_per_k=2000.0,
        room_w_per_k=4.0,
        bowl_room_w_per_k=0.0,
    )
    rig = nodes(model, water(1.0), start_c)
    seconds = 0.0
    while (rig.bath_c - end_c) * (end_c - start_c) < 0.0:
        rig.step(0.5, heat, 0.0, 0.0)
        seconds += 0.5
    assert seconds == pytest.approx(expected_s, rel=0.01)


def test_a_kilogram_of_ice_takes_334_kilojoules() -> None:
    # Heat of fusion: OpenStax College Physics m42225.
    model = msgspec.structs.replace(LOSSLESS, ice_kg=1.0)
    rig = nodes(model, water(1.0), 50.0)
    while rig.ice_kg > 0.0:
        rig.step(1.0, 0.0, 1.0, 5.0)
    assert rig.chill_j == pytest.approx(334e3, rel=0.005)
    assert rig.ice_c >= 0.0


def test_chill_fades_when_the_ice_is_gone() -> None:
    rig = nodes(msgspec.structs.replace(RigModel(), ice_kg=0.1), water(1.0), 45.0)
    for _ in range(3600):
        rig.step(1.0, 0.0, 1.0, 5.0)
    assert rig.ice_kg == 0.0
    assert 20.0 < rig.ice_c < rig.bath_c + 0.5


@given(
    heat=st.floats(0.0, 1.0),
    chill=st.floats(0.0, 1.0),
    start_c=st.floats(5.0, 50.0),
    bath_c=st.floats(5.0, 60.0),
    fat=st.floats(0.0, 0.6),
)
def test_no_heat_is_made_or_lost(
    heat: float, chill: float, start_c: float, bath_c: float, fat: float
) -> None:
    rig = nodes(LOSSLESS, chocolate(1.0, fat), start_c, bath_c=bath_c)
    before_j = rig.stored_j
    for _ in range(100):
        rig.step(5.0, heat, chill, 4.0)
    assert rig.stored_j - before_j == pytest.approx(rig.heat_j - rig.chill_j, abs=1.0)


def test_melting_holds_the_temperature_back() -> None:
    warm = [nodes(RigModel(), bowl, 24.0) for bowl in (chocolate(1.0, 0.36), chocolate(1.0, 0.0))]
    for rig in warm:
        for _ in range(360):
            rig.step(5.0, 1.0, 0.0, 4.4)
    assert warm[0].chocolate_c < warm[1].chocolate_c - 5.0
    assert 0.0 < warm[0].solid_share < 1.0


def test_default_is_what_the_board_believes_of_an_unknown_rig() -> None:
    values = board_values(RigModel.default())
    assert BoardModel(values).values == tuple(values)
    for value, (name, _, _, default) in zip(values, FIELDS, strict=True):
        assert value == pytest.approx(default, rel=0.02), name


def test_board_trusts_a_measured_model_more() -> None:
    measured = RigModel(
        uncertainty_shares={"heater_w": 0.02, "body_j_per_k": 0.03, "stirred_w_per_k": 0.05}
    )
    assert board_values(measured)[-1] > 800
    assert board_values(RigModel(uncertainty_shares={"heater_w": 5.0}))[-1] == 100


@pytest.mark.parametrize("value", [float("nan"), float("inf"), -1.0, 0.0, 1e9])
def test_absurd_model_is_refused_with_its_limits(value: float) -> None:
    with pytest.raises(InputError, match=r"heater_w is .* outside 20 to 3000 W"):
        RigModel(heater_w=value).check()


@pytest.mark.parametrize("kg", [float("nan"), 0.0, -1.0, 21.0])
def test_absurd_batch_is_refused(kg: float) -> None:
    with pytest.raises(InputError, match=r"0\.05 to 20 kg"):
        chocolate(kg, 0.36)


def test_a_probe_that_says_nonsense_is_refused() -> None:
    with pytest.raises(InputError, match="look at its probe"):
        nodes(RigModel(), water(1.0), 20.0, bath_c=float("nan"))
