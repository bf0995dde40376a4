"""The desk: the trade's sums and judgements as questions, with or without a rig.

A question is a function; its signature declares what is asked (see `glossbath.forms.question`).
Command line and screen are made from this list.
"""

from __future__ import annotations

from glossbath.forms.question import Question

from . import batch, causes, making, moulding, room, sums, temper, tempering

BEFORE, ROOM, WHILE, TEST, AFTER, WHY = (
    "Before a batch",
    "The room",
    "While you work",
    "Is it in temper?",
    "From mould to wrapper",
    "Why, and what next time",
)

QUESTIONS = (
    Question("batch", "Plan a batch: times, heat, ice, water", BEFORE, batch.batch),
    Question("formula", "From ingredients: composition, cost, yield", BEFORE, making.formula),
    Question("windows", "Melt, cooling and working windows", BEFORE, batch.windows),
    Question("legal-names", "Names on a label: minimum contents", BEFORE, batch.legal_names),
    Question(
        "food-safety", "Food safety: what kills, what to discard", BEFORE, making.food_safety
    ),
    Question("heat", "Heat that a batch takes", BEFORE, sums.heat),
    Question("heater", "How long the heater takes", BEFORE, sums.heater),
    Question("cooling", "How long cooling takes", BEFORE, sums.cooling),
    Question("ice", "Ice or cold water for the bath", BEFORE, sums.ice),
    Question("mix", "What warm and cold parts come to", BEFORE, sums.mix),
    Question("room", "The air: dew point and what it means", ROOM, room.room),
    Question("sweat", "Will cold chocolate sweat?", ROOM, room.sweat),
    Question("dry", "Water a dehumidifier must take out", ROOM, room.dry),
    Question("seed", "How much seed to stir in", WHILE, tempering.seed),
    Question("seed-block", "Chopped seed into hot chocolate", WHILE, tempering.seed_block),
    Question("seed-check", "Was the seed added? Read from a trace", WHILE, tempering.seed_check),
    Question("slab", "Tabling: how much to pour on the slab", WHILE, tempering.slab),
    Question("slab-mix", "Back from the slab: go round again?", WHILE, tempering.slab_mix),
    Question("hold", "A batch being held", WHILE, tempering.hold),
    Question("remelt", "The way back into temper", WHILE, tempering.remelt),
    Question("overheated", "It got too hot: can it be saved?", WHILE, tempering.overheated),
    Question("seized", "Has water got in? Read from the stirrer", WHILE, tempering.seized),
    Question("dip", "What a dip test says", TEST, temper.dip, recorded="dip"),
    Question("dip-clock", "A dip test under way: what to look at", TEST, temper.dip_clock),
    Question("curve", "A cooling curve: bend and slope", TEST, temper.curve, recorded="curve"),
    Question("calibrate", "Own limits for cooling curves", TEST, temper.calibrate),
    Question("crystals", "Predicted crystals so far", TEST, temper.crystals),
    Question("mould", "Moulds, cooling and demoulding", AFTER, moulding.mould),
    Question("store", "Storing and sending", AFTER, making.store),
    Question("label", "The text of a label", AFTER, making.label),
    Question("trace", "From lots to bars and back", AFTER, making.trace),
    Question("bloom", "Why did it turn white, dull or soft?", WHY, causes.bloom),
    Question("learn", "What went with good results", WHY, causes.learn),
)
"""In the order of the job."""

BY_NAME = {question.name: question for question in QUESTIONS}
