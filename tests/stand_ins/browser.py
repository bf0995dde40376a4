"""A real browser the size of a phone: Debian's chromium, told what to do through a pipe.

The protocol is Chromium's own (JSON, each message ended by a zero byte, on descriptors 3 and 4),
so that no driver has to be installed.
"""

from __future__ import annotations

import fcntl
import json
import os
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

CHROMIUM = shutil.which("chromium")
GUARD_S = 90.0
QUIET = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--hide-scrollbars",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-dev-shm-usage",
    "--remote-debugging-pipe",
)
_EXEC = (
    "import os, sys; [os.dup2(int(end), at) for at, end in enumerate(sys.argv[1:3], 3)]; "
    "os.execv(sys.argv[3], sys.argv[3:])"
)
PHONE = {"width": 390, "height": 844, "deviceScaleFactor": 1.5, "mobile": True}


class Browser:
    """One page in it."""

    def __init__(self, profile: Path) -> None:
        assert CHROMIUM
        theirs_in, self._out = os.pipe()
        self._in, theirs_out = os.pipe()
        # Above 4, so that putting them to 3 and 4 cannot close one another.
        ends = [fcntl.fcntl(end, fcntl.F_DUPFD, 10) for end in (theirs_in, theirs_out)]
        self._process = subprocess.Popen(
            [sys.executable, "-c", _EXEC, *map(str, ends), CHROMIUM, *QUIET,
             f"--user-data-dir={profile}", "about:blank"],
            pass_fds=ends, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip
        for end in (theirs_in, theirs_out, *ends):
            os.close(end)
        self._heard = b""
        self._number = 0
        self._session = ""
        target = self.tell("Target.createTarget", url="about:blank")["targetId"]
        made = self.tell("Target.attachToTarget", targetId=target, flatten=True)
        self._session = made["sessionId"]
        self.tell("Emulation.setDeviceMetricsOverride", **PHONE)

    def tell(self, method: str, **values: Any) -> dict[str, Any]:
        """One command and its answer. Raises AssertionError with Chromium's own words."""
        self._number += 1
        message = {"id": self._number, "method": method, "params": values}
        if self._session:
            message["sessionId"] = self._session
        os.write(self._out, json.dumps(message).encode() + b"\0")
        while True:
            while b"\0" not in self._heard:
                chunk = os.read(self._in, 1 << 16)
                assert chunk, "chromium has ended"
                self._heard += chunk
            line, self._heard = self._heard.split(b"\0", 1)
            answer = json.loads(line)
            if answer.get("id") == self._number:
                assert "error" not in answer, answer
                return dict(answer["result"])

    def open(self, url: str) -> None:
        """Go to an address."""
        self.tell("Page.navigate", url=url)

    def run(self, script: str) -> Any:
        """What an expression of JavaScript comes to; a promise is waited for."""
        done = self.tell(
            "Runtime.evaluate", expression=script, awaitPromise=True, returnByValue=True
        )
        assert "exceptionDetails" not in done, done
        return done["result"].get("value")

    def text(self) -> str:
        """What a person reads."""
        return str(self.run("document.body ? document.body.innerText : ''"))

    def until(self, script: str) -> Any:
        """Wait until an expression is true; the limit only guards against hanging."""
        end = time.monotonic() + GUARD_S
        while not (value := self.run(script)):
            assert time.monotonic() < end, (script, self.text())
            time.sleep(0.1)
        return value

    def dark(self, wanted: bool) -> None:
        """What the phone prefers."""
        scheme = {"name": "prefers-color-scheme", "value": "dark" if wanted else "light"}
        self.tell("Emulation.setEmulatedMedia", features=[scheme])

    def close(self) -> None:
        """End it."""
        self._process.kill()
        self._process.wait()
        os.close(self._out)
        os.close(self._in)


@contextmanager
def browser(profile: Path) -> Iterator[Browser]:
    """A browser that ends with the context."""
    made = Browser(profile)
    try:
        yield made
    finally:
        made.close()
