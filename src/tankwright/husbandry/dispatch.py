"""Fish that left the room: what, how many, to whom; what they were treated with before; whether they were shut off."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final, Literal

from tankwright.husbandry.balance_sheet import Moved
from tankwright.husbandry.quarantine import quarantine_clock
from tankwright.husbandry.records import Account, Event
from tankwright.husbandry.register import Quarantine
from tankwright.husbandry.stays import Stays
from tankwright.husbandry.treatments import Treatment

LOOKED_BACK: Final = timedelta(days=90)
"""For how long before they left a treatment is told. Common practice, no source."""

NO_CERTIFICATE: Final = (
    "This is no health certificate. It tells what was written down here: nobody examined these fish for it, and an"
    " illness that was not seen, or not written down, is not in it. Whoever needs a certificate asks a vet where they"
    " live; which papers fish must have to be sold, moved or sent is set by local rules."
)

_OUT: Final[tuple[Account, ...]] = ("sold", "given", "used", "escaped")
ShutState = Literal["not shut off", "shut off", "opened again"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Left:
    """Fish of one stock that left at one event. `to` is to whom, "" when nobody wrote it down.

    `courses` are treatments of these fish, or of water they were in, in the days before; `withheld` those that still
    ran or whose withdrawal was not over. `shut` is how their tank stood: of one "shut off" `shut_days` have gone by of
    `least_days`; one "opened again" was within the days before. `arrived` is when fish last came from outside to it.
    """

    event: str
    happened: datetime
    stock: str
    place: str
    fish: int
    how: str
    to: str = ""
    courses: tuple[Treatment, ...] = ()
    withheld: tuple[Treatment, ...] = ()
    shut: ShutState = "not shut off"
    shut_days: float = 0.0
    least_days: float = 0.0
    released: datetime | None = None
    arrived: datetime | None = None


def dispatches(
    events: Sequence[Event], courses: Sequence[Treatment], quarantines: Sequence[Quarantine], been: Stays
) -> tuple[Left, ...]:
    """All that left, in the order they did. `events` must have all that brings fish too: arrivals, moves, regroupings.
    What reaches a tank by water alone restarts no clock here.

    >>> dispatches((), (), (), Stays(by_stock={}, came_of={}))
    ()
    """
    arrivals = sorted((one for one in events if one.kind == "arrived"), key=lambda one: one.happened)
    found: list[Left] = []
    for event in sorted(events, key=lambda one: (one.happened, one.serial)):
        if event.kind != "left":
            continue
        for flow in event.flows:
            if flow.account not in _OUT or flow.quantity <= 0:
                continue
            told = courses_before(courses, been, flow.stock, event.happened)
            shut, days, least, released = _shut(event.place, event.happened, quarantines, events)
            came = [
                one.happened
                for one in arrivals
                if one.place == event.place and one.happened <= event.happened
            ]
            found.append(Left(
                event=event.id, happened=event.happened, stock=flow.stock, place=event.place, fish=flow.quantity,
                how=flow.account, to=str(event.details.get("to") or ""), courses=told,
                withheld=tuple(one for one in told if one.state(event.happened) != "over"), shut=shut,
                shut_days=days, least_days=least, released=released, arrived=came[-1] if came else None,
            ))  # fmt: skip
    return tuple(found)


def courses_before(
    courses: Iterable[Treatment], been: Stays, stock: str, at: datetime, back: timedelta = LOOKED_BACK
) -> tuple[Treatment, ...]:
    """Treatments that fish of a stock had within the days before a moment, or whose withdrawal reached into them: given
    to them, to fish they were counted with, or to the water of a tank they were in."""
    where = been.of(stock, at)
    with_them = been.came_from(stock, at)
    return tuple(
        one for one in courses
        if one.began <= at and (one.free or one.ends) >= at - back
        and ((one.stock in with_them and one.began <= with_them[one.stock]) if one.stock else
             any(stay.place == one.place and stay.at(one.began, min(one.ends, at)) for stay in where))
    )  # fmt: skip


def _shut(
    place: str, at: datetime, quarantines: Sequence[Quarantine], events: Sequence[Event]
) -> tuple[ShutState, float, float, datetime | None]:
    """How a place stood at a moment: the quarantine it was in, its days from when fish last came to it; else the last
    that was opened again before."""
    of = [one for one in quarantines if place in one.places and one.opened <= at]
    for one in of:
        if one.released is None or at < one.released:
            clock = quarantine_clock(one, events, (), at)
            return "shut off", clock.days_gone, one.least_days, None
    past = [one for one in of if one.released is not None and at - one.released <= LOOKED_BACK]
    if past:
        last = max(past, key=lambda one: one.released or one.opened)
        return "opened again", 0.0, last.least_days, last.released
    return "not shut off", 0.0, 0.0, None


def fish_left(moved: Iterable[Moved]) -> dict[str, int]:
    """How many left the room by account, as a balance sheet has them.

    >>> fish_left(())
    {'sold': 0, 'given': 0, 'used': 0, 'escaped': 0}
    """
    counts = dict.fromkeys((str(one) for one in _OUT), 0)
    for one in moved:
        if one.account in counts and not one.derived:
            counts[one.account] += one.quantity
    return counts
