"""Long families of cases: a part of them by default, all where GLOSSBATH_WHOLE is set.

The part is the same in every run. GLOSSBATH_WHOLE=1 .ci/run runs all of them.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from typing import TypeVar

T = TypeVar("T")
WHOLE = bool(os.environ.get("GLOSSBATH_WHOLE"))


def sample(cases: Sequence[T], of: int) -> Sequence[T]:
    """Every `of`-th case from the first on, or all of them."""
    return cases if WHOLE else cases[::of]
