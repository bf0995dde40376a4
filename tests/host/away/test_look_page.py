"""The page for a phone: what it shows, who may see it, and what cannot be done to it."""

from __future__ import annotations

import http.client
import json
import re
import socket
import ssl
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from ..screens.fake_keeper import TRIP, FakeKeeper, reading, snapshot

GUARD_S = 60.0


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


class Page:
    """glossbath look --serve as a process, and a browser's requests to it."""

    def __init__(self, host: str, *words: str) -> None:
        self.host, self.port = host, free_port()
        self.process = subprocess.Popen(
            [sys.executable, "-m", "glossbath", "look", "--serve", f"{host}:{self.port}", *words],
            stdout=subprocess.PIPE,
            text=True,
        )
        assert self.process.stdout is not None
        self.words = ""
        self._open: list = []
        for line in self.process.stdout:
            self.words += line
            if "Ctrl-C" in line:
                break
        self._drain = threading.Thread(target=self.process.stdout.read, daemon=True)
        self._drain.start()
        found = re.search(r"token=(\S+)", self.words)
        self.token = found.group(1) if found else ""
        end = time.monotonic() + GUARD_S
        while time.monotonic() < end:
            with socket.socket() as probe:
                if probe.connect_ex(("127.0.0.1", self.port)) == 0:
                    return
            time.sleep(0.02)

    def ask(
        self, path: str, method: str = "GET", **headers: str
    ) -> tuple[int, dict[str, str], str]:
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=GUARD_S)
        try:
            connection.request(method, path, headers=headers)
            answer = connection.getresponse()
            return answer.status, dict(answer.getheaders()), answer.read().decode()
        finally:
            connection.close()

    def stream(self, **headers: str) -> Iterator[dict]:
        """What the page's stream tells, one state after another."""
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=GUARD_S)
        connection.request("GET", "/events", headers=headers)
        answer = connection.getresponse()
        self._open += [answer, connection]
        assert answer.status == 200
        while line := answer.readline():
            if line.startswith(b"data: "):
                yield json.loads(line[6:])

    def close(self) -> None:
        for each in self._open:
            each.close()
        self.process.terminate()
        self.process.wait(GUARD_S)
        self._drain.join(GUARD_S)
        assert self.process.stdout is not None
        self.process.stdout.close()


@pytest.fixture
def page(keeper: FakeKeeper) -> Iterator[Page]:
    page = Page("127.0.0.1")
    yield page
    page.close()


@pytest.fixture
def guarded(keeper: FakeKeeper) -> Iterator[Page]:
    """A page that other machines may open, so that it wants a token."""
    page = Page("0.0.0.0", "--allow-stop")
    yield page
    page.close()


def rig_of(state: dict) -> dict:
    return next(rig for rig in state["rigs"] if rig["rig"] == "kitchen")


def first(states: Iterator[dict], what) -> dict:
    return next(rig for rig in (rig_of(s) for s in states if s["rigs"]) if what(rig))


def test_the_page_moves_with_the_rig_and_says_what_is_old(page: Page, keeper: FakeKeeper):
    states = page.stream()
    first(states, lambda rig: rig["answers"])
    keeper.say(reading(chocolate_c=31.4))
    rig = first(states, lambda rig: rig["chocolate_c"] == 31.4)
    assert rig["virtual"]
    assert rig["sentence"].startswith("Cooling the chocolate to 28.5 °C")
    assert not rig["stale"]
    keeper.say(TRIP)
    assert first(states, lambda rig: rig["alarms"])["alarms"][0]["do_now"] == TRIP.do_now
    keeper.close()
    rig = first(states, lambda rig: not rig["answers"])
    assert rig["stale"]
    assert "stop button" in rig["sentence"]


def test_a_keeper_that_comes_back_is_seen_again(page: Page, keeper: FakeKeeper):
    states = page.stream()
    keeper.say(reading())
    first(states, lambda rig: rig["chocolate_c"])
    keeper.close()
    first(states, lambda rig: not rig["answers"])
    again = FakeKeeper(keeper.path, [snapshot(history=[])])
    try:
        again.say(reading(chocolate_c=30.1))
        first(states, lambda rig: rig["answers"])
        again.say(reading(chocolate_c=30.1))
        assert not first(states, lambda rig: rig["chocolate_c"] == 30.1)["stale"]
    finally:
        again.close()


def test_every_file_of_the_page_is_there_and_nothing_comes_from_elsewhere(page: Page):
    status, headers, text = page.ask("/")
    assert status == 200
    assert "default-src 'none'" in headers["content-security-policy"]
    for name in re.findall(r'(?:src|href)="([^"]+)"', text):
        assert page.ask(f"/{name}")[0] == 200
    every = text + page.ask("/look.css")[2] + page.ask("/look.js")[2]
    assert not re.search(r"https?://(?!www\.w3\.org)", every)
    assert "innerHTML" not in every


def test_nothing_can_be_ordered(page: Page, keeper: FakeKeeper):
    origin = f"http://127.0.0.1:{page.port}"
    for method in ("POST", "PUT", "DELETE", "PATCH", "OPTIONS"):
        for path in ("/", "/events", "/stop?rig=kitchen", "/start"):
            assert page.ask(path, method, Origin=origin)[0] == 405, (method, path)
    assert keeper.requests.empty()


def test_another_name_or_another_page_is_refused(page: Page):
    assert page.ask("/", Host="rig.attacker.example")[0] == 421
    assert page.ask("/", Origin="https://attacker.example")[0] == 403
    assert page.ask("/", Origin="null")[0] == 403


