"""What the warmth of a room rests on: where it is as before, so is the warmth, and need not be worked out again."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields
from typing import Final

from tankwright.room.model import Room, Tank
from tankwright.weather.model import WeatherYear

_NO_MATTER: Final = frozenset(
    {"box", "hole", "overflow", "hose", "facing", "end_on", "clear_above", "under", "note", "line"}
)
_OF_TANKS: Final = tuple(one.name for one in fields(Tank) if one.name not in _NO_MATTER)


def what_heat_rests_on(
    room: Room, weather: WeatherYear | None, daily_inflow: Mapping[str, float]
) -> tuple[object, ...]:
    """Equal for two rooms whose warmth is the same: where a tank stands along its shelf alters nothing.

    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> what_heat_rests_on(empty, None, {}) == what_heat_rests_on(empty, None, {"A1": 0.01})
    False
    """
    tanks = tuple((one.box.z0, one.box.z1, *(getattr(one, name) for name in _OF_TANKS)) for one in room.tanks)
    return (
        weather.identity if weather is not None else "",
        dict(daily_inflow),
        room.display,
        room.climate,
        room.spaces,
        tuple((rack.id, rack.room) for rack in room.racks),
        tanks,
        room.lives,
        room.laws,
        room.power,
        room.waters,
        room.zones,
        tuple((tap.tank, tap.open) for run in room.airs for tap in run.taps),
        tuple((run.id, run.source, tuple(outlet.tank for outlet in run.outlets)) for run in room.feeds),
    )
