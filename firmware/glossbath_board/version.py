"""The firmware's version, and that of what it says to a host and understands of it; a host refuses
a board whose protocol it does not know."""

VERSION = "0.1.0"
PROTOCOL = 1
