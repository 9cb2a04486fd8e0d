"""Fish that died, were culled or are missing, by month and tank: of which cause, of none that is known, or unseen."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, tzinfo
from typing import Final, Literal

from tankwright.husbandry.balance_sheet import Moved
from tankwright.husbandry.records import Event

Loss = Literal["dead", "culled", "escaped", "lost", "found"]
LOSSES: Final[tuple[Loss, ...]] = ("dead", "culled", "escaped", "lost", "found")


@dataclass(frozen=True, slots=True, kw_only=True)
class LossRow:
    """What one tank lost in one month. `known` of the dead have a cause, `unknown` have none; `lost` are missing at a
    count and `found` were there too many, of neither does anybody know why. `unassigned` are dead fish that were seen
    and of which nobody said what they were: they are not taken off any number, so a count may miss them again."""

    month: str
    place: str
    known: int = 0
    unknown: int = 0
    culled: int = 0
    escaped: int = 0
    lost: int = 0
    found: int = 0
    unassigned: int = 0

    @property
    def dead(self) -> int:
        """All that are known to have died, of whatever."""
        return self.known + self.unknown


@dataclass(frozen=True, slots=True, kw_only=True)
class Cause:
    """So many fish `died` or were `culled`, of what was written down; "" is no cause."""

    how: Literal["died", "culled"]
    cause: str
    fish: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Losses:
    """All losses of a time: by month and tank, and by cause, the most first."""

    rows: tuple[LossRow, ...]
    causes: tuple[Cause, ...]

    def total(self, what: Loss) -> int:
        """How many in all under one heading."""
        return sum(getattr(row, what) for row in self.rows)


def losses(moved: Iterable[Moved], events: Iterable[Event], zone: tzinfo | None = UTC) -> Losses:
    """What was lost, out of what flowed and what follows from counts, and of which causes the events tell.

    `moved` must have both ends of what went ("held" names its tank) and what counts show. Months are those of `zone`,
    None for that of the clock on the wall.

    >>> from datetime import datetime
    >>> at = datetime(2026, 8, 2, tzinfo=UTC)
    >>> def flow(account, quantity, place="", derived=False):
    ...     return Moved(event="e", stock="s", place=place, account=account, quantity=quantity, happened=at,
    ...                  derived=derived)
    >>> found = losses([flow("held", -3, "a1"), flow("dead", 3)], ())
    >>> found.rows[0].unknown, found.total("dead"), found.causes
    (3, 3, (Cause(how='died', cause='', fish=3),))
    """
    cause_of = {event.id: str(event.details.get("cause") or "").strip() for event in events}
    by: defaultdict[tuple[str, str], Counter[str]] = defaultdict(Counter)
    causes: Counter[tuple[Literal["died", "culled"], str]] = Counter()
    together: defaultdict[tuple[str, str], list[Moved]] = defaultdict(list)
    for one in moved:
        month = f"{one.happened.astimezone(zone):%Y-%m}"
        if one.derived:
            if one.account in {"lost", "found"}:
                by[month, one.place][one.account] += abs(one.quantity)
            continue
        together[one.event, month].append(one)
    for (name, month), flows in together.items():
        for one in flows:
            if one.account not in {"dead", "culled", "escaped", "lost", "found"}:
                continue
            place = next((flow.place for flow in flows if flow.stock == one.stock and flow.place), "")
            cause = cause_of.get(name, "")
            heading = one.account if one.account != "dead" else "known" if cause else "unknown"
            by[month, place][heading] += abs(one.quantity)
            if one.account in {"dead", "culled"}:
                causes["died" if one.account == "dead" else "culled", cause] += one.quantity
    for event in events:
        if event.kind == "died" and event.details.get("unassigned"):
            seen = next((one.value for one in event.observed if one.value is not None), 0.0)
            by[f"{event.happened.astimezone(zone):%Y-%m}", event.place]["unassigned"] += round(seen)
    rows = (
        LossRow(month=month, place=place, **{key: count for key, count in counts.items() if count})
        for (month, place), counts in sorted(by.items())
        if any(counts.values())
    )
    order = sorted(causes.items(), key=lambda one: (one[0][1] == "", -one[1], one[0]))
    return Losses(
        rows=tuple(rows), causes=tuple(Cause(how=how, cause=cause, fish=n) for (how, cause), n in order)
    )
