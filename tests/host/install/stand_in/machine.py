# Stand-in for the board's machine module: a reset ends the interpreter.
import sys


def reset():
    sys.exit(0)
