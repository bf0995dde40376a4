"""Frames under every message, split and damage that can be thought of."""

from __future__ import annotations

import json
from typing import Any

from crccheck.crc import Crc32IsoHdlc
from hypothesis import assume, given
from hypothesis import strategies as st

from glossbath_board.errors import FrameError
from glossbath_board.frame import MAX_LINE, Decoder, checksum, encode

values = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(2**40), 2**40)
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(max_size=12),
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=4), inner, max_size=3)
    ),
    max_leaves=3,
)
contents = st.dictionaries(
    st.text(max_size=4).filter(lambda key: key not in ("n", "b")), values, max_size=4
)


def encoded(content: dict[str, Any], n: int) -> tuple[dict[str, Any], bytes]:
    """The message with its number, and its line; drops the example if the line is too long."""
    message = {**content, "n": n}
    try:
        return message, encode(message)
    except FrameError:
        assume(False)
        raise AssertionError from None


@st.composite
def frames(draw: st.DrawFn, n: int = 1) -> tuple[dict[str, Any], bytes]:
    return encoded(draw(contents), n)


@st.composite
def streams(draw: st.DrawFn) -> tuple[list[dict[str, Any]], bytes]:
    pairs = [draw(frames(n)) for n in range(1, draw(st.integers(1, 5)) + 1)]
    return [message for message, _ in pairs], b"".join(line for _, line in pairs)


def pieces(data: bytes, cuts: list[int]) -> list[bytes]:
    ends = [*sorted(cut % (len(data) + 1) for cut in cuts), len(data)]
    return [data[start:end] for start, end in zip([0, *ends], ends, strict=False)]


@given(st.binary(max_size=300))
def test_the_checksum_agrees_with_a_reference_library(data: bytes) -> None:
    # crccheck follows the catalogue of parametrised CRC algorithms.
    assert int(checksum(data), 16) == Crc32IsoHdlc.calc(data)
    assert len(checksum(data)) == 8


@given(contents)
def test_every_message_comes_back_or_is_refused_for_its_length(content: dict[str, Any]) -> None:
    message = {**content, "n": 1}
    try:
        line = encode(message)
    except FrameError:
        text = json.dumps(message, separators=(",", ":"))
        assert len(text) + text.count("$") * 5 + len("$*12345678\n") > MAX_LINE
    else:
        assert len(line) <= MAX_LINE
        assert line.endswith(b"\n") and line.count(b"\n") == 1
        assert Decoder().feed(line) == [message]


@given(streams(), st.lists(st.integers(0, 10_000), max_size=12))
def test_any_split_of_the_bytes_gives_the_same_messages(
    stream: tuple[list[dict[str, Any]], bytes], cuts: list[int]
) -> None:
    messages, data = stream
    decoder = Decoder()
    got = [message for piece in pieces(data, cuts) for message in decoder.feed(piece)]
    assert got == messages
    assert (decoder.good, decoder.bad, decoder.lost) == (len(messages), 0, 0)
    assert decoder.pending == 0


garbage = st.binary(max_size=2 * MAX_LINE) | st.text(
    '${}*":,\n\r0123456789abcdefn', max_size=450
).map(str.encode)


@given(
    st.lists(st.tuples(garbage, contents), min_size=1, max_size=3),
    st.lists(st.integers(0, 10_000), max_size=6),
)
def test_garbage_before_a_frame_never_hides_it(
    parts: list[tuple[bytes, dict[str, Any]]], cuts: list[int]
) -> None:
    messages, data = [], b""
    for n, (noise, content) in enumerate(parts, start=1):
        message, line = encoded(content, n)
        messages.append(message)
        data += noise + line
    decoder = Decoder()
    got = [message for piece in pieces(data, cuts) for message in decoder.feed(piece)]
    assert got == messages


@given(
    frames(),
    st.sampled_from(["change", "drop", "double", "cut", "insert"]),
    st.integers(0, 10_000),
    st.integers(0, 255),
)
def test_damage_to_one_byte_never_gives_another_message(
    frame: tuple[dict[str, Any], bytes], damage: str, place: int, value: int
) -> None:
    message, line = frame
    i = place % len(line)
    damaged = {
        "change": line[:i] + bytes([value]) + line[i + 1 :],
        "drop": line[:i] + line[i + 1 :],
        "double": line[: i + 1] + line[i:],
        "cut": line[:i],
        "insert": line[:i] + bytes([value]) + line[i:],
    }[damage]
    later = encode({"n": 2})
    assert Decoder().feed(damaged + b"\n" + later) in ([{"n": 2}], [message, {"n": 2}])
