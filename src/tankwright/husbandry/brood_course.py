"""The life of one brood out of its events: who died when, who was taken out, and the two ends of what nobody saw.

An unknown loss between two counts is told twice: once as if all of it had died, once as if all of it had left alive.
A number guessed at the start is told twice too: the most there may have been, and the fewest.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from typing import Final, Literal

from tankwright.husbandry.ledger import Step, fold
from tankwright.husbandry.records import SINKS, Event
from tankwright.husbandry.survival import USUAL_LEVEL, LifeRow, Survived, product_limit

DAY: Final = 86400.0
_MICRO: Final = 1_000_000
_MINUTE: Final = 1.0 / 1440.0
"""Days: as soon after a count as an unseen loss is told."""
_ALIVE: Final = frozenset({*SINKS, "transit"}) - {"dead", "lost"}
End = Literal["worst", "best"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Gone:
    """Fish that came or went at a day. `since` is the day from which on an unknown loss may have happened."""

    day: float
    dead: int = 0
    withdrawn: int = 0
    entered: int = 0
    unknown: int = 0
    since: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class BroodCourse:
    """All that came and went of a brood, at both ends of what is not known: `worst` with most at first and fewest at
    last, `best` the other way. Days are counted from `origin`."""

    stock: str
    origin: datetime
    worst: tuple[Gone, ...]
    best: tuple[Gone, ...]

    @property
    def start(self) -> tuple[int, int]:
        """The fewest and the most there were on their first day."""
        ends = [next((one.entered for one in gone if one.entered), 0) for gone in (self.best, self.worst)]
        return min(ends), max(ends)

    @property
    def unknown(self) -> tuple[int, int]:
        """The fewest and the most that were lost and nobody knows how."""
        ends = [sum(one.unknown for one in gone) for gone in (self.best, self.worst)]
        return min(ends), max(ends)

    def total(self, what: Literal["dead", "withdrawn"]) -> int:
        """How many are known to have died, or to have been taken out alive."""
        return sum(getattr(one, what) for one in self.worst)


@dataclass(frozen=True, slots=True, kw_only=True)
class Bounded:
    """Shares alive at a day when all unknown losses died, and when all left alive; each with its own interval."""

    day: float
    worst: Survived
    best: Survived

    @property
    def low(self) -> float:
        """The lower end of all: chance and unknown losses together."""
        return self.worst.low

    @property
    def high(self) -> float:
        """The upper end of all."""
        return self.best.high


def steps_of(events: Iterable[Event], stock: str) -> dict[str, list[Step]]:
    """What says something of a stock's number, by place. A number guessed when fish came carries its bounds."""
    steps: dict[str, list[Step]] = defaultdict(list)
    for event in events:
        at, recorded = micros(event.happened), micros(event.recorded)
        seen = next((one for one in event.observed if one.quantity == "count"), None)
        for flow in event.flows:
            if flow.stock != stock or flow.account != "held":
                continue
            low = high = None
            if seen is not None and flow.quantity > 0 and seen.low is not None and seen.high is not None:
                low, high = round(seen.low), round(seen.high)
            steps[flow.place].append(
                Step(
                    kind="flow", at=at, recorded=recorded, event=event.id, quantity=flow.quantity, low=low, high=high,
                )
            )  # fmt: skip
        if event.kind in {"counted", "estimated"} and event.stock == stock and seen is not None:
            value = round(seen.value or 0.0)
            guessed = event.kind == "estimated"
            steps[event.place].append(
                Step(
                    kind="estimate" if guessed else "count", at=at, recorded=recorded, event=event.id, quantity=value,
                    low=round(seen.low) if guessed and seen.low is not None else None,
                    high=round(seen.high) if guessed and seen.high is not None else None,
                )
            )  # fmt: skip
    return dict(steps)


def brood_course(
    events: Sequence[Event], stock: str, *, origin: datetime | None = None
) -> BroodCourse | None:
    """The course of a stock out of the events that stand; None when none of its fish was ever seen.

    `origin` is the moment its days are counted from: that of its hatching, else when its first fish came.
    """
    steps = steps_of(events, stock)
    first = min((one.at for place in steps.values() for one in place), default=None)
    if first is None:
        return None
    start = origin or datetime.fromtimestamp(first / _MICRO, UTC)
    known = _known(events, stock, start)
    worst, best = (
        tuple(sorted((*known, *_by_place(steps, start, end)), key=lambda one: one.day)) for end in _ENDS
    )
    return BroodCourse(stock=stock, origin=start, worst=worst, best=best)


