"""The ceilings of the rig, fixed when the firmware is made: settings and recipes may only lower.

Temperatures in m°C, times in ms. Why each number is what it is stands in safety.md.
"""

from .port import const

CHOCOLATE_CEILING_MC = const(55_000)
BATH_CEILING_MC = const(60_000)
BODY_CEILING_MC = const(95_000)
PROBE_FLOOR_MC = const(-5_000)  # colder than a kitchen with ice: the probe is not believed

LEASE_MS = const(6_000)
ARM_WAIT_MS = const(300_000)
STALE_MS = const(5_000)
FAULT_MS = const(5_000)
PHASE_CEILING_MS = const(14 * 3_600_000)
RUN_CEILING_MS = const(24 * 3_600_000)
PASS_MS = const(250)
OVERRUN_MS = const(400)  # a pass that took longer counts as an overrun
OVERRUNS_IN_ROW = const(4)

MAX_PHASES = const(8)
BATCH_CEILING_G = const(10_000)
