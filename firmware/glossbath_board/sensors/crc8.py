"""The two CRC-8s of the sensor chips.

Both go through a byte four bits at a time: sixteen constant bytes each in place of a 256-byte
table, two look-ups a byte in place of eight shifts. Nothing is allocated.
"""

# CRC of each low nibble: x^8+x^5+x^4+1, reflected (0x8C).
_MAXIM = b"\x00\x9d\x23\xbe\x46\xdb\x65\xf8\x8c\x11\xaf\x32\xca\x57\xe9\x74"
# CRC of each high nibble: x^8+x^5+x^4+1, most significant bit first (0x31).
_SENSIRION = b"\x00\x31\x62\x53\xc4\xf5\xa6\x97\xb9\x88\xdb\xea\x7d\x4c\x1f\x2e"


def maxim(data: bytes | bytearray, start: int, end: int) -> int:
    """CRC-8 of data[start:end] as 1-Wire chips send it (start value 0).

    Source: Maxim application note 27. Eight zero bytes give 0, so a line held to ground passes:
    the caller rejects that pattern itself.
    """
    crc = 0
    for i in range(start, end):
        byte = data[i]
        crc = _MAXIM[(crc ^ byte) & 0x0F] ^ (crc >> 4)
        crc = _MAXIM[(crc ^ (byte >> 4)) & 0x0F] ^ (crc >> 4)
    return crc


def sensirion(data: bytes | bytearray, start: int, end: int) -> int:
    """CRC-8 of data[start:end] as SHT3x chips send it after every two bytes (start value 0xFF).

    Source: SHT3x datasheet, "Checksum Calculation". Zero bytes do not pass.
    """
    crc = 0xFF
    for i in range(start, end):
        crc ^= data[i]
        crc = ((crc << 4) & 0xFF) ^ _SENSIRION[crc >> 4]
        crc = ((crc << 4) & 0xFF) ^ _SENSIRION[crc >> 4]
    return crc
