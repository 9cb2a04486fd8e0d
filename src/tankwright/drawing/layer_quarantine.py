"""The layer of quarantines: which tanks are shut off, how far each clock is, and which others' water comes to them."""

from __future__ import annotations

from collections.abc import Collection
from typing import Final

from tankwright.drawing.results import DrawnResults, DrawnTank
from tankwright.husbandry.calendar_words import days_words
from tankwright.husbandry.quarantine import Clock
from tankwright.husbandry.shut_facts import ShutFacts
from tankwright.room.model import Room

ABOUT: Final = "which tanks are shut off, how many of their days have gone by, and whose water comes to them"
_EARLY: Final = 0.3
_LATE: Final = 0.6
_LOOK: Final = 0.9
_OPEN: Final = 1.0
"""Places on the scale around enough; `legend.STEP_WORDS` says what its colours mean here."""


def draw_quarantine(room: Room, facts: ShutFacts) -> DrawnResults:
    """Colours and figures of quarantines: the share of its days that has gone by for what is shut off.

    >>> draw_quarantine(Room(title="", display="metric", spaces=(), racks=(), tanks=()), ShutFacts()).figures
    ()
    """
    clocks = {name: clock for clock, names in facts.shut for name in names}
    tanks = tuple(_tank(tank.id, clocks.get(tank.id), tank.id in facts.joined) for tank in room.tanks)
    return DrawnResults(
        layer="quarantine", about=ABOUT, scale="enough", tanks=tanks, figures=_figures(room, facts)
    )


def _tank(name: str, clock: Clock | None, joined: bool) -> DrawnTank:
    if clock is None:
        if joined:
            return DrawnTank(
                id=name, share=_LOOK, figure="joined", title="its water comes to what is shut off"
            )
        return DrawnTank(id=name, share=_OPEN, figure="open", title="not shut off")
    least = clock.quarantine.least_days
    left = days_words(clock.days_left)
    said = "its days have gone by" if clock.is_over else f"{left} to go of {least:.0f} days"
    share = _LOOK if clock.is_over else _LATE if clock.days_gone * 2 >= least else _EARLY
    figure = "over" if clock.is_over else left
    return DrawnTank(id=name, share=share, figure=figure, detail="shut off", title=f"shut off; {said}")


def draw_reached(
    room: Room, begins: str, certain: Collection[str], possible: Collection[str]
) -> DrawnResults:
    """The room lit by a trace: the tank it begins at, those it certainly names, those only a mishap would join.

    >>> draw_reached(Room(title="", display="metric", spaces=(), racks=(), tanks=()), "A1", (), ()).layer
    'trace'
    """
    told = {begins: (_EARLY, "begins", "here the trace begins")}
    told |= dict.fromkeys(certain, (_LATE, "could be", "could be"))
    told |= {name: (_LOOK, "mishap", "only if something goes wrong") for name in possible if name not in told}
    tanks = []
    for tank in room.tanks:
        share, figure, title = told.get(tank.id, (_OPEN, "", "not named"))
        tanks.append(DrawnTank(id=tank.id, share=share, figure=figure, title=title))
    return DrawnResults(
        layer="trace", about="which tanks the trace names", scale="enough", tanks=tuple(tanks)
    )


def _figures(room: Room, facts: ShutFacts) -> tuple[tuple[str, str], ...]:
    if not room.tanks:
        return ()
    shut = [name for _, names in facts.shut for name in names]
    found = [(f"of {len(room.tanks)} tanks shut off", str(len(shut)))]
    if facts.shut:
        clock, names = max(facts.shut, key=lambda one: one[0].days_left)
        found.append((f"to go for {names[0] if names else 'one'}, the longest", days_words(clock.days_left)))
    if facts.joined:
        found.append(("tanks whose water comes to them", str(len(facts.joined))))
    return tuple(found)
