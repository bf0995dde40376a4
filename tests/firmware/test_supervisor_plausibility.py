"""What only time shows: courses of temperature that a kitchen knows, and some that it does not.

Readings come every 1.5 s in steps of 1/16 °C, as from three DS18B20 on one wire.
"""

from stand_in_course import Course, numbers, ramp

from glossbath_board.cycle import HELD, IDLE
from glossbath_board.reading import CRC


def test_a_steady_hold_of_twelve_hours_shows_nothing():
    # Exact stillness to the last step of the chip, bath and chocolate a degree apart, as offsets
    # of two probes make it.
    course = Course(30_500, 31_500, 31_700)
    for _ in range(12):
        plausibility = course.go(3_600, heat=100)
        assert numbers(plausibility) == (0,) * 14


def test_at_rest_nothing_is_kept():
    course = Course(ramp(20_000, 5_000), ramp(60_000, -4_000), 70_000)
    course.go(300, heat=1_000)
    assert any(numbers(course.plausibility))
    course.go(1, state=IDLE)
    assert numbers(course.plausibility) == (0,) * 14
    course.go(600, heat=1_000, state=IDLE)
    assert numbers(course.plausibility) == (0,) * 14


def test_held_is_watched_like_running():
    course = Course(24_000, ramp(24_000, 1_000), ramp(24_000, 1_000))
    course.go(900, heat=1_000, state=HELD)
    assert course.plausibility.apart_mc_s > 0


def test_rise_is_counted_over_three_minutes():
    course = Course(24_000, ramp(24_000, 7_000), ramp(24_000, 1_000))
    plausibility = course.go(120, heat=1_000)
    assert abs(plausibility.bath.rise_mc - 14_000) < 200
    plausibility = course.go(600, heat=1_000)
    assert abs(plausibility.bath.rise_mc - 21_000) < 1_300  # the window has steps of 10 s
    assert abs(plausibility.body.rise_mc - 3_000) < 300
    course.follow(bath=108_000)
    assert course.go(200).bath.rise_mc == 0


def test_falling_is_no_rise():
    course = Course(50_000, ramp(56_000, -7_000), ramp(60_000, -7_000))
    for _ in range(10):
        plausibility = course.go(30, chill=1_000)
        assert plausibility.bath.rise_mc <= 0 and plausibility.body.rise_mc <= 0


def test_a_jump_is_not_believed_until_it_agrees():
    course = Course(40_000, 45_000, 50_000)
    course.go(60, heat=500)
    course.follow(chocolate=50_500)
    plausibility = course.go(3, heat=500)
    assert plausibility.chocolate.jump_mc == 10_500
    assert plausibility.chocolate.value == 40_000
    course.follow(chocolate=41_000)
    plausibility = course.go(3, heat=500)
    assert plausibility.chocolate.jump_mc <= 1_000 and plausibility.chocolate.value == 41_000


def test_a_probe_dropped_into_hot_water_does_not_jump():
    # From 20 into 60 °C with the shortest lag a steel tube has (8 s; estimate), read every 1.5 s.
    lagging = [20_000.0]

    def course(t):
        lagging[0] += (60_000 - lagging[0]) * 0.171
        return lagging[0]

    probe = Course(course, 45_000, 50_000)
    highest = 0
    for _ in range(60):
        highest = max(highest, probe.go(1.5).chocolate.jump_mc)
    assert 5_000 < highest < 10_000


def test_a_faulty_reading_leaves_the_last_believed_one():
    course = Course(40_000, 45_000, 50_000)
    course.go(60)
    course.follow(bath=CRC)
    course.go(4)
    assert course.plausibility.bath.value == 45_000
    assert course.plausibility.bath.jump_mc == 0


def test_stuck_bath_shows_when_the_body_moves():
    course = Course(24_000, 24_000, ramp(24_000, 2_000))
    plausibility = course.go(110, heat=1_000)
    assert plausibility.stuck_bath_mc == 0  # a neighbour may follow late
    plausibility = course.go(70, heat=1_000)
    assert 5_000 < plausibility.stuck_bath_mc < 7_000


def test_stuck_body_shows_when_the_bath_moves():
    course = Course(24_000, ramp(50_000, -3_000), 52_000)
    plausibility = course.go(150, chill=1_000)
    assert 5_000 < plausibility.stuck_body_mc < 8_000
    assert plausibility.stuck_bath_mc == 0


def test_one_step_of_the_chip_ends_stillness():
    def nearly_still(t):
        return 24_000 + (62.5 if t % 120 > 60 else 0)

    course = Course(24_000, nearly_still, ramp(24_000, 2_000))
    for _ in range(30):
        assert course.go(30, heat=1_000).stuck_bath_mc == 0


def test_stuck_chocolate_shows_by_the_bath_beyond_an_offset():
    # 8 °C of bath less 2 for the probes' offsets, 1000 s: 6 000 000 m°C s.
    course = Course(40_000, 48_000, 52_000)
    plausibility = course.go(990, heat=300)
    assert 5_900_000 < plausibility.stuck_chocolate_mc_s <= 6_000_000
    plausibility = course.go(20, heat=300)
    assert plausibility.stuck_chocolate_mc_s > 6_000_000
    course.follow(chocolate=40_100)
    assert course.go(5, heat=300).stuck_chocolate_mc_s < 50_000


