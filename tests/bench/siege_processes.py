"""Real keepers, real ports, the virtual rig's true heater power: nothing kills or fools them.

    nice .venv/bin/python tests/bench/siege_processes.py [--part N] [--jobs N] [--seed N]

Each trial lets a rig heat, does something to the processes, files or descriptors around it, and
compares the heater's true power with what was promised: with the keeper gone, frozen or unplugged
heat ends with the lease (safety.md: 6.5 s), after a confirmed stop at once, and a screen that
dies changes nothing. The record must open and reach to within a second of the last reading that
could be in it. --part N does every N-th trial of the long rows. Prints a row a kind of trial; exit
code 1 if anything was not as promised.
"""

from __future__ import annotations

import argparse
import concurrent.futures
import os
import random
import shutil
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable
from datetime import datetime
from typing import NamedTuple

import siege_faults
import siege_pairs
from siege_rig import GLOSSBATH, RIG, Bench, bench

from glossbath.record import open_cycle

LEASE_S = 6.5 + 0.75  # a pass, and the heat switch's last window as the bench sees it
STOP_S = 2.5
WATCH_S = 11.0
READING_S = 1.0
SLACK_S = 1.5  # the reading on its way, and the moment of the signal


class Trial(NamedTuple):
    """What came of one trial: '' or what was not as promised."""

    kind: str
    wrong: str
    heat_s: float


def _record(rig: Bench, at_wall_s: float, ended: tuple[str, ...]) -> str:
    """What is wrong with the record of a cycle that was disturbed at a moment."""
    cycle = open_cycle(rig.record)
    if cycle.result not in ended:
        return f"the record says {cycle.result}"
    readings = list(cycle.readings())
    if not readings:
        return "no readings"
    last_s = datetime.fromisoformat(readings[-1].wall).timestamp()
    if last_s < at_wall_s - READING_S - SLACK_S:
        return f"the record ends {at_wall_s - last_s:.1f} s early"
    return ""


def _signalled(number: signal.Signals, rng: random.Random) -> Trial:
    """The keeper gets a signal at a random moment of a heating cycle."""
    kind = f"keeper gets {number.name}"
    with bench() as rig:
        rig.start_cycle()
        time.sleep(rng.uniform(0.0, 3.0))
        assert rig.keeper is not None
        at, wall = rig.rig.now_ms, time.time()
        rig.keeper.send_signal(number)
        heat_s = rig.heat_ended_s(at, WATCH_S)
        if heat_s > (STOP_S if number == signal.SIGTERM else LEASE_S):
            return Trial(kind, f"heat for {heat_s:.1f} s more", heat_s)
        ended = {"SIGKILL": ("cut short",), "SIGTERM": ("stopped",), "SIGSTOP": ("running",)}
        wrong = _record(rig, wall, ended[number.name])
        if number == signal.SIGSTOP:
            rig.keeper.send_signal(signal.SIGCONT)
            rig.until(lambda: open_cycle(rig.record).result == "tripped", "the end of the record")
            wrong = wrong or ("it heats again" if rig.heating() else "")
        return Trial(kind, wrong, heat_s)


def _screen_killed(rng: random.Random) -> Trial:
    """A screen gets SIGKILL or SIGSTOP: the cycle goes on."""
    with bench() as rig:
        rig.start_cycle()
        screen = subprocess.Popen(
            [*GLOSSBATH, "attach", "--plain"], env=rig.environment, stdout=subprocess.DEVNULL
        )
        time.sleep(rng.uniform(0.5, 4.0))
        screen.send_signal(rng.choice((signal.SIGKILL, signal.SIGSTOP)))
        time.sleep(8.0)
        wrong = "" if rig.heating(8.0) else "the cycle did not go on"
        confirmed, text = rig.stop()
        screen.kill()
        screen.wait()
        return Trial("screen killed or frozen", wrong or ("" if confirmed else text), 0.0)


def _stopped_after(kind: str, rig: Bench) -> Trial:
    """glossbath stop from a second terminal must work, or say truthfully that it cannot."""
    confirmed, text = rig.stop()
    at = rig.rig.now_ms
    heat_s = rig.heat_ended_s(at, 4.0)
    if not confirmed:
        return Trial(kind, f"not confirmed: {text}", heat_s)
    if heat_s > STOP_S:
        return Trial(kind, f"confirmed, but heat for {heat_s:.1f} s more", heat_s)
    result = open_cycle(rig.record).result
    return Trial(kind, "" if result == "stopped" else f"the record says {result}", heat_s)


def _removed(what: str) -> Trial:
    with bench() as rig:
        rig.start_cycle()
        if what == "socket":
            for path in rig.runtime.glob(f"{RIG}.*"):
                path.unlink()
        else:
            shutil.rmtree(rig.runtime)
        rig.until(lambda: (rig.runtime / f"{RIG}.stop").exists(), "the socket")
        return _stopped_after(f"{what} removed", rig)


