"""The five phases of a recipe file, checked one by one and against each other.

The limits are the board's own, so a recipe that passes here is one the board accepts.
"""

from __future__ import annotations

from typing import Any

from glossbath.chocolate.phase import PhasePlan, Window
from glossbath_board import limits
from glossbath_board.program import NAMES

from .fields import Fields, nearest, plain, shown

FLOOR_C = 15.0
CEILING_C = limits.CHOCOLATE_CEILING_MC / 1000
BATH_FLOOR_C = 5.0
BATH_CEILING_C = limits.BATH_CEILING_MC / 1000
PHASE_CEILING_S = limits.PHASE_CEILING_MS / 1000
RUN_CEILING_S = limits.RUN_CEILING_MS / 1000
SHORTEST_TIMEOUT_S = 60.0

# A bath only ever comes close to the temperature it is led to, and chocolate only close to that
# of its bath: with less than this between them a phase would wait for ever.
REACH_K = 0.5

KEYS = ("name", "target_c", "window_c", "bath_c", "dwell_min", "timeout_min", "stir_percent")


def phases_from(tables: Any, max_c: float, where: str) -> tuple[PhasePlan, ...]:
    """The plans of all five phases in order; raises RecipeError."""
    whole = Fields({}, where)
    if not isinstance(tables, list) or not all(isinstance(table, dict) for table in tables):
        whole.refuse("phases must be written as tables; begin each of them with a line [[phase]].")
    _check_names([_name(table, at, where) for at, table in enumerate(tables, 1)], whole)
    plans = tuple(_plan(Fields(table, f"{where}, phase {table['name']}")) for table in tables)
    for plan in plans:
        _check_plan(plan, max_c, Fields({}, f"{where}, phase {plan.name}"))
    _check_sequence(plans, whole)
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
    low_c, high_c = fields.pair("window_c", FLOOR_C, CEILING_C, "°C")
    bath_low_c, bath_high_c = fields.pair("bath_c", BATH_FLOOR_C, BATH_CEILING_C, "°C")
    minutes = PHASE_CEILING_S / 60
    # Rounded to what the board keeps: thousandths of a degree, of a share and of a second.
    return PhasePlan(
        name=fields.table["name"],
        target_c=round(fields.number("target_c", FLOOR_C, CEILING_C, "°C"), 3),
        window=Window(round(low_c, 3), round(high_c, 3)),
        dwell_s=round(fields.number("dwell_min", 0, minutes, "min") * 60, 3),
        timeout_s=round(
            fields.number("timeout_min", SHORTEST_TIMEOUT_S / 60, minutes, "min") * 60, 3
        ),
        stir_share=round(fields.number("stir_percent", 0, 100, "%") / 100, 3),
        bath_low_c=round(bath_low_c, 3),
        bath_high_c=round(bath_high_c, 3),
    )


def _check_plan(plan: PhasePlan, max_c: float, fields: Fields) -> None:
    window = plan.window
    if not window.low_c <= plan.target_c <= window.high_c:
        fields.refuse(
            f"target_c is {plain(plan.target_c)} °C, outside its window of "
            f"{plain(window.low_c)} to {plain(window.high_c)} °C; move one of them."
        )
    if not window.high_c <= max_c:
        fields.refuse(
            f"the upper end of window_c is {plain(window.high_c)} °C, above this recipe's max_c "
            f"of {plain(max_c)} °C; lower the window or raise max_c."
        )
    if not plan.dwell_s < plan.timeout_s:
        fields.refuse(
            f"dwell_min is {plain(plan.dwell_s / 60)} min, but must be less than timeout_min, "
            f"which is {plain(plan.timeout_s / 60)} min; shorten the dwell or give more time."
        )
    _check_reach(plan, fields)


def _check_reach(plan: PhasePlan, fields: Fields) -> None:
    needs_low_c = plan.target_c - (REACH_K if plan.name == "cool" else 0.0)
    needs_high_c = plan.target_c + (REACH_K if plan.name in ("melt", "reheat") else 0.0)
    bath = f"bath_c is {plain(plan.bath_low_c)} to {plain(plan.bath_high_c)} °C"
    reach = f"cannot bring chocolate to its target of {plain(plan.target_c)} °C"
    if not plan.bath_high_c >= needs_high_c:
        fields.refuse(
            f"{bath}, which {reach}; raise its upper end to {plain(needs_high_c)} °C or more."
        )
    if not plan.bath_low_c <= needs_low_c:
        fields.refuse(
            f"{bath}, which {reach}; lower its lower end to {plain(needs_low_c)} °C or less."
        )


def _check_sequence(plans: tuple[PhasePlan, ...], whole: Fields) -> None:
    _, soak, cool, reheat, _ = plans
    if not cool.target_c < soak.target_c:
        whole.refuse(
            f"phase cool has target_c {plain(cool.target_c)} °C, not below that of soak, "
            f"{plain(soak.target_c)} °C; lower it."
        )
    if not reheat.target_c >= cool.target_c:
        whole.refuse(
            f"phase reheat has target_c {plain(reheat.target_c)} °C, below that of cool, "
            f"{plain(cool.target_c)} °C; raise it."
        )
    longest_s = sum(plan.timeout_s for plan in plans)
    if not longest_s <= RUN_CEILING_S:
        whole.refuse(
            f"the timeouts of all phases add up to {plain(round(longest_s / 3600, 2))} h, the "
            f"board ends any cycle after {plain(RUN_CEILING_S / 3600)} h; shorten some of them."
        )
