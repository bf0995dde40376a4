"""The long run on water which shows what the rig does with heat: run like a batch, by a keeper."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from glossbath.client.messages import Event, Message, Reply, Request
from glossbath.errors import StepFailed
from glossbath.keeper.keeper import Keeper
from glossbath.record import default_folder, open_cycle

from .visit import Passed, Visit

_LEASE_ENDS_S = 7.0
_HOURS = "about two hours"
_LONGEST_MS = 8 * 3_600_000
_TOLD = ("phase", "state", "trip", "alarm")


def identify(visit: Visit) -> Passed:
    """Heat, rest, chill and rest on water, and the model that follows; may be left for later."""
    if not visit.confirm(
        "identify",
        f"The rig can find out what it does with heat, with water and ice, in {_HOURS}. Now?",
    ):
        return Passed(
            "Left for later: glossbath tune recipe, then glossbath tune fit.", {"done": False}
        )
    water_kg = visit.number("water-kg", "Weighed water in the crock?", 0.5, 20.0, "kg")
    bowl_kg = visit.number("bowl-kg", "Weighed water in the bowl?", 0.05, 10.0, "kg")
    room_c = visit.number("room-c", "The room's temperature?", 0.0, 45.0, "°C")
    visit.say("Ice water in its bucket, lid on. Stay with the rig; ctrl+c stops it.")
    return _model(visit, _run(visit, bowl_kg), water_kg, bowl_kg, room_c)


def _run(visit: Visit, bowl_kg: float) -> Path:
    """Run the experiment's recipe to its end; the folder of its record."""
    from glossbath.recipe import dump
    from glossbath.thermal.tuning import identify_recipe

    session = visit.session
    session.leasing = False
    session.wait(_LEASE_ENDS_S)  # until then the board takes orders from this session only
    answers: list[Reply] = []

    def publish(message: Message) -> None:
        if isinstance(message, Event) and message.kind in _TOLD:
            visit.say(message.text)

    link, clock = session.link, session.clock
    keeper = Keeper(link, clock, visit.rig, default_folder(), publish)
    armed = _Arming(visit)
    values = {"recipe": dump(identify_recipe("water")), "where": "identification"}
    try:
        end_ms = clock.now_ms() + _LONGEST_MS
        while not (batch := keeper.batch) or batch.running:
            clock.wait(link.caught_up, link.written)
            keeper.step()
            if not answers and keeper.batch is None and keeper.snapshot().engine:
                keeper.ask(Request(1, "start", {**values, "batch_kg": bowl_kg}), answers.append)
            if answers and not answers[0].ok:
                raise StepFailed(answers[0].text)
            armed.step(keeper.snapshot().state)
            if clock.now_ms() > end_ms:
                raise StepFailed("The run did not end in eight hours.")
        if batch.result != "complete":
            raise StepFailed(f"The run on water ended as {batch.result}: see {batch.folder}.")
        return Path(batch.folder)
    except BaseException:
        keeper.shut_down("the commissioning was left")
        raise


class _Arming:
    """Has the arm button pressed and released, once each."""

    def __init__(self, visit: Visit) -> None:
        self._visit = visit
        self._asked = self._thanked = False

    def step(self, state: str) -> None:
        """Look at the board's state."""
        if state == "waiting" and not self._asked:
            self._asked = True
            self._visit.act("arm-tap", "Press the arm button once.")
        elif self._asked and state != "waiting" and not self._thanked:
            self._thanked = True
            self._visit.act("arm-tapped", "Let the arm button go.")


def _model(visit: Visit, folder: Path, water_kg: float, bowl_kg: float, room_c: float) -> Passed:
    from glossbath.thermal.model import save_model, water
    from glossbath.thermal.model.board import board_values
    from glossbath.thermal.tuning import Known, fit

    visit.session.wait(_LEASE_ENDS_S)  # the keeper's lease, which has ended with its run
    known = Known(water_kg, water(bowl_kg), room_c)
    with ThreadPoolExecutor(1) as pool:
        # The line to the board is kept while this thinks.
        job = pool.submit(fit, open_cycle(folder).readings(), known)
        while not job.done():
            visit.session.step()
        found = job.result()
    save_model(visit.rig, found.model, f"From {folder.name}.")
    kept = visit.session.put("model", board_values(found.model))
    return Passed(
        f"Heater {found.model.heater_w:.0f} W; the board steers by this rig's own model. Record: "
        f"{folder}.",
        {"done": True, "folder": str(folder), "model": kept, "rms_k": round(found.rms_k, 3)},
    )
