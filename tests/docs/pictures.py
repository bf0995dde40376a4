"""The pictures of the documents: an invented cycle on the screen, in the report and on the page
for a phone, from the real program.

    python tests/docs/pictures.py     # makes them anew; report and phone need Debian's chromium

What a picture says is compared, not how it is drawn: fonts and a dot of a curve may differ from
one computer to the next.
"""

from __future__ import annotations

import asyncio
import base64
import hashlib
import html
import os
import re
import socket
import subprocess
import sys
import tempfile
from collections import defaultdict
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(Path(__file__).parent), str(ROOT / "tests" / "stand_ins")]

import invented_cycle  # noqa: E402
from browser import PHONE, browser  # noqa: E402

from glossbath.client.client import KeeperClient  # noqa: E402
from glossbath.report.page import write_report  # noqa: E402
from glossbath.tui.app import GlossbathApp  # noqa: E402
from tests.host.screens.fake_keeper import FakeKeeper, event  # noqa: E402
from tests.host.screens.hand import Clock, Hand  # noqa: E402

FOLDER = Path(__file__).parent / "pictures"
REPORT_PNG, REPORT_TEXT = FOLDER / "report.png", FOLDER / "report.txt"
SIZE = (104, 34)
COOLING_S = 4_800
SCREENS: dict[str, tuple[str, ...]] = {
    "screen": (),
    "recipe": ("r", "enter", "f4", "4", "9", "0"),
}
"""Each picture of the screen and the keys that lead to it."""
READY = event("note", "Ready.", float(COOLING_S))
PAPER = (900, 1270)
MONOSPACE = "DejaVu Sans Mono, Menlo, Consolas, Liberation Mono, monospace"
CURVES = re.compile("[⠀-⣿∙─┄]")
"""What a curve is drawn with: it is looked at, not compared."""


def screen_svg(name: str) -> str:
    """A picture of the screen as SVG that loads nothing from elsewhere."""
    with tempfile.TemporaryDirectory(prefix="glossbath-pictures-") as home:
        os.environ["GLOSSBATH_RECIPES"] = home
        keeper = FakeKeeper(
            Path(home, "k"),
            [invented_cycle.snapshot(COOLING_S), invented_cycle.reading(COOLING_S), READY],
        )
        try:
            svg = asyncio.run(_screenshot(keeper.path, SCREENS[name]))
        finally:
            keeper.close()
            del os.environ["GLOSSBATH_RECIPES"]
    # The frame is nobody's window.
    svg = re.sub(r"<circle[^>]*/>", "", svg)
    svg = re.sub(r"@font-face \{.*?\}", "", svg, flags=re.DOTALL)
    return re.sub(r"font-family: (?:Fira Code|monospace)[^;]*;", f"font-family: {MONOSPACE};", svg)


async def _screenshot(socket: Path, keys: tuple[str, ...]) -> str:
    clock = Clock()
    app = GlossbathApp(lambda: KeeperClient(socket), clock=clock)
    async with app.run_test(size=SIZE) as pilot:
        hand = Hand(app, pilot, clock)
        await hand.until(lambda: READY in app.view.events)
        clock.now_s += 2.0  # the trend is drawn anew once a second
        await hand.press(*keys)
        await hand.sees("Cool" if not keys else "490 °C does not fit")
        return app.export_screenshot(title="glossbath")


def screen_text(svg: str) -> list[str]:
    """What stands in the rows of a picture of the screen, without the curves."""
    rows: dict[float, list[tuple[float, str]]] = defaultdict(list)
    pieces = re.findall(r'<text class="[^"]*" x="([\d.]+)" y="([\d.]+)"[^>]*>([^<]*)</text>', svg)
    for across, down, text in pieces:
        rows[float(down)].append((float(across), html.unescape(text)))
    lines = ["".join(text for _, text in sorted(rows[down])) for down in sorted(rows)]
    return [" ".join(CURVES.sub(" ", line).split()) for line in lines]


