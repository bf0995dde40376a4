"""The host's own cut-offs, one sign at a time. Expected heats are hand calculations, shown where
they are used; the reference rig is 250 W, 3 kg of water (4180 J/(kg K), CoolProp at 40 °C), 3 kg
of crock (900 J/(kg K), common practice, no source)."""

from __future__ import annotations

from typing import Any

import pytest

from glossbath import watch
from glossbath.board import Raw
from glossbath.recipe import load
from glossbath.watch import Line, Moment, Watch, words

RECIPE = load("dark")
MELT = RECIPE.phases[0]


def raw(ms: int, **changes: Any) -> Raw:
    """A reading of a rig that melts; temperatures in °C, shares 0 to 1."""
    values: dict[str, Any] = {
        "chocolate": 44.0,
        "bath": 50.0,
        "body": 54.0,
        "heat": 0.5,
        "chill": 0.0,
        "stir": 0.5,
        "stir_ma": None,
        "target": 50.0,
        "state": "running",
        "index": 0,
        "phase_ms": 1_000,
        **changes,
    }
    probe = {
        key: value if isinstance(value, str) else round(value * 1000)
        for key, value in (
            ("c", values["chocolate"]),
            ("w", values["bath"]),
            ("y", values["body"]),
        )
    }
    return Raw(
        {
            "t": ms,
            **probe,
            "u": round(values["target"] * 1000),
            "h": round(values["heat"] * 1000),
            "x": round(values["chill"] * 1000),
            "s": round(values["stir"] * 1000),
            "m": values["stir_ma"],
            "st": values["state"],
            "ph": values["index"],
            "pt": values["phase_ms"],
            "d": 0,
        }
    )


class Rig:
    """A watch with a cycle under way and a clock that moves one second a reading."""

    def __init__(self, begun: bool = True) -> None:
        self.watch = Watch()
        self.now_ms = 100_000
        self.board_ms = 5_000
        self.found: dict[str, str] = {}
        self.trips: set[str] = set()
        self.line = Line(True, True, 0, 0, "")
        if begun:
            self.watch.begin(RECIPE, 1.0, "ours", self.now_ms)

    def second(self, **changes: Any) -> None:
        """A second later a reading comes in."""
        self.now_ms += 1_000
        self.board_ms += 1_000
        self.watch.lease_sent(self.now_ms)
        self.watch.reading(raw(self.board_ms, **changes), "ours", self.now_ms)
        self.look()

    def look(self, wall_ms: int = 0, boot_ms: int = 0) -> None:
        """Ask what is wrong now; the arguments are what these clocks are ahead."""
        now = Moment(self.now_ms, self.now_ms + boot_ms, self.now_ms + wall_ms)
        for finding in self.watch.absence(now) + self.watch.present(self.line, self.now_ms):
            self.found.setdefault(finding.code, finding.detail)
            if finding.trip:
                self.trips.add(finding.code)

    def quiet(self, seconds: float) -> None:
        """Nothing comes for so long; the keeper steps four times a second."""
        for _ in range(round(seconds * 4)):
            self.now_ms += 250
            self.look()


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
    from glossbath.watch.balance import Balance

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
    _ramp(rig, 240, bath=0.008, body=0.008, heat=0.0)
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
    for second in range(120):
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


def test_a_stirrer_that_loses_its_load_is_told() -> None:
    rig = Rig()
    for _ in range(20):
        rig.second(stir_ma=240)
    for _ in range(3):
        rig.second(stir_ma=80)
    assert rig.found == {"stir-light": "80 mA"}


def test_chocolate_that_thins_while_it_melts_is_no_lost_load() -> None:
    # 4.3 % a kelvin (estimate of the plant), 20 K in half an hour: 600 falls to 250 mA.
    rig = Rig()
    for second in range(1800):
        celsius = 26 + 20 * second / 1800
        rig.second(
            chocolate=celsius,
            bath=celsius + 1,
            body=celsius + 4,
            stir_ma=round(600 - 0.194 * second),
        )
    assert rig.found == {}


def test_a_stirrer_that_is_held_is_told() -> None:
    rig = Rig()
    for _ in range(4):
        rig.second(stir=0.0)
    assert rig.found.keys() == {"stir-withheld"}


