# Every output low, and nothing else: a reset that was not a power cut leaves pins as they were,
# and an exception here would keep main.py from running. glossbath_board/profiles.py has the names.
from machine import Pin

for number in (16, 17, 18, 19, 25):
    Pin(number, Pin.OUT, value=0)
