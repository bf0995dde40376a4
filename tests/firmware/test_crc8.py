"""The two CRC-8s against published examples and bytes of real chips."""

from glossbath_board.sensors import crc8


def maxim(text):
    data = bytes.fromhex(text)
    return crc8.maxim(data, 0, len(data))


def sensirion(text):
    data = bytes.fromhex(text)
    return crc8.sensirion(data, 0, len(data))


def test_maxim_example_of_application_note_27():
    # Maxim application note 27, example ROM code; quoted in many repositories.
    assert maxim("021CB801000000") == 0xA2
    assert maxim("021CB801000000A2") == 0


def test_maxim_catalogue_check_value():
    # CRC-8/MAXIM-DOW in the catalogue of parametrised CRC algorithms.
    assert crc8.maxim(b"123456789", 0, 9) == 0xA1


def test_maxim_bytes_of_real_chips():
    # ROM code and scratchpad of a real chip, forum log.
    assert maxim("28FF4033721604") == 0xE6
    assert maxim("6D014B467FFF0C10") == 0x68
    # git.sao.ru eddy/STM8_samples.
    assert maxim("98014B467FFF0810") == 0x22
    # Power-on pattern (from memory; CRC by crccheck.crc.Crc8MaximDow.calc).
    assert maxim("5005" + "4B467FFF0C10") == 0x1C


def test_eight_zero_bytes_pass_the_maxim_crc():
    # Follows from the start value 0; it is why drivers reject that pattern themselves.
    assert crc8.maxim(bytes(9), 0, 9) == 0


def test_sensirion_example_of_the_datasheet():
    # SHT3x datasheet v7, December 2022, "Checksum Calculation".
    assert sensirion("BEEF") == 0x92


def test_sensirion_further_examples():
    # SHTC3 datasheet, quoted in a test file.
    assert sensirion("00") == 0xAC
    # Texas Instruments HDC302x user's guide SNAU265C (same polynomial and start value).
    assert sensirion("ABAB") == 0x72
    # crccheck.crc.Crc8Nrsc5.calc.
    assert sensirion("0000") == 0x81
    assert sensirion("FFFF") == 0xAC
    assert crc8.sensirion(b"123456789", 0, 9) == 0xF7


def test_only_the_given_part_counts():
    data = b"\x55" + bytes.fromhex("021CB801000000") + b"\xaa"
    assert crc8.maxim(data, 1, 8) == 0xA2
    assert crc8.sensirion(b"\x00\xbe\xef\x00", 1, 3) == 0x92