def report_page(parent: Path) -> Path:
    """The report of the invented cycle."""
    return write_report(invented_cycle.record(parent))


def report_text(page: str) -> str:
    """What stands in a report, a line a paragraph or cell, without the curve."""
    for what in ("svg", "style", "title"):
        page = re.sub(rf"<{what}.*?</{what}>", "", page, flags=re.DOTALL)
    lines = (html.unescape(line).strip() for line in re.sub(r"<[^>]*>", "\n", page).splitlines())
    return "\n".join(line for line in lines if line) + "\n"


def stamp(picture: bytes, name: str = "report.png") -> str:
    """The line of the text beside a picture that says which one was made with it."""
    return f"{name} {hashlib.sha256(picture).hexdigest()}\n"


def phone_pictures(home: Path) -> dict[str, bytes]:
    """The page for a phone as PNG, light and dark, and the words that stand on it."""
    os.environ["GLOSSBATH_RUN"] = str(home)
    keeper = FakeKeeper(
        home / f"{invented_cycle.RIG}.keeper", [invented_cycle.snapshot(COOLING_S)]
    )
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        place = f"127.0.0.1:{probe.getsockname()[1]}"
    page = subprocess.Popen(
        [sys.executable, "-m", "glossbath", "look", "--serve", place], stdout=subprocess.PIPE
    )
    try:
        assert page.stdout is not None
        while b"Ctrl-C" not in page.stdout.readline():
            pass
        with browser(home / "phone") as phone:
            phone.open(f"http://{place}/")
            phone.until("document.querySelector('.name')?.textContent")
            keeper.say(invented_cycle.reading(COOLING_S))
            phone.until("parseFloat(document.querySelector('.number').textContent) > 0")
            made = {"words": phone.text().encode()}  # before a slow picture has made them old
            for name in ("light", "dark"):
                phone.dark(name == "dark")
                height = phone.run("document.querySelector('footer').getBoundingClientRect().top")
                view = {"x": 0, "y": 0, "width": PHONE["width"], "height": height, "scale": 1}
                shot = phone.tell("Page.captureScreenshot", clip=view, captureBeyondViewport=True)
                made[name] = base64.b64decode(shot["data"])
            return made
    finally:
        page.terminate()
        page.communicate()
        keeper.close()
        del os.environ["GLOSSBATH_RUN"]


def phone_text(made: dict[str, bytes]) -> str:
    """The words on the page and the stamps of its pictures, as phone.txt keeps them."""
    stamps = (stamp(made[name], f"phone-{name}.png") for name in ("light", "dark"))
    return made["words"].decode() + "\n" + "".join(stamps)


def main() -> None:
    """Make every picture anew."""
    FOLDER.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory(prefix="glossbath-pictures-") as home:
        made = phone_pictures(Path(home))
    for name in ("light", "dark"):
        (FOLDER / f"phone-{name}.png").write_bytes(made[name])
    (FOLDER / "phone.txt").write_text(phone_text(made), encoding="utf-8")
    for name in SCREENS:
        (FOLDER / f"{name}.svg").write_text(screen_svg(name), encoding="utf-8")
    with tempfile.TemporaryDirectory(prefix="glossbath-pictures-") as home:
        page = report_page(Path(home))
        options = ("--headless", "--no-sandbox", "--disable-gpu", "--hide-scrollbars")
        size = f"--window-size={PAPER[0]},{PAPER[1]}"
        profile = f"--user-data-dir={home}/chromium"
        shot = f"--screenshot={REPORT_PNG}"
        subprocess.run(
            ["chromium", *options, size, profile, shot, page.as_uri()],
            check=True, capture_output=True, timeout=600,
        )  # fmt: skip
        text = report_text(page.read_text(encoding="utf-8"))
    REPORT_TEXT.write_text(text + stamp(REPORT_PNG.read_bytes()), encoding="utf-8")


if __name__ == "__main__":
    main()
