# Stand-in for MicroPython's onewire driver: its interface, with the rig's wire behind it.
import bench

# Standard speed, as MicroPython's driver has it (extmod/modonewire.c): reset pulse and presence,
# and eight slots a byte. A search takes two reads and a write for each of 64 bits.
RESET_US = 960
BYTE_US = 560
SEARCH_US = 13_440


class OneWireError(Exception):
    pass


class OneWire:
    def __init__(self, pin):
        self._pin = pin

    def reset(self, required=False):
        bench.spend(RESET_US)
        present = bench.ask(b"R", 1)[0] == 1
        if required and not present:
            raise OneWireError
        return present

    def writebyte(self, value):
        bench.spend(BYTE_US)
        bench.post(b"W\x01" + bytes((value,)))

    def write(self, buf):
        bench.spend(BYTE_US * len(buf))
        bench.post(b"W" + bytes((len(buf),)) + bytes(buf))

    def readinto(self, buf):
        bench.spend(BYTE_US * len(buf))
        buf[:] = bench.ask(b"G" + bytes((len(buf),)), len(buf))

    def readbyte(self):
        bench.spend(BYTE_US)
        return bench.ask(b"G\x01", 1)[0]

    def scan(self):
        count = bench.ask(b"N", 1)[0]
        bench.spend(SEARCH_US * count)
        return [bytearray(bench.ask(b"n" + bytes((at,)), 8)) for at in range(count)]