_ENDS: Final[tuple[End, End]] = ("worst", "best")


def survival(course: BroodCourse, *, level: float = USUAL_LEVEL) -> tuple[Bounded, ...]:
    """The share alive after every day on which something is known, with both ends of what is not.

    Both starts are followed (most and fewest, where it was a guess), each with all unknown losses dead as soon as they
    may have been, dead as late, and alive elsewhere: at every day the lowest and the highest share are the ends. More
    at first is not always worse: of known deaths it makes a smaller share.
    """
    ways: tuple[Literal["early", "late", "never"], ...] = ("early", "late", "never")
    tables = [
        product_limit(_rows(gone, dead), level=level) for gone in (course.worst, course.best) for dead in ways
    ]
    whole = Survived(day=0.0, share=1.0, standard_error=0.0, low=1.0, high=1.0)
    made = []
    for day in sorted({one.day for table in tables for one in table}):
        then = [next((one for one in reversed(table) if one.day <= day), whole) for table in tables]
        worst, best = (end(then, key=lambda one: one.share) for end in (min, max))
        made.append(Bounded(day=day, worst=replace(worst, day=day), best=replace(best, day=day)))
    return tuple(made)


def micros(moment: datetime) -> int:
    """A moment as whole microseconds since 1970.

    >>> micros(datetime(1970, 1, 1, 0, 0, 1, tzinfo=UTC))
    1000000
    """
    since = moment - datetime(1970, 1, 1, tzinfo=UTC)
    return (since.days * 86400 + since.seconds) * _MICRO + since.microseconds


def _known(events: Sequence[Event], stock: str, start: datetime) -> list[Gone]:
    """What the flows themselves say: fish that came, died, were taken out, went to another stock."""
    made = []
    for event in events:
        if event.kind in {"born", "arrived", "found"} and _is_guess(event):
            continue  # taken by place, at both ends
        held = sum(one.quantity for one in event.flows if one.stock == stock and one.account == "held")
        told: dict[str, int] = defaultdict(int)
        for one in event.flows:
            if one.stock == stock and one.account != "held":
                told[one.account] += one.quantity
        dead, alive = max(told["dead"], 0), sum(max(told[account], 0) for account in _ALIVE)
        other = held + sum(told.values())  # what balances with another stock: split off, or put in
        came = sum(max(-number, 0) for account, number in told.items() if account != "dead") + max(other, 0)
        if dead or alive or came or other:
            made.append(
                Gone(
                    day=_day(event.happened, start), dead=dead, withdrawn=alive + max(-other, 0), entered=came
                )
            )
        if told["lost"] > 0:
            day = _day(event.happened, start)
            made.append(Gone(day=day, unknown=told["lost"], since=day))
    return made


def _is_guess(event: Event) -> bool:
    return any(
        one.quantity == "count" and one.low is not None and one.high is not None for one in event.observed
    )


def _by_place(steps: dict[str, list[Step]], start: datetime, end: End) -> list[Gone]:
    made: list[Gone] = []
    for place in steps.values():
        made.extend(_pinned(sorted(place, key=lambda one: (one.at, one.recorded, one.event)), start, end))
    return _netted(made) if end == "best" else made


def _pinned(steps: list[Step], start: datetime, end: End) -> list[Gone]:
    """Fish that came to a place as a guess, and what its counts show, when the guess was at one of its ends.

    Guesses between counts say nothing that the next count does not say better; the last one, after all counts, counts.
    """
    last = max((number for number, one in enumerate(steps) if one.kind == "count"), default=-1)
    tail = max((number for number, one in enumerate(steps) if one.kind == "estimate"), default=-1)
    kept = [one for n, one in enumerate(steps) if one.kind != "estimate" or n == tail > last]
    ends = _at_ends(kept, end)
    made = [
        Gone(day=_moment(one.at, start), entered=one.quantity)
        for one, was in zip(ends, kept, strict=True)
        if one.kind == "flow" and was.low is not None
    ]
    since = ends[0].at if ends else 0
    derived = {one.event: one for one in fold(ends).derived}
    for one in ends:
        if one.kind == "flow":
            continue
        shown = derived.get(one.event)
        day, gap = _moment(one.at, start), _moment(since, start)
        if shown is None:
            made.append(Gone(day=day))  # all were seen alive
        else:
            made.append(
                Gone(day=day, unknown=shown.quantity, since=gap) if shown.quantity > 0
                else Gone(day=day, entered=-shown.quantity)
            )  # fmt: skip
        since = one.at
    return made


