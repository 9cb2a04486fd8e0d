"""A measure against a room's energy or damp: a change of the laid-out room that can be worked out."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from tankwright.finding import Number
from tankwright.room.model import Room
from tankwright.room.model_climate import SpaceClimate


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """One thing to do. `words` hold the numbers by name. `change` gives the room with it, `inflow` is the share of
    the fresh water that still runs. `habit` marks what costs nothing but getting used to. Of measures with the same
    `instead` only one can be taken."""

    key: str
    name: str
    words: str
    numbers: tuple[tuple[str, Number], ...] = ()
    change: Callable[[Room], Room] = lambda room: room
    inflow: float = 1.0
    habit: bool = False
    instead: str = ""


def combined(measures: Iterable[Measure], key: str, name: str) -> Measure:
    """Several measures at once, in their order."""
    several = tuple(measures)

    def change(room: Room) -> Room:
        for one in several:
            room = one.change(room)
        return room

    inflow = 1.0
    for one in several:
        inflow *= one.inflow
    return Measure(
        key=key, name=name, words="; ".join(one.name for one in several), change=change, inflow=inflow
    )


def with_spaces(room: Room, change: Callable[[SpaceClimate], SpaceClimate]) -> Room:
    """The room with every space's climate changed."""
    climate = room.climate
    if climate is None:
        return room
    return replace(room, climate=replace(climate, spaces=tuple(change(one) for one in climate.spaces)))
