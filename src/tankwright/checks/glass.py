"""What glass come to means: a screening."""

from __future__ import annotations

from tankwright.finding import Finding
from tankwright.room.model import Room
from tankwright.systems.glass_model import GlassResult


def check_glass(room: Room, result: GlassResult) -> tuple[Finding, ...]:
    """Everything there is to say."""
    return ()
