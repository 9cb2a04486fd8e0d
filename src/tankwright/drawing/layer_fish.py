"""The layer of fish: how many live in which tank, and which."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from tankwright.drawing.results import DrawnResults, DrawnTank
from tankwright.room.model import Room

ABOUT: Final = "how many fish live in which tank, as they were counted or guessed"


@dataclass(frozen=True, slots=True, kw_only=True)
class LivesHere:
    """What lives in one tank: how many in all, as it is known, and each stock with its number."""

    tank: str
    held: int
    number: str
    stocks: tuple[tuple[str, str], ...]


def draw_fish(room: Room, facts: Sequence[LivesHere]) -> DrawnResults:
    """Colours and figures of the fish: of the tank with the most, the share every tank has; an empty one is hatched.

    >>> draw_fish(Room(title="", display="metric", spaces=(), racks=(), tanks=()), ()).figures
    ()
    """
    known = {one.tank: one for one in facts}
    most = max((one.held for one in facts), default=0)
    tanks = tuple(_tank(tank.id, known, most) for tank in room.tanks)
    return DrawnResults(layer="fish", about=ABOUT, scale="amount", tanks=tanks, figures=_figures(room, known))


def _tank(name: str, known: Mapping[str, LivesHere], most: int) -> DrawnTank:
    one = known.get(name)
    if one is None or not most:
        return DrawnTank(id=name, share=None, figure="–", title="no fish are written down here")
    told = ", ".join(f"{number} {label}" for label, number in one.stocks)
    label = one.stocks[0][0] if len(one.stocks) == 1 else f"{len(one.stocks)} stocks"
    return DrawnTank(id=name, share=one.held / most, figure=str(one.held), detail=label, title=told)


def _figures(room: Room, known: Mapping[str, LivesHere]) -> tuple[tuple[str, str], ...]:
    if not room.tanks:
        return ()
    lived_in = [one for tank in room.tanks if (one := known.get(tank.id)) is not None]
    fish = sum(one.held for one in lived_in)
    return (
        ("fish are written down", str(fish)),
        (f"of {len(room.tanks)} tanks are lived in", str(len(lived_in))),
        ("stocks", str(len({label for one in lived_in for label, _ in one.stocks}))),
    )
