"""What orders, hands, faults and time lead to: heat only by start, arm and proof, without a trip.

From power-up every input is tried in every situation that is reached, to closure. A witness that
knows nothing of the firmware's states watches the outlet, the buttons and the answers.
"""

import sys

from stand_in_rig import StandInRig

from glossbath_board.cycle import STATES

HEATING = ("running", "held")
ENDS_MS = 1_500  # a pass long enough that a proof takes six


class ShortMemory:
    """What outlives a reset, without a file."""

    trip = detail = lost = ""
    resets = 0

    def keep(self, trip, detail):
        self.trip = self.trip or trip

    def forget(self):
        self.trip = ""

    def steady(self, now_ms):
        pass


class Witness:
    """Sees outlet and buttons; enabled is what has happened since heat was last taken away."""

    def __init__(self, board):
        self.board = board
        self.pressed = False
        self.was_down = False
        self.seen = set()

    def press(self, down):
        board = self.board
        if down and not self.was_down and board.state == "waiting":
            self.pressed = True
            self.seen = set()
        self.was_down = down
        board.switches.arm.on = down

    def look(self):
        board = self.board
        state, relay, heat = board.state, board.outputs.relay_on, board.pins["heat"].level == 1
        if state == "testing":
            self.seen.add((relay, heat))
        elif state in HEATING:
            assert self.pressed, "heat without the button"
            assert self.seen >= {(False, True), (True, False), (True, True)}, "heat without proof"
            assert not board.trip, "heat under a trip"
            assert board.switches.stop.on is True, "heat while the stop button is down"
        else:
            self.pressed = False
            assert not relay and not heat, "switches driven at rest"
        if board.trip:
            assert board.dark and state == "tripped", "something on under a trip"


def cut_power(board):
    """Another run of the firmware in the same kitchen, with what outlives a reset."""
    switches, values = board.switches, board.probes.values
    arm, stop, bath = switches.arm.on, switches.stop.on, values["bath"]
    leasing, welded = board.leasing, board.relay_welded
    board.__init__("none", memory=board.memory)
    board.switches.arm.on, board.switches.stop.on = arm, stop
    board.probes.values["bath"] = bath
    board.leasing, board.relay_welded = leasing, welded


def take(board, witness, name):
    """One input, then a pass."""
    kind, _, what = name.partition(" ")
    if name == "power cut":
        cut_power(board)
    elif kind == "arm":
        witness.press(what == "down")
    elif kind == "stop":
        board.switches.stop.on = what == "up"
    elif kind == "bath":
        board.probes.values["bath"] = 61_000 if what == "hot" else 24_000
    elif kind == "host":
        board.leasing = what == "back"
    elif kind == "relay":
        board.relay_welded = what == "welded"
    elif name == "start":
        board.load()
    elif kind == "order":
        board.tell(what, to=board.loop.cycle.index + 1)
    board.step(ENDS_MS)
    witness.look()


INPUTS = (
    "wait",
    "start",
    "order stop",
    "order hold",
    "order resume",
    "order step",
    "order clear",
    "arm down",
    "arm up",
    "stop down",
    "stop up",
    "bath hot",
    "bath good",
    "host gone",
    "host back",
    "relay welded",
    "relay good",
    "power cut",
)
# Under MicroPython, which is slower, only what might bring heat back.
SECOND = ("start", "arm down", "order clear", "power cut")
if sys.implementation.name == "cpython":
    SECOND = INPUTS


def replay(path):
    """A board that has been through path, and its witness."""
    board = StandInRig("none", memory=ShortMemory())
    witness = Witness(board)
    board.step(ENDS_MS)
    for name in path:
        take(board, witness, name)
    return board, witness


def situation(board, witness):
    """What tells two boards apart."""
    loop = board.loop
    return (
        board.state,
        board.trip,
        loop.cycle.index,
        loop._proof._at if board.state == "testing" else 0,
        loop._released if board.state == "waiting" else False,
        board.switches.arm.on,
        board.switches.stop.on,
        board.probes.values["bath"],
        board.leasing,
        board.relay_welded,
        witness.pressed,
    )


def _longer(path, name):
    return tuple(list(path) + [name])  # noqa: RUF005 - MicroPython knows no star in a tuple


def explore(inputs, most=400):
    """Try every input in every situation until no new one comes; the situations reached."""
    reached = {situation(*replay(())): ()}
    waiting = [()]
    while waiting:
        assert len(reached) < most, "more situations than there can be"
        path = waiting.pop(0)
        for name in inputs:
            board, witness = replay(_longer(path, name))
            found = situation(board, witness)
            if found not in reached:
                reached[found] = _longer(path, name)
                waiting.append(_longer(path, name))
    return reached


def test_orders_and_hands_in_every_situation():
    inputs = INPUTS[:11]
    states = {found[0] for found in explore(inputs)}
    assert states >= {"idle", "waiting", "testing", "running", "held", "stopped", "tripped"}


def test_faults_in_every_situation():
    inputs = ["wait", "start", "order clear", "arm down", "arm up"]
    inputs.extend(INPUTS[11:])
    reached = explore(inputs)
    assert {found[0] for found in reached} >= {"idle", "waiting", "testing", "running", "tripped"}
    assert {found[1] for found in reached} >= {"", "bath-hot", "lease", "proof-relay"}


def test_any_two_inputs_in_every_state():
    # The shortest way into each state.
    ways = {}
    for found, path in explore(INPUTS[:11]).items():
        if found[0] not in ways or len(path) < len(ways[found[0]]):
            ways[found[0]] = path
    assert set(STATES) <= set(ways)
    for code, way in (
        ("stop-button", ("start", "arm down", "stop down")),
        ("bath-hot", ("start", "arm down", "bath hot", "wait", "wait")),
    ):
        assert replay(way)[0].trip == code
        ways[code] = way
    for way in ways.values():
        for first in INPUTS:
            for second in SECOND:
                replay(_longer(_longer(way, first), second))


def test_long_random_paths():
    # A congruential generator, the same numbers on every interpreter (Knuth's MMIX constants,
    # from memory).
    seed = 1
    for _ in range(60):
        board, witness = replay(())
        for _ in range(120):
            seed = (6364136223846793005 * seed + 1442695040888963407) & 0xFFFFFFFFFFFFFFFF
            take(board, witness, INPUTS[(seed >> 33) % len(INPUTS)])
