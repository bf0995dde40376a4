"""What only a licensed electrician can try and measure, and the cooker's kind, before mains."""

from __future__ import annotations

from glossbath.errors import StepFailed

from .visit import Passed, Visit

CUTOUT_C = (84.0, 92.0)
"""hardware/wiring.toml: printed 90 °C, 6 below and 2 above, drift included."""
SECOND_C = (104.0, 112.0)
"""The same for the second thermostat, printed 110 °C."""


def electrician(visit: Visit) -> Passed:
    """What was measured with the plug out, and by whom; none of it replaces the proof in circuit
    that follows."""
    visit.say(
        "Mains work is for a licensed electrician under your local codes; the tests are PT-1, "
        "PT-3, PT-5 and PT-8 of hardware/care.md. The mains plug stays out until all is good."
    )
    _cooker(visit)
    if visit.ready_units:
        visit.expect(
            "units-marked",
            "Does each switching unit and the adapter bear the mark of an accredited body with "
            "its file number, and is each as it was bought?",
            "A unit without a body's mark, or one that was opened, protects nobody: take another.",
        )
    visit.expect(
        "rcd-type",
        "Is the RCD of type A (a wave with a half wave below it), or a GFCI, of 30 mA or less?",
        "An RCD of type AC may not see the current of a switch that conducts half waves: have one "
        "of type A put in.",
    )
    visit.expect(
        "rcd", "Has the RCD been tried, and did it trip at once?", "The RCD has to trip first."
    )
    first = _opens(visit, "cutout-opens", "first limit thermostat open (PT-3)", CUTOUT_C)
    second = _opens(visit, "second-opens", "second limit thermostat open (PT-8)", SECOND_C)
    visit.expect(
        "cutout-stays",
        "Did both stay open when they cooled, until their knobs were pressed?",
        "A cut-out that closes by itself does not protect: have it replaced.",
    )
    visit.expect(
        "earth",
        "Has an electrician measured earth and insulation (PT-5)?",
        "Earth and insulation have to be measured before the cooker is plugged in.",
    )
    by = visit.line("electrician", "Who tried and measured it?")
    return Passed(
        f"Thermostats open at {first:g} and {second:g} °C by thermometer; RCD, earth and "
        f"insulation tried by {by}.",
        {"opens_c": first, "second_opens_c": second, "by": by},
    )


def _cooker(visit: Visit) -> None:
    kind = visit.choose(
        "cooker-class",
        "The cooker's rating plate and plug: has it an earthed plug, the mark of a square in a "
        "square, or neither?",
        ("earthed", "square", "neither"),
    )
    if kind == "neither":
        raise StepFailed(
            "A two-pin plug does not say that a cooker is double insulated, only the square in a "
            "square does. No earth and no mark: take another cooker."
        )


def _opens(visit: Visit, code: str, what: str, band: tuple[float, float]) -> float:
    celsius = visit.number(code, f"At how many °C did the {what}?", 0.0, 300.0, "°C")
    low, high = band
    if not low <= celsius <= high:
        raise StepFailed(
            f"The thermostat opened at {celsius:g} °C; it has to open between {low:g} and "
            f"{high:g} °C. Have it replaced before anything heats."
        )
    return celsius