def test_heat_that_is_held_back_is_told() -> None:
    rig = Rig()
    for _ in range(22):
        rig.second(heat=0.0, bath=46.0, target=50.0)
    assert rig.found.keys() == {"heat-withheld"}


def test_silence_is_told_then_trips() -> None:
    rig = Rig()
    rig.second()
    rig.quiet(3.9)
    assert rig.found == {}
    rig.quiet(1.0)
    assert rig.found.keys() == {"readings-missing"}
    rig.quiet(6.0)
    assert rig.trips == {"host-stale"}


def test_readings_that_come_again_are_not_fresh() -> None:
    rig = Rig()
    for _ in range(5):
        rig.second()
    for _ in range(12):
        rig.board_ms -= 1_000
        rig.second()
    assert "host-stale" in rig.trips


def test_readings_that_come_late_are_not_fresh() -> None:
    rig = Rig()
    for _ in range(5):
        rig.second()
    rig.now_ms += 30_000
    for _ in range(12):
        rig.second()
    assert "host-stale" in rig.trips


def test_a_cable_that_is_out_explains_the_silence() -> None:
    rig = Rig()
    rig.second()
    rig.line = rig.line._replace(connected=False)
    rig.quiet(8.0)
    assert rig.found.keys() == {"link-lost"}
    rig.quiet(4.0)
    assert rig.trips == {"host-stale"}


def test_a_lease_that_nobody_confirms_is_told() -> None:
    rig = Rig()
    for second in range(8):
        rig.line = rig.line._replace(lease_age_ms=1_000 * second)
        rig.second()
    assert rig.found.keys() == {"lease-unconfirmed"}


def test_a_noisy_line_is_told() -> None:
    rig = Rig()
    for second in range(70):
        rig.line = rig.line._replace(bad_lines=second)
        rig.second()
    assert rig.found.keys() == {"line-noisy"}


def test_a_record_that_cannot_be_written_is_told_in_its_own_words() -> None:
    rig = Rig()
    rig.line = rig.line._replace(record_failure="The record is full.")
    rig.second(chocolate=60.0)
    assert rig.found["log-failing"] == "The record is full."
    assert "host-hot" in rig.trips


@pytest.mark.parametrize("word", ["crc", "absent", "short", "power-on"])
def test_a_fault_word_is_told_when_it_lasts(word: str) -> None:
    rig = Rig()
    rig.second(bath=word, heat=0.0)
    assert rig.found == {}
    for _ in range(3):
        rig.second(bath=word, heat=0.0)
    assert rig.found == {"bad-bath": word}


def test_a_probe_that_stays_lost_ends_the_cycle() -> None:
    rig = Rig()
    for _ in range(14):
        rig.second(bath="absent", heat=0.0)
    assert rig.trips == set()
    for _ in range(4):
        rig.second(bath="absent", heat=0.0)
    assert rig.trips == {"host-blind"}


CONTRADICTIONS = {
    "heat without a probe": {"chocolate": "crc", "heat": 0.3},
    "bath target of nobody": {"target": 59.0},
    "phase beyond the recipe": {"index": 6},
    "heat while waiting": {"state": "waiting", "heat": 0.4},
    "heat when complete": {"state": "complete", "heat": 0.4},
}


@pytest.mark.parametrize("name", list(CONTRADICTIONS))
def test_a_board_that_does_what_it_was_not_told(name: str) -> None:
    rig = Rig()
    rig.second()
    for _ in range(5):
        rig.second(**CONTRADICTIONS[name])
    assert "host-contradiction" in rig.trips


def test_a_phase_that_goes_back_is_a_contradiction() -> None:
    rig = Rig()
    rig.second(index=0)
    rig.second(index=2, target=25.0)
    assert rig.found == {}
    rig.second(index=1)
    assert "host-contradiction" in rig.trips


def test_heat_after_a_stop_is_a_contradiction() -> None:
    rig = Rig()
    rig.second()
    rig.watch.stop_ordered(rig.now_ms)
    for _ in range(4):
        rig.second()
    assert rig.found == {}
    rig.second()
    assert rig.found["host-contradiction"] == "heat after a stop"


