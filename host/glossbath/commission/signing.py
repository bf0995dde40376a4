"""The end of a commissioning: somebody looks at every result and answers for it."""

from __future__ import annotations

from glossbath.errors import StepFailed
from glossbath_board.settings import COMMISSIONED

from .visit import Passed, Visit


def sign(visit: Visit) -> Passed:
    """Show the results, ask for a name, and let the rig heat chocolate with a hand at the rig."""
    for code, values in visit.results.items():
        visit.say(f"{code}: {values['text']}")
    visit.expect(
        "sign",
        "Are these results true, and will the rig be used behind an RCD, with its guard, and not "
        "alone on its first runs?",
        "Not signed: the rig goes on heating nothing but water.",
    )
    name = visit.line("signature", "Name of whoever answers for it?")
    visit.hold_arm()
    level = visit.session.put("level", COMMISSIONED)
    visit.release_arm()
    if level != COMMISSIONED:
        raise StepFailed("The board did not take the commissioning.")
    return Passed(f"Signed by {name}; the rig may heat chocolate.", {"name": name})
