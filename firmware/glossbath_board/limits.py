"""The ceilings of the rig, fixed when the firmware is made: settings and recipes may only lower.

Temperatures in m°C, times in ms unless the name says _S, currents in mA, voltages in mV. Why each
number is what it is stands here where it takes one line, and in safety.md where it takes more.
"""

from .port import const

# Too hot.
CHOCOLATE_CEILING_MC = const(55_000)
BATH_CEILING_MC = const(60_000)
BODY_CEILING_MC = const(82_000)  # above the wall's 78 at full power, below the thermostat's 84
HOT_MS = const(2_000)  # two readings: one alone may be a spark in the wiring

# Faster than this heater can, or further than a probe can follow.
RISE_WINDOW_S = const(180)
CHOCOLATE_RISE_MC = const(30_000)
BATH_RISE_MC = const(20_000)  # a full kettle poured in stays below, a 2 kW appliance does not
BODY_RISE_MC = const(35_000)
JUMP_MC = const(10_000)  # between two readings: a probe dropped into hot water moves 9 at most

# A probe that cannot be believed.
PROBE_FLOOR_MC = const(-5_000)  # colder than a kitchen with ice
STALE_MS = const(5_000)
FAULT_MS = const(5_000)  # three readings in a row

# What heat and chill must show.
STUCK_MC = const(5_000)  # the neighbour moved by this while a reading stood still
STUCK_CHOCOLATE_MC_S = const(6_000_000)  # m°C of bath beyond 2 °C off, times seconds
APART_MC_S = const(24_000_000)  # m°C between bath and chocolate, times seconds
SWAPPED_MC = const(4_000)  # crystals that form warm the chocolate by less
SWAPPED_MS = const(30_000)
BODY_COLD_MC = const(2_000)
BODY_COLD_MS = const(60_000)
BODY_APART_MC = const(35_000)  # 8 mm of stoneware show 17 at 250 W, 14 mm 53 at 400 W (k 1.3)
BODY_WARM_MC = const(76_000)  # held back here, the body stays below its ceiling
BODY_BACK_MC = const(28_000)  # water takes the body here in 220 s at most, air not in 300
BODY_APART_MS = const(240_000)  # what the band still holds has gone through the thickest crock
NO_EFFECT_S = const(300)
WARMING_MC = const(4_000)
WARMING_MS = const(10_000)

# Mains.
UNASKED_MS = const(1_500)  # the outlet's sense line follows the switch within this time
UNPOWERED_MS = const(3_000)
PROOF_STEP_MS = const(1_500)  # relay, charge pump and sense line have settled well before

# Stirrer: 80 mA turning free, up to 1100 after hours of hold, 1200 and more held (estimates).
STIR_STALLED_MA = const(1_150)
STIR_STALLED_MS = const(5_000)
STIR_CURRENT_MA = const(1_800)
STIR_CURRENT_MS = const(500)  # longer than the inrush of a start
STIR_NONE_MA = const(30)
STIR_NONE_MS = const(10_000)
STIR_UNASKED_MA = const(60)
STIR_UNASKED_MS = const(2_000)

# The kitchen.
LID_MS = const(3_600_000)  # long: chocolate is ladled out with the lid off
WATER_LOW_MS = const(300_000)  # long: lifting the bowl out lowers the level for a while

# Supply.
SUPPLY_LOW_MV = const(10_500)
SUPPLY_HIGH_MV = const(14_500)
SUPPLY_MS = const(2_000)

# Time.
LEASE_MS = const(6_000)
ALONE_CEILING_MIN = const(720)
ARM_WAIT_MS = const(300_000)
PHASE_CEILING_MS = const(14 * 3_600_000)
RUN_CEILING_MS = const(24 * 3_600_000)
PASS_MS = const(250)
OVERRUN_MS = const(400)  # a pass that took longer counts as an overrun
OVERRUNS_IN_ROW = const(3)
CLOCK_MS = const(8_400)  # between two passes; the watchdog bites at 8_000
RESETS = const(2)
STEADY_MS = const(600_000)  # so long without a reset, and the count of resets starts over

MAX_PHASES = const(8)
BATCH_CEILING_G = const(10_000)
