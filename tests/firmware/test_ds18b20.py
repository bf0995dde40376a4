"""DS18B20: datasheet values, real scratchpads, every fault told apart, the schedule."""

from stand_in_bus import CLOCK, OneWireError, ScriptedWire, passes

from glossbath_board.port import ticks_diff
from glossbath_board.reading import (
    ABSENT,
    BUS,
    COARSE,
    CRC,
    FOREIGN,
    NONE_YET,
    OK,
    POWER_ON,
    SHORT,
    UNDERPOWERED,
    Reading,
)
from glossbath_board.sensors import crc8
from glossbath_board.sensors.ds18b20 import (
    Ds18b20Bus,
    fault_word,
    find_chips,
    is_rom,
    millicelsius,
    suspect_clone,
)

CONVERT = b"\xcc\x44"
REAL = bytes.fromhex("6D014B467FFF0C1068")  # 22.8125 °C, real chip, forum log
REAL_ROM = bytes.fromhex("28FF4033721604E6")  # the same chip


def rom(serial):
    """A genuine-looking ROM code."""
    body = bytes([0x28, serial, 1, 2, 3, 0, 0])
    return body + bytes([crc8.maxim(body, 0, 7)])


def scratchpad(raw, config=0x7F, count=None):
    """Nine bytes with a correct CRC, of a chip that measured raw sixteenths of a degree."""
    count = 0x10 - (raw & 0x0F) if count is None else count
    body = bytes([raw & 0xFF, raw >> 8 & 0xFF, 0x4B, 0x46, config, 0xFF, count, 0x10])
    return bytearray(body + bytes([crc8.maxim(body, 0, 8)]))


def spoilt(data, index, value):
    """data with one byte replaced and the CRC put right again."""
    data = bytearray(data)
    data[index] = value
    data[8] = crc8.maxim(data, 0, 8)
    return data


def ask(code):
    return b"\x55" + code + b"\xbe"


def read_once(answer):
    """The reading of a single chip after one cycle in which its scratchpad was `answer`."""
    wire = ScriptedWire([(CONVERT, b""), (ask(REAL_ROM), answer), (CONVERT, b"")])
    reading = Reading("chocolate")
    passes(Ds18b20Bus(wire, [(REAL_ROM, reading)], CLOCK), 0, 5)
    wire.finish()
    return reading


def test_every_row_of_the_datasheet_table():
    # Maxim DS18B20 datasheet, table 1 "Temperature/Data Relationship".
    table = (
        (0x07D0, 125_000),
        (0x0550, 85_000),
        (0x0191, 25_062),  # 25.0625 °C; the half m°C is rounded down
        (0x00A2, 10_125),
        (0x0008, 500),
        (0x0000, 0),
        (0xFFF8, -500),
        (0xFF5E, -10_125),
        (0xFE6F, -25_063),  # -25.0625 °C, rounded down
        (0xFC90, -55_000),
    )
    for raw, milli in table:
        assert millicelsius(scratchpad(raw)) == milli, hex(raw)
        assert fault_word(scratchpad(raw)) == OK, hex(raw)


def test_real_scratchpads():
    # Forum log of a real chip.
    assert read_once(REAL).milli == 22_812
    # git.sao.ru eddy/STM8_samples.
    assert read_once(bytes.fromhex("98014B467FFF081022")).milli == 25_500


def test_undefined_bits_of_a_coarser_resolution_are_left_out():
    # Datasheet: bits 0, 0-1 and 0-2 are undefined at 11, 10 and 9 bit. 0x0197 is 25.4375 °C.
    assert millicelsius(scratchpad(0x0197, config=0x7F)) == 25_437
    assert millicelsius(scratchpad(0x0197, config=0x5F)) == 25_375
    assert millicelsius(scratchpad(0x0197, config=0x3F)) == 25_250
    assert millicelsius(scratchpad(0x0197, config=0x1F)) == 25_000


def test_a_chip_set_to_steps_of_half_or_a_quarter_of_a_degree_is_refused():
    for config, fault in ((0x1F, COARSE), (0x3F, COARSE), (0x5F, OK), (0x7F, OK)):
        assert read_once(scratchpad(0x0190, config=config)).fault == fault


def test_a_true_zero_is_a_value_and_a_shorted_line_is_not():
    frost = read_once(scratchpad(0))
    assert (frost.fault, frost.milli) == (OK, 0)
    # All zeros pass the CRC and would read 0.0 °C.
    short = read_once(bytes(9))
    assert (short.fault, short.milli) == (SHORT, None)


def test_each_fault_has_its_own_word():
    assert read_once(b"\xff" * 9).fault == ABSENT
    damaged = bytearray(REAL)
    damaged[0] ^= 0x01
    assert read_once(damaged).fault == CRC
    # From memory: what the scratchpad holds after power-up.
    assert read_once(bytes.fromhex("50054B467FFF0C101C")).fault == POWER_ON
    # Common practice, no source: 127.9375 °C is the chip's sign of too little supply.
    assert read_once(scratchpad(0x07FF)).fault == UNDERPOWERED


