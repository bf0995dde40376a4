"""Nothing that a virtual rig is made of may be a number that cannot be."""

from __future__ import annotations

import math
from dataclasses import fields, replace

import pytest

from glossbath.errors import InputError
from glossbath.virtual.distributed.fat import Fat
from glossbath.virtual.distributed.parameters import SlabParameters
from glossbath.virtual.melting import ChocolateParameters
from glossbath.virtual.parameters import PlantParameters

NUMBERS = [
    (whole, field.name)
    for whole in (PlantParameters(), ChocolateParameters(), SlabParameters(), Fat())
    for field in fields(whole)
    if isinstance(getattr(whole, field.name), float)
]


@pytest.mark.parametrize(
    ("whole", "name"), NUMBERS, ids=lambda it: it if isinstance(it, str) else type(it).__name__
)
def test_a_number_that_cannot_be_is_refused(whole: object, name: str) -> None:
    for value in (math.nan, math.inf, -1e6):
        with pytest.raises(InputError):
            replace(whole, **{name: value})  # type: ignore[type-var]
