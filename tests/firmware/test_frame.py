"""Frames: what a line looks like, what is refused, and what damage costs."""

from glossbath_board.errors import FrameError
from glossbath_board.frame import MAX_LINE, Decoder, checksum, encode


def spoil(line, index, value):
    """The line with one byte set to value."""
    return line[:index] + bytes([value]) + line[index + 1 :]


def test_the_checksum_is_crc_32_iso_hdlc():
    # Check value of CRC-32/ISO-HDLC in the catalogue of parametrised CRC algorithms.
    assert checksum(b"123456789") == b"cbf43926"


def test_a_line_can_be_read_in_any_terminal():
    # The checksum of {"n":1} was worked out with crccheck.crc.Crc32IsoHdlc.calc.
    assert encode({"n": 1}) == b'${"n":1}*d44b3b7e\n'


def test_a_message_comes_back_as_it_was():
    message = {"n": 7, "b": "a3f0", "v": [1, -2, None, True, False, 0.5], "s": {"t": "hold"}}
    assert Decoder().feed(encode(message)) == [message]


def test_awkward_text_comes_back_as_it_was():
    for text in ("$", "a$b*c", "*", '"\\/', "\n", "\r\n", "\t\x00\x1f\x7f", "23 °C", "crème"):
        line = encode({"n": 1, "s": text})
        assert line.count(b"\n") == 1, text
        assert line.count(b"$") == 1, text
        assert Decoder().feed(line) == [{"n": 1, "s": text}], text


def test_the_longest_line_passes_and_a_longer_one_is_refused():
    room = MAX_LINE - len(encode({"n": 1, "s": ""}))
    line = encode({"n": 1, "s": "x" * room})
    assert len(line) == MAX_LINE
    assert Decoder().feed(line) == [{"n": 1, "s": "x" * room}]
    try:
        encode({"n": 1, "s": "x" * (room + 1)})
    except FrameError as error:
        assert str(MAX_LINE) in str(error) and str(MAX_LINE + 1) in str(error)
    else:
        raise AssertionError("a line over the limit was made")


def test_a_frame_may_arrive_byte_by_byte():
    line = encode({"n": 1, "s": "hold"})
    decoder = Decoder()
    for index in range(len(line) - 1):
        assert decoder.feed(line[index : index + 1]) == []
    assert decoder.feed(line[-1:]) == [{"n": 1, "s": "hold"}]


def test_several_frames_may_arrive_at_once_and_in_order():
    decoder = Decoder()
    lines = b"".join([encode({"n": n}) for n in range(1, 6)])
    assert decoder.feed(lines + b'${"n":6}') == [{"n": n} for n in range(1, 6)]
    assert (decoder.good, decoder.bad, decoder.lost) == (5, 0, 0)


def test_a_terminal_may_add_a_carriage_return():
    assert Decoder().feed(encode({"n": 1})[:-1] + b"\r\n") == [{"n": 1}]


def test_stray_text_costs_no_good_frame():
    decoder = Decoder()
    text = b"MPY: soft reboot\r\n>>> $ {*"
    assert decoder.feed(text + encode({"n": 1}) + text + encode({"n": 2})) == [{"n": 1}, {"n": 2}]
    assert decoder.good == 2
    assert decoder.lost == 0


def test_a_cut_frame_does_not_take_the_next_one_with_it():
    first = encode({"n": 1, "s": "melt"})
    for length in range(len(first)):
        decoder = Decoder()
        assert decoder.feed(first[:length] + encode({"n": 2})) == [{"n": 2}], length


def test_no_single_changed_byte_gives_another_message():
    line = encode({"n": 1, "t": 30500})
    for index in range(len(line)):
        for value in range(256):
            if value != line[index]:
                got = Decoder().feed(spoil(line, index, value) + b"\n")
                assert got in ([], [{"n": 1, "t": 30500}]), (index, value)


def test_a_damaged_frame_is_counted():
    decoder = Decoder()
    line = encode({"n": 1, "t": 30500})
    assert decoder.feed(spoil(line, 8, line[8] ^ 1)) == []
    assert (decoder.good, decoder.bad) == (0, 1)


def test_a_checksum_does_not_make_a_message_of_other_json():
    for text in (
        b"[1]",
        b"1",
        b"null",
        b"{}",
        b'{"n":"1"}',
        b'{"n":1.5}',
        b'{"n":1',
        b"\xff",
        b"",
    ):
        decoder = Decoder()
        assert decoder.feed(b"$" + text + b"*" + checksum(text) + b"\n") == [], text
        assert (decoder.good, decoder.bad) == (0, 1), text


