"""Values the plan does not give, taken when a fault or the takeoff asks: a healthy room is not told of them."""

from __future__ import annotations

from tankwright.catalogue.assumptions import ASSUMPTIONS
from tankwright.origin import Known
from tankwright.room.model import Room


def assumed(room: Room, key: str) -> Known:
    """What the owner says for the whole room under [assume], or the default with its band.

    >>> room = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> assumed(room, "people.look_gap").value
    86400.0
    """
    own = next((one for one in room.own if one.key == key), None)
    return own or ASSUMPTIONS[key].known()
