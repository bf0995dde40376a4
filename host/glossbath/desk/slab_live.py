"""glossbath desk slab --live: the moment on the slab, from the probe of a rig."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from glossbath.client.messages import Reading, Snapshot
from glossbath.errors import InputError, KeeperError
from glossbath.forms.answer import Answer, answer

if TYPE_CHECKING:
    from glossbath.chocolate.windows import Suggestion
    from glossbath.client.client import KeeperClient

PATIENCE_S = 10.0


class Probe:
    """The chocolate probe of a rig, read through its keeper."""

    def __init__(self, client: KeeperClient) -> None:
        self._client = client
        self.batch_kg = 0.0

    def readings(self) -> Iterator[tuple[float, float]]:
        """Time in s and °C of each good reading; raises KeeperError when none comes for long."""
        while True:
            if not self._client.wait(PATIENCE_S):
                raise KeeperError(f"No reading came for {PATIENCE_S:.0f} s: look at the rig.")
            closed = self._client.closed_reason
            for message in self._client.drain():
                if isinstance(message, Snapshot):
                    self.batch_kg = message.batch_kg or self.batch_kg
                elif isinstance(message, Reading) and message.chocolate_c is not None:
                    yield message.time_s, message.chocolate_c
            if closed:
                raise KeeperError(closed)


def follow(
    rig: str, kg: float | None, at_c: float | None, poured_share: float, windows: Suggestion
) -> Answer:
    """Plan from the live probe, then show the moment in plain lines; what came of it.

    Raises InputError when the plan cannot be made, KeeperError when the rig is not there.
    """
    from glossbath.chocolate import slab
    from glossbath.chocolate.slabwatch import SlabWatch
    from glossbath.client.launch import connect

    with connect(rig) as client:
        probe = Probe(client)
        readings = probe.readings()
        _, now_c = next(readings)
        mass_kg = kg or probe.batch_kg
        if not mass_kg:
            raise InputError("The rig knows no mass of a batch: give --kg.")
        start_c = now_c if at_c is None else at_c
        plan = slab.plan(mass_kg, start_c, windows, poured_share=poured_share)
        if not plan.workable:
            return answer(plan)
        for line in plan.sentences():
            print(line, flush=True)
        print("Put the chocolate probe into the part on the slab.", flush=True)
        watch = SlabWatch(plan, windows)
        for time_s, celsius in readings:
            lines = watch.take(time_s, celsius)
            if watch.stage == "done":
                return Answer({"celsius": celsius}, lines)
            for line in lines:
                print(line, flush=True)
    raise KeeperError("The rig's keeper has gone.")
