"""What each tank loses when a board, a breaker or a protective device goes off, for the power layer."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from tankwright.drawing.results import DrawnResults, DrawnTank
from tankwright.room.model import Room
from tankwright.systems.power import PowerResult, Stop

_GRAVE: Final = frozenset({"heat", "cool", "feed", "pump"})
_ALL_AIR, _GRAVELY, _A_LITTLE, _NOTHING = 0.0, 0.6, 0.9, 1.0
"""Places on the scale around enough whose colours stand for what is lost; `legend.STEP_WORDS` says it in words."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Loss:
    """One kind of service a tank loses. `part` is True when a board that stays on still gives some of it."""

    what: str
    part: bool

    @property
    def words(self) -> str:
        """The loss in words.

        >>> Loss(what="air", part=True).words
        'part of air'
        """
        return f"part of {self.what}" if self.part else self.what


def losses(power: PowerResult, stop: Stop) -> dict[str, tuple[Loss, ...]]:
    """What every tank loses with this stop, air first; tanks that lose nothing are left out.

    >>> stop = Stop(kind="board", id="x", loads=("pump",), does=(("air", ("A1",)),))
    >>> losses(PowerResult(described=True, stops=(stop,)), stop)
    {'A1': (Loss(what='air', part=False),)}
    """
    off = boards_of(power, stop)
    still = {
        (what, tank)
        for other in power.stops
        if other.kind == "board" and other.id not in off
        for what, tanks in other.does
        for tank in tanks
    }
    found: dict[str, list[Loss]] = {}
    for what, tanks in sorted(stop.does, key=lambda one: one[0] != "air"):
        for tank in tanks:
            found.setdefault(tank, []).append(Loss(what=what, part=(what, tank) in still))
    return {tank: tuple(lost) for tank, lost in found.items()}


def boards_of(power: PowerResult, stop: Stop) -> frozenset[str]:
    """The boards that go off with a stop."""
    if stop.kind == "board":
        return frozenset({stop.id})
    groups = power.circuits if stop.kind == "breaker" else power.devices
    return frozenset(board for one in groups if one.circuit == stop.id for board in one.boards)


def draw_trip(results: DrawnResults, room: Room, power: PowerResult, stop: Stop) -> DrawnResults:
    """The power layer with every tank coloured by the gravest thing it loses, without the tanks' own findings:
    those hold whatever goes off."""
    lost = losses(power, stop)
    tanks = []
    for tank in room.tanks:
        here = lost.get(tank.id, ())
        words = ", ".join(one.words for one in here)
        tanks.append(DrawnTank(
            id=tank.id, share=_place(here), figure=words,
            title=f"loses {words}" if here else "loses nothing that is described",
        ))  # fmt: skip
    names = {tank.id for tank in room.tanks}
    marks = tuple(mark for mark in results.marks if mark.place not in names)
    about = f"what each tank loses when {stop.id} goes off"
    return replace(results, about=about, scale="enough", tanks=tuple(tanks), marks=marks)


def _place(lost: tuple[Loss, ...]) -> float:
    if any(one.what == "air" and not one.part for one in lost):
        return _ALL_AIR
    if any(one.what == "air" or one.what in _GRAVE for one in lost):
        return _GRAVELY
    return _A_LITTLE if lost else _NOTHING


__all__ = ["Loss", "boards_of", "draw_trip", "losses"]