def _at_ends(steps: list[Step], end: End) -> list[Step]:
    """Steps as exact ones. Worst: most at first and fewest at last. Best: the other way, but never so few at first that
    a count would find more, nor so many at last that some would have come from nowhere."""
    made: list[Step] = []
    for step in steps:
        if step.low is None or step.high is None:
            made.append(step)
        elif step.kind == "flow":
            made.append(
                replace(step, quantity=step.high if end == "worst" else step.low, low=None, high=None)
            )
        else:
            held = fold(made).held
            seen = step.low if end == "worst" else max(step.low, min(step.high, held))
            made.append(replace(step, kind="count", quantity=seen, low=None, high=None))
    if end == "worst":
        return made
    first = next((number for number, one in enumerate(made) if one.kind != "flow"), len(made))
    short = made[first].quantity - sum(one.quantity for one in made[:first]) if first < len(made) else 0
    for number, step in enumerate(steps[:first]):
        if short > 0 and step.high is not None:
            more = min(short, step.high - made[number].quantity)
            made[number] = replace(made[number], quantity=made[number].quantity + more)
            short -= more
    return made


def _netted(gone: list[Gone]) -> list[Gone]:
    """Losses and finds of one day in two places as what they may be: fish that were moved and not written down."""
    found: dict[int, int] = defaultdict(int)
    for one in gone:
        if one.entered and not one.unknown and one.day > 0:
            found[int(one.day)] += one.entered
    made = []
    for one in gone:
        same = min(one.unknown, found[int(one.day)]) if one.unknown else 0
        found[int(one.day)] -= same
        made.append(replace(one, unknown=one.unknown - same))
    cancelled: dict[int, int] = defaultdict(int)
    for was, now in zip(gone, made, strict=True):
        cancelled[int(was.day)] += was.unknown - now.unknown
    netted = []
    for one in made:
        less = min(one.entered, cancelled[int(one.day)]) if one.day > 0 else 0
        cancelled[int(one.day)] -= less
        netted.append(replace(one, entered=one.entered - less))
    return netted


def _rows(gone: Sequence[Gone], dead: Literal["early", "late", "never"]) -> list[LifeRow]:
    """Rows from day to day. Fish that come are at risk from the next row on."""
    days: dict[float, _Sums] = defaultdict(_Sums)
    for one in gone:
        here = days[one.day]
        here.dead += one.dead
        here.withdrawn += one.withdrawn + (one.unknown if dead == "never" else 0)
        here.entered += one.entered
        if dead != "never" and one.unknown:
            days[min(one.since + _MINUTE, one.day) if dead == "early" else one.day].lost += one.unknown
    rows: list[LifeRow] = []
    held, before = 0, min(days, default=0.0)
    for day in sorted(days):
        here = days[day]
        died = min(here.dead, held)
        leaves = min(here.withdrawn, held - died)
        if died or leaves:
            rows.append(LifeRow(start=before, end=day, at_risk=held, dead=died, withdrawn=leaves))
            before = day
        held += here.entered - died - leaves
        lost = min(here.lost, held)
        if lost:
            rows.append(LifeRow(start=before, end=day, at_risk=held, dead=lost))
            before = day
        held -= lost
    if rows and held and before < max(days):
        rows.append(LifeRow(start=before, end=max(days), at_risk=held, dead=0))
    if not rows and held and len(days) > 1:
        rows.append(LifeRow(start=before, end=max(days), at_risk=held, dead=0))
    return rows


@dataclass(slots=True)
class _Sums:
    dead: int = 0
    withdrawn: int = 0
    entered: int = 0
    lost: int = field(default=0)


def _day(moment: datetime, start: datetime) -> float:
    return (moment - start).total_seconds() / DAY


def _moment(at: int, start: datetime) -> float:
    return (at - micros(start)) / (_MICRO * DAY)
