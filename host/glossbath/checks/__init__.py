"""The host's own cut-offs: a second opinion with limits and estimates of its own.

No code is shared with the board's supervisor. What is found is either a trip, which ends in a stop
and a lease that is not renewed, or a caution, which is an alarm while the cycle goes on.
"""

from __future__ import annotations

from .clocks import Moment
from .figures import Figures
from .finding import Finding
from .line import Line
from .watch import Watch
from .words import Meaning, meaning

__all__ = ["Figures", "Finding", "Line", "Meaning", "Moment", "Watch", "meaning"]
