"""The layer of the water tests: how the worst of each tank's newest tests stands, and how long ago it was tested."""

from __future__ import annotations

from typing import Final

from tankwright.display import words
from tankwright.drawing.results import DrawnResults, DrawnTank
from tankwright.finding import Number
from tankwright.husbandry.calendar_words import days_words
from tankwright.husbandry.last_tests import LastTests, NewestTest
from tankwright.husbandry.water_limits import Standing
from tankwright.room.model import Room

ABOUT: Final = "the worst of each tank's newest water tests, and how long ago it was tested"
_SHARES: Final[dict[Standing, float | None]] = {
    "past hazard": 0.0, "past want": 0.6, "may be past": 0.9, "inside": 1.0, "no limit": 1.0, "not judged": 0.9,
}  # fmt: skip
_OLD: Final = 0.9
"""Places on the scale around enough; `legend.STEP_WORDS` says what its colours mean here."""
SAID: Final[dict[Standing, str]] = {
    "past hazard": "past what harms fish", "past want": "past what is wanted", "may be past": "may be past its limit",
    "inside": "within its limits", "no limit": "no limit is known", "not judged": "could not be judged",
}  # fmt: skip


def draw_tests(room: Room, facts: tuple[LastTests, ...]) -> DrawnResults:
    """Colours and figures of the water tests; a tank that was never tested is hatched.

    >>> draw_tests(Room(title="", display="metric", spaces=(), racks=(), tanks=()), ()).figures
    ()
    """
    known = {one.tank: one for one in facts}
    tanks = tuple(_tank(tank.id, known.get(tank.id), room.display) for tank in room.tanks)
    return DrawnResults(
        layer="tests", about=ABOUT, scale="enough", tanks=tanks, figures=_figures(room, known)
    )


def _tank(name: str, one: LastTests | None, display: str) -> DrawnTank:
    worst = one.worst if one is not None else None
    if one is None or worst is None or one.age is None:
        return DrawnTank(id=name, share=None, figure="no test", title="its water was never tested")
    ago = days_words(one.age)
    told = value_words(worst, display)
    share = _SHARES[worst.judged.standing]
    if worst.old and share is not None:
        share = min(share, _OLD)
    said = f"tested {ago} ago; {told}: {SAID[worst.judged.standing]}" + (
        ", and long ago" if worst.old else ""
    )
    return DrawnTank(id=name, share=share, figure=ago, detail=told, title=said)


def value_words(one: NewestTest, display: str) -> str:
    """A test as it is told: its name and what was read."""
    return f"{one.quantity.name} {words(Number(one.reading.value, one.quantity.dimension), display)}"


def _figures(room: Room, known: dict[str, LastTests]) -> tuple[tuple[str, str], ...]:
    if not room.tanks:
        return ()
    tested = [one for tank in room.tanks if (one := known.get(tank.id)) is not None and one.age is not None]
    there = {tank.id for tank in room.tanks if tank.state == "stands"}
    never = len(there - {one.tank for one in tested})
    worse = [one for one in tested if one.worst is not None and one.worst.judged.standing.startswith("past")]
    found = [(f"of {len(room.tanks)} tanks past a limit", words(Number(len(worse), "number")))]
    oldest = max(tested, key=lambda one: one.age or 0.0, default=None)
    if oldest is not None:
        found.append(
            (
                f"since {oldest.tank} was tested, the longest",
                days_words(oldest.age or 0.0),
            )
        )
    found.append(("tanks that stand and were never tested", words(Number(never, "number"))))
    return tuple(found)