def test_a_well_formed_answer_of_another_chip_is_foreign():
    for index, value in ((4, 0x00), (4, 0xFF), (5, 0x00), (7, 0x00), (7, 0xFF)):
        assert read_once(spoilt(REAL, index, value)).fault == FOREIGN, (index, value)
    # Beyond the -55 to 125 °C that the datasheet gives the chip.
    for raw in (0x07D1, 0x0FFF, 0xFC8F, 0x8000):
        assert read_once(scratchpad(raw)).fault == FOREIGN, hex(raw)


def test_85_degrees_counts_only_with_the_mark_of_a_conversion():
    measured = read_once(scratchpad(0x0550, count=0x10))
    assert (measured.fault, measured.milli) == (OK, 85_000)
    for count in (0x0C, 0x00, 0x0F, 0xFF):
        assert read_once(scratchpad(0x0550, count=count)).fault == POWER_ON, count
    # One step beside it there is nothing to confuse it with.
    assert read_once(scratchpad(0x0551, count=0x0C)).milli == 85_062


def test_three_chips_have_new_values_every_one_and_a_half_seconds():
    readings = [Reading(name) for name in ("chocolate", "bath", "body")]
    chips = [rom(1), rom(2), rom(3)]
    cycle = [(CONVERT, b"")]
    cycle += [(ask(chips[i]), scratchpad(16 * (30 + i))) for i in range(3)]
    wire = ScriptedWire(cycle + cycle + [(CONVERT, b"")])
    bus = Ds18b20Bus(wire, [(chips[i], readings[i]) for i in range(3)], CLOCK)
    done = []
    before = [0, 0, 0]
    for now_ms in range(1_000, 4_250, 250):
        passes(bus, now_ms, 1)
        for i in range(3):
            if readings[i].fault == OK and readings[i].taken_ms != before[i]:
                before[i] = readings[i].taken_ms
                done.append((i, now_ms, readings[i].taken_ms))
    wire.finish()
    assert [reading.milli for reading in readings] == [30_000, 31_000, 32_000]
    # All values of a cycle belong to the moment in which its conversion was ordered.
    assert done == [
        (0, 2_000, 1_000),
        (1, 2_250, 1_000),
        (2, 2_500, 1_000),
        (0, 3_500, 2_500),
        (1, 3_750, 2_500),
        (2, 4_000, 2_500),
    ]


TICKS_PERIOD = 1 << 30  # on the board and where CPython stands in; the unix port has more
WRAPS = ticks_diff(0, TICKS_PERIOD - 1) == 1


def wrapping():
    return CLOCK() % TICKS_PERIOD if WRAPS else CLOCK()


def test_no_chip_is_asked_before_its_conversion_is_over():
    # Datasheet: 750 ms at most at 12 bit, from the end of the order. How far into its pass an
    # order or a read comes differs by what else the pass has to do; clocks wrap at 2**30.
    for ordered_late_ms in (0, 40, 149, 151, 249, 700):
        for read_late_ms in (0, 3, 60):
            wire = ScriptedWire([(CONVERT, b""), (ask(REAL_ROM), REAL), (CONVERT, b"")])
            reading = Reading("bath")
            bus = Ds18b20Bus(wire, [(REAL_ROM, reading)], wrapping)
            start_ms = TICKS_PERIOD - 300
            CLOCK.late_ms = ordered_late_ms
            passes(bus, start_ms, 1)
            CLOCK.late_ms = read_late_ms
            now_ms = start_ms
            while reading.fault == NONE_YET:
                now_ms += 250
                passes(bus, now_ms, 1)
            CLOCK.late_ms = 0
            waited_ms = now_ms + read_late_ms - start_ms - ordered_late_ms
            assert 850 <= waited_ms < 1_100, (ordered_late_ms, read_late_ms)
            assert (reading.milli, reading.taken_ms) == (22_812, start_ms)
            wire.finish()


def test_a_late_pass_loses_nothing():
    wire = ScriptedWire([(CONVERT, b""), (ask(REAL_ROM), REAL), (CONVERT, b"")])
    reading = Reading("bath")
    bus = Ds18b20Bus(wire, [(REAL_ROM, reading)], CLOCK)
    for now_ms in (0, 5_000, 5_250):
        passes(bus, now_ms, 1)
    assert (reading.milli, reading.taken_ms) == (22_812, 0)
    wire.finish()


def test_a_bus_that_reads_once_then_leaves_the_line_alone():
    wire = ScriptedWire([(CONVERT, b""), (ask(REAL_ROM), REAL)])
    reading = Reading("28")
    passes(Ds18b20Bus(wire, [(REAL_ROM, reading)], CLOCK, once=True), 250, 12)
    wire.finish()
    assert reading.milli == 22_812


