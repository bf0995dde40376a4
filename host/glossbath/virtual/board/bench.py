# The firmware's side of the bench: every pin, bus, watchdog and clock request goes through two
# pipes to the virtual rig. Runs under MicroPython's unix port and under CPython.
import struct
import sys

try:
    from os import getenv
except ImportError:
    from os import environ

    getenv = environ.get

_FROM_RIG, _TO_RIG = getenv("RIG_FDS").split(",")
if sys.implementation.name == "micropython":
    _source = open("/dev/fd/" + _FROM_RIG, "rb")  # noqa: SIM115
    _sink = open("/dev/fd/" + _TO_RIG, "wb")  # noqa: SIM115
else:
    _source = open(int(_FROM_RIG), "rb", buffering=0)  # noqa: SIM115
    _sink = open(int(_TO_RIG), "wb", buffering=0)  # noqa: SIM115

TICKS_PERIOD = 1 << 30  # as on the board
_out = bytearray()
ticks = 0
inputs = 0
analog = (0, 0, 0)
stall = 0  # ms that the pass under way takes besides its work
lag = 0  # as much of it as a look at the clock shows
spent_us = 0  # by the buses in the pass under way; the rig counts the same


def spend(us):
    """Time that a bus takes; the clock shows it, and so do the chips."""
    global spent_us
    spent_us += us


def post(message):
    """Something that needs no answer; goes out with the next request."""
    _out.extend(message)


def ask(message, count):
    """Send everything posted and this message; wait for count bytes of answer."""
    _out.extend(message)
    _sink.write(_out)
    _out[:] = b""
    answer = _source.read(count)
    while len(answer) < count:
        more = _source.read(count - len(answer))
        if not more:
            sys.exit(3)  # the rig is gone
        answer += more
    return answer


def leave(message):
    """Send a last message."""
    _out.extend(message)
    _sink.write(_out)


def sleep_ms(ms):
    """Let the rig's time pass; pins and converters have their new levels afterwards."""
    global ticks, inputs, analog, stall, lag, spent_us
    answer = struct.unpack("<IIHHHI", ask(b"S" + struct.pack("<I", ms), 18))
    ticks = answer[0]
    inputs = answer[1]
    analog = answer[2:5]
    stall = answer[5]
    lag = 0
    spent_us = 0
