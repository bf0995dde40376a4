"""The bridge to a broker, against a real one where it is installed."""

from __future__ import annotations

import json
import re
import subprocess
import sys
import time
from collections.abc import Iterator
from importlib import resources
from pathlib import Path
from typing import Any

import jsonschema
import msgspec
import pytest

from glossbath.away.broker import broker
from glossbath.away.shop import Shop
from glossbath.away.spool import Spool
from glossbath.away.topics import Post

from ..screens.fake_keeper import TRIP, FakeKeeper, event, reading
from .broker_process import GUARD_S, BrokerProcess, needs_broker, until


@pytest.fixture
def broker_process(tmp_path: Path) -> Iterator[BrokerProcess]:
    process = BrokerProcess(tmp_path / "broker")
    yield process
    process.kill()


@pytest.fixture
def bridge(
    broker_process: BrokerProcess, keeper: FakeKeeper, tmp_path: Path, monkeypatch
) -> Iterator[subprocess.Popen[bytes]]:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    process = start_bridge(broker_process)
    yield process
    process.terminate()
    process.wait(GUARD_S)


def start_bridge(broker_process: BrokerProcess) -> subprocess.Popen[bytes]:
    words = ["bridge", "--broker", broker_process.url, "--computer", "kitchen computer"]
    return subprocess.Popen([sys.executable, "-m", "glossbath", *words], stdout=subprocess.DEVNULL)


class Listener:
    """Somebody else's program at the broker: keeps every message by topic."""

    def __init__(self, port: int) -> None:
        import paho.mqtt.client as mqtt

        self.port = port
        self.messages: list[tuple[str, bytes, bool]] = []
        self._client = mqtt.Client(
            mqtt.CallbackAPIVersion.VERSION2, "somebody", protocol=mqtt.MQTTv5
        )
        self._client.on_connect = lambda client, *_: client.subscribe("glossbath/#", 1)
        self._client.on_message = self._keep
        self._client.connect("127.0.0.1", port)
        self._client.loop_start()

    def _keep(self, _client: Any, _data: Any, message: Any) -> None:
        self.messages.append((message.topic, message.payload, message.retain))

    def last(self, topic: str) -> dict[str, Any] | None:
        found = [payload for at, payload, _ in list(self.messages) if at == topic]
        return json.loads(found[-1]) if found and found[-1] else None

    def close(self) -> None:
        self._client.disconnect()
        self._client.loop_stop()


@pytest.fixture
def listener(broker_process: BrokerProcess) -> Iterator[Listener]:
    listener = Listener(broker_process.port)
    yield listener
    listener.close()


BASE = "glossbath/kitchen_computer"


@needs_broker
def test_what_a_rig_does_is_on_the_broker_as_the_document_says(
    bridge, keeper: FakeKeeper, listener: Listener
):
    until(lambda: listener.last(f"{BASE}/kitchen/state"))
    keeper.say(reading(chocolate_c=31.4), event("note", "Belt looked at."), TRIP)
    until(lambda: listener.last(f"{BASE}/kitchen/alarm/bath-hot"))
    until(lambda: listener.last(f"{BASE}/kitchen/event"))
    assert listener.last(f"{BASE}/kitchen/reading")["chocolate_c"] == 31.4  # type: ignore[index]
    assert listener.last(BASE)["online"] is True  # type: ignore[index]
    document = json.loads((resources.files("glossbath.away") / "asyncapi.json").read_text())
    for topic, payload, _ in listener.messages:
        if not payload:
            continue
        channel = next(
            name
            for name, each in document["channels"].items()
            if re.fullmatch(re.sub(r"\{\w+\}", r"[^/]+", each["address"]), topic)
        )
        schema = document["components"]["schemas"][channel]
        jsonschema.validate(json.loads(payload), schema)
        assert json.loads(payload).get("virtual", True), "an invented rig must be called virtual"


@needs_broker
def test_the_broker_tells_that_a_killed_bridge_is_gone(bridge, keeper, listener: Listener):
    until(lambda: (listener.last(BASE) or {}).get("online") is True)
    bridge.kill()
    until(lambda: listener.last(BASE)["online"] is False)  # type: ignore[index]


@needs_broker
def test_the_broker_tells_it_too_where_keeper_and_bridge_die_at_once(
    bridge, keeper: FakeKeeper, listener: Listener
):
    until(lambda: (listener.last(BASE) or {}).get("online") is True)
    until(lambda: listener.last(f"{BASE}/kitchen/state"))
    keeper.hang_up()
    bridge.kill()
    until(lambda: listener.last(BASE)["online"] is False)  # type: ignore[index]