def test_missing_numbers_are_counted_as_lost():
    decoder = Decoder()
    for n in (10, 11, 14, 15):  # 12 and 13 never arrive
        decoder.feed(encode({"n": n, "b": "a"}))
    assert (decoder.good, decoder.lost) == (4, 2)


def test_a_repeated_or_late_frame_is_dropped():
    decoder = Decoder()
    for n in (1, 2, 2, 1, 3):
        decoder.feed(encode({"n": n, "b": "a"}))
    assert (decoder.good, decoder.lost, decoder.repeated) == (3, 0, 2)


def test_a_board_that_started_again_is_heard_from_its_first_frame():
    decoder = Decoder()
    decoder.feed(encode({"n": 500, "b": "first"}))
    assert decoder.feed(encode({"n": 1, "b": "second"})) == [{"n": 1, "b": "second"}]
    assert (decoder.good, decoder.lost) == (2, 0)


def test_a_line_without_end_is_not_kept():
    decoder = Decoder()
    for _ in range(200):
        assert decoder.feed(b"$" + b"x" * 99) == []
        assert decoder.pending <= MAX_LINE
    assert decoder.feed(b"\n" + encode({"n": 1})) == [{"n": 1}]


def test_hosts_without_number_do_not_fill_the_boards_memory():
    # 264 KB of RAM in all (RP2040 datasheet, 2.6): a program that opens the port with a new
    # number each time, all day, must not use it up, nor stop the host that steers.
    decoder = Decoder("h")
    for host in range(2_000):
        assert len(decoder.feed(encode({"n": 1, "h": host}))) == 1
        assert len(decoder._last) <= 8
    assert len(decoder.feed(encode({"n": 2, "h": 1_999}))) == 1
    assert decoder.lost == 0


def numbered(number, sender=1):
    return encode({"k": "r", "b": sender, "n": number})


def test_one_forged_leap_of_a_number_makes_nobody_deaf():
    for forged in (50_000, (1 << 30) - 1):
        decoder = Decoder("b")
        heard = decoder.feed(numbered(1) + numbered(2) + numbered(forged) + numbered(3))
        assert [m["n"] for m in heard] == [1, 2, 3], forged
        assert (decoder.bad, decoder.lost) == (1, 0)


def test_a_number_that_no_board_can_reach_is_no_frame():
    decoder = Decoder("b")
    for number in (1 << 30, 1 << 40, -1, 1e308):
        assert decoder.feed(encode({"k": "r", "b": 1, "n": number})) == []
    assert decoder.bad == 4
    assert len(decoder.feed(numbered(1))) == 1


def test_a_sender_that_was_long_unheard_is_believed_at_its_second_frame():
    decoder = Decoder("b")
    decoder.feed(numbered(10))
    heard = decoder.feed(numbered(90_000) + numbered(90_001) + numbered(90_002))
    assert [m["n"] for m in heard] == [90_001, 90_002]
    assert decoder.lost == 90_001 - 10 - 1
    assert decoder.feed(numbered(11)) == []


def test_two_leaps_that_do_not_belong_together_are_not_believed():
    decoder = Decoder("b")
    decoder.feed(numbered(10))
    assert decoder.feed(numbered(90_000) + numbered(500_000) + numbered(90_000)) == []
    assert [m["n"] for m in decoder.feed(numbered(11))] == [11]


def test_blank_lines_mean_nothing():
    decoder = Decoder("b")
    heard = decoder.feed(numbered(1) + b"\n" * 40 + numbered(2) + b"\n\r\n")
    assert [m["n"] for m in heard] == [1, 2]
    assert decoder.bad == 0


def test_every_damaged_line_counts_once_whatever_is_wrong_with_it():
    # The count is what tells a person that the line is noisy.
    good = encode({"n": 1})
    lines = (
        b"no frame at all\n",
        spoil(good, 3, 0x41),
        good[:-3] + b"00\n",
        b"$[1]*" + checksum(b"[1]") + b"\n",
        b'${"n":-1}*' + checksum(b'{"n":-1}') + b"\n",
        b'${"n":"1"}*' + checksum(b'{"n":"1"}') + b"\n",
        b"$" + b"x" * (2 * MAX_LINE) + b"\n",
    )
    for line in lines:
        decoder = Decoder()
        assert decoder.feed(line) == []
        assert decoder.bad == 1, line
    decoder = Decoder()
    decoder.feed(b"\r\n\n  \n")
    assert decoder.bad == 0
