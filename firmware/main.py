# Outputs low first, then the watchdog, then the firmware: an import that fails or hangs must find
# the rig off and end in a reset.
from machine import WDT, Pin, reset

OUTPUTS = tuple(Pin(number, Pin.OUT, value=0) for number in (16, 17, 18, 19, 25))
DOG = WDT(timeout=8000)

try:
    from glossbath_board import start

    start.run(DOG)
finally:
    for output in OUTPUTS:
        output.value(0)
    reset()
