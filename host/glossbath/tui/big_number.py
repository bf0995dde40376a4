"""A number in blocks, as large as its place allows, to be read from across the room."""

from __future__ import annotations

from textual.app import RenderResult
from textual.content import Content
from textual.reactive import reactive
from textual.widget import Widget

# Four by seven points each, one string a row; the point is one wide.
GLYPHS = {
    "0": ("####", "#  #", "#  #", "#  #", "#  #", "#  #", "####"),
    "1": ("  # ", " ## ", "  # ", "  # ", "  # ", "  # ", " ###"),
    "2": ("####", "   #", "   #", "####", "#   ", "#   ", "####"),
    "3": ("####", "   #", "   #", " ###", "   #", "   #", "####"),
    "4": ("#  #", "#  #", "#  #", "####", "   #", "   #", "   #"),
    "5": ("####", "#   ", "#   ", "####", "   #", "   #", "####"),
    "6": ("####", "#   ", "#   ", "####", "#  #", "#  #", "####"),
    "7": ("####", "   #", "   #", "  # ", "  # ", " #  ", " #  "),
    "8": ("####", "#  #", "#  #", "####", "#  #", "#  #", "####"),
    "9": ("####", "#  #", "#  #", "####", "   #", "   #", "####"),
    "-": ("    ", "    ", "    ", "####", "    ", "    ", "    "),
    ".": (" ", " ", " ", " ", " ", " ", "#"),
    ":": (" ", " ", "#", " ", "#", " ", " "),
}
HEIGHT = 7
HALVES = {(False, False): " ", (True, False): "▀", (False, True): "▄", (True, True): "█"}


def blocks(text: str, scale: int) -> list[str]:
    """Rows of block characters for digits, '-', '.' and ':'; a point is `scale` cells wide and
    `scale` half cells high, which is about square on a terminal. Other characters are skipped."""
    glyphs = [GLYPHS[character] for character in text if character in GLYPHS]
    points = [" ".join(glyph[row] for glyph in glyphs) for row in range(HEIGHT)]
    wide = ["".join(point * scale for point in row) for row in points]
    tall = [row for row in wide for _ in range(scale)]
    if len(tall) % 2:
        tall.append(" " * len(tall[0]))
    return [
        "".join(HALVES[(up == "#", low == "#")] for up, low in zip(*pair, strict=True))
        for pair in zip(tall[::2], tall[1::2], strict=True)
    ]


def fitting_scale(text: str, width: int, height: int) -> int:
    """The largest scale whose blocks fit into width by height cells; 0 when none does."""
    across = max(1, len(blocks(text, 1)[0]))
    return min(width // across, height * 2 // HEIGHT)


class BigNumber(Widget):
    """Shows `value` in blocks, or as plain text where there is no room for blocks."""

    value: reactive[str] = reactive("--.-")

    def render(self) -> RenderResult:
        scale = fitting_scale(self.value, self.size.width, self.size.height)
        if scale < 1:
            return Content(self.value)
        return Content("\n".join(blocks(self.value, scale)))
