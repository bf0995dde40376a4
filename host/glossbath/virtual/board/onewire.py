# Stand-in for MicroPython's onewire driver: its interface, with the rig's wire behind it.
import bench


class OneWireError(Exception):
    pass


class OneWire:
    def __init__(self, pin):
        self._pin = pin

    def reset(self, required=False):
        present = bench.ask(b"R", 1)[0] == 1
        if required and not present:
            raise OneWireError
        return present

    def writebyte(self, value):
        bench.post(b"W\x01" + bytes((value,)))

    def write(self, buf):
        bench.post(b"W" + bytes((len(buf),)) + bytes(buf))

    def readinto(self, buf):
        buf[:] = bench.ask(b"G" + bytes((len(buf),)), len(buf))

    def readbyte(self):
        return bench.ask(b"G\x01", 1)[0]

    def scan(self):
        count = bench.ask(b"N", 1)[0]
        return [bytearray(bench.ask(b"n" + bytes((at,)), 8)) for at in range(count)]
