"""How many of a brood there were on a day: counted, guessed, between counts, not known; what share of eggs hatched."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final, Literal

from tankwright.husbandry.brood_course import micros, steps_of
from tankwright.husbandry.ledger import Step, fold, in_order
from tankwright.husbandry.records import Event

REPORT_DAYS: Final = (30, 60)
"""Days after hatching that breeding reports ask for: clubs ask for 30 or 60, some up to 120. Common practice."""
_DAY: Final = 86400 * 1_000_000
TO_COME: Final = "that day is still to come"

How = Literal["counted", "guessed", "between counts", "not known"]
_SUREST: Final[tuple[How, ...]] = ("counted", "guessed", "between counts")


@dataclass(frozen=True, slots=True, kw_only=True)
class NumberAt:
    """How many there were at a day. `low` and `high` are the ends that counts before and after allow; `why` says what
    is missing where the number is not known."""

    day: float
    how: How
    number: float | None = None
    low: float | None = None
    high: float | None = None
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class HatchShare:
    """What share of the eggs of a spawn hatched, between bounds where either was a guess."""

    spawn: str
    share: float
    low: float
    high: float


def number_at(
    events: Iterable[Event], stock: str, day: float, *, origin: datetime, until: datetime
) -> NumberAt:
    """How many of a stock there were `day` days after its `origin`, by what was known at `until`.

    A count within a day of it is one. Between two counts of a place what was lost is spread evenly over the days; the
    ends are all of it lost at once and none yet. After the last count of a place nothing is known: what died unseen
    nobody knows.

    >>> number_at((), "s", 30, origin=datetime(2026, 5, 1), until=datetime(2026, 6, 20)).why
    'none of them was ever seen'
    """
    moment = origin + timedelta(days=day)
    if moment > until:
        return NumberAt(day=day, how="not known", why=TO_COME)
    places = steps_of(events, stock)
    if not places:
        return NumberAt(day=day, how="not known", why="none of them was ever seen")
    at = micros(moment)
    number = low = high = 0.0
    how: How = "counted"
    for steps in places.values():
        found = _in_place(in_order(steps), at)
        if found.how == "not known":
            return NumberAt(day=day, how="not known", why=found.why)
        how = max(how, found.how, key=_SUREST.index)
        seen = max(found.number or 0.0, 0.0)  # fewer than none cannot be: the book lists that as a conflict
        number += seen
        low += min(max(found.low or 0.0, 0.0), seen)
        high += max(found.high or 0.0, seen)
    return NumberAt(day=day, how=how, number=number, low=low, high=high)


def _in_place(steps: list[Step], at: int) -> NumberAt:
    before = [one for one in steps if one.at <= at]
    after = [one for one in steps if one.at > at]
    if not before:
        first = steps[0]
        if first.kind == "flow":
            return NumberAt(day=0, how="counted", number=0, low=0, high=0)
        return NumberAt(day=0, how="not known", why="they were first counted later")
    now = fold(before)
    last = before[-1]
    same_day = [one for one in before if one.kind != "flow" and at - one.at < _DAY]
    if not after and now.held == 0 and last.kind == "flow":
        return NumberAt(day=0, how="counted", number=0, low=0, high=0)
    if same_day:
        exact = same_day[-1].kind == "count"
        return NumberAt(
            day=0, how="counted" if exact else "guessed", number=now.held, low=now.low, high=now.high
        )
    pin = next((number for number, one in enumerate(after) if one.kind != "flow"), None)
    if pin is None:
        if after and fold([*before, *after]).held == 0:
            return NumberAt(day=0, how="between counts", number=now.held, low=now.low, high=now.high)
        return NumberAt(day=0, how="not known", why="they were not counted on that day or later")
    then = after[pin]
    flows = sum(one.quantity for one in after[:pin])
    if then.kind == "count" and then.at - at < _DAY:
        seen = max(then.quantity - flows, 0)
        return NumberAt(day=0, how="counted", number=seen, low=seen, high=seen)
    since = max((one.at for one in before if one.kind != "flow" or one.quantity > 0), default=before[0].at)
    jump = then.quantity - (now.held + flows)
    part = (at - since) / (then.at - since) if then.at > since else 1.0
    least = then.quantity if then.low is None else then.low
    most = then.quantity if then.high is None else then.high
    shown_low = min(now.low, least - flows)
    shown_high = max(now.high, most - flows) if jump > 0 else now.high
    number = now.held + jump * part
    return NumberAt(
        day=0, how="between counts", number=max(number, 0.0), low=max(min(shown_low, number), 0.0),
        high=max(shown_high, number),
    )  # fmt: skip


def numbers_at(
    events: Sequence[Event],
    stock: str,
    *,
    origin: datetime,
    until: datetime,
    days: Sequence[float] = REPORT_DAYS,
) -> tuple[NumberAt, ...]:
    """The numbers on the days a breeding report asks for."""
    return tuple(number_at(events, stock, day, origin=origin, until=until) for day in days)


def hatch_share(spawn: Event, born: Event) -> HatchShare | None:
    """Young over eggs, where both were seen; None where either was not. More young than eggs is a share of 1: the
    eggs were seen too few.

    >>> from datetime import UTC
    >>> from tankwright.husbandry.records import Observed
    >>> at = datetime(2026, 5, 1, tzinfo=UTC)
    >>> def seen(what, n, low=None, high=None):
    ...     of = Observed(quantity=what, value=n, low=low, high=high)
    ...     return Event(id="a", serial=1, recorded=at, who="", kind="noted", happened=at, observed=(of,))
    >>> got = hatch_share(seen("eggs", 100, 80, 125), seen("count", 60))
    >>> got.share, got.low, got.high
    (0.6, 0.48, 0.75)
    """
    eggs = next((one for one in spawn.observed if one.quantity == "eggs" and one.value), None)
    young = next((one for one in born.observed if one.quantity == "count" and one.value is not None), None)
    if eggs is None or eggs.value is None or young is None or young.value is None:
        return None
    many = (eggs.low or eggs.value, eggs.high or eggs.value)
    alive = (
        young.value if young.low is None else young.low,
        young.value if young.high is None else young.high,
    )
    return HatchShare(
        spawn=spawn.id, share=min(young.value / eggs.value, 1.0), low=min(alive[0] / many[1], 1.0),
        high=min(alive[1] / many[0], 1.0),
    )  # fmt: skip
