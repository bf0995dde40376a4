"""What is allowed becomes pin levels; anything unknown is off."""

from stand_in_rig import Pin, heap_lock, heap_unlock

from glossbath_board.output import Allowed, Outputs, Proportioner

PASS_MS = 250


def outputs():
    pins = {name: Pin() for name in ("heat", "relay", "chill", "stir", "lamp")}
    return Outputs(pins), pins


def allowed(heat=0, chill=0, stir=0, relay=True):
    made = Allowed()
    made.heat_permille, made.chill_permille, made.stir_permille = heat, chill, stir
    made.relay = relay
    return made


def test_everything_is_off_from_the_start():
    _, pins = outputs()
    assert not any(pin.level for pin in pins.values())


def mean_permille(permille, dt_ms):
    """The share of a long time for which the output is on."""
    window = Proportioner(2_000)
    on_ms = total_ms = 0
    while total_ms < 2_000_000:
        on_ms += dt_ms if window.step(permille, dt_ms) else 0
        total_ms += dt_ms
    return on_ms * 1_000 // total_ms


def test_share_of_time_is_share_asked_for():
    # What one window cannot give is carried to the next.
    for permille in (1, 7, 63, 100, 333, 500, 875, 999, 1_000):
        assert abs(mean_permille(permille, 250) - permille) <= 2, permille
        for late_ms in (251, 333, 600):
            assert mean_permille(permille, late_ms) <= permille + 2, (permille, late_ms)


def test_what_is_no_share_is_off_and_poisons_nothing():
    window = Proportioner(2_000)
    for wrong in (None, -1, 1_001, 10**9, float("nan"), float("inf"), 0.5, "1000", [1000]):
        assert window.step(wrong, PASS_MS) is False
    assert window.step(1_000, PASS_MS) is True
    for dt_ms in (0, -250):
        assert window.step(1_000, dt_ms) is False


def test_heat_needs_an_allowed_relay():
    board, pins = outputs()
    for relay in (False, None, 1, "yes"):
        board.drive(allowed(heat=1_000, relay=relay), PASS_MS)
        assert pins["heat"].level == 0 and board.heat_on is False
        assert pins["relay"].level == 0 and board.relay_on is False
    board.drive(allowed(heat=1_000), PASS_MS)
    assert pins["heat"].level == 1 and board.heat_on is True


def test_relay_line_changes_in_every_pass_or_is_low():
    board, pins = outputs()
    levels = []
    for _ in range(8):
        board.drive(allowed(), PASS_MS)
        levels.append(pins["relay"].level)
    assert levels == [1, 0] * 4
    board.drive(allowed(relay=False), PASS_MS)
    board.drive(allowed(relay=False), PASS_MS)
    assert pins["relay"].level == 0


def test_test_drives_relay_and_heat_alone():
    board, pins = outputs()
    board.drive(allowed(chill=1_000, stir=1_000), PASS_MS)
    assert pins["chill"].level == pins["stir"].level == 1
    for relay in (False, True, None):
        for heat in (False, True, None):
            board.drive_test(relay, heat)
            assert pins["heat"].level == (1 if heat else 0)
            assert board.relay_on is (relay is True)
            assert pins["chill"].level == pins["stir"].level == 0
            assert board.stir_on is False


def test_off_is_off_and_allocates_nothing():
    board, pins = outputs()
    board.drive(allowed(heat=1_000, chill=1_000, stir=1_000), PASS_MS)
    assert pins["heat"].level == pins["relay"].level == pins["stir"].level == 1
    heap_lock()
    try:
        board.off()
    finally:
        heap_unlock()
    for name in ("heat", "relay", "chill", "stir"):
        assert pins[name].level == 0
    assert (board.heat_on, board.relay_on, board.stir_on) == (False, False, False)


def test_a_steady_pass_allocates_nothing():
    board, _ = outputs()
    wanted = allowed(heat=437, chill=120, stir=400)
    for _ in range(100):
        board.drive(wanted, PASS_MS)
    heap_lock()
    try:
        for _ in range(100):
            board.drive(wanted, PASS_MS)
    finally:
        heap_unlock()
