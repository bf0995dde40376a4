"""Switch inputs: slow to permit, quick to take away, unknown when they cannot be read."""

from stand_in_bus import Pin

from glossbath_board.sensors.switch import Switch


def follow(levels, **settings):
    """What the switch says after each pass with these levels of its pin."""
    pin = Pin()
    switch = Switch(pin, **settings)
    seen = []
    for number, level in enumerate(levels):
        pin.level = level
        switch.step(250 * number)
        seen.append(switch.on)
    return seen


def test_nothing_is_known_before_the_first_pass():
    assert Switch(Pin(1)).on is None


def test_off_is_known_at_once_and_on_after_two_passes():
    assert follow([0, 0]) == [False, False]
    assert follow([1, 1, 1]) == [None, True, True]
    assert follow([0, 1, 1]) == [False, False, True]


def test_a_single_pass_of_contact_does_not_turn_it_on():
    assert True not in follow([0, 1, 0, 1, 0, 1, 0])


def test_the_safe_side_is_taken_at_once():
    assert follow([1, 1, 0, 1, 1]) == [None, True, False, False, True]


def test_a_broken_wire_is_off_for_ever():
    # Nothing drives the pin, the external resistor holds it at the inactive level.
    assert set(follow([0] * 40)) == {False}
    assert set(follow([1] * 40, active_level=0)) == {False}


def test_an_input_that_is_active_low():
    assert follow([1, 0, 0, 1], active_level=0) == [False, False, True, False]


def test_a_rocking_float_may_be_given_time():
    rocking = [1, 1, 0, 1, 0, 0, 1, 0, 0, 0]
    assert follow(rocking, off_passes=3) == [None] + [True] * 8 + [False]


def test_a_pin_that_cannot_be_read_is_unknown():
    error = OSError(5)
    assert follow([1, 1, error, 1, 1]) == [None, True, None, None, True]
    assert follow([error, 0]) == [None, False]


def test_passes_before_a_pin_that_could_not_be_read_do_not_count():
    # Else a button that bounces once before and once after a fault would arm the rig.
    error = OSError(5)
    assert follow([0, 1, error, 1, 1]) == [False, False, None, None, True]
    assert follow([1, 1, 0, 0, error, 0], off_passes=3) == [None, True, True, True, None, False]


def test_every_change_is_counted_from_its_own_first_pass():
    levels = [1, 1, 0, 0, 1, 0, 0, 1, 0, 0, 0, 1, 0, 1, 1, 0, 0]
    on = [None] + [True] * 9 + [False] * 4 + [True] * 3
    assert follow(levels, off_passes=3) == on
