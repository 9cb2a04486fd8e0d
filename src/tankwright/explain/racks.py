"""How a figure of racks came about."""

from __future__ import annotations

from collections.abc import Iterator

from tankwright.explain.model import Working
from tankwright.room.model import Room
from tankwright.systems.racks_model import RacksResult


def workings_racks(room: Room, result: RacksResult) -> Iterator[Working]:
    """The workings."""
    yield from ()
