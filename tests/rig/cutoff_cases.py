"""Every case of a cut-off and its fault."""

from __future__ import annotations

import cutoff_cases_probes
import cutoff_cases_rig

CASES = cutoff_cases_probes.CASES + cutoff_cases_rig.CASES