@needs_broker
def test_an_alarm_that_is_cleared_is_taken_off(bridge, keeper: FakeKeeper, listener: Listener):
    topic = f"{BASE}/kitchen/alarm/bath-hot"
    until(lambda: listener.last(f"{BASE}/kitchen/state"))
    keeper.say(TRIP)
    until(lambda: listener.last(topic))
    keeper.say(msgspec.structs.replace(TRIP, state="cleared"))
    until(lambda: [payload for at, payload, _ in listener.messages if at == topic][-1] == b"")
    late = Listener(listener.port)
    try:
        until(lambda: late.last(f"{BASE}/kitchen/state"))
        assert late.last(topic) is None
    finally:
        late.close()


@needs_broker
def test_a_broker_that_is_killed_costs_no_reading(
    bridge, broker_process: BrokerProcess, keeper: FakeKeeper, listener: Listener
):
    """What was said while it was away comes after, in order, and nothing comes twice unmarked."""
    until(lambda: listener.last(f"{BASE}/kitchen/state"))
    for second in range(10):
        keeper.say(reading(float(second)))
    until(lambda: (listener.last(f"{BASE}/kitchen/reading") or {}).get("time_s") == 9.0)
    broker_process.kill()
    for second in range(10, 300):
        keeper.say(reading(float(second)))
    time.sleep(1.0)  # the bridge looks four times a second; it must meet the absent broker
    broker_process.start()
    until(lambda: (listener.last(f"{BASE}/kitchen/reading") or {}).get("time_s") == 299.0)
    seen: dict[str, float] = {}
    for topic, payload, _ in listener.messages:
        if topic.endswith("/reading"):
            message = json.loads(payload)
            seen[message["id"]] = message["time_s"]
    assert sorted(seen.values()) == [float(second) for second in range(300)]


@needs_broker
def test_a_shop_is_seen_from_anywhere(bridge, broker_process: BrokerProcess, keeper: FakeKeeper):
    shop = Shop(broker(broker_process.url))
    shop.start()
    try:
        now = time.monotonic
        until(lambda: shop.states(now()))
        keeper.say(reading(chocolate_c=30.7))
        until(lambda: shop.states(now())[0].get("chocolate_c") == 30.7)
        (state,) = shop.states(now())
        assert state["rig"] == "kitchen_computer/kitchen"
        assert state["answers"]
        done = subprocess.run(
            [sys.executable, "-m", "glossbath", "look", "--broker", broker_process.url],
            capture_output=True,
            text=True,
            timeout=GUARD_S,
        )
        assert "kitchen_computer/kitchen" in done.stdout, done.stderr
        assert "VIRTUAL" in done.stdout
        bridge.kill()
        until(lambda: not shop.states(now())[0]["answers"])
    finally:
        shop.close()


@pytest.mark.parametrize(
    ("words", "code", "sentence"),
    [
        (["bridge", "--broker", "http://x"], 2, "is no broker"),
        (["bridge", "--broker", "mqtt://maker:marzipan@x"], 2, "--password-file"),
        (["bridge", "--broker", "mqtt://x", "--ca", "x.pem"], 2, "mqtts://"),
        (["bridge", "--broker", "mqtt://x", "--password-file", "/nowhere"], 2, "cannot be read"),
        (["look", "--broker", "mqtt://127.0.0.1:1"], 1, "cannot be reached: Connection refused"),
        (["look", "--broker", "mqtt://x", "--allow-stop"], 2, "through a broker"),
    ],
)
def test_bad_input_is_one_sentence(run_folder: Path, words, code, sentence):
    done = subprocess.run(
        [sys.executable, "-m", "glossbath", *words],
        capture_output=True,
        text=True,
        timeout=GUARD_S,
    )
    assert done.returncode == code, done.stderr
    assert sentence in done.stderr
    assert len(done.stderr.strip().splitlines()) == 1
    assert "marzipan" not in done.stderr


def test_the_queue_on_disk_is_in_order_bounded_and_survives(tmp_path: Path):
    path = tmp_path / "queue.sqlite"
    spool = Spool(path, most=100)
    spool.put([Post("state", b"s", True)])
    for number in range(150):
        spool.put([Post("reading", str(number).encode())])
    spool.close()
    spool = Spool(path, most=100)
    kept = spool.take(1000)
    spool.close()
    assert kept[0] == Post("state", b"s", True)
    assert [int(post.payload) for post in kept[1:]] == list(range(51, 150))
    assert path.stat().st_mode & 0o777 == 0o600
