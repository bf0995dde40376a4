"""The words of each part of the main screen, as lines of (text, weight) pieces.

A weight says how much a piece asks for a person, never a colour: "" for plain text, "dim" for what
is only there to be looked up, "strong" for what is read first, "virtual", and the three alarm
priorities. Each piece reads the same without its weight.
"""

from __future__ import annotations

import textwrap

from glossbath.client.messages import Alarm
from glossbath.words import Line, clock, duration, fault_sentence, one_line, percent

from .rig_view import PRIORITIES, QUIET_STATES, RigView
from .sentences import PLEASE, cause, cycle_left, next_step, phase_left, position

MARKS = {"done": "✓", "now": "▶", "ended": "■", "next": "○", "later": "·"}
WIDEST_STRIP = 44
SIGNS = {"high": "▲", "medium": "◆", "low": "●"}


def length(line: Line) -> int:
    """Cells a line takes; everything used here is one cell wide."""
    return sum(len(text) for text, _ in line)


def next_line(view: RigView) -> Line:
    """What a person should do, or what comes by itself."""
    told = next_step(view)
    if told.startswith(PLEASE):
        return [(f" {told} ", "medium")]
    if not told and view.steering and not view.active and not view.lost:
        return [("A cycle starts from a recipe: press r.", "dim")]
    return [(told, "")]


def header(view: RigView, width: int) -> Line:
    """Which rig, what it makes, state, time and link, in one row. The rig's name and the recipe
    give way when there is no room; the words VIRTUAL RIG and the state never do."""
    left: Line = [(" VIRTUAL RIG ", "virtual")] if view.virtual else []
    snapshot = view.snapshot
    names = [snapshot.rig, snapshot.recipe, snapshot.lot] if snapshot else ["Glossbath"]
    if view.virtual and snapshot and snapshot.speed not in (0.0, 1.0):
        names.insert(1, f"{snapshot.speed:g}× time")
    told = " · ".join(one_line(name) for name in names if name)
    right: Line = [_state(view), ("  ", ""), (_time(view), ""), ("  ", ""), link(view)]
    room = max(0, width - length(left) - length(right) - 3)
    if len(told) > room:
        told = told[: max(0, room - 1)] + "…"
    gap = max(1, width - length(left) - length(right) - len(told) - 2)
    return [*left, (f" {told}", ""), (" " * gap, ""), *right, (" ", "")]


def _state(view: RigView) -> tuple[str, str]:
    # The keeper's verdict stands where the board was last seen running and is silent since.
    ended = view.result and view.state not in QUIET_STATES
    word = (view.result if ended else view.state or "no state yet").upper()
    if view.lost:
        return f"was {word}", ""
    return word, "high" if view.tripped else "strong"


def _time(view: RigView) -> str:
    return clock(view.reading.time_s) if view.reading else "-:--:--"


def link(view: RigView) -> tuple[str, str]:
    """How the way from this screen to the board is, in two or three words."""
    if view.lost:
        return "KEEPER GONE", "high"
    if view.snapshot is None:
        return "connecting", "dim"
    if not view.health.connected:
        return "BOARD SILENT", "high"
    if view.active and not view.health.lease_ok:
        return "HEAT LEASE OUT", "high"
    if not view.health.log_ok:
        return "NOT RECORDED", "medium"
    return "link good", "dim"


def chocolate_label(view: RigView, now_s: float) -> Line:
    """The words over the big number: the unit, and plainly when the number is old or missing."""
    label: Line = [(f"CHOCOLATE {view.degrees.sign}", "strong")]
    silent_s = view.silent_s(now_s)
    reading = view.reading
    if view.lost and reading is not None:
        label.append(("  LAST KNOWN", "medium"))
    elif silent_s is not None:
        label.append((f"  OLD: {duration(silent_s)} ago", "medium"))
    elif reading is not None and reading.chocolate_c is None:
        fault = reading.faults.get("chocolate", "")
        word = f"NO READING: probe {fault}" if fault else "NO READING"
        label.append((f"  {word}", "high"))
    return label


def probe_label(view: RigView, probe: str) -> Line:
    """The words over a smaller number; a fault stands beside the name."""
    fault = view.reading.faults.get(probe, "") if view.reading else ""
    name = f"{probe.upper()} {view.degrees.sign}"
    if fault:
        return [(f"{name} ", ""), (fault, "medium")]
    aim = view.reading.bath_target_c if view.reading and probe == "bath" else None
    return [(name, ""), ("" if aim is None else f"  to {view.degrees.number(aim)}", "dim")]


def side(view: RigView, width: int, *, small: bool) -> list[Line]:
    """Target, window, place in it, bath and body (when small), outputs and time left."""
    number, reading, plan = view.degrees.number, view.reading, view.plan
    target = reading.target_c if reading else None
    lines: list[Line] = [[("Target ", "dim"), (view.degrees.text(target), "strong")]]
    if plan:
        edges = f"{number(plan.window.low_c)}–{number(plan.window.high_c)}"
        lines[0] += [("   window ", "dim"), (edges, "strong")]
    place = position(view)
    lines.append([(place[0].upper() + place[1:], "strong")])
    if plan:
        lines.append([(strip(view, width), "")])
    lines.append(_bath(view) if small else [])
    if reading is not None:
        lines.append(_outputs(view))
        lines.append(_phase_time(view))
        if left := cycle_left(reading, short=True):
            lines.append([("Cycle ", "dim"), (f"{left} left", "")])
    return lines


def _bath(view: RigView) -> Line:
    reading, number = view.reading, view.degrees.number
    bath, body = (reading.bath_c, reading.body_c) if reading else (None, None)
    line: Line = [("Bath ", "dim"), (number(bath), "strong")]
    if reading is not None and reading.bath_target_c is not None:
        line.append((f" (to {number(reading.bath_target_c)})", "dim"))
    return [*line, ("  Body ", "dim"), (number(body), "strong"), (f" {view.degrees.sign}", "dim")]