def test_a_line_that_another_has_used_is_begun_anew():
    wire = ScriptedWire([(CONVERT, b""), (CONVERT, b""), (ask(REAL_ROM), REAL), (CONVERT, b"")])
    reading = Reading("bath")
    bus = Ds18b20Bus(wire, [(REAL_ROM, reading)], CLOCK)
    now_ms = passes(bus, 0, 3)
    bus.begin()
    passes(bus, now_ms, 5)
    wire.finish()
    assert reading.taken_ms == 750


def test_an_empty_line_is_absent_and_is_tried_again_after_a_second():
    wire = ScriptedWire([(b"", None), (CONVERT, b""), (ask(REAL_ROM), REAL), (CONVERT, b"")])
    reading = Reading("bath")
    bus = Ds18b20Bus(wire, [(REAL_ROM, reading)], CLOCK)
    now_ms = passes(bus, 0, 4)
    assert (reading.fault, reading.faults_in_row) == (ABSENT, 1)
    passes(bus, now_ms, 5)
    assert (reading.fault, reading.milli, reading.taken_ms) == (OK, 22_812, 1_000)
    wire.finish()


def test_a_failed_read_costs_one_cycle():
    damaged = bytearray(REAL)
    damaged[3] ^= 0x80
    answers = [REAL, damaged, b"\xff" * 9, REAL]
    script = []
    for answer in answers:
        script += [(CONVERT, b""), (ask(REAL_ROM), answer)]
    wire = ScriptedWire(script + [(CONVERT, b"")])  # noqa: RUF005
    reading = Reading("bath")
    bus = Ds18b20Bus(wire, [(REAL_ROM, reading)], CLOCK)
    seen = []
    now_ms = passes(bus, 0, 1)
    for _ in answers:
        now_ms = passes(bus, now_ms, 4)
        seen.append((reading.fault, reading.milli, reading.faults_in_row))
    wire.finish()
    assert seen == [(OK, 22_812, 0), (CRC, None, 1), (ABSENT, None, 2), (OK, 22_812, 0)]


def test_one_dead_chip_does_not_disturb_the_others():
    chips = [rom(1), rom(2)]
    wire = ScriptedWire(
        [
            (CONVERT, b""),
            (ask(chips[0]), b"\xff" * 9),
            (ask(chips[1]), scratchpad(480)),
            (CONVERT, b""),
        ]
    )
    readings = [Reading("chocolate"), Reading("bath")]
    passes(Ds18b20Bus(wire, [(chips[i], readings[i]) for i in range(2)], CLOCK), 0, 6)
    wire.finish()
    assert (readings[0].fault, readings[1].milli) == (ABSENT, 30_000)


def test_exceptions_of_the_bus_become_fault_words():
    for error, word in ((OneWireError(), ABSENT), (OSError(5), BUS), (RuntimeError(), BUS)):
        # While ordering the conversion.
        wire = ScriptedWire([(b"", error)])
        reading = Reading("bath")
        Ds18b20Bus(wire, [(REAL_ROM, reading)], CLOCK).step(0)
        assert (reading.fault, reading.milli) == (word, None)
        wire.finish()
        # While reading.
        reading = read_once(error)
        assert (reading.fault, reading.milli) == (word, None)


def test_a_rom_code_that_cannot_be_right_never_gives_a_value():
    damaged = REAL_ROM[:7] + b"\x00"
    other_family = bytes.fromhex("021CB801000000A2")  # Maxim application note 27
    for code in (damaged, other_family, b"", b"\x28"):
        wire = ScriptedWire([(CONVERT, b""), (CONVERT, b"")])
        reading = Reading("chocolate")
        passes(Ds18b20Bus(wire, [(code, reading)], CLOCK), 0, 5)
        wire.finish()
        assert reading.fault == FOREIGN


def test_one_chip_cannot_serve_two_readings():
    wire = ScriptedWire([(CONVERT, b""), (ask(REAL_ROM), REAL), (CONVERT, b"")])
    process, protection = Reading("chocolate"), Reading("body")
    bus = Ds18b20Bus(wire, [(REAL_ROM, process), (REAL_ROM, protection)], CLOCK)
    passes(bus, 0, 6)
    wire.finish()
    assert (process.fault, protection.fault) == (OK, FOREIGN)


def test_a_line_without_bound_probes_is_left_alone():
    wire = ScriptedWire([])
    passes(Ds18b20Bus(wire, [], CLOCK), 0, 8)
    wire.finish()


def test_clones_are_suspected_by_their_rom_code():
    # Community finding, from memory: genuine codes are 28-xx-xx-xx-xx-00-00-crc.
    assert suspect_clone(REAL_ROM)
    assert not suspect_clone(rom(7))


def test_a_search_keeps_undamaged_codes_of_this_chip_only():
    class Line:
        def scan(self):
            # The middle one is Maxim's example of application note 27, another family.
            found = (REAL_ROM, bytes.fromhex("021CB801000000A2"), REAL_ROM[:7] + b"\x00")
            return [bytearray(code) for code in found]

    assert find_chips(Line()) == [REAL_ROM]
    assert is_rom(REAL_ROM)
