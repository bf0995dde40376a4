"""Four million bytes of noise and damage: none is taken for a message, nothing is raised.

Every message carries text that follows from its number, so that a message which was never sent
gives itself away.
"""

import random

from glossbath_board.frame import MAX_LINE, Decoder, checksum, encode

BYTES = 4_000_000
FRAME_ALPHABET = b'${}[]":,*\\n\r0123456789abcdefu-.eE\n'


def content(n):
    """The only message with number n that is ever sent."""
    return {"n": n, "b": "f", "t": n * 7919 % 60_000, "s": "x" * (n * 31 % 120)}


def noise(length):
    return bytes([random.getrandbits(8) for _ in range(length)])


def frame_like_noise(length):
    return bytes([random.choice(FRAME_ALPHABET) for _ in range(length)])


def damaged(line):
    """The line after one to four changes, losses, doublings or cuts."""
    for _ in range(random.randint(1, 4)):
        if not line:
            break
        kind = random.randrange(4)
        i = random.randrange(len(line))
        if kind == 0:
            line = line[:i] + bytes([random.getrandbits(8)]) + line[i + 1 :]
        elif kind == 1:
            line = line[:i] + line[i + 1 :]
        elif kind == 2:
            line = line[:i] + line[i : i + random.randrange(1, 40)] + line[i:]
        else:
            line = line[:i]
    return line


def test_no_bad_frame_is_accepted_and_no_good_one_is_lost():
    random.seed(20_000_101)
    decoder = Decoder()
    fed = whole = n = 0
    while fed < BYTES:
        n += 1
        kind = random.randrange(4)
        if kind == 0:
            data = noise(random.randrange(300))
        elif kind == 1:
            data = frame_like_noise(random.randrange(300))
        elif kind == 2:
            data = damaged(encode(content(n)))
        else:
            whole += 1
            data = b"\n" + encode(content(n))
        cut = random.randrange(len(data) + 1)
        got = decoder.feed(data[:cut]) + decoder.feed(data[cut:])
        fed += len(data)
        assert decoder.pending <= MAX_LINE
        for message in got:
            assert message == content(message["n"]), message
            assert message["n"] <= n, message
        if kind == 3:
            assert got and got[-1]["n"] == n
    assert whole > 5000
    assert decoder.bad > 5000


def test_a_right_checksum_around_noise_raises_nothing():
    random.seed(20_000_102)
    for _ in range(3000):
        text = random.choice((noise, frame_like_noise))(random.randrange(180))
        text = random.choice((text, b"[" * random.randrange(180), b'{"n":' + text + b"}"))
        for message in Decoder().feed(b"$" + text + b"*" + checksum(text) + b"\n"):
            assert isinstance(message["n"], int)


def test_one_huge_burst_leaves_nothing_behind():
    random.seed(20_000_103)
    block = noise(4096).replace(b"\n", b"$")
    decoder = Decoder()
    for _ in range(25):
        assert decoder.feed(block) == []
        assert decoder.pending <= MAX_LINE
    assert decoder.feed(b"\n" + encode({"n": 1})) == [{"n": 1}]
