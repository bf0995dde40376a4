"""What every test shares: no real user's folders, no screen, and examples that can be repeated."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import settings

# What several folders let stand in for a board, a clock or a rig.
sys.path.insert(0, str(Path(__file__).parent / "stand_ins"))

# How long an example takes says more of the machine than of the code. The checks must give the
# same answer twice, so they draw the same examples; at a desk each run looks at new ones.
settings.register_profile("glossbath", deadline=None, derandomize="CI" in os.environ)
settings.load_profile("glossbath")

# Pictures are made without a window, on any machine.
os.environ["MPLBACKEND"] = "Agg"


@pytest.fixture(scope="session", autouse=True)
def folders_of_nobody(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Points the user's folders at an empty place: no test meets real cycles or a keeper."""
    home = tmp_path_factory.mktemp("user")
    with pytest.MonkeyPatch.context() as patch:
        for name in ("CONFIG", "DATA", "STATE"):
            patch.setenv(f"XDG_{name}_HOME", str(home / name.lower()))
        patch.setenv("XDG_RUNTIME_DIR", str(home))
        yield
