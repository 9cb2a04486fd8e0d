"""The short summary of every system, in the order of the house."""

from __future__ import annotations

from tankwright.report.air import summary_air
from tankwright.report.drain import summary_drain
from tankwright.report.feed import summary_feed
from tankwright.report.glass import summary_glass
from tankwright.report.heat import summary_heat
from tankwright.report.layout import summary_layout
from tankwright.report.load import summary_load
from tankwright.report.model import SummaryLine
from tankwright.report.oxygen import summary_oxygen
from tankwright.report.power import summary_power
from tankwright.report.racks import summary_racks
from tankwright.report.water import summary_water
from tankwright.study import Study


def summaries(study: Study) -> tuple[tuple[str, tuple[SummaryLine, ...]], ...]:
    """(system, lines) for every system that was worked out; one that was not says so."""
    room = study.room
    missing = (SummaryLine("not computed"),)
    unplanned = (SummaryLine("not computed: the plan describes none"),)
    air = unplanned if room.tanks and not room.airs else missing
    feed = unplanned if room.tanks and not room.feeds else missing
    drain = unplanned if room.tanks and not room.drains else missing
    return (
        ("layout", summary_layout(room, study.layout) if study.layout else missing),
        ("load", summary_load(room, study.load) if study.load else missing),
        ("glass", summary_glass(room, study.glass) if study.glass else missing),
        ("racks", summary_racks(room, study.racks) if study.racks else missing),
        ("air", summary_air(room, study.air) if study.air and room.airs else air),
        ("feed", summary_feed(room, study.feed) if study.feed and room.feeds else feed),
        ("drain", summary_drain(room, study.drain) if study.drain and room.drains else drain),
        ("power", summary_power(room, study.power) if study.power else missing),
        ("water", summary_water(room, study.water) if study.water else missing),
        ("oxygen", summary_oxygen(room, study.oxygen) if study.oxygen else missing),
        ("heat", summary_heat(room, study.heat) if study.heat else missing),
    )
