"""The thresholds inside the plausibility, each met from both sides."""

from stand_in_course import fine, ramp


def test_still_is_within_40_millidegrees():
    for by, still in ((40, True), (41, False)):
        course = fine(24_000, lambda t, by=by: 24_000 + by * (int(t / 3) % 2), ramp(24_000, 2_000))
        plausibility = course.go(300, heat=1_000)
        assert (plausibility.stuck_bath_mc > 0) is still, by


def test_a_neighbour_is_compared_after_two_minutes():
    for seconds, counted in ((119, False), (125, True)):
        course = fine(24_000, 24_000, ramp(24_000, 2_000))
        assert (course.go(seconds, heat=1_000).stuck_bath_mc > 0) is counted, seconds
        course = fine(24_000, ramp(24_000, 2_000), 24_000)
        assert (course.go(seconds, heat=1_000).stuck_body_mc > 0) is counted, seconds


def test_a_spell_of_full_heat_is_eight_tenths_but_for_twelve_seconds():
    course = fine(24_000, 24_000, 24_000)
    assert course.go(300, heat=805).idle_heat_s >= 298
    for dark_s, goes_on in ((11, True), (14, False)):
        course = fine(24_000, 24_000, 24_000)
        course.go(200, heat=1_000)
        course.go(dark_s)
        assert (course.go(2, heat=1_000).idle_heat_s > 200) is goes_on, dark_s


def test_a_sign_of_heat_is_half_a_degree_of_rise_or_two_of_gap():
    for by, shown in ((490, False), (510, True)):
        for bath, body in (
            (lambda t, by=by: 24_000 + (by if t > 100 else 0), 24_000),
            (24_000, lambda t, by=by: 24_000 + (by if t > 100 else 0)),
        ):
            plausibility = fine(24_000, bath, body).go(150, heat=1_000)
            assert (plausibility.idle_heat_s < 60) is shown, by
    for gap, shown in ((1_990, False), (2_010, True)):
        plausibility = fine(24_000, 50_000, 50_000 + gap).go(150, heat=1_000)
        assert (plausibility.idle_heat_s < 10) is shown, gap


def test_chocolate_counts_as_warmer_than_its_bath_from_three_degrees():
    for above, counted in ((2_900, False), (3_100, True)):
        course = fine(ramp(40_000, 300), ramp(40_000 - above, 300), 40_000)
        assert (course.go(300).against_mc > 1_000) is counted, above


def test_a_bath_counts_as_apart_from_five_degrees():
    for above, counted in ((4_900, False), (5_100, True)):
        course = fine(40_000, 40_000 + above, 50_000)
        assert (course.go(300, heat=500).apart_mc_s > 1_000_000) is counted, above


def test_chocolate_has_followed_after_one_and_a_half_degrees():
    for by in (1, -1):
        for moved, followed in ((1_450, False), (1_550, True)):
            to = 30_000 + by * moved
            course = fine(lambda t, to=to: 30_000 if t < 200 else to, 45_000, 50_000)
            course.go(300, heat=500)
            assert (course.plausibility.apart_mc_s < 2_000_000) is followed, by * moved


def test_the_body_may_coast_for_a_minute_and_is_judged_after_two():
    for at_s, counted in ((57, False), (66, True)):
        course = fine(30_000, 30_000, lambda t, at_s=at_s: 40_000 if t < at_s else 46_000)
        assert (course.go(150).warming_mc > 0) is counted, at_s
    for seconds, judged in ((118, False), (123, True)):
        course = fine(30_000, 30_000, lambda t: 40_000 if t < 80 else 46_000)
        assert (course.go(seconds).warming_mc > 0) is judged, seconds
    for gap, judged in ((2_900, False), (3_100, True)):
        body = 36_000
        course = fine(30_000, body + 4_000 - gap, lambda t: 36_000 if t < 80 else 40_000)
        assert (course.go(150).warming_mc > 0) is judged, gap
