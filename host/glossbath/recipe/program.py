"""A recipe as the board holds it: whole thousandths in the order of the board's fields."""

from __future__ import annotations

from glossbath_board.program import Phase, Program

from .values import Recipe


def milli(value: float) -> int:
    """A value in thousandths, rounded to the nearest."""
    return round(value * 1000)


def board_program(recipe: Recipe, batch_kg: float) -> Program:
    """The recipe as the board will hold it; raises OrderError where the board would refuse."""
    water = 1 if recipe.fat_share == 0.0 else 0
    program = Program(len(recipe.phases), milli(recipe.max_c), milli(batch_kg), water)
    for at, plan in enumerate(recipe.phases):
        values = [
            milli(plan.target_c),
            milli(plan.window.low_c),
            milli(plan.window.high_c),
            milli(plan.dwell_s),
            milli(plan.timeout_s),
            milli(plan.stir_share),
            milli(plan.bath_low_c),
            milli(plan.bath_high_c),
        ]
        program.put(at, Phase(plan.name, values))
    program.check()
    return program
