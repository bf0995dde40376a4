"""A shop on a broker: many simulated rigs from several processes, the broker killed in the middle.

Prints how long a reading took to a subscriber (99th percentile) and how many were lost or came
twice. Needs mosquitto. The rigs are stand-ins for keepers' messages; composer, queue on disk and
client are those of the bridge.

    .venv/bin/python tests/bench/broker.py --rigs 500 --processes 4 --minutes 10
"""

from __future__ import annotations

import argparse
import json
import multiprocessing
import shutil
import signal
import socket
import subprocess
import tempfile
import threading
import time
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from glossbath.away.bridge import Bridge
from glossbath.away.broker import broker
from glossbath.away.rigs import FollowedRig
from glossbath.chocolate.phase import PhasePlan, Window
from glossbath.client.messages import Reading, Snapshot

PLAN = PhasePlan("hold", 30.5, Window(30.0, 31.0), 0.0, 14400.0, 0.3, 20.0, 40.0)


class SimulatedRigs:
    """Rigs that say one reading a second."""

    def __init__(self, count: int, prefix: str) -> None:
        self._rigs = [FollowedRig(f"{prefix}-{n}") for n in range(count)]
        for rig in self._rigs:
            rig.news = [Snapshot(rig.name, True, "", "", "", "running", phases=[PLAN])]
            rig.view.fold(rig.news, 0.0)
        self._begin = time.monotonic()
        self._said = [0] * count

    def look(self, now_s: float) -> list[FollowedRig]:
        for at, rig in enumerate(self._rigs):
            rig.news = []
            due = int(now_s - self._begin - at / len(self._rigs))
            while self._said[at] < due:
                self._said[at] += 1
                rig.news.append(_reading(self._said[at]))
            rig.view.fold(rig.news, now_s)
        return self._rigs

    def close(self) -> None:
        pass

    @property
    def total(self) -> int:
        return sum(self._said)


def _reading(number: int) -> Reading:
    wall = datetime.now(UTC).isoformat()
    head = (float(number), wall, 30.5, 31.0, 33.0, 30.5, 31.0, 0.1, 0.0, 0.3)
    return Reading(*head, "running", "hold", 0, 1.0, None, None)


def process(url: str, rigs: int, name: str, seconds: float, folder: str, out: Any) -> None:
    simulated = SimulatedRigs(rigs, name)
    where = broker(url)
    bridge = Bridge(simulated, where, name, Path(folder) / f"{name}.sqlite", lambda _: None)  # type: ignore[arg-type]
    bridge.connect()
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        bridge.step(time.monotonic(), datetime.now(UTC))
        time.sleep(0.1)
    total = simulated.total
    simulated.look = lambda now_s: [*map(_silent, simulated._rigs)]  # type: ignore[method-assign]
    guard = time.monotonic() + 60.0
    while bridge.waiting and time.monotonic() < guard:
        bridge.step(time.monotonic(), datetime.now(UTC))
        time.sleep(0.05)
    left = bridge.waiting
    bridge.close()
    out.put((name, total, left))


def _silent(rig: FollowedRig) -> FollowedRig:
    rig.news = []
    return rig


class Subscriber:
    """Somebody else's program: counts readings and how late they were."""

    def __init__(self, port: int) -> None:
        import paho.mqtt.client as mqtt
        from paho.mqtt.packettypes import PacketTypes
        from paho.mqtt.properties import Properties

        self.late_s: list[float] = []
        self.seen: set[str] = set()
        self.repeats = 0
        self._client = mqtt.Client(mqtt.CallbackAPIVersion.VERSION2, "bench", protocol=mqtt.MQTTv5)
        self._client.reconnect_delay_set(1, 1)
        self._client.on_connect = lambda client, *_: client.subscribe("glossbath/+/+/reading", 1)
        self._client.on_message = self._take
        kept = Properties(PacketTypes.CONNECT)
        kept.SessionExpiryInterval = 3600
        self._client.connect("127.0.0.1", port, clean_start=False, properties=kept)
        self._client.loop_start()

    def _take(self, _client: Any, _data: Any, message: Any) -> None:
        values = json.loads(message.payload)
        if values["id"] in self.seen:
            self.repeats += 1
            return
        self.seen.add(values["id"])
        self.late_s.append(time.time() - datetime.fromisoformat(values["wall"]).timestamp())


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rigs", type=int, default=500)
    parser.add_argument("--processes", type=int, default=4)
    parser.add_argument("--minutes", type=float, default=10.0)
    parser.add_argument("--signal", choices=("TERM", "KILL"), default="KILL")
    asked = parser.parse_args()
    server = shutil.which("mosquitto") or shutil.which("mosquitto", path="/usr/sbin")
    if not server:
        raise SystemExit("This bench needs mosquitto.")
    with tempfile.TemporaryDirectory() as folder, socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
        probe.close()
        Path(folder).chmod(0o777)
        settings = Path(folder) / "broker.conf"
        settings.write_text(
            f"listener {port} 127.0.0.1\nallow_anonymous true\npersistence true\n"
            f"persistence_location {folder}/\nmax_queued_messages 0\nautosave_interval 2\n"
            "max_inflight_messages 0\n"
        )
        _measure(asked, [server, "-c", str(settings)], port, folder)


def _measure(asked: argparse.Namespace, server: list[str], port: int, folder: str) -> None:
    quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
    running = subprocess.Popen(server, **quiet)  # type: ignore[call-overload]
    time.sleep(1.0)
    subscriber = Subscriber(port)
    time.sleep(1.0)
    out: Any = multiprocessing.Queue()
    seconds, share = asked.minutes * 60, asked.rigs // asked.processes
    url = f"mqtt://127.0.0.1:{port}"
    workers = [
        multiprocessing.Process(
            target=process, args=(url, share, f"shop{n}", seconds, folder, out)
        )
        for n in range(asked.processes)
    ]
    for worker in workers:
        worker.start()
    threading.Event().wait(seconds / 2)
    before = len(subscriber.late_s)
    running.send_signal(getattr(signal, f"SIG{asked.signal}"))
    running.wait()
    time.sleep(5.0)
    running = subprocess.Popen(server, **quiet)  # type: ignore[call-overload]
    totals = [out.get() for _ in workers]
    time.sleep(3.0)
    running.terminate()
    running.wait()
    steady = sorted(subscriber.late_s[:before])
    said, received = sum(total for _, total, _ in totals), len(subscriber.seen)
    print(f"{asked.rigs} rigs, {asked.processes} processes, {asked.minutes:g} min")
    print(f"broker ended by SIG{asked.signal} half-way")
    print(f"readings said {said}, received {received}, lost {said - received}")
    print(f"came twice and were dropped: {subscriber.repeats}")
    print(f"99th percentile before the kill: {steady[int(len(steady) * 0.99)] * 1000:.0f} ms")
    print(f"left undelivered at the bridges: {sum(left for _, _, left in totals)}")


if __name__ == "__main__":
    main()
