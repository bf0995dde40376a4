"""Whether the firmware's files belong together: any change in any file is seen."""

import os

from stand_in_rig import scratch

from glossbath_board.files import PREFIX, fault, identity


def put(folder, files):
    """Write files below folder, made as needed."""
    for path in files:
        at = folder
        for part in path.split("/")[:-1]:
            at += "/" + part
            try:  # noqa: SIM105 - MicroPython has no contextlib here
                os.mkdir(at)
            except OSError:
                pass
        with open(folder + "/" + path, "wb") as file:
            file.write(files[path])


FILES = {
    "glossbath_board/loop.py": b"loop" * 400,
    "glossbath_board/sensors/ntc.mpy": b"ntc",
    "glossbath_board/__init__.py": b"",
    "simple_pid/pid.py": b"pid",
}


START = {"boot.py": b"boot", "main.py": b"main"}


def installed(name):
    """A flash with START and a folder with FILES, named after them."""
    root = scratch(name)
    put(root, START)
    put(root, {"new/" + path: FILES[path] for path in FILES})
    final = root + "/" + PREFIX + identity(root + "/new", root)
    os.rename(root + "/new", final)
    return final


def seen(folder):
    """What the board finds in its flash."""
    return fault(folder, folder.rsplit("/", 1)[0])


def test_identity_is_that_of_sha_256():
    # SHA-256 over "a.py", a zero and SHA-256 of "abc" (FIPS 180-2, appendix B.1), then the same
    # of boot.py and main.py, by sha256sum.
    root = scratch("one")
    put(root, {"lib/a.py": b"abc", "boot.py": b"abc", "main.py": b"abc"})
    assert identity(root + "/lib", root) == "831e81fbaa0b"


def test_what_an_installer_puts_there_is_whole():
    assert seen(installed("whole")) == ""


def test_any_change_is_seen():
    for change in (
        {"glossbath_board/loop.py": b"loop" * 399 + b"lOop"},
        {"glossbath_board/loop.py": b""},
        {"glossbath_board/sensors/ntc.py": b""},
        {"stray.py": b"x"},
    ):
        folder = installed("changed")
        put(folder, change)
        assert seen(folder) == "mixed", change
    folder = installed("missing")
    os.remove(folder + "/simple_pid/pid.py")
    assert seen(folder) == "mixed"


def test_files_that_are_no_modules_do_not_count():
    folder = installed("extra")
    put(folder, {"glossbath_board/notes.txt": b"x", "glossbath_board/__pycache__/loop.py": b"x"})
    assert seen(folder) == ""


def test_a_folder_without_an_installers_name_is_refused():
    assert fault("/work/firmware/lib", ".") == "not installed"
    assert fault("lib", ".") == "not installed"


def test_a_folder_that_cannot_be_read_is_refused():
    assert seen(scratch("gone") + "/" + PREFIX + "0123456789ab") == "unreadable"


def test_start_files_of_another_firmware_are_seen():
    for name in START:
        folder = installed("start")
        put(folder.rsplit("/", 1)[0], {name: b"older"})
        assert seen(folder) == "mixed", name
        os.remove(folder.rsplit("/", 1)[0] + "/" + name)
        assert seen(folder) == "unreadable", name