def test_the_token_is_asked_for_once_and_exchanged(guarded: Page):
    assert guarded.ask("/")[0] == 401
    assert guarded.ask("/events")[0] == 401
    assert len(guarded.token) >= 32
    status, headers, text = guarded.ask(f"/enter?token={guarded.token}")
    assert status == 200
    cookie = headers["set-cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=lax" in cookie
    assert guarded.token not in cookie + text
    assert guarded.ask("/", Cookie=cookie.split(";")[0])[0] == 200
    assert guarded.ask("/", Cookie="glossbath=guess")[0] == 401


def test_guessing_is_slowed_down(guarded: Page):
    answers = [guarded.ask("/enter?token=guess")[0] for _ in range(8)]
    assert answers == [401] * 5 + [429] * 3


def test_a_stop_wants_two_taps_from_this_page(guarded: Page, keeper: FakeKeeper):
    cookie = guarded.ask(f"/enter?token={guarded.token}")[1]["set-cookie"].split(";")[0]
    own = {"Cookie": cookie, "Origin": f"http://127.0.0.1:{guarded.port}"}
    assert guarded.ask("/stop?rig=kitchen", "POST", Cookie=cookie)[0] == 403
    assert guarded.ask("/stop?rig=kitchen&again=guess", "POST", **own)[0] == 409
    assert guarded.ask("/stop?rig=nobody", "POST", **own)[0] == 404
    status, _, text = guarded.ask("/stop?rig=kitchen", "POST", **own)
    assert status == 202
    assert keeper.requests.empty()
    word = json.loads(text)["again"]
    status, _, text = guarded.ask(f"/stop?rig=kitchen&again={word}", "POST", **own)
    assert status == 200
    assert keeper.asked().op == "stop"
    assert json.loads(text)["text"] == "stop was done."
    assert guarded.ask(f"/stop?rig=kitchen&again={word}", "POST", **own)[0] == 409


def test_a_crowd_of_idle_connections_shuts_nobody_out(page: Page, keeper: FakeKeeper):
    """Hundreds from one address that say nothing; another address still gets its page."""
    idle = []
    for _ in range(400):
        connection = socket.socket()
        connection.settimeout(GUARD_S)
        connection.connect(("127.0.0.1", page.port))
        idle.append(connection)
    try:
        with socket.create_connection(
            ("127.0.0.1", page.port), GUARD_S, source_address=("127.0.0.9", 0)
        ) as other:
            other.sendall(b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\nConnection: close\r\n\r\n")
            with other.makefile("rb") as answer:
                assert answer.readline().startswith(b"HTTP/1.1 200")
    finally:
        for connection in idle:
            connection.close()


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (["--serve", "127.0.0.1:70000"], "from 1 to 65535"),
        (["--serve", "no.such.host.invalid"], "no address of this computer"),
        (["--serve", "127.0.0.1", "--certificate", "x.pem"], "together"),
        ([], "glossbath attach"),
    ],
)
def test_bad_input_is_one_sentence(run_folder: Path, words, sentence):
    done = subprocess.run(
        [sys.executable, "-m", "glossbath", "look", *words],
        capture_output=True,
        text=True,
        timeout=GUARD_S,
    )
    assert done.returncode == 2
    assert sentence in done.stderr
    assert len(done.stderr.strip().splitlines()) == 1


def test_a_certificate_of_the_persons_own_makes_it_https(keeper: FakeKeeper, papers: Path) -> None:
    certificate = str(papers / "broker.pem")
    page = Page("0.0.0.0", "--certificate", certificate, "--key", str(papers / "broker.key"))
    try:
        assert "https://" in page.words
        assert "plain HTTP" not in page.words
        trusted = ssl.create_default_context(cafile=str(papers / "ours.pem"))
        connection = http.client.HTTPSConnection(
            "127.0.0.1", page.port, timeout=GUARD_S, context=trusted
        )
        connection.request("GET", f"/enter?token={page.token}")
        answer = connection.getresponse()
        assert answer.status == 200
        assert "Secure" in answer.headers["set-cookie"]
        connection.close()
    finally:
        page.close()


def test_somebody_who_thinks_in_fahrenheit_reads_it_so(keeper: FakeKeeper) -> None:
    page = Page("127.0.0.1", "--fahrenheit")
    try:
        states = page.stream()
        keeper.say(reading(chocolate_c=31.4))
        state = next(s for s in states if s["rigs"] and rig_of(s)["chocolate_c"])
        assert state["fahrenheit"]
        # 28.5 °C, by NIST SP 811: 83.3 °F.
        assert rig_of(state)["sentence"].startswith("Cooling the chocolate to 83.3 °F")
    finally:
        page.close()


def test_a_port_that_is_taken_is_named(run_folder: Path):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        done = subprocess.run(
            [sys.executable, "-m", "glossbath", "look", "--serve", f"127.0.0.1:{port}"],
            capture_output=True,
            text=True,
            timeout=GUARD_S,
        )
    assert done.returncode == 2
    assert f"port {port} cannot be used" in done.stderr


def test_a_wrong_certificate_is_one_sentence(run_folder: Path, tmp_path: Path):
    wrong = tmp_path / "wrong.pem"
    wrong.write_text("not a certificate")
    done = subprocess.run(
        [
            sys.executable,
            "-m",
            "glossbath",
            "look",
            "--serve",
            f"127.0.0.1:{free_port()}",
            "--certificate",
            str(wrong),
            "--key",
            str(wrong),
        ],
        capture_output=True,
        text=True,
        timeout=GUARD_S,
    )
    assert done.returncode == 1
    assert "certificate" in done.stderr.splitlines()[-1]
