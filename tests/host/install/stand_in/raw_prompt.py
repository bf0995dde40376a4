# The raw prompt of a board, for MicroPython's unix port, which has none of its own: the protocol
# of docs/reference/repl.html ("Raw mode"), without raw paste. argv[1] is the folder of stand-ins,
# argv[2] what the board calls itself, since the unix port names the computer.
import io
import sys

sys.path.insert(0, sys.argv[1])
source = sys.stdin.buffer
sink = sys.stdout.buffer
BANNER = b"raw REPL; CTRL-B to exit\r\n>"


class Implementation:
    name = sys.implementation.name
    version = sys.implementation.version
    _machine = sys.argv[2]


class Board:
    implementation = Implementation


def imported(name):
    return Board if name == "sys" else __import__(name)


names = {"__import__": imported}


def run(code):
    """Execute code; what it printed and its error."""
    printed = []

    def say(*values, sep=" ", end="\n"):
        printed.append(sep.join(str(value) for value in values) + end)

    names["print"] = say
    error = ""
    try:
        exec(code, names)
    except Exception as failure:
        text = io.StringIO()
        sys.print_exception(failure, text)
        error = text.getvalue()
    return "".join(printed).encode(), error.encode()


line = bytearray()
while True:
    byte = source.read(1)
    if not byte:
        break
    if byte == b"\x01":
        line = bytearray()
        sink.write(BANNER)
    elif byte == b"\x05":
        source.read(2)
        sink.write(b"R\x00")
    elif byte == b"\x04":
        sink.write(b"OK")
        printed, error = run(bytes(line).decode())
        line = bytearray()
        sink.write(printed + b"\x04" + error + b"\x04>")
    elif byte not in (b"\x03", b"\x02"):
        line.extend(byte)
