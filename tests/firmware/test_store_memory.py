"""What outlives a reset: the trip, and the count of resets that ends in a lock-out."""

import os

from stand_in_rig import scratch

from glossbath_board.memory import Memory

POWER_ON, WATCHDOG = 1, 3
TEN_MINUTES_MS = 600_000


def spoil(folder, name):
    for file in os.listdir(folder):
        if file.startswith(name):
            with open(folder + "/" + file, "wb") as copy:
                copy.write(b"\x00" * 30)


def test_a_trip_is_kept_until_it_is_forgotten():
    flash = scratch("memory")
    Memory(flash, POWER_ON).keep("bath-hot", "61000")
    for cause in (POWER_ON, WATCHDOG, None):
        memory = Memory(flash, cause)
        assert (memory.trip, memory.detail, memory.lost) == ("bath-hot", "61000", "")
    memory.forget()
    assert memory.trip == ""
    assert Memory(flash, POWER_ON).trip == ""


def test_the_first_trip_stays():
    flash = scratch("memory")
    memory = Memory(flash, POWER_ON)
    memory.keep("bath-hot", "61000")
    memory.keep("firmware", "MemoryError")
    Memory(flash, WATCHDOG).keep("firmware", "MemoryError")
    assert Memory(flash, POWER_ON).trip == "bath-hot"


def test_a_damaged_record_is_told_and_not_taken_for_no_trip():
    flash = scratch("memory")
    Memory(flash, POWER_ON).keep("bath-hot", "61000")
    spoil(flash, "trip")
    memory = Memory(flash, POWER_ON)
    assert memory.lost == "damaged"
    memory.forget()
    assert Memory(flash, POWER_ON).lost == ""


def test_three_resets_within_ten_minutes_each_are_counted():
    flash = scratch("memory")
    assert Memory(flash, POWER_ON).resets == 0
    for count in (1, 2, 3):
        assert Memory(flash, WATCHDOG).resets == count
    assert Memory(flash, POWER_ON).resets == 3  # a power cut in between hides nothing
    memory = Memory(flash, POWER_ON)
    memory.forget()
    assert memory.resets == 0
    assert Memory(flash, POWER_ON).resets == 0


def test_ten_steady_minutes_start_the_count_over():
    flash = scratch("memory")
    Memory(flash, WATCHDOG)
    memory = Memory(flash, WATCHDOG)
    memory.steady(TEN_MINUTES_MS - 1)
    assert memory.resets == 2
    memory.steady(TEN_MINUTES_MS)
    assert memory.resets == 0
    assert Memory(flash, WATCHDOG).resets == 1


def test_a_reset_that_was_asked_for_is_not_counted():
    flash = scratch("memory")
    memory = Memory(flash, WATCHDOG)
    memory.expect_reset()
    assert Memory(flash, WATCHDOG).resets == 1
    assert Memory(flash, WATCHDOG).resets == 2


def test_a_count_that_cannot_be_read_is_one_below_the_lock_out():
    flash = scratch("memory")
    Memory(flash, WATCHDOG)
    spoil(flash, "starts")
    assert Memory(flash, POWER_ON).resets == 2
    assert Memory(flash, WATCHDOG).resets == 3


def test_a_count_that_cannot_be_written_locks_out():
    assert Memory(scratch("memory") + "/no-such-folder", WATCHDOG).resets == 3
    assert Memory(scratch("memory") + "/no-such-folder", POWER_ON).resets == 0


def bytes_of(path):
    with open(path, "rb") as file:
        return file.read()


def test_a_damaged_copy_of_a_second_trip_is_not_the_first_ones_clearing():
    # Trip, clear, trip: one copy holds the clearing, and one flipped bit spoils the other.
    flash = scratch("memory")
    Memory(flash, POWER_ON).keep("bath-hot", "61000")
    Memory(flash, POWER_ON).forget()
    Memory(flash, POWER_ON).keep("body-hot", "86000")
    (newer,) = [n for n in os.listdir(flash) if b"body-hot" in bytes_of(flash + "/" + n)]
    whole = bytes_of(flash + "/" + newer)
    for at in range(0, len(whole) - 1, 7):
        with open(flash + "/" + newer, "wb") as file:
            file.write(whole[:at] + bytes((whole[at] ^ 1,)) + whole[at + 1 :])
        memory = Memory(flash, POWER_ON)
        assert (memory.trip, memory.lost) == ("", "damaged"), at
    memory.forget()
    assert Memory(flash, POWER_ON).lost == ""


def mark(folder, marks):
    with open(folder + "/begun", "w") as file:
        file.write(marks)


def test_starts_that_were_cut_before_the_firmware_was_up_are_counted():
    # main.py writes why each start came: 1 power, 3 watchdog or an ordered reset.
    for marks, count in (
        ("1", 0),
        ("3", 1),
        ("11111", 0),
        ("1333333333", 9),
        ("3131", 2),
        ("e3", 0),
        ("e33", 1),
        ("3e3", 1),
        ("e", 0),
        ("", 1),
    ):
        flash = scratch("memory")
        mark(flash, marks)
        assert Memory(flash, WATCHDOG).resets == count, marks
        assert "begun" not in os.listdir(flash)
        assert Memory(flash, POWER_ON).resets == count


def test_a_failures_own_record_counts_no_start():
    flash = scratch("memory")
    mark(flash, "333")
    assert Memory(flash, None).resets == 0
    assert "begun" in os.listdir(flash)
