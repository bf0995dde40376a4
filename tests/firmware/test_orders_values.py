"""Orders in sound frames with every field replaced by every kind of value: each is answered or
dropped, nothing raises, nothing heats."""

from stand_in_rig import BOOT, DARK, HOST, rig

from glossbath_board.errors import FrameError
from glossbath_board.frame import Decoder, encode

VALUES = (
    None,
    True,
    False,
    0,
    -1,
    1,
    7,
    1 << 31,
    1 << 40,
    -(10**30),
    0.5,
    1e308,
    float("inf"),
    float("nan"),
    "",
    "{0}",
    "%s%n",
    "\u00e9",
    "\x1b[2J",
    "x" * 60,
    [],
    [None] * 8,
    [1 << 40] * 8,
    [[[[]]]],
    {},
    {"k": "stop"},
)
ORDERS = (
    {"k": "hello"},
    {"k": "lease"},
    {"k": "model", "v": [250, 15_500, 2_700, 67_000, 4_400, 2_000, 30_000, 400]},
    {"k": "plan", "count": 2, "max": 52_000, "g": 1_000, "w": 0},
    {"k": "phase", "at": 0, "name": "melt", "v": list(DARK[0][1])},
    {"k": "start", "cycle": "1", "sum": "00000000", "alone": 1},
    {"k": "stop"},
    {"k": "hold"},
    {"k": "resume"},
    {"k": "step", "to": 1},
    {"k": "back", "to": 0},
    {"k": "clear"},
    {"k": "set", "key": "limit.bath-hot", "v": 55_000},
    {"k": "get", "key": "model"},
    {"k": "try", "o": "stir", "ms": 500},
    {"k": "inputs"},
)


def sent(message):
    """What of a message arrives at the board, or None where it is no frame at all."""
    try:
        heard = Decoder("h").feed(encode(message))
    except (FrameError, UnicodeError, ValueError):
        return None
    return heard[0] if heard else None


def test_any_value_in_any_field_is_answered_and_never_heats():
    board = rig()
    board.run(1_000)
    number = answered = 0
    for order in ORDERS:
        for field in list(order) + ["i", "h", "b", "n", "?"]:  # noqa: RUF005 - for MicroPython
            for value in VALUES:
                number += 1
                message = {"i": 10_000 + number, "h": HOST, "b": BOOT, "n": number}
                message.update(order)
                message[field] = value
                arrived = sent(message)
                if arrived is None:
                    continue
                board.link.inbox.append(arrived)
                before = board.link._number
                board.step()
                answered += board.link._number > before
                for said in board.link.outbox[-4:]:
                    if said["k"] == "a":
                        sent(said)
                assert not board.heating, (order, field, value)
    assert answered > 1_000
    assert board.state in ("idle", "tripped", "stopped", "waiting")