def test_a_phase_that_goes_on_after_its_time_is_a_contradiction() -> None:
    rig = Rig()
    rig.second()
    for _ in range(round(MELT.timeout_s) + 9):
        rig.second(heat=0.0, bath=45.0, target=45.0)
    assert rig.found == {}
    for _ in range(3):
        rig.second(heat=0.0, bath=45.0, target=45.0)
    assert "time limit" in rig.found["host-contradiction"]


def test_a_held_recipe_may_wait_as_long_as_it_is_held() -> None:
    rig = Rig()
    for _ in range(round(MELT.timeout_s) + 60):
        rig.second(heat=0.0, bath=45.0, target=45.0, state="held")
    assert rig.found == {}


def test_a_board_that_runs_for_somebody_else_is_a_contradiction() -> None:
    rig = Rig(begun=False)
    for _ in range(3):
        rig.second()
    assert "without having been started" in rig.found["host-contradiction"]


def test_another_cycle_than_ours_is_a_contradiction() -> None:
    rig = Rig()
    for _ in range(3):
        rig.now_ms += 1_000
        rig.board_ms += 1_000
        rig.watch.lease_sent(rig.now_ms)
        rig.watch.reading(raw(rig.board_ms), "theirs", rig.now_ms)
        rig.look()
    assert "another cycle" in rig.found["host-contradiction"]


def test_heat_without_a_lease_is_a_contradiction() -> None:
    rig = Rig()
    rig.second()
    for _ in range(11):
        rig.now_ms += 1_000
        rig.board_ms += 1_000
        rig.watch.reading(raw(rig.board_ms), "ours", rig.now_ms)
        rig.look()
    assert rig.found["host-contradiction"] == "heat without a lease"


def test_an_idle_rig_that_is_being_filled_finds_nothing() -> None:
    rig = Rig(begun=False)
    for second in range(300):
        rig.second(state="idle", heat=0.0, bath=20 + second * 0.2, body=20 + second * 0.15)
    assert rig.found == {}


def test_a_wall_clock_that_is_set_is_told_and_nothing_more() -> None:
    rig = Rig()
    rig.second()
    for at in range(5):
        rig.now_ms += 250
        rig.look(wall_ms=-3_600_000 if at else 0)
    assert rig.found == {"clock-jump": "-3600 s"}
    assert rig.trips == set()


@pytest.mark.parametrize(
    ("seconds", "code"), [(1.5, ""), (4.0, "host-paused"), (30.0, "host-absent")]
)
def test_a_computer_that_slept(seconds: float, code: str) -> None:
    # In suspend Linux's steady clock stands still, its boot clock and the wall's go on (PEP 418).
    rig = Rig()
    rig.second()
    ahead_ms = round(seconds * 1000)
    rig.now_ms += 250
    rig.look(boot_ms=ahead_ms, wall_ms=ahead_ms)
    assert list(rig.found) == ([code] if code else [])
    if code:
        assert "asleep" in rig.found[code]
    assert bool(rig.trips) == (code == "host-absent")


def test_a_keeper_that_was_frozen() -> None:
    rig = Rig()
    rig.second()
    rig.now_ms += 30_000
    rig.look()
    assert "not running for 30 s" in rig.found["host-absent"]


def test_sleep_without_a_cycle_is_nobodys_business() -> None:
    rig = Rig(begun=False)
    rig.look()
    rig.now_ms += 60_000
    rig.look()
    assert rig.found == {}


@pytest.mark.parametrize("code", words.codes())
def test_every_finding_says_what_happened_what_the_rig_did_and_what_to_do(code: str) -> None:
    for detail in ("", "it was 5"):
        meant = watch.meaning(code, detail)
        assert meant is not None
        assert meant.priority in ("high", "medium", "low")
        assert "{" not in meant.happened and "()" not in meant.happened
        for sentence in meant[1:]:
            if code == "log-failing" and sentence == (detail or "no word"):
                continue  # the record's own sentence stands there
            assert sentence[0].isupper() and sentence.endswith(".")


def test_other_peoples_codes_have_no_meaning_here() -> None:
    assert watch.meaning("lease") is None
