"""Numbers as a person reads them: temperatures in the chosen unit, spans of time, fault words.

Screens and plain lines both take their words from here, so they cannot disagree.
"""

from __future__ import annotations

from glossbath_board import reading as board

Line = list[tuple[str, str]]
"""A line of a screen: pieces of text, each with the name of its style, empty for plain."""

NO_NUMBER = "--.-"

FAULT_SENTENCES = {
    board.NONE_YET: "has not measured yet",
    board.ABSENT: "does not answer: look at its plug and cable",
    board.SHORT: "its data line is held to ground: look for a pinched cable",
    board.CRC: "its answers arrive damaged: look at the cable and its length",
    board.POWER_ON: "lost its supply while measuring: look at the supply wires",
    board.UNDERPOWERED: "gets too little supply: look at the supply wires",
    board.COARSE: "answers in steps of a quarter or half a degree: set it to 12 bit or replace it",
    board.OPEN: "its sensor wire is broken or loose",
    board.LOW: "its sensor wire touches ground",
    board.HIGH: "its sensor wire touches the supply",
    board.BUS: "its chip gives no sensible answer",
    board.FOREIGN: "is not the kind of chip the board was told of",
    board.STALE: "has given no good value for too long",
}


class Degrees:
    """The temperature unit a person chose. Everything taken is in °C or, for spans, in K."""

    def __init__(self, fahrenheit: bool = False) -> None:
        self.fahrenheit = fahrenheit

    @property
    def sign(self) -> str:
        """°C or °F."""
        return "°F" if self.fahrenheit else "°C"

    def value(self, celsius: float) -> float:
        """A temperature as a number in the chosen unit."""
        return celsius * 1.8 + 32.0 if self.fahrenheit else celsius

    def number(self, celsius: float | None) -> str:
        """A temperature to a tenth without its unit; dashes when there is none."""
        return NO_NUMBER if celsius is None else f"{self.value(celsius):.1f}"

    def text(self, celsius: float | None) -> str:
        """A temperature to a tenth with its unit."""
        return f"{self.number(celsius)} {self.sign}"

    def span(self, kelvin: float) -> str:
        """A difference of temperatures, to a tenth with its unit."""
        return f"{abs(kelvin) * (1.8 if self.fahrenheit else 1.0):.1f} {self.sign}"


def duration(seconds: float | None) -> str:
    """A span of time in words: '45 s', '12 min', '1 h 05 min'."""
    if seconds is None:
        return "unknown"
    whole = max(0, round(seconds))
    if whole < 90:
        return f"{whole} s"
    minutes = round(whole / 60)
    if minutes < 60:
        return f"{minutes} min"
    return f"{minutes // 60} h {minutes % 60:02d} min"


def between(low_s: float, high_s: float) -> str:
    """A span of time that is known from low to high: '8 to 12 min', '50 min to 1 h 20 min'.
    Seconds only where both ends are; one figure where both read the same."""
    low, high = duration(low_s), duration(high_s)
    if low.endswith(" s") and not high.endswith(" s"):
        low = f"{max(1, round(low_s / 60))} min"
    if low == high:
        return f"about {high}"
    for unit in (" min", " s"):
        if low.endswith(unit) and high.endswith(unit) and " h " not in low + high:
            low = low.removesuffix(unit)
    return f"{low} to {high}"


def between_short(low_s: float, high_s: float) -> str:
    """The same where there is little room: '8–12 min', '0:50–1:20 h'."""
    low, high = round(low_s / 60), round(high_s / 60)
    if low == high:
        return f"about {duration(high_s)}"
    if high < 60:
        return f"{low}–{high} min"
    return f"{low // 60}:{low % 60:02d}–{high // 60}:{high % 60:02d} h"


def clock(seconds: float) -> str:
    """Time since the start as h:mm:ss."""
    whole = max(0, int(seconds))
    return f"{whole // 3600}:{whole // 60 % 60:02d}:{whole % 60:02d}"


def percent(share: float) -> str:
    """A share of 0 to 1 as whole percent."""
    return f"{share * 100:.0f} %"


def fault_sentence(word: str) -> str:
    """What a probe's fault word means and where to look."""
    return FAULT_SENTENCES.get(word, f"reports '{word}'")


def one_line(text: str) -> str:
    """Text from elsewhere without line breaks or control characters."""
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())
