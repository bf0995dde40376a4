"""What the keeper tells its clients: the messages of the local socket, one struct each.

Screens, plain lines and other programs see a rig only through these. Temperatures are in °C,
times in seconds, shares from 0 to 1. A temperature is None when the board had no good value; the
reason then stands in `faults`.
"""

from __future__ import annotations

from typing import Any

import msgspec

from glossbath.chocolate.phase import PhasePlan

LONGEST_NOTE = 500
"""Characters of a note, a lot number and other text of a person's."""


class Reading(msgspec.Struct, frozen=True, tag="reading"):
    """One report of the board, as received and judged by the keeper."""

    time_s: float
    """Seconds since the newest cycle began, also after its end; before any, since the board
    started."""
    wall: str
    """UTC, ISO 8601."""
    chocolate_c: float | None
    bath_c: float | None
    body_c: float | None
    target_c: float | None
    bath_target_c: float | None
    heat_share: float
    chill_share: float
    stir_share: float
    state: str
    """Board state: idle, waiting, testing, running, held, complete, stopped, tripped."""
    phase: str
    """Phase name, or empty when none is running."""
    phase_index: int
    phase_elapsed_s: float
    phase_left_s: float | None
    """Forecast of the time left in this phase; None when nothing can be said."""
    cycle_left_s: float | None
    faults: dict[str, str] = {}
    """Probe name to fault word."""
    room_c: float | None = None
    room_rh_percent: float | None = None
    stir_ma: float | None = None
    dwell_s: float | None = None
    """Time inside the phase's window so far, as the board counts it."""
    phase_range_s: tuple[float, float] | None = None
    """Low and high of the time left in this phase, in which about 95 of 100 come out; None for one
    that goes by the clock, and where nothing can be said."""
    cycle_range_s: tuple[float, float] | None = None
    left_unknown: str = ""
    """Why nothing can be said of the time left, in a few words; empty where it is said."""


class Event(msgspec.Struct, frozen=True, tag="event"):
    """Something that happened once: a phase change, a note, a trip, a test result."""

    time_s: float
    wall: str
    kind: str
    """phase, state, trip, alarm, note, test, link, order, board, keeper."""
    code: str
    text: str
    """One plain sentence."""
    values: dict[str, Any] = {}


class Alarm(msgspec.Struct, frozen=True, tag="alarm"):
    """An alarm after the states of IEC 62682; sent whenever it changes."""

    code: str
    priority: str
    """high, medium, low."""
    state: str
    """raised, acknowledged, returned, latched, cleared."""
    since: str
    happened: str
    rig_did: str
    do_now: str
    latched: bool = False
    """Whether it stands until a person clears it, in whatever state; a trip does."""


class Health(msgspec.Struct, frozen=True):
    """How well rig and link are doing."""

    connected: bool = False
    lease_ok: bool = False
    frames_received: int = 0
    frames_lost: int = 0
    frames_bad: int = 0
    reconnects: int = 0
    passes: int = 0
    overruns: int = 0
    log_ok: bool = True


class Snapshot(msgspec.Struct, frozen=True, tag="snapshot"):
    """Everything a client that has just connected needs; sent first, and on every change of rig,
    recipe, link, health or result (not for every reading)."""

    rig: str
    """Name of the rig, as shown to people."""
    virtual: bool
    engine: str
    """What runs the firmware, for example 'micropython 1.29.0-preview linux'."""
    board: str
    firmware: str
    state: str
    recipe: str = ""
    chocolate: str = ""
    phases: list[PhasePlan] = []
    folder: str = ""
    result: str = ""
    """complete, stopped, tripped, or empty while the cycle runs."""
    speed: float = 1.0
    """Simulated seconds per wall second; 1 on a real rig, 0 for as fast as possible."""
    batch_kg: float = 0.0
    lot: str = ""
    health: Health = Health()
    alarms: list[Alarm] = []
    history: list[Reading] = []
    """Recent readings, thinned to at most a few hundred, oldest first."""
    forecast: list[tuple[float, float]] = []
    """(time_s, chocolate °C) expected from now on."""
    request: str = ""
    """What the person should do now, or empty."""
    port: str = ""
    """The port of its board."""
    alone_min: int = 0
    """For how many minutes the hold may go on without the computer, as a person chose."""
    steering: bool = False
    """Whether this client may steer the rig."""


class Reply(msgspec.Struct, frozen=True, tag="reply"):
    """The answer to one Request."""

    id: int
    ok: bool
    text: str
    values: dict[str, Any] = {}


class Request(msgspec.Struct, frozen=True):
    """What a client may ask of the keeper."""

    id: int
    op: str
    """start, stop, hold, resume, step, finish, acknowledge, clear, note, test, done, steer,
    close."""
    values: dict[str, Any] = {}


PRACTICE = "PRACTICE: "
"""How a note begins that tells of a fault put into a virtual rig to practise on."""

Message = Snapshot | Reading | Event | Alarm | Reply

_encode = msgspec.json.Encoder().encode
_decoder: msgspec.json.Decoder[Message] = msgspec.json.Decoder(Message)
_decode_request = msgspec.json.Decoder(Request).decode


def to_line(message: Message | Request) -> bytes:
    """One message as one line of JSON."""
    return _encode(message) + b"\n"


def from_line(line: bytes) -> Message:
    """A message from the keeper; raises msgspec.DecodeError (or ValidationError)."""
    return _decoder.decode(line)


def request_from_line(line: bytes) -> Request:
    """A client's request; raises msgspec.DecodeError or ValidationError on anything else."""
    try:
        return _decode_request(line)
    except (UnicodeDecodeError, RecursionError) as error:
        raise msgspec.DecodeError(f"no request: {error}") from error
