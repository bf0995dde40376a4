"""Every key of a rig's screens in the order in which they are shown, with what it does."""

from __future__ import annotations

from textual.binding import Binding


def letter(key: str, action: str, words: str, why: str = "", *, priority: bool = False) -> Binding:
    """A letter key, which works just as well while caps lock is on."""
    keys = f"{key},{key.upper()}"
    return Binding(keys, action, words, priority=priority, key_display=key, tooltip=why)


HELP = "this page; F1 while you type"
STOP = "heat, chill and stirrer off at once; the cycle is over"

KEYS = [
    letter("s", "stop", "STOP", STOP, priority=True),
    # A text field takes every letter, so STOP has a second key that no text needs.
    Binding("f9", "stop", "STOP", False, "F9", priority=True, tooltip=STOP),
    letter("h", "hold", "Hold", "the recipe waits where it is; the temperature is kept"),
    letter("h", "resume", "Resume", "the recipe goes on"),
    letter("f", "done", "Done", "what the rig asked for, such as seed, is done"),
    letter("b", "finish", "Bowl emptied", "the work is finished: the cycle ends complete"),
    letter("p", "next_phase", "Next phase", "leave this phase before its time, after a question"),
    letter("a", "acknowledge", "Ack", "you have seen the first new alarm"),
    letter("c", "clear", "Clear trip", "the cause has gone: the rig may be started again"),
    letter("v", "steer", "Steer", "take the steering over from another screen"),
    letter("r", "reconnect", "Reconnect", "look for the rig's keeper again"),
    letter("n", "note", "Note", "write a line into the record of this cycle"),
    letter("i", "ice", "Ice put in", "how much went into the chill water: the forecast counts it"),
    letter("t", "dip", "Dip test", "the test of temper by the clock, into the record"),
    letter("m", "this_cycle", "Report", "the verdict of the cycle that has ended"),
    letter("w", "practise", "Practise", "put a fault into the virtual rig, and take it out again"),
    letter("g", "new_bowl", "New bowl", "fresh chocolate, water and ice for the virtual rig"),
    letter("z", "zoom", "Trend", "the whole cycle, the last 20 minutes, or the window close up"),
    letter("x", "kitchen", "Large", "digits, sentence and alarms as large as the terminal"),
    letter("r", "recipes", "Recipes", "choose, change and start a recipe"),
    letter("l", "cycles", "Cycles", "past cycles, their verdicts, reports and comparison"),
    letter("o", "rigs", "Rigs", "every rig of this computer"),
    letter("k", "desk", "Desk", "sums and judgements of the trade"),
    letter("d", "details", "Details", "every probe, output and counter"),
    letter("e", "events", "Events", "alarms one by one, and what has happened"),
    letter("u", "unit", "°C/°F", "change the unit; it is kept for the next time"),
    Binding(
        "f7", "light", "Light/dark", key_display="F7", tooltip="change the colours; it is kept"
    ),
    Binding("escape", "back", "Back", key_display="esc", tooltip="one screen back"),
    Binding("question_mark", "help", "Help", key_display="?", tooltip=HELP),
    Binding("f1", "help", "Help", key_display="F1", tooltip=HELP),  # a text field takes the other
    Binding(
        "ctrl+p", "command_palette", "All actions", priority=True, key_display="^p",
        tooltip="find an action by its words",
    ),
    letter("q", "quit", "Quit", "leave; it asks first while a cycle is under way"),
]  # fmt: skip

PAGES = (
    *("light", "unit", "zoom", "rigs", "kitchen", "details", "desk", "cycles", "recipes"),
    "command_palette",
)
"""What gives way at the foot of a low screen, first things first; the help still has it."""
