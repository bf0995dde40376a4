"""The proof of both switches: what each fault of relay, switch, outlet and sense line ends in."""

from glossbath_board.proof import PROVEN, STEPS, Proof

PASS_MS = 250


def prove(outlet):
    """Walk through the proof; outlet(relay, heat) tells whether voltage is sensed.

    Gives the outcome, its time in ms, and how long both switches were closed together.
    """
    proof = Proof()
    spent_ms = both_ms = 0
    while spent_ms < 60_000:
        load_on = outlet(proof.relay, proof.heat)
        both_ms += PASS_MS if proof.relay and proof.heat else 0
        spent_ms += PASS_MS
        outcome = proof.step(load_on, PASS_MS)
        if outcome:
            return outcome, spent_ms, both_ms
    raise AssertionError("no end")


def test_sound_switches_are_proven_in_nine_seconds():
    assert prove(lambda relay, heat: relay and heat) == (PROVEN, 9_000, 1_500)


def test_each_fault_ends_in_its_trip():
    for code, outlet in (
        ("proof-off", lambda relay, heat: True),  # both failed closed, or the sense line is stuck
        ("proof-relay", lambda relay, heat: heat),  # welded relay
        ("proof-switch", lambda relay, heat: relay),  # shorted switch
        ("proof-power", lambda relay, heat: False),  # dead relay, switch, outlet or sense line
        ("proof-off", lambda relay, heat: None),  # a sense line that cannot be read
    ):
        assert prove(outlet)[0] == code


def test_welded_and_shorted_together_are_found_before_anything_is_driven():
    assert prove(lambda relay, heat: True)[1:] == (1_500, 0)


def test_a_switch_that_shorts_under_load_is_found_by_the_last_step():
    stuck = []

    def outlet(relay, heat):
        if relay and heat:
            stuck.append(True)
        return relay and (heat or bool(stuck))

    assert prove(outlet)[0] == "proof-switch"


def test_a_sense_line_that_cannot_be_read_in_any_step_ends_the_proof():
    for unknown_at in range(len(STEPS)):
        proof = Proof()
        outcome, passes = "", 0
        while not outcome:
            load_on = None if passes // 6 == unknown_at else proof.relay and proof.heat
            outcome = proof.step(load_on, PASS_MS)
            passes += 1
        # Where voltage must be there, half a step is enough.
        last = 4 if STEPS[unknown_at][2] else 6
        assert (outcome, passes) == (STEPS[unknown_at][3], 6 * unknown_at + last)


def test_a_relay_that_chatters_is_not_proven():
    for parity in (0, 1):
        proof = Proof()
        outcome, passes = "", 0
        while not outcome:
            closed = proof.relay and passes % 2 == parity
            outcome = proof.step(closed and proof.heat, PASS_MS)
            passes += 1
        assert outcome == "proof-power"


def test_beginning_again_forgets_what_was_proven():
    proof = Proof()
    for _ in range(30):
        proof.step(proof.relay and proof.heat, PASS_MS)
    proof.begin()
    assert (proof.relay, proof.heat) == (False, False)
    spent_ms = 0
    while not proof.step(proof.relay and proof.heat, PASS_MS):
        spent_ms += PASS_MS
    assert spent_ms + PASS_MS == 9_000


def test_the_relay_had_time_to_let_go_before_it_must_be_open():
    # hardware/charge_pump.py: 2.67 s from its last edge at most.
    open_ms = 0
    for relay, heat, _, code in STEPS:
        open_ms = 0 if relay else open_ms + 1_500
        if code == "proof-relay":
            assert heat and open_ms == 3_000
            return
    raise AssertionError("no such step")
