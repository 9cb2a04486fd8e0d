"""The layer of the work that is due: how much at each tank, how late, what waits for its turn."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from tankwright.drawing.results import DrawnResults, DrawnTank
from tankwright.room.model import Room

ABOUT: Final = "the work that is due at each tank today, and how late it is"
_LATE: Final = 0.3
_DUE: Final = 0.9
_DONE: Final = 1.0
"""Places on the scale around enough: late is short, due is nearly there, nothing due is just right."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DueHere:
    """Work of one tank: what is due by its names, and by how many days the latest of it is late."""

    tank: str
    work: tuple[str, ...]
    late: int
    days_late: int
    comes_again: bool = True


def draw_due(room: Room, facts: Sequence[DueHere]) -> DrawnResults:
    """Colours and figures of the work; a tank at which no work comes again is hatched.

    >>> draw_due(Room(title="", display="metric", spaces=(), racks=(), tanks=()), ()).figures[0]
    ('due', '0')
    """
    known: Mapping[str, DueHere] = {one.tank: one for one in facts}
    tanks = tuple(_tank(tank.id, known.get(tank.id)) for tank in room.tanks)
    here = [one for one in facts if any(tank.id == one.tank for tank in room.tanks)]
    figures = (
        ("due", str(sum(len(one.work) for one in here))), ("late", str(sum(one.late for one in here))),
        ("tanks with work", str(sum(bool(one.work) for one in here))),
    )  # fmt: skip
    return DrawnResults(layer="due", about=ABOUT, scale="enough", tanks=tanks, figures=figures)


def _tank(name: str, one: DueHere | None) -> DrawnTank:
    if one is None or not one.comes_again:
        return DrawnTank(id=name, share=None, figure="none set", title="no work comes again here")
    if not one.work:
        return DrawnTank(id=name, share=_DONE, figure="done", title="nothing is due")
    told = ", ".join(one.work[:3]) + (f" and {len(one.work) - 3} more" if len(one.work) > 3 else "")
    if one.late:
        days = f"{one.days_late} day{'s' if one.days_late != 1 else ''} late"
        return DrawnTank(
            id=name, share=_LATE, figure=f"{len(one.work)} due", detail=days, title=f"{told}; {days}"
        )
    return DrawnTank(
        id=name, share=_DUE, figure=f"{len(one.work)} due", detail=told[:24], title=f"{told} due today"
    )
