"""The five phases of a recipe file, checked one by one and against each other.

The limits are the board's own, so a recipe that passes here is one the board accepts.
"""

from __future__ import annotations

from typing import Any

from glossbath.chocolate.phase import PhasePlan
from glossbath_board.program import NAMES

from .fields import Fields, nearest, plain, shown
from .rules import LIMITS, RULES, RUN_CEILING_S, numbers, plan

KEYS = ("name", "target_c", "window_c", "bath_c", "dwell_min", "timeout_min", "stir_percent")
PAIRS = {"window_c": ("low_c", "high_c"), "bath_c": ("bath_low_c", "bath_high_c")}


def phases_from(tables: Any, max_c: float, where: str) -> tuple[PhasePlan, ...]:
    """The plans of all five phases in order; raises RecipeError."""
    whole = Fields({}, where)
    if not isinstance(tables, list) or not all(isinstance(table, dict) for table in tables):
        whole.refuse("phases must be written as tables; begin each of them with a line [[phase]].")
    _check_names([_name(table, at, where) for at, table in enumerate(tables, 1)], whole)
    plans = tuple(_plan(Fields(table, f"{where}, phase {table['name']}")) for table in tables)
    _check_rules(plans, max_c, where)
    longest_s = sum(plan.timeout_s for plan in plans)
    if not longest_s <= RUN_CEILING_S:
        whole.refuse(
            f"the timeouts of all phases add up to {plain(round(longest_s / 3600, 2))} h, the "
            f"board ends any cycle after {plain(RUN_CEILING_S / 3600)} h; shorten some of them."
        )
    return plans


def _name(table: dict[str, Any], at: int, where: str) -> str:
    fields = Fields(table, f"{where}, phase number {at}")
    name = fields.text("name", 40)
    if name not in NAMES:
        like = nearest(name, NAMES)
        hint = f"did you mean {like}?" if like else "use these names."
        fields.refuse(f"there is no phase {shown(name)}, phases are {', '.join(NAMES)}; {hint}")
    return name


def _check_names(names: list[str], whole: Fields) -> None:
    missing = [name for name in NAMES if name not in names]
    if missing:
        whole.refuse(
            f"phase {missing[0]} is missing, a recipe has {', '.join(NAMES)}; "
            f'add a table [[phase]] with name = "{missing[0]}".'
        )
    twice = [name for name in NAMES if names.count(name) > 1]
    if twice:
        whole.refuse(f"phase {twice[0]} is there twice; remove one of them.")
    if names != list(NAMES):
        whole.refuse(
            f"phases are out of order, given are {', '.join(names)}; "
            f"put them in the order {', '.join(NAMES)}."
        )


def _plan(fields: Fields) -> PhasePlan:
    fields.refuse_unknown(KEYS)
    given: dict[str, float] = {}
    for key, ends in PAIRS.items():
        given |= zip(ends, fields.pair(key, *LIMITS[ends[0]]), strict=True)
    given |= {key: fields.number(key, *LIMITS[key]) for key in KEYS if key in LIMITS}
    return plan(fields.table["name"], given)


def _check_rules(plans: tuple[PhasePlan, ...], max_c: float, where: str) -> None:
    """Raise RecipeError for the first rule between two numbers that is not kept."""
    by_phase = {plan.name: numbers(plan) for plan in plans}
    known = {
        f"{name}-{key}": value for name, own in by_phase.items() for key, value in own.items()
    }
    known["recipe-max_c"] = max_c
    for rule in RULES:
        lower, upper = known[rule.lower], known[rule.upper]
        if not rule.kept(lower, upper):
            name = rule.lower.partition("-")[0]
            words = {key: plain(value) for key, value in by_phase[name].items()}
            words |= {"least": plain(lower + rule.gap), "most": plain(upper - rule.gap)}
            Fields({}, f"{where}, phase {name}").refuse(rule.refusal.format_map(words))
