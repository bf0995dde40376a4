"""A virtual person for the virtual rig: hands that do as told, and answers from a script."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from glossbath_board.settings import PROBES

from .person import Idle, Left, Question

WARM_C = 37.0
"""What the virtual thermometer shows, and what is in the virtual jug."""


def _all(words: str) -> tuple[str, ...]:
    return tuple(words.format(name=name) for name in PROBES)


_BACK = _all("return {name}")
ACTS: dict[str, tuple[str, ...]] = {
    "arm-press": ("press arm",),
    "arm-release": ("release arm",),
    "arm-tap": ("press arm",),
    "arm-tapped": ("release arm",),
    "input-arm": ("press arm",),
    "input-arm-back": ("release arm",),
    "input-stop": ("press stop",),
    "input-stop-back": ("release stop",),
    "input-lid": ("take lid",),
    "input-lid-back": ("put lid",),
    "input-water": ("sink float",),
    "input-water-back": ("free float",),
    "bench": ("mains off",),
    "load-jumper": ("put jumper",),
    "load-jumper-back": ("take jumper",),
    "mains-on": ("mains on", "knob on"),
    "bulb-hot": ("dip bulb 99",),
    "bulb-cool": ("dip bulb 24",),
    "bulb-reset": ("reset thermostat", "return bulb"),
    "second-hot": ("dip second 118",),
    "second-reset": ("cool second", "reset second", "return second"),
    "take-lid": ("take lid",),
    "put-lid": ("put lid",),
    "float-down": ("sink float",),
    "float-up": ("free float",),
    "guard-hot": ("dip at-body 95",),
    "guard-back": ("return at-body",),
    "paddle-off": ("paddle off",),
    "shaft-hold": ("hold shaft",),
    "shaft-free": ("free shaft", "paddle on"),
    "stop-press": ("press stop",),
    "stop-release": ("release stop",),
    "into-ice": _all("dip {name} 0"),
    "out-of-ice": _BACK,
    "into-thermometer": _all(f"dip {{name}} {WARM_C:g}"),
    "out-of-thermometer": _BACK,
}
for _name in PROBES:
    ACTS[f"warm-{_name}"] = (f"warm {_name}",)
    ACTS[f"warm-{_name}-back"] = (f"return {_name}",)
    ACTS[f"pull-{_name}"] = (f"pull {_name}",)
    ACTS[f"plug-{_name}"] = (f"mend {_name}",)

ANSWERS: dict[str, tuple[str, ...]] = {
    "who": ("a virtual person",),
    "anew": ("yes",),
    "try-again": ("no",),
    "platinum-ohm": ("pt1000",),
    "platinum-wires": ("3",),
    "mains-hz": ("50",),
    "calibrate": ("ice", "thermometer", "done"),
    "thermometer": (f"{WARM_C:g}",),
    "thermometer-uncertainty": ("0.1",),
    "variant": ("box",),
    "cooker-class": ("earthed",),
    "cutout-opens": ("91",),
    "second-opens": ("109",),
    "pressure-from": ("barometer",),
    "barometer": ("1013",),
    "electrician": ("a virtual electrician",),
    "water-kg": ("3",),
    "bowl-kg": ("1",),
    "room-c": ("24",),
    "signature": ("a virtual person",),
}
"""What is not here is answered with yes. The last of several answers is given again and again."""


class Scripted:
    """Says and does what the script says. hands takes the words of the virtual rig's hands.

    answers and acts replace those of the script; an empty answer leaves.
    """

    def __init__(
        self,
        hands: Callable[[str], None],
        tell: Callable[[str], None],
        answers: Mapping[str, Sequence[str]] | None = None,
        acts: Mapping[str, Sequence[str]] | None = None,
    ) -> None:
        self._hands = hands
        self._tell = tell
        self._answers = {**ANSWERS, **(answers or {})}
        self._acts = {**ACTS, **(acts or {})}
        self._given: dict[str, int] = {}
        hands("hands off")  # nobody presses the arm button unless told to

    def tell(self, line: str) -> None:
        self._tell(line)

    def act(self, code: str, line: str) -> None:
        self._tell(f"-> {line}")
        for words in self._acts.get(code, ()):
            self._hands(words)

    def answer(self, question: Question, idle: Idle) -> str:
        script = self._answers.get(question.code, ("yes",))
        at = self._given.get(question.code, 0)
        self._given[question.code] = at + 1
        said = script[min(at, len(script) - 1)]
        self._tell(f"?  {question.text} [{question.hint}] {said}")
        if not said:
            raise Left
        return said
