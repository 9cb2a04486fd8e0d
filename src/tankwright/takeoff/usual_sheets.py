"""The sheets that foam and boards are usually sold in, where nobody says it."""

from __future__ import annotations

from tankwright.origin import Known
from tankwright.room.assumed import assumed
from tankwright.room.model import Room


def usual_sheet(room: Room, *, foam: bool) -> tuple[Known, Known]:
    """Width and length of a sheet of foam or wool, or of a board; in a plan read in feet both are of one size.

    >>> room = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> [side.value for side in usual_sheet(room, foam=True)]
    [0.6, 1.25]
    """
    if room.display == "US":
        return assumed(room, "buy.us_sheet_width"), assumed(room, "buy.us_sheet_length")
    if foam:
        return assumed(room, "buy.foam_width"), assumed(room, "buy.foam_length")
    return assumed(room, "buy.board_width"), assumed(room, "buy.board_length")
