"""How a figure of glass came about."""

from __future__ import annotations

from collections.abc import Iterator

from tankwright.explain.model import Working
from tankwright.room.model import Room
from tankwright.systems.glass_model import GlassResult


def workings_glass(room: Room, result: GlassResult) -> Iterator[Working]:
    """The workings."""
    yield from ()
