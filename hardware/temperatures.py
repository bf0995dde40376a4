"""The ladder of temperatures at the crock: who acts first, who next, and what each part stands.

Each rung is compared with its neighbour at the ends where they come closest.
"""

from __future__ import annotations

from hardware.wiring import Wiring


def opens_at_least(wiring: Wiring, name: str) -> float:
    """Lowest temperature at which a thermostat may open, in °C."""
    rated = wiring.parts[name].rated
    return rated.celsius - rated.minus_c


def opens_at_most(wiring: Wiring, name: str) -> float:
    """Highest temperature at which a thermostat may open, in °C."""
    rated = wiring.parts[name].rated
    return rated.celsius + rated.plus_c


def boiling_needed_c(wiring: Wiring) -> float:
    """What water must boil at, in °C, so that boiling water surely opens the first thermostat."""
    return opens_at_most(wiring, "TS1") + wiring.temperature.boil_over_c


def ladder(wiring: Wiring) -> list[str]:
    """Bath < wall < board's limit < first thermostat < second, each with its distance."""
    t = wiring.temperature
    first, second = wiring.parts["TS1"].rated, wiring.parts["TS2"].rated
    first_low, first_high = opens_at_least(wiring, "TS1"), opens_at_most(wiring, "TS1")
    second_low, second_high = opens_at_least(wiring, "TS2"), opens_at_most(wiring, "TS2")
    steps = (
        ("the bath's ceiling", t.bath_ceiling_c, "the wall at work", t.wall_working_c, t.margin_c),
        (
            "the wall at work, as the probe may read it",
            t.wall_working_c + t.probe_error_c,
            "the board's limit",
            t.body_limit_c,
            t.order_c,
        ),
        (
            "the board's limit, as the probe may read it",
            t.body_limit_c + t.probe_error_c,
            "the first thermostat at its lowest",
            first_low,
            t.order_c,
        ),
        (
            "the first thermostat at its highest, with overshoot",
            first_high + t.overshoot_c,
            "the second thermostat at its lowest",
            second_low,
            t.margin_c,
        ),
        (
            "the first thermostat at its highest, with overshoot",
            first_high + t.overshoot_c,
            "what its bulb stands",
            first.bulb_c,
            t.margin_c,
        ),
        (
            "the second thermostat at its highest, with overshoot",
            second_high + t.overshoot_c,
            "what its bulb stands",
            second.bulb_c,
            t.margin_c,
        ),
        (
            "the first thermostat at its highest, with what boiling water must lie above it",
            boiling_needed_c(wiring),
            "boiling water at sea level",
            100.0,
            t.order_c,
        ),
    )
    return [
        f"{low_name} ({low:g} °C) must lie {gap:g} °C or more below {high_name} ({high:g} °C); "
        "choose other parts"
        for low_name, low, high_name, high, gap in steps
        if not high - low >= gap
    ]


def tolerances_are_named(wiring: Wiring) -> list[str]:
    """A thermostat says how far it may be off both ways, and what its bulb stands."""
    return [
        f"{name} does not say how far off it may open or what its bulb stands; "
        "write the datasheet's figures into wiring.toml"
        for name, part in wiring.of_kind("cutout", "second-cutout").items()
        if not (part.rated.minus_c > 0 and part.rated.plus_c > 0 and part.rated.bulb_c > 0)
    ]


RULES = (ladder, tolerances_are_named)
