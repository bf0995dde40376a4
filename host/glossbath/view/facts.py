"""Everything known of the rig as rows of (name, value, remark), for a page of details."""

from __future__ import annotations

import textwrap

from glossbath.client.messages import Event
from glossbath.words import NO_NUMBER, clock, duration, one_line, percent

from .panels import link, probe_note
from .rig_view import RigView

Row = tuple[str, str, str]
Section = tuple[str, list[Row]]


def sections(view: RigView, now_s: float) -> list[Section]:
    """All sections in the order they are looked for when something is wrong."""
    return [
        ("Probes", _probes(view)),
        ("Outputs", _outputs(view)),
        ("Link and board", _health(view, now_s)),
        ("Rig", _rig(view)),
    ]


def _probes(view: RigView) -> list[Row]:
    reading, text = view.reading, view.degrees.text
    if reading is None:
        return [("no reading yet", "", "")]
    humidity = reading.room_rh_percent
    known = {
        "chocolate": text(reading.chocolate_c),
        "bath": text(reading.bath_c),
        "body": text(reading.body_c),
        "room": text(reading.room_c),
        "humidity": NO_NUMBER if humidity is None else f"{humidity:.0f} %",
    }
    rows = [(name, value, probe_note(view, name)) for name, value in known.items()]
    others = [name for name in reading.faults if name not in known]
    return rows + [(one_line(name), NO_NUMBER, probe_note(view, name)) for name in others]


def _outputs(view: RigView) -> list[Row]:
    reading = view.reading
    if reading is None:
        return [("no reading yet", "", "")]
    current = "" if reading.stir_ma is None else f"draws {reading.stir_ma:.0f} mA"
    bath_target = reading.bath_target_c
    aim = "" if bath_target is None else f"bath wanted at {view.degrees.text(bath_target)}"
    return [
        ("heat", percent(reading.heat_share), aim),
        ("chill", percent(reading.chill_share), ""),
        ("stirrer", percent(reading.stir_share), current),
    ]


def _health(view: RigView, now_s: float) -> list[Row]:
    health, silent_s = view.health, view.silent_s(now_s)
    heard = "readings come in" if silent_s is None else f"last reading {duration(silent_s)} ago"
    return [
        ("link", link(view)[0], "" if view.reading is None else heard),
        (
            "heat lease",
            "held" if health.lease_ok else "not held",
            "without it the board gives no heat",
        ),
        ("passes", f"{health.passes}", "rounds of the board's loop"),
        ("overruns", f"{health.overruns}", "rounds that took too long"),
        ("frames received", f"{health.frames_received}", ""),
        ("frames lost", f"{health.frames_lost}", "missing numbers in between"),
        ("frames damaged", f"{health.frames_bad}", "checksum wrong"),
        ("reconnects", f"{health.reconnects}", ""),
        ("record", "written" if health.log_ok else "NOT WRITTEN", ""),
    ]


def _rig(view: RigView) -> list[Row]:
    snapshot = view.snapshot
    if snapshot is None:
        return [("nothing heard yet", "", "")]
    speed = f"{snapshot.speed:g}× time" if snapshot.speed > 0 else "as fast as it can"
    kind = f"VIRTUAL RIG, {speed}" if snapshot.virtual else "real rig"
    batch = f"{snapshot.batch_kg:g} kg" if snapshot.batch_kg > 0 else ""
    rows = [
        ("rig", snapshot.rig, kind),
        ("board", snapshot.board, snapshot.engine),
        ("firmware", snapshot.firmware, ""),
        ("recipe", snapshot.recipe, snapshot.chocolate),
        ("batch", batch, snapshot.lot),
        ("record in", snapshot.folder, ""),
        ("this screen", "steers" if view.steering else "looks on", ""),
    ]
    return [(name, one_line(value), one_line(remark)) for name, value, remark in rows]


def event_lines(event: Event, width: int) -> list[str]:
    """One event: when, what kind, what; what does not fit goes on under its own beginning."""
    head = f"{clock(event.time_s)}  {event.kind:<7}  "
    text = one_line(event.text)
    return textwrap.wrap(
        text, max(20, width), initial_indent=head, subsequent_indent=" " * len(head)
    ) or [head.rstrip()]
