"""The host's own cut-offs, one sign at a time. Expected heats are hand calculations, shown where
they are used; the reference rig is 250 W, 3 kg of water (4180 J/(kg K), CoolProp at 40 °C), 3 kg
of crock (900 J/(kg K), common practice, no source)."""

from __future__ import annotations

import pytest
from watched_rig import MELT, RECIPE, Rig


def test_a_cycle_as_it_should_be_finds_nothing() -> None:
    rig = Rig()
    for second in range(600):
        rig.second(chocolate=40 + second * 0.01, bath=48 + second * 0.005)
    assert rig.found == {}


@pytest.mark.parametrize(
    ("hot", "name"),
    [
        ({"chocolate": 52.3}, "chocolate"),
        ({"bath": 59.2, "body": 62.0}, "bath"),
        ({"body": 96.5, "bath": 58.0}, "body"),
    ],
)
def test_too_hot_is_found_at_the_next_reading(hot: dict[str, float], name: str) -> None:
    rig = Rig()
    rig.second()
    assert rig.found == {}
    rig.second(**hot)
    assert "host-hot" in rig.trips
    assert name in rig.found["host-hot"]


def test_as_hot_as_the_recipe_allows_is_not_too_hot() -> None:
    rig = Rig()
    rig.second(chocolate=RECIPE.max_c, bath=MELT.bath_high_c)
    assert rig.found == {}


def test_heat_in_the_bath_counts_before_it_is_in_the_chocolate() -> None:
    # Mixed without any loss: (12790 J/K * 58.5 + 2700 * 63 + 1600 * 47) / 17090 J/K = 58.1 °C is
    # the most that 47 °C chocolate can reach; the limit of the recipe is 52 °C.
    rig = Rig()
    for _ in range(20):
        rig.second(chocolate=47.0, bath=58.5, body=63.0)
    assert rig.trips == {"host-forecast"}
    peak_c = float(rig.found["host-forecast"].split()[0])
    assert 52.7 < peak_c < 58.1


def test_forecast_lies_between_the_chocolate_and_mixing_without_loss() -> None:
    from glossbath.checks.balance import Balance

    for kg in (0.5, 1.0, 5.0):
        for bath_c in (30.0, 45.0, 58.0):
            mixed_c = (12790 * bath_c + 2700 * bath_c + 1600 * kg * 28.0) / (15490 + 1600 * kg)
            peak_c = Balance(52.0, kg).peak_c(28.0, bath_c, bath_c)
            assert 28.0 < peak_c <= mixed_c + 1e-9
    assert Balance(52.0, 1.0).peak_c(40.0, 35.0, 35.0) == 40.0


def _ramp(rig: Rig, seconds: int, **slopes_c_s: float) -> None:
    start = {"chocolate": 45.5, "bath": 46.0, "body": 48.0}
    rest = {name: value for name, value in slopes_c_s.items() if name not in start}
    for second in range(seconds):
        changes = {k: v + slopes_c_s.get(k, 0.0) * second for k, v in start.items()}
        rig.second(**changes, **rest)


def test_heat_that_nobody_asked_for_is_found() -> None:
    # 250 W into 12790 + 2700 J/K is 0.0161 °C/s; half of that must be seen too.
    rig = Rig()
    _ramp(rig, 400, bath=0.008, body=0.008, heat=0.0)
    assert rig.trips == {"host-unasked"}
    watts = float(rig.found["host-unasked"].split()[1])
    assert watts == pytest.approx(0.008 * (12790 + 2700), rel=0.05)


def test_hot_water_that_is_poured_in_is_no_unasked_heat() -> None:
    rig = Rig()
    for second in range(400):
        warmer = 3.0 * min(1.0, max(0.0, (second - 200) / 25))
        rig.second(chocolate=47.0, bath=46.0 + warmer, body=48.0 + warmer, heat=0.0, target=47.0)
    assert rig.trips == set()


def test_chocolate_that_warms_itself_while_setting_is_no_unasked_heat() -> None:
    # 157 kJ/kg of form V fat (reference values 1.3), 36 % fat, a fifth of it in 10 minutes: 19 W,
    # of which 8 W stay in the chocolate.
    rig = Rig()
    _ramp(rig, 400, chocolate=8.0 / 1600, bath=11.0 / 15490, body=11.0 / 15490, heat=0.0)
    assert rig.trips == set()


