"""Records in flash: whole or not at all, whatever a power cut leaves behind."""

import os

from stand_in_rig import scratch

from glossbath_board.errors import StoreError
from glossbath_board.store import Record


def read(path):
    with open(path, "rb") as file:
        return file.read()


def write(path, data):
    with open(path, "wb") as file:
        file.write(data)


def test_what_is_saved_is_loaded():
    record = Record(scratch("store"), "trip")
    assert record.load() is None
    assert not record.damaged()
    for number in range(5):
        record.save({"trip": str(number), "detail": "°C"})
        assert record.load()["trip"] == str(number)
        assert record.load()["detail"] == "°C"


def test_a_damaged_newer_copy_gives_the_older_one():
    folder = scratch("store")
    record = Record(folder, "trip")
    record.save({"trip": "first"})
    record.save({"trip": "second"})
    newer = [n for n in os.listdir(folder) if b"second" in read(folder + "/" + n)]
    write(folder + "/" + newer[0], b"\xff" * 40)
    assert record.load()["trip"] == "first"
    assert record.damaged(), "what is left may be of before the last change"
    record.save({"trip": "third"})
    assert record.load()["trip"] == "third"
    assert not record.damaged()


def test_every_single_damaged_byte_is_seen():
    folder = scratch("store")
    record = Record(folder, "trip")
    record.save({"trip": "chocolate-hot"})
    path = folder + "/trip.a"
    whole = read(path)
    for at in range(len(whole) - 1):  # the newline at the end carries nothing
        for bit in (0x01, 0x80):
            write(path, whole[:at] + bytes((whole[at] ^ bit,)) + whole[at + 1 :])
            assert record.load() is None, at
            assert record.damaged()
    for length in range(len(whole) - 1):
        write(path, whole[:length])
        assert record.load() is None
        assert record.damaged()


def test_a_cut_at_any_moment_leaves_the_old_or_the_new():
    # The steps of a save: the new file grows, then one rename puts it in place.
    folder = scratch("store")
    record = Record(folder, "trip")
    record.save({"trip": "old"})
    record.save({"trip": "older copy"})
    record.save({"trip": "now"})
    for length in (0, 1, 10, 20):
        write(folder + "/trip.new", b'{"trip": "coming", "e'[:length])
        assert record.load()["trip"] == "now"
    record.save({"trip": "next"})
    assert record.load()["trip"] == "next"


def test_other_content_than_an_object_is_damaged():
    from glossbath_board.frame import checksum

    folder = scratch("store")
    record = Record(folder, "trip")
    for text in (b"[1]", b"7", b'"x"', b"{}", b'{"edition":"1"}', b"nonsense"):
        write(folder + "/trip.a", text + b"*" + checksum(text) + b"\n")
        assert record.load() is None
        assert record.damaged()


def test_flash_that_refuses_is_an_error():
    record = Record(scratch("store") + "/no-such-folder", "trip")
    for content in ({"trip": "x"}, {"trip": "x" * 5_000}):
        try:
            record.save(content)
        except StoreError:
            continue
        raise AssertionError("saved")


def test_a_record_too_long_to_be_read_again_is_refused():
    record = Record(scratch("store"), "settings")
    record.save({"a": "x" * 3_000})
    assert len(record.load()["a"]) == 3_000
    try:
        record.save({"a": "x" * 4_096})
    except StoreError:
        assert len(record.load()["a"]) == 3_000
        return
    raise AssertionError("saved")