def _outputs(view: RigView) -> Line:
    reading = view.reading
    if reading is None:
        return []
    shares = (
        ("Heat ", reading.heat_share),
        ("  Chill ", reading.chill_share),
        ("  Stir ", reading.stir_share),
    )
    return [piece for name, share in shares for piece in ((name, "dim"), (percent(share), ""))]


def _phase_time(view: RigView) -> Line:
    reading = view.reading
    if reading is None or not reading.phase:
        return [("No phase runs", "dim")]
    line: Line = [(f"{reading.phase} ", "dim"), (duration(reading.phase_elapsed_s), "")]
    if left := phase_left(reading, short=True):
        line += [(", ", "dim"), (f"{left} left", "strong")]
    elif reading.left_unknown:
        line.append((", left unknown", "dim"))
    return line


def position_word(view: RigView) -> str:
    """The phase and where the chocolate stands, for beside its temperature; may be empty."""
    phase = view.reading.phase if view.reading else ""
    return f"in {phase}, {position(view)}" if phase else ""


def strip(view: RigView, width: int) -> str:
    """The window as a scale from cold to hot with the chocolate on it; ◀ or ▶ when off the scale.

    The window takes the middle fifth, whatever its size in degrees.
    """
    plan, chocolate_c = view.plan, view.reading.chocolate_c if view.reading else None
    cells = min(max(12, width - 10), WIDEST_STRIP)
    first, last = cells * 2 // 5, cells - 1 - cells * 2 // 5
    marks = ["─"] * cells
    marks[first : last + 1] = ["┣", *"━" * (last - first - 1), "┫"]
    if plan is not None and chocolate_c is not None:
        span_k = max(plan.window.high_c - plan.window.low_c, 0.1)
        cell = round(first + (chocolate_c - plan.window.low_c) / span_k * (last - first))
        # Rounding must not move the chocolate across an edge of the window.
        where = view.position.where
        cell = min(cell, first - 1) if where == "below" else cell
        cell = max(cell, last + 1) if where == "above" else cell
        sign = "◀" if cell < 0 else "▶" if cell >= cells else "●"
        marks[min(max(cell, 0), cells - 1)] = sign
    return f"cold {''.join(marks)} hot"


def ladder(view: RigView, width: int) -> Line:
    """All phases in order with their marks; words too where they fit."""
    steps = view.ladder
    if not steps:
        return [("No recipe loaded", "dim")]
    weights = {"done": "dim", "now": "strong", "ended": "strong", "next": "", "later": "dim"}
    number = view.degrees.number
    texts = [
        (f"{MARKS[s.mark]} {s.plan.name} {number(s.plan.target_c)} {s.mark}", weights[s.mark])
        for s in steps
    ]
    if sum(len(text) + 3 for text, _ in texts) > width:
        texts = [
            (
                f"{MARKS[s.mark]} {s.plan.name} {s.mark if s.mark != 'later' else ''}".rstrip(),
                weights[s.mark],
            )
            for s in steps
        ]
    gap = "   "
    if sum(len(text) + len(gap) for text, _ in texts) - len(gap) > width:
        gap = "  "
        texts = [(f"{MARKS[s.mark]} {s.plan.name}", weights[s.mark]) for s in steps]
    return [piece for text in texts for piece in (text, (gap, ""))][:-1]


def alarms(view: RigView, width: int, most_lines: int, *, told_above: bool = False) -> list[Line]:
    """Each alarm with what happened, what the rig did and what to do now, highest first.

    When there is no room for all, the lower ones are counted in the last line. The alarm that the
    state sentence already tells in full gets one line when `told_above`. That nobody away from
    the rig is told stands there too.
    """
    told: list[Line] = [[(f"{SIGNS['low']} {view.untold}", "strong")]] if view.untold else []
    if not view.alarms:
        return [[("Alarms are not known" if view.lost else "No alarms", "dim")], *told]
    lines = told[: most_lines - 1]
    for index, alarm in enumerate(view.alarms):
        block = alarm_lines(alarm, width)
        if told_above and view.tripped and alarm == cause(view):
            block = [[block[0][0], (" told above", "")]]
        left = len(view.alarms) - index
        spare = most_lines - len(lines) - (left > 1)
        if len(block) > spare and lines:
            return [*lines, [(f"and {left} more: see events", "strong")]]
        lines += block[: max(1, spare)]
    return lines


def alarm_lines(alarm: Alarm, width: int) -> list[Line]:
    """One alarm in full: priority and state, what happened, what the rig did, what to do."""
    priority = alarm.priority if alarm.priority in PRIORITIES else "high"
    seen = "latched, seen" if alarm.latched and alarm.state == "acknowledged" else alarm.state
    head = f" {SIGNS[priority]} {priority.upper()} {seen} "
    what = f"{one_line(alarm.happened)} {one_line(alarm.rig_did)}"
    first, *rest = textwrap.wrap(
        what, max(20, width - 1), initial_indent=" " * len(head), subsequent_indent="   "
    ) or [""]
    do = textwrap.wrap(f"Do now: {one_line(alarm.do_now)}", max(20, width - 4))
    return [
        [(head, priority), (f" {first[len(head) :]}", "")],
        *([(line, "")] for line in rest),
        *([(f"   {line}", "strong")] for line in do),
    ]


def probe_note(view: RigView, probe: str) -> str:
    """What is wrong with a probe, or nothing."""
    word = view.reading.faults.get(probe, "") if view.reading else ""
    return fault_sentence(word) if word else ""