def test_a_bath_that_boiled_down_is_found() -> None:
    rig = Rig()
    for second in range(160):
        rig.second(body=54.0 + second * 0.25)
    assert "host-dry" in rig.trips


def test_a_body_probe_that_lies_beside_the_cooker_is_found() -> None:
    rig = Rig()
    for _ in range(125):
        rig.second(chocolate=48.0, body=30.0)
    assert rig.trips == {"host-implausible"}
    assert "cooker body" in rig.found["host-implausible"]


@pytest.mark.parametrize(
    ("name", "c_min", "found"),
    [
        ("chocolate", 8.0, True),
        ("chocolate", 4.0, False),
        ("bath", 5.5, True),
        ("bath", 2.5, False),
        ("body", 18.0, True),
    ],
)
def test_a_rise_that_the_heater_cannot_make(name: str, c_min: float, found: bool) -> None:
    rig = Rig()
    start = {"chocolate": 24.0, "bath": 40.0, "body": 42.0}
    for second in range(95):
        rig.second(**{**start, name: start[name] + c_min / 60 * second})
    assert ("host-rise" in rig.trips) == found


def test_a_chocolate_probe_lifted_out_while_the_bath_is_warm_is_found() -> None:
    # From 44 °C into air of 26 °C with 80 s: ten times the lag in liquid (estimate).
    rig = Rig()
    for second in range(250):
        rig.second(chocolate=26 + 18 * 0.9876**second)
    assert "host-implausible" in rig.trips


def test_cold_chocolate_that_is_put_in_is_believed() -> None:
    rig = Rig()
    for second in range(400):
        dip = 5.0 if second >= 100 else 0.0
        rig.second(chocolate=42.0 - dip + max(0, second - 110) * 0.012)
    assert rig.trips == set()
    assert "reading-jumped" in rig.found


def test_a_chocolate_reading_that_stays_while_the_bath_must_move_it_is_found() -> None:
    rig = Rig()
    for second in range(320):
        rig.second(chocolate=38.0 + (second % 2) * 0.0625)
    assert "host-implausible" in rig.trips


def test_chocolate_in_the_middle_of_melting_is_believed() -> None:
    # 0.15 of what the still wall lets through was the slowest answer of healthy rigs.
    rig = Rig()
    for second in range(400):
        rig.second(chocolate=30.0 + second * 0.16 * 2.0 * 20.0 / 1600)
    assert rig.trips == set()


def test_swapped_chocolate_and_bath_probes_are_found_while_heating() -> None:
    rig = Rig()
    for second in range(200):
        rig.second(chocolate=46.0 + second * 0.016, bath=40.0 + second * 0.01)
    assert "host-implausible" in rig.trips


def test_a_pump_that_runs_by_itself_is_told() -> None:
    # 30 W/K of coil at 45 °C takes 1350 W, the heater gives 250 W.
    rig = Rig()
    _ramp(rig, 230, chocolate=-0.02, bath=-0.05, body=-0.05, heat=1.0)
    assert rig.found.keys() == {"heat-lost"}
    assert rig.trips == set()


def test_chill_without_effect_is_told() -> None:
    rig = Rig()
    _ramp(rig, 200, bath=-0.003, body=-0.003, heat=0.0, chill=0.35)
    assert "chill-weak" in rig.found
    assert rig.trips == set()


def test_a_heater_that_stays_cold_is_told() -> None:
    rig = Rig()
    for _ in range(200):
        rig.second(bath=45.0, body=44.5, heat=1.0)
    assert rig.found.keys() == {"heat-missing"}


def test_half_of_the_heat_is_told() -> None:
    rig = Rig()
    for _ in range(200):
        rig.second(bath=46.0, body=52.0, heat=1.0)
    for _ in range(200):
        rig.second(bath=46.0, body=48.2, heat=1.0)
    assert rig.found.keys() == {"heat-weak"}


def test_a_probe_that_drifts_away_is_found_when_the_bath_is_too_warm_for_it() -> None:
    # Control keeps the reading at 30.5 °C, so bath and true chocolate rise by 0.1 °C a minute.
    rig = Rig()
    rig.second(index=4, target=30.8)
    seconds = 0
    while not rig.trips and seconds < 3600:
        drift_c = seconds * 0.1 / 60
        bath_c = 30.8 + drift_c
        rig.second(chocolate=30.5, bath=bath_c, body=bath_c + 1, index=4, target=min(33.0, bath_c))
        seconds += 1
    assert rig.trips == {"host-implausible"}
    assert seconds * 0.1 / 60 < 3.0
