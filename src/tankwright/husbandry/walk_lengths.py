"""How far it is from tank to tank on foot: straight from front to front, through doors from room to room."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tankwright.room.model import Room
from tankwright.units import Metre

STAND_OFF: Final[Metre] = 0.4
"""How far before a rack one stands. Common practice, no source."""

UP: Final[Metre] = 0.2
"""What a shelf higher or lower counts as in a walk, so that one column is worked at in one go. Common practice, no
source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """Where one stands in the frame of the plan, m, in which space, and at which shelf one works there."""

    x: Metre
    y: Metre
    space: str = ""
    shelf: int = 0


def spots_of(room: Room) -> dict[str, Spot]:
    """The spot of every tank, before the middle of it, by the tank's name.

    >>> spots_of(Room(title="", display="metric", spaces=(), racks=(), tanks=()))
    {}
    """
    ahead = {"south": (0.0, -1.0), "north": (0.0, 1.0), "west": (-1.0, 0.0), "east": (1.0, 0.0)}
    found = {}
    for tank in room.tanks:
        box, (x, y) = tank.box, ahead[tank.facing]
        middle_x, middle_y = (box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2
        found[tank.id] = Spot(
            x=middle_x + x * ((box.x1 - box.x0) / 2 + STAND_OFF), y=middle_y + y * ((box.y1 - box.y0) / 2 + STAND_OFF),
            space=tank.room, shelf=tank.shelf,
        )  # fmt: skip
    return found


def doors_of(room: Room) -> tuple[Spot, ...]:
    """The middle of every door, in its space.

    >>> doors_of(Room(title="", display="metric", spaces=(), racks=(), tanks=()))
    ()
    """
    return tuple(
        Spot(x=(one.start[0] + one.end[0]) / 2, y=(one.start[1] + one.end[1]) / 2, space=space.id)
        for space in room.spaces
        for one in space.openings
        if one.kind == "door"
    )


def walk_lengths(spots: Sequence[Spot], doors: Sequence[Spot] = ()) -> NDArray[np.float64]:
    """Metres between every two spots. From one space to another it goes by a door of each; straight where one has none.
    What stands in the way is not walked round, so it is never longer than the real walk but for what a shelf counts as.

    >>> walk_lengths([Spot(x=0.0, y=0.0), Spot(x=3.0, y=4.0)]).tolist()
    [[0.0, 5.0], [5.0, 0.0]]
    """
    x = np.array([one.x for one in spots])
    y = np.array([one.y for one in spots])
    shelf = np.array([float(one.shelf) for one in spots])
    lengths = np.hypot(x[:, None] - x[None, :], y[:, None] - y[None, :])
    by_space: dict[str, list[Spot]] = {}
    for door in doors:
        by_space.setdefault(door.space, []).append(door)
    rows: dict[str, list[int]] = {}
    for index, one in enumerate(spots):
        rows.setdefault(one.space, []).append(index)
    for here, mine in rows.items():
        for there, others in rows.items():
            if here != there and here in by_space and there in by_space:
                lengths[np.ix_(mine, others)] = np.min(
                    [
                        np.hypot(x[mine] - out.x, y[mine] - out.y)[:, None]
                        + np.hypot(out.x - into.x, out.y - into.y)
                        + np.hypot(x[others] - into.x, y[others] - into.y)[None, :]
                        for out in by_space[here]
                        for into in by_space[there]
                    ],
                    axis=0,
                )
    return np.asarray(lengths + UP * np.abs(shelf[:, None] - shelf[None, :]), dtype=np.float64)
