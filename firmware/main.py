# Outputs low first, then the watchdog, then the firmware: an import that fails or hangs must find
# the rig off and end in a reset.
import os
import sys

from machine import WDT, Pin, reset

OUTPUTS = tuple(Pin(number, Pin.OUT, value=0) for number in (16, 17, 18, 19, 25))


def maintenance_is_asked_for() -> bool:
    """Whether the firmware was ordered to let other tools in; asking holds for one start."""
    try:
        os.remove("maintain")
        return True
    except OSError:
        return False


def find_firmware() -> None:
    """Put the installed firmware first; without an installer's mark it lies beside this file."""
    try:
        with open("active") as file:
            sys.path.insert(0, file.read().strip())
    except OSError:
        pass


if not maintenance_is_asked_for():
    DOG = WDT(timeout=8000)
    try:
        find_firmware()
        from glossbath_board import start

        start.run(DOG)
    finally:
        for output in OUTPUTS:
            output.value(0)
        reset()
