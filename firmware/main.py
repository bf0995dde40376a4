# Outputs low first, then the watchdog, then the firmware: an import that fails or hangs must find
# the rig off and end in a reset.
import os
import sys

from machine import WDT, Pin, reset, reset_cause

OUTPUTS = tuple(Pin(number, Pin.OUT, value=0) for number in (16, 17, 18, 19, 25))
# What is imported, one after the other: source takes the board several seconds to compile, and
# the watchdog is fed when one is done.
STAGES = ("settings", "supervisor", "control", "loop", "probes", "start")
MARKS = "begun"
MOST_MARKS = 64


def maintenance_is_asked_for() -> bool:
    """Whether the firmware was ordered to let other tools in; asking holds for one start."""
    try:
        os.remove("maintain")
        return True
    except OSError:
        return False


def mark_start() -> None:
    """Add the cause of this reset to those of starts that were cut; memory.py counts them and
    takes the file away once the firmware is up."""
    try:
        if os.stat(MARKS)[6] >= MOST_MARKS:
            return
    except OSError:
        pass  # the last start was not cut
    try:
        with open(MARKS, "a") as file:
            file.write(str(reset_cause()))
    except OSError:
        pass  # a flash that takes nothing: memory.py finds out, and locks


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
        mark_start()
        find_firmware()
        for stage in STAGES:
            __import__("glossbath_board." + stage)
            DOG.feed()
        from glossbath_board import start

        start.run(DOG)
    finally:
        for output in OUTPUTS:
            output.value(0)
        reset()
