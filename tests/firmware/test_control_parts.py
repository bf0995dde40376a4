"""What control is made of: model, estimate, course, balance, split; runs on MicroPython too."""

from math import log

from glossbath_board.balance import Balance, Supply
from glossbath_board.errors import OrderError
from glossbath_board.estimate import PROBE_LAG_S, Estimate
from glossbath_board.model import FIELDS, Model
from glossbath_board.reading import ABSENT, Reading
from glossbath_board.split_range import SplitRange
from glossbath_board.trajectory import Trajectory

REFERENCE = [field[3] for field in FIELDS]


def refusal(values):
    """The field that a model of these values is refused for, or None."""
    try:
        Model(values)
    except OrderError as error:
        return error.field
    return None


# Model.


def test_model_without_values_is_the_reference_rig():
    assert list(Model().values) == REFERENCE


def test_model_refuses_each_field_beyond_its_limits():
    for at, (name, low, high, _) in enumerate(FIELDS):
        for bad in (low - 1, high + 1, None, 1.5, True, "250"):
            values = list(REFERENCE)
            values[at] = bad
            assert refusal(values) == name
        for good in (low, high):
            values = list(REFERENCE)
            values[at] = good
            assert refusal(values) is None


def test_model_refuses_what_is_no_list_of_its_length():
    for bad in ([], REFERENCE[:-1], REFERENCE * 2, "250", 7, {}):
        assert refusal(bad) == "v"


def test_eight_times_the_batch_has_four_times_the_wall_and_follows_twice_as_late():
    model = Model()
    assert abs(model.wall_w_k(8_000, 500) / model.wall_w_k(1_000, 500) - 4.0) < 1e-3
    late = model.chocolate_lag_s(8_000, 500) / model.chocolate_lag_s(1_000, 500)
    assert abs(late - 2.0) < 1e-3


def test_stirring_carries_more_heat():
    model = Model()
    assert model.wall_w_k(1_000, 1_000) > model.wall_w_k(1_000, 500) > model.wall_w_k(1_000, 0)


# Estimate.


