# What the chip does at power-up: boot.py, then main.py, from the flash folder.
# argv: the folder of these stand-ins, the folder of boot.py and main.py.
import sys

stand_ins, firmware = sys.argv[1:3]
sys.path[:] = [stand_ins] + [
    entry for entry in sys.path if sys.implementation.name != "micropython" or entry == ".frozen"
]
if sys.implementation.name != "micropython":
    import importlib.util
    import time as real_time

    specification = importlib.util.spec_from_file_location("rig_time", stand_ins + "/time.py")
    rig_time = importlib.util.module_from_spec(specification)
    specification.loader.exec_module(rig_time)
    for name in ("ticks_ms", "ticks_diff", "ticks_add", "sleep_ms"):
        setattr(real_time, name, getattr(rig_time, name))

    class _Stream:
        def __init__(self, number, mode):
            self.buffer = open(number, mode, buffering=0, closefd=False)  # noqa: SIM115

        def flush(self):
            pass

    sys.stdin = _Stream(0, "rb")
    sys.stdout = _Stream(1, "wb")

import bench  # noqa: E402 the path and the clock come first

bench.sleep_ms(0)
for name in ("boot.py", "main.py"):
    with open(firmware + "/" + name) as file:
        source = file.read()
    exec(compile(source, name, "exec"), {"__name__": "__main__"})
