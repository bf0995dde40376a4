"""The page for a phone in a real browser the size of one, at a real keeper with a virtual rig."""

from __future__ import annotations

import http.server
import re
import signal
import socket
import subprocess
import sys
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from browser import CHROMIUM, Browser, browser

from glossbath.cli.demo import begin, virtual_world
from glossbath.cli.virtual_hand import helping
from glossbath.client.launch import connect, start_keeper
from glossbath.recipe import dump, load

pytestmark = pytest.mark.skipif(not CHROMIUM, reason="no chromium here: apt install chromium")
SPEED = 20.0
SLOW_READERS = 15
SHOWN = "parseFloat(document.querySelector('.number')?.textContent) > 0"


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@pytest.fixture
def phone(tmp_path: Path) -> Iterator[Browser]:
    with browser(tmp_path / "chromium") as made:
        yield made


class Page:
    """glossbath look --serve to the network, with a token; stop switched on."""

    def __init__(self) -> None:
        self.port = free_port()
        words = ["look", "--serve", f"0.0.0.0:{self.port}", "--allow-stop"]
        self.process = subprocess.Popen(
            [sys.executable, "-m", "glossbath", *words], stdout=subprocess.PIPE, text=True
        )
        assert self.process.stdout is not None
        said = ""
        while "Ctrl-C" not in said:
            line = self.process.stdout.readline()
            assert line, said
            said += line
        found = re.search(r"token=(\S+)", said)
        assert found
        self.address = f"http://127.0.0.1:{self.port}/"
        self.link = f"{self.address}enter?token={found.group(1)}"

    def close(self) -> None:
        self.process.terminate()
        self.process.communicate(timeout=60)


@pytest.fixture
def page() -> Iterator[Page]:
    made = Page()
    yield made
    made.close()


@pytest.fixture
def elsewhere() -> Iterator[str]:
    """Somebody else's page, on another origin of the same computer."""

    class Handler(http.server.BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            self.send_response(200)
            self.send_header("content-type", "text/html")
            self.end_headers()
            self.wfile.write(b"<!doctype html><title>elsewhere</title><p>Cake.")

        def log_message(self, *_: object) -> None:
            pass

    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield f"http://127.0.0.1:{server.server_address[1]}/"
    server.shutdown()
    server.server_close()


def number(phone: Browser) -> str:
    return str(phone.run("document.querySelector('.number').textContent"))


def read_slowly(port: int, cookie: str) -> list[socket.socket]:
    readers = []
    for _ in range(SLOW_READERS):
        reader = socket.create_connection(("127.0.0.1", port), 30.0)
        head = f"GET /events HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nCookie: {cookie}\r\n\r\n"
        reader.sendall(head.encode())
        readers.append(reader)
    return readers


def test_a_phone_sees_the_rig_move_go_and_come_back(
    tmp_path: Path, phone: Browser, page: Page, elsewhere: str
) -> None:
    """A wrong token, a page from elsewhere, slow readers; then the keeper dies, then the page."""
    cycles = tmp_path / "cycles"
    with (
        virtual_world(tmp_path / "world", SPEED) as world,
        helping("kitchen", world.order),
    ):
        keeper = start_keeper("kitchen", world.port, cycles, clock=world.clock, speed=SPEED)
        try:
            with connect("kitchen", steer=True) as client:
                begin(client, recipe=dump(load("dark")), where="dark", batch_kg=1.0)
            phone.open(page.address + "enter?token=guess")
            phone.until("document.body && document.body.innerText.includes('closed')")
            phone.open(page.link)
            phone.until(SHOWN)
            assert "token" not in phone.run("location.href")
            # It fits on the phone, and says first that none of it is real.
            assert phone.run("document.documentElement.scrollWidth") <= 390
            assert phone.text().lstrip().startswith("VIRTUAL RIG")
            before = number(phone)
            phone.until(f"document.querySelector('.number').textContent !== '{before}'")

            _refused_from(elsewhere, phone, page)
            cookie = phone.tell("Network.getCookies", urls=[page.address])["cookies"][0]
            assert cookie["httpOnly"]
            readers = read_slowly(page.port, f"glossbath={cookie['value']}")
            phone.open(page.address)
            phone.until("document.querySelector('.state')?.textContent === 'RUNNING'")
            before = number(phone)
            phone.until(f"document.querySelector('.number').textContent !== '{before}'")
            assert phone.run("document.querySelector('article.stale') === null")

            keeper.send_signal(signal.SIGKILL)
            keeper.wait(60)
            phone.until("document.querySelector('article.stale') !== null")
            assert "The keeper has gone; the last reading is" in phone.text()
            large = "parseFloat(getComputedStyle(document.querySelector('.age')).fontSize)"
            assert phone.run(large) >= 24
            keeper = start_keeper("kitchen", world.port, cycles, clock=world.clock, speed=SPEED)
            phone.until("document.querySelector('article') && !document.querySelector('.stale')")
            for reader in readers:
                reader.close()
        finally:
            keeper.terminate()
            keeper.wait(60)
    page.process.kill()
    phone.until("!document.getElementById('silence').hidden")
    assert "Nothing heard for" in phone.text()


def _refused_from(elsewhere: str, phone: Browser, page: Page) -> None:
    """Another origin gets no answer, and its order does nothing; the page takes GET only."""
    phone.open(elsewhere)
    phone.until("document.title === 'elsewhere'")
    tried = (
        "fetch('{0}', {{method: '{1}', mode: '{2}', credentials: 'include'}})"
        ".then(a => a.type + a.status).catch(() => 'refused')"
    )
    assert phone.run(tried.format(page.address, "GET", "cors")) == "refused"
    stop = page.address + "stop?rig=kitchen"
    assert phone.run(tried.format(stop, "POST", "cors")) == "refused"
    phone.run(tried.format(stop, "POST", "no-cors"))
    framed = (
        "new Promise(done => {{ const frame = document.createElement('iframe');"
        "frame.src = '{}'; frame.onload = () => done(true); document.body.append(frame) }})"
    )
    phone.run(framed.format(page.address))
    assert (
        phone.run("(() => { try { return frames[0].document.title } catch { return '' } })()")
        == ""
    )
    phone.open(page.address)
    phone.until(SHOWN)
    for method in ("POST", "PUT", "DELETE"):
        assert phone.run(f"fetch('/', {{method: '{method}'}}).then(a => a.status)") == 405
    assert "STOP" not in phone.run("document.querySelector('.state').textContent")