def ramp(slope_c_s, seconds, span_s=15.0):
    """An estimate and the liquid's temperature after a steady ramp seen by a late probe."""
    reading = Reading("bath")
    estimate = Estimate(reading, span_s)
    element = liquid = 30.0
    now_ms = 0
    for _ in range(seconds * 4):
        now_ms += 250
        liquid += slope_c_s * 0.25
        element += (liquid - element) * 0.25 / PROBE_LAG_S
        if now_ms % 1_500 == 0:
            reading.good(int(element * 16 + 0.5) * 125 // 2, now_ms)
        estimate.step(now_ms)
    return estimate, liquid


def test_estimate_keeps_up_with_a_ramp_in_spite_of_the_probe():
    for slope_c_s in (0.02, -0.08):
        estimate, liquid = ramp(slope_c_s, 300)
        assert abs(estimate.celsius - liquid) < 0.08
        assert abs(estimate.slope_c_s - slope_c_s) < 0.003


def test_estimate_of_a_steady_liquid_is_within_a_step_of_the_probe():
    estimate, liquid = ramp(0.0, 300)
    assert abs(estimate.celsius - liquid) < 0.0625
    assert abs(estimate.slope_c_s) < 0.001


def test_estimate_outlives_a_short_silence_and_not_a_long_one():
    reading = Reading("bath")
    estimate = Estimate(reading)
    assert not estimate.known
    reading.good(30_000, 1_000)
    estimate.step(1_000)
    assert estimate.known
    reading.bad(ABSENT)
    estimate.step(5_000)
    assert estimate.known
    estimate.step(6_500)
    assert not estimate.known


# Trajectory.


def course_of(lag_s, settle_s, warm_c_s, chill_c_s, trust, share=0.0, room_k=0.0, chills=True):
    """A trajectory in a phase whose window reaches room_k to both sides of the target."""
    course = Trajectory()
    course.begin(lag_s, trust, share, room_k, room_k)
    course.rely(warm_c_s, chill_c_s, settle_s, chills)
    return course


def arrival(course, lag_s, rate_c_s, body_s, error):
    """Highest error and seconds until 0.1 °C are left, of a chocolate that starts error below its
    target under a bath that is led by course, moves at rate_c_s at most, and body_s late."""
    chocolate, bath, asked, peak, seconds, arrived_s = -error, 0.0, 0.0, -error, 0, 0
    while seconds < 6_000:
        asked += min(max(course.lead(-chocolate) - asked, -rate_c_s), rate_c_s)
        bath += (asked - bath) / body_s
        chocolate += (bath - chocolate) / lag_s
        peak = max(peak, chocolate)
        seconds += 1
        if chocolate < -0.1:
            arrived_s = seconds
    return peak, arrived_s


def test_lead_lands_the_chocolate_softly_and_twice_as_soon_as_a_bath_at_the_target():
    for lag_s, rate_c_s, body_s in (
        (280.0, 0.014, 67.0),
        (380.0, 0.08, 30.0),
        (900.0, 0.006, 67.0),
    ):
        course = course_of(lag_s, body_s + 30.0, rate_c_s, rate_c_s, 1.0)
        for error in (0.3, 1.0, 3.0, 8.0):
            peak, arrived_s = arrival(course, lag_s, rate_c_s, body_s, error)
            assert peak < 0.1
            # First-order lag under a bath that stands at the target: error falls by e in lag_s.
            assert arrived_s < 0.5 * lag_s * log(error / 0.1)


def test_what_is_asked_beforehand_grows_with_how_far_the_chocolate_would_be_carried():
    """A bath x too far from the target that comes back over settle_s carries the chocolate by
    x settle / lag: half a first-order lag's answer to a ramp. Nothing is asked where the bath is
    where it should be, or on the near side; all of lead's own rate where the edge is as near,
    but for what a long way back takes off lead (a quarter of the rate here)."""
    course = course_of(400.0, 200.0, 0.014, 0.08, 1.0, room_k=0.5)
    for error, drift in ((3.0, 0.01), (-3.0, -0.01)):
        step = 1e-3
        lead_c_s = (course.lead(error - drift * step) - course.lead(error)) / step
        for ahead_k, share in ((-1.0, 0.0), (0.0, 0.0), (1.0, 0.5 * 1.0 * 0.5 / 0.475)):
            asked_c_s = course.slope(error, drift, ahead_k)
            assert abs(asked_c_s - share * lead_c_s) < 0.25 * abs(lead_c_s)
        assert abs(course.slope(error, drift, 9.0) - lead_c_s) < 0.25 * abs(lead_c_s)


def test_lead_is_nothing_without_a_way_back():
    course = course_of(400.0, 100.0, 0.0, 0.0, 1.0)
    assert course.lead(5.0) == 0.0
    assert course.lead(-5.0) == 0.0


def unbraked(share, true_share, error):
    """The warmest that a chocolate gets which begins error below its target, with a bath that is
    led up to it and then gives heat to nothing else."""
    course = course_of(300.0, 90.0, 0.014, 0.08, 1.0, share, 2.0, chills=False)
    chocolate, bath, warmest = -error, -error, -error
    for _ in range(6_000):
        asked = course.lead(-chocolate)
        taken = (bath - chocolate) / 300.0
        chocolate += taken
        bath += min(max(asked - bath, 0.0), 0.014) - taken * true_share
        warmest = max(warmest, chocolate)
    return warmest


def test_bath_that_nothing_takes_back_ends_inside_the_window():
    for share in (0.05, 0.2, 0.6):
        for error in (0.5, 2.0, 6.0, 20.0):
            assert unbraked(share, share, error) < 2.0


def test_chill_that_was_not_seen_to_work_is_not_relied_upon():
    seen = course_of(300.0, 90.0, 0.014, 0.08, 1.0, 0.1, 2.0)
    unseen = course_of(300.0, 90.0, 0.014, 0.08, 1.0, 0.1, 2.0, chills=False)
    assert unseen.lead(6.0) < seen.lead(6.0)
    assert unseen.reach(6.0) < seen.reach(6.0)
    assert unseen.lead(-6.0) == seen.lead(-6.0)


def test_there_is_always_a_way_towards_the_window():
    for share in (0.0, 0.1):
        course = course_of(400.0, 100.0, 0.0, 0.0, 0.1, share, 0.5, chills=False)
        for error in (0.5, 1.0, 4.0):
            assert course.lead(error) > 0.3
            assert course.lead(-error) < -0.3


def test_lead_grows_with_the_error_and_has_its_sign():
    course = course_of(400.0, 100.0, 0.014, 0.08, 0.9)
    leads = [course.lead(error / 10) for error in range(-100, 101)]
    assert leads == sorted(leads)
    assert leads[100] == 0.0
    assert leads[0] < 0.0 < leads[-1]


def test_less_trust_leads_less():
    trusting = course_of(400.0, 100.0, 0.014, 0.08, 1.0)
    doubting = course_of(400.0, 100.0, 0.014, 0.08, 0.4)
    assert 0.0 < doubting.lead(4.0) < trusting.lead(4.0)


# Balance.


def heat_up(true_heater_w, seconds):
    """A balance and the true heat left in the body, in K of the whole bath, after full heat."""
    model = Model()
    balance = Balance(model)
    body = bath = 30.0
    water_j_k = model.bath_j_k - model.body_j_k
    for _ in range(seconds):
        flow = (body - bath) * model.body_j_k / model.body_lag_s
        slope = (flow - model.loss_w_k * (bath - 22.0)) / water_j_k
        body += (true_heater_w - flow) / model.body_j_k
        bath += slope
        balance.step(1_000, 0, bath, slope, balance.lost_w(bath, 0.0), 1.0)
    return balance, (body - bath) * model.body_j_k / model.bath_j_k


def test_heat_in_the_body_is_reckoned_from_what_was_asked_for():
    balance, stored_k = heat_up(250.0, 600)
    assert stored_k > 0.8
    assert abs(balance.stored_k - stored_k) < 0.1


def test_weak_mains_are_found_in_the_bath_that_warms_too_slowly():
    # 0.9 of the voltage gives 0.81 of the power.
    balance, _ = heat_up(0.81 * 250.0, 900)
    assert abs(balance.heater_w - 0.81 * 250.0) < 8.0


def crock_found(true_late_s, trust_permille):
    """What a balance makes of a crock this late, after a quarter of an hour of full heat."""
    values = list(REFERENCE)
    values[7] = trust_permille
    model = Model(values)
    balance = Balance(model)
    body = bath = 24.0
    body_w_k = model.body_j_k / true_late_s
    for _ in range(1_200):
        flow = (body - bath) * body_w_k
        slope = (flow - model.loss_w_k * (bath - 22.0)) / (model.bath_j_k - model.body_j_k)
        body += (250.0 - flow) / model.body_j_k
        bath += slope
        balance.step(1_000, 0, bath, slope, balance.lost_w(bath, 0.0), 1.0)
    return balance.late.seconds, (body - bath) * model.body_j_k / model.bath_j_k - balance.stored_k


def test_thick_crock_of_a_rig_that_nobody_measured_is_found_from_its_first_heat():
    for true_late_s in (40.0, 120.0, 240.0):
        late_s, missed_k = crock_found(true_late_s, 100)
        assert abs(late_s - true_late_s) < 0.15 * true_late_s + 10.0
        assert abs(missed_k) < 0.7


def test_measured_crock_is_believed():
    late_s, _ = crock_found(67.0, 1_000)
    assert abs(late_s - 67.0) < 0.1


def test_crock_is_taken_to_be_thick_until_it_has_shown_itself():
    assert Balance(Model()).late.seconds > 2.0 * Model().body_lag_s


def test_a_bath_that_warms_without_heat_gets_it_from_the_body():
    # 400 W of a cooker that is believed to have 250: more is in the body than was asked for, which
    # its flow shows within minutes for the most part.
    values = list(REFERENCE)
    values[7] = 1_000
    model = Model(values)
    balance = Balance(model)
    body = bath = 24.0
    body_w_k = model.body_j_k / model.body_lag_s
    for second in range(700):
        heat = 600 if second < 600 else 0  # never at full, so that no share is learned
        flow = (body - bath) * body_w_k
        slope = (flow - model.loss_w_k * (bath - 22.0)) / (model.bath_j_k - model.body_j_k)
        body += (0.4 * heat - flow) / model.body_j_k
        bath += slope
        balance.step(heat, 0, bath, slope, balance.lost_w(bath, 0.0), 1.0)
        if second == 600:
            told_k, true_k = balance.stored_k, (body - bath) * model.body_j_k / model.bath_j_k
    assert abs(told_k - true_k) < 0.3 * true_k


def test_share_is_learned_only_from_full_and_settled_output():
    supply = Supply(100.0)
    for _ in range(99):
        supply.step(1_000, 0.5, 1.0)
    supply.step(500, 0.5, 1.0)
    assert supply.share == 1.0
    for _ in range(600):
        supply.step(1_000, 0.5, 1.0)
    assert abs(supply.share - 0.5) < 0.01


# Split.


def test_split_gives_power_to_one_side_in_proportion():
    split = SplitRange()
    split.step(125.0, 20.0, 250.0, 900.0)
    assert (split.heat_permille, split.chill_permille) == (500, 0)
    split.step(-450.0, 20.0, 250.0, 900.0)
    assert (split.heat_permille, split.chill_permille) == (0, 500)
    split.step(-5_000.0, 20.0, 250.0, 900.0)
    assert (split.heat_permille, split.chill_permille) == (0, 1_000)


def test_split_does_not_change_sides_for_a_small_demand():
    split = SplitRange()
    split.step(50.0, 20.0, 250.0, 900.0)
    split.step(-10.0, 20.0, 250.0, 900.0)
    assert (split.heat_permille, split.chill_permille) == (0, 0)
    split.step(-30.0, 20.0, 250.0, 900.0)
    assert split.chill_permille > 0
    split.step(10.0, 20.0, 250.0, 900.0)
    assert (split.heat_permille, split.chill_permille) == (0, 0)
    split.step(30.0, 20.0, 250.0, 900.0)
    assert split.heat_permille > 0
