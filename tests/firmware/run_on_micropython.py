"""Runs the firmware's tests on MicroPython, which has no pytest.

    MICROPYPATH=firmware:FOLDER_WITH_SIMPLE_PID:.frozen micropython run_on_micropython.py FILE...

Without a FILE it runs every test file of this folder except those that need CPython's libraries.
Each `test_` function is called without arguments; a failure prints its traceback and the run ends
with exit code 1. What the unix port hides from these tests: its floats are doubles and its small
integers have 63 bits, while the board has single precision and ticks that wrap at 2**30.
"""

import os
import sys

FOLDER = __file__.rsplit("/", 1)[0] if "/" in __file__ else "."


def is_portable(name):
    """Whether a file of this folder holds tests that MicroPython can run."""
    return (
        name.startswith("test_")
        and name.endswith(".py")
        and not name.endswith("_properties.py")
        and not name.startswith("test_on_micropython")
    )


def run_file(name):
    """Calls every test of one file; gives the numbers of passed and failed ones."""
    try:
        module = __import__(name[:-3])
    except Exception as error:
        print("FAILED", name, "cannot be imported")
        sys.print_exception(error)
        return 0, 1
    passed = failed = 0
    # dir() is sorted on neither interpreter: a fixed order makes failures repeatable.
    for attribute in sorted(dir(module)):
        if not attribute.startswith("test_"):
            continue
        try:
            getattr(module, attribute)()
            passed += 1
        except Exception as error:
            failed += 1
            print("FAILED", name, attribute)
            sys.print_exception(error)
    return passed, failed


def main(names):
    passed = failed = 0
    for name in names or sorted(n for n in os.listdir(FOLDER) if is_portable(n)):
        ok, wrong = run_file(name.rsplit("/", 1)[-1])
        passed += ok
        failed += wrong
    # A file without tests proves nothing, so it counts as a failure.
    print(passed, "passed,", failed, "failed on", sys.version)
    return 1 if failed or not passed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