def _crowd(count: int, files: int | None) -> Trial:
    """Idle clients, and a keeper that may open few files."""
    limits = siege_faults.few_files(files) if files else None
    kind = f"{count} idle clients" + (f", {files} descriptors" if files else "")
    with bench(limits=limits) as rig:
        rig.start_cycle()
        peers = []
        for _ in range(count):
            peer = socket.socket(socket.AF_UNIX)
            peer.connect(str(rig.runtime / f"{RIG}.keeper"))
            peers.append(peer)
        try:
            return _stopped_after(kind, rig)
        finally:
            for peer in peers:
                peer.close()


def _unplugged(rng: random.Random) -> Trial:
    """The cable goes while the keeper has much to send, and comes back."""
    kind = "unplugged under full buffers"
    with bench() as rig:
        rig.start_cycle()
        with rig.client() as client:
            for _ in range(40):
                client.post("acknowledge")
                client.post("stop" if rng.random() < 0.02 else "note", text="x" * 200)
            at = rig.rig.now_ms
            rig.wire.unplug()
            heat_s = rig.heat_ended_s(at, WATCH_S)
        assert rig.keeper is not None
        if rig.keeper.poll() is not None:
            return Trial(kind, "the keeper has ended", heat_s)
        if heat_s > LEASE_S:
            return Trial(kind, f"heat for {heat_s:.1f} s more", heat_s)
        rig.wire.plug()
        rig.until(lambda: open_cycle(rig.record).result in ("tripped", "stopped"), "the end")
        return Trial(kind, "", heat_s)


def _with(kind: str, rig_with: Callable[[], siege_faults.Fault]) -> Trial:
    """A fault of the computer that the keeper must live with; then a stop."""
    fault = rig_with()
    with fault as keeper, bench(**keeper) as rig:
        rig.start_cycle()
        fault.put(rig)
        time.sleep(4.0)
        if not rig.heating(8.0):
            return Trial(kind, "the cycle did not go on", 0.0)
        trial = _stopped_after(kind, rig)
        return trial._replace(wrong=fault.judged(rig, trial.wrong))


def _terminal_closed() -> Trial:
    """The terminal in which `run` was typed is closed: the cycle goes on."""
    import pty

    kind = "terminal closed"
    with bench() as rig:
        rig.start_cycle()
        child, far = pty.fork()
        if child == 0:
            os.execve(sys.executable, [*GLOSSBATH, "attach"], rig.environment | {"TERM": "dumb"})
        time.sleep(4.0)
        os.close(far)
        os.waitpid(child, 0)
        time.sleep(3.0)
        if not rig.heating(8.0):
            return Trial(kind, "the cycle did not go on", 0.0)
        return _stopped_after(kind, rig)


def _guarded(act: Callable[[], Trial]) -> Trial:
    try:
        return act()
    except Exception as error:
        return Trial("raised", f"{type(error).__name__}: {error}", 0.0)


def trials(part: int, seed: int) -> list[Callable[[], Trial]]:
    """Everything that is done, in a random order."""
    rng = random.Random(seed)
    seeds = iter(range(seed * 100_000, seed * 100_000 + 10_000))
    acts: list[Callable[[], Trial]] = []
    for number in (signal.SIGKILL, signal.SIGSTOP, signal.SIGTERM):
        for _ in range(max(1, 50 // part)):
            one = random.Random(next(seeds))
            acts.append(lambda number=number, one=one: _signalled(number, one))
    for act, times in ((_screen_killed, 50), (_unplugged, 100)):
        for _ in range(max(1, times // part)):
            one = random.Random(next(seeds))
            acts.append(lambda act=act, one=one: act(one))
    for _ in range(max(1, 10 // part)):
        acts += [lambda: _removed("socket"), lambda: _removed("folder")]
    acts += [lambda: _crowd(1_000, None), lambda: _crowd(100, 32), _terminal_closed]
    for kind, fault in siege_faults.FAULTS.items():
        acts.append(lambda kind=kind, fault=fault: _with(kind, fault))
    rng.shuffle(acts)
    return acts


def main() -> None:
    """Run the siege and print its table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--part", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=12)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--minutes", type=float, default=14.0)
    asked = parser.parse_args()
    began = time.monotonic()
    wrong = siege_pairs.run(max(1, 600 // asked.part), asked.minutes / 3)
    rows: dict[str, list[Trial]] = {}
    left_out = 0
    with concurrent.futures.ThreadPoolExecutor(asked.jobs) as pool:

        def one(act: Callable[[], Trial]) -> Trial | None:
            late = time.monotonic() - began > asked.minutes * 60
            return None if late else _guarded(act)

        for trial in pool.map(one, trials(asked.part, asked.seed)):
            if trial is None:
                left_out += 1
            else:
                rows.setdefault(trial.kind, []).append(trial)
    for kind, done in sorted(rows.items()):
        bad = [trial.wrong for trial in done if trial.wrong]
        wrong += len(bad)
        heat = max(trial.heat_s for trial in done)
        print(f"{kind:40} {len(done):4} trials, {len(bad)} wrong, heat for at most {heat:.1f} s")
        for sentence in sorted(set(bad))[:5]:
            print(f"    {sentence[:150]}")
    print(f"{left_out} left out for lack of time; {time.monotonic() - began:.0f} s")
    sys.exit(1 if wrong else 0)


if __name__ == "__main__":
    main()
