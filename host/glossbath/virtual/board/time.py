# Stand-in for MicroPython's time module: the rig's clock, wrapping where the board's does.
import bench

_HALF = bench.TICKS_PERIOD // 2


def ticks_ms():
    # Whatever holds the processor up does so right after the look with which a pass begins.
    now = bench.ticks + bench.lag + bench.spent_us // 1000 & bench.TICKS_PERIOD - 1
    bench.lag = bench.stall
    return now


def ticks_diff(after, before):
    return ((after - before + _HALF) & (bench.TICKS_PERIOD - 1)) - _HALF


def ticks_add(ticks, delta):
    return (ticks + delta) & (bench.TICKS_PERIOD - 1)


def sleep_ms(ms):
    bench.sleep_ms(ms)


def time():
    return bench.ticks // 1000
