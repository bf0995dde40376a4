"""A rig as a page or a broker shows it: plain values, the same words as on the screen."""

from __future__ import annotations

from typing import Any

from glossbath.client.messages import Reading
from glossbath.view.rig_view import STALE_S, RigView
from glossbath.view.sentences import doing, ended, next_step, phase_left, position
from glossbath.words import one_line

from .rigs import FollowedRig

MOST_POINTS = 160
"""Points of the curve that a phone gets: about one for two of its pixels."""


def seen(rig: FollowedRig, now_s: float) -> dict[str, Any]:
    """Everything a page shows of one rig; temperatures in °C, times in s, shares from 0 to 1."""
    view = rig.view
    age_s = rig.age_s(now_s)
    return {
        "rig": rig.name,
        "virtual": view.virtual,
        "answers": not rig.gone,
        "stale": bool(rig.gone) or age_s is None or age_s > STALE_S,
        "age_s": None if age_s is None else round(age_s, 1),
        "state": view.state,
        "active": view.active,
        "tripped": view.tripped,
        "result": view.result,
        "recipe": one_line(view.snapshot.recipe) if view.snapshot else "",
        "lot": one_line(view.snapshot.lot) if view.snapshot else "",
        "sentence": ended(view) if view.result and not view.lost else doing(view),
        "next": next_step(view),
        "position": position(view),
        "where": view.position.where,
        **_numbers(view, view.reading),
        "alarms": [
            {
                "code": alarm.code,
                "priority": alarm.priority,
                "state": alarm.state,
                "happened": one_line(alarm.happened),
                "rig_did": one_line(alarm.rig_did),
                "do_now": one_line(alarm.do_now),
            }
            for alarm in view.alarms
        ],
    }


def _numbers(view: RigView, reading: Reading | None) -> dict[str, Any]:
    """The figures of the newest reading, None where there is none."""
    plan = view.plan
    numbers: dict[str, Any] = {
        "chocolate_c": None,
        "bath_c": None,
        "target_c": None,
        "room_c": None,
        "room_rh_percent": None,
        "heat_share": None,
        "chill_share": None,
        "stir_share": None,
        "phase": "",
        "phase_left": "",
        "phase_range_s": None,
        "cycle_range_s": None,
        "left_unknown": "",
        "time_s": None,
        "window_low_c": plan.window.low_c if plan else None,
        "window_high_c": plan.window.high_c if plan else None,
    }
    if reading is not None:
        for name in numbers:
            if hasattr(reading, name):
                numbers[name] = getattr(reading, name)
        numbers["phase_left"] = phase_left(reading)
    return numbers


def curve(view: RigView) -> dict[str, Any]:
    """What the chocolate did and what is expected: lists of [time_s, °C], thinned for a phone."""
    done = [
        [column.time_s, column.chocolate.low_c]
        for column in view.trend.since(0.0, MOST_POINTS)
        if column.chocolate.low_c is not None
    ]
    expected = view.snapshot.forecast if view.snapshot is not None and view.active else []
    step = max(1, len(expected) // MOST_POINTS)
    return {"done": done, "expected": [[t, c] for t, c in expected[::step]]}
