"""What a wet test stands on: how finely a keeper's instruments read, how alike parts are made, and the shares by which
readings correct what a plan gives."""

from __future__ import annotations

from typing import Final

from tankwright.catalogue.assumption import MEMORY, PRACTICE, Assumption, row

PROOF_ROWS: Final[tuple[Assumption, ...]] = (
    row("pump.flow_share", "what an air pump gives over its curve", 1.0, 0.6, 1.15, "number", "air",
        "curves are of a new pump; membranes, filters and heat take some", PRACTICE,
        "a U-tube at the pump and a bottle test of every tap"),
    row("air.tap_share", "width of a tap's way over the bore the plan gives", 1.0, 0.7, 1.3, "number", "air oxygen",
        "the needle, a burr or a thread narrows it, and its edge is no sharp orifice", PRACTICE,
        "a bottle test of several taps"),
    row("feed.rate_share", "what an outlet gives over the rate the plan gives", 1.0, 0.7, 1.2, "number",
        "feed drain water", "lots differ, and what is in use clogs", PRACTICE, "a jug and a minute at ten of them"),
    row("proof.ruler", "how far off a ruler in a tank reads", 0.0015, 0.001, 0.003, "length", "",
        "the skin of water climbs the scale", PRACTICE, "read the same level three times"),
    row("proof.drilling", "how far off a level a hole and an elbow are made", 0.003, 0.001, 0.005, "length", "",
        "a hand drill on glass, an elbow turned by eye", PRACTICE, "a ruler at several tanks"),
    row("proof.jug", "how far off a measuring jug reads", 0.03, 0.01, 0.06, "share", "",
        "its scale, and the second the minute begins and ends", PRACTICE, "weigh what the jug held"),
    row("proof.bottle", "how far off a bottle filled with air under water reads", 0.05, 0.03, 0.10, "share", "",
        "the level inside must be that outside as the clock stops", PRACTICE, "do it three times"),
    row("proof.tap_spread", "how far apart taps of one kind are", 0.05, 0.02, 0.15, "share", "",
        "moulded parts; turned needles differ far more", PRACTICE, "a bottle test of ten alike"),
    row("proof.gauge", "how far off a pressure gauge reads", 0.05, 0.02, 0.10, "share", "",
        "class 2.5 of the full scale, read at half of it", "EN 837-1, from memory", "two gauges side by side"),
    row("proof.u_tube", "how far off a U-tube of water reads", 30.0, 10.0, 60.0, "pressure", "",
        "3 mm of water: two menisci on a ruler", PRACTICE, "read it three times"),
    row("proof.fall", "how far off a fall is laid and read", 0.002, 0.001, 0.005, "slope", "",
        "2 mm in a metre: brackets, and a bubble's width", PRACTICE, "turn the level round and read again"),
    row("proof.clock", "how far off the end of a falling level is told", 0.10, 0.05, 0.20, "share", "",
        "it creeps as it nears the mark", PRACTICE, "do it three times"),
    row("proof.thermometer", "how far apart two thermometers read", 0.5, 0.2, 1.0, "temperature_difference", "",
        "half a kelvin each, unless compared", PRACTICE, "both in one cup of water"),
    row("proof.rcd_time", "longest time a residual current device may take at its rated current", 0.3, 0.04, 0.3,
        "duration", "", "300 ms for the general type", "IEC 61008-1, " + MEMORY, "a tester, by whoever may"),
)  # fmt: skip