def test_melting_slowly_is_not_stuck():
    # A plateau of 3 °C in 20 min under 18 °C of warmer bath.
    course = Course(ramp(30_000, 150), 48_000, 52_000)
    highest = 0
    for _ in range(60):
        highest = max(highest, course.go(20, heat=300).stuck_chocolate_mc_s)
    assert highest < 1_000_000
    assert course.plausibility.apart_mc_s < 12_000_000


def test_chocolate_that_warms_over_a_colder_bath_is_no_chocolate():
    course = Course(ramp(40_000, 1_000), 36_000, 38_000)
    plausibility = course.go(180, heat=1_000)
    assert abs(plausibility.against_mc - 3_000) < 200
    course.follow(bath=44_000)
    assert course.go(5, heat=1_000).against_mc == 0


def test_cooling_chocolate_over_a_colder_bath_is_as_it_should_be():
    course = Course(ramp(48_000, -1_000), 21_000, 21_500)
    for _ in range(15):
        assert course.go(60, chill=300).against_mc <= 63


def test_crystals_that_form_warm_by_less_than_what_counts():
    # Recalescence of 2 °C in 5 min over a bath 5 °C colder.
    course = Course(ramp(27_000, 400), 22_000, 22_000)
    assert course.go(300).against_mc < 4_000


def test_a_probe_beside_the_pot_does_not_follow_the_bath():
    # The bath warms by 1 °C a minute past a probe that lies in a room of 24 °C.
    course = Course(lambda t: 24_000 + (62.5 if t % 90 > 45 else 0), ramp(24_000, 1_000), 45_000)
    minutes = 0
    while course.plausibility.apart_mc_s <= 24_000_000 and minutes < 60:
        course.go(60, heat=1_000)
        minutes += 1
    assert 25 < minutes < 35
    course.follow(chocolate=26_000)
    assert course.go(5, heat=1_000).apart_mc_s < 1_000_000


def test_cold_chocolate_added_starts_the_watch_anew():
    course = Course(45_000, 52_000, 55_000)
    course.go(1_000, heat=300)
    assert course.plausibility.apart_mc_s > 6_000_000
    course.follow(chocolate=38_000)
    assert course.go(5, heat=300).apart_mc_s < 200_000


def test_a_bath_that_comes_down_to_the_chocolate_is_apart_no_more():
    # A person poured cold water into the bath: what was held against the probe is over at once.
    course = Course(45_000, 55_000, 57_000)
    course.go(1_000, heat=300)
    assert course.plausibility.apart_mc_s > 6_000_000
    course.follow(bath=46_000)
    assert course.go(5, heat=300).apart_mc_s == 0


def test_body_colder_than_the_bath_counts_after_five_minutes_of_full_heat():
    course = Course(24_000, ramp(24_000, 1_000), 22_000)
    assert course.go(295, heat=1_000).body_cold_mc == 0
    plausibility = course.go(10, heat=1_000)
    assert 6_500 < plausibility.body_cold_mc < 7_500
    assert course.go(2, heat=1_000, chill=100).body_cold_mc == 0


def test_heat_that_shows_nowhere_is_counted():
    course = Course(24_000, 24_000, 24_000)
    assert course.go(300, heat=1_000).idle_heat_s in (298, 299, 300)
    assert course.go(100, heat=1_000).idle_heat_s in (398, 399, 400)


def test_three_quarters_of_heat_are_no_spell_and_a_dropped_pass_ends_none():
    course = Course(24_000, 24_000, 24_000)
    for _ in range(20):
        assert course.go(30, heat=750).idle_heat_s < 210
    course = Course(24_000, 24_000, 24_000)
    for _ in range(10):
        course.go(29, heat=1_000)
        course.go(1, heat=0)
    assert course.plausibility.idle_heat_s > 290


def test_heat_shows_as_a_rise_or_as_a_gap():
    for bath, body in (
        (ramp(24_000, 150), 24_000),
        (24_000, ramp(24_000, 150)),
        (50_000, 53_000),  # as much is lost as comes in: the gap still tells of heat
    ):
        course = Course(24_000, bath, body)
        for _ in range(30):
            assert course.go(30, heat=1_000).idle_heat_s < 300


def test_a_cooling_body_hides_no_dead_heater():
    # Heat asked for, none comes: the body falls from 56 towards the bath at 50 °C.
    course = Course(45_000, 50_000, lambda t: 50_000 + 6_000 * 0.985**t)
    course.go(450, heat=1_000)
    assert course.plausibility.idle_heat_s > 300


def test_body_that_warms_in_the_dark_is_told():
    course = Course(30_000, 30_000, 36_000)
    course.go(60, heat=1_000)
    course.follow(body=lambda t: 33_000 if t < 200 else 33_000 + (t - 200) * 90)
    plausibility = course.go(130)
    assert plausibility.warming_mc == 0
    plausibility = course.go(90, heat_on=False)
    assert plausibility.warming_mc > 4_000
    assert course.go(2, heat=100).warming_mc == 0


def test_hot_water_poured_in_is_no_heat_in_the_dark():
    course = Course(30_000, 30_000, 31_000)
    course.go(300)
    course.follow(bath=40_000, body=lambda t: min(40_000, 31_000 + 50 * (t - 300)))
    for _ in range(10):
        assert course.go(30).warming_mc == 0


def test_heat_left_in_the_crock_is_no_heat_in_the_dark():
    # A heavy crock goes on warming for a minute after the heat ends.
    course = Course(30_000, 30_000, lambda t: 40_000 if t < 60 else 40_000 + 90 * min(60, t - 60))
    course.go(60, heat=1_000)
    for _ in range(20):
        assert course.go(30).warming_mc < 200
