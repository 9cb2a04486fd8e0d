"""What is otherwise around a breeding set since it last spawned: its fish, its water, its food. What caused what nobody
knows."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from statistics import median
from typing import Final

from tankwright.husbandry.records import Event
from tankwright.husbandry.register import BreedingSet


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """Something that is otherwise since a moment. `before` and `after` are as they were read; "" for what happened
    and has no before."""

    at: datetime
    what: str
    before: str = ""
    after: str = ""


def changes_since(
    one: BreedingSet, events: Iterable[Event], since: datetime, now: datetime, places: Iterable[str]
) -> tuple[Change, ...]:
    """What is otherwise around a set since a moment: moves and losses of its fish, what was done in its `places`, food,
    and readings whose middle left the range they were in before. In the order of time.

    Before and after are as long: `now` - `since`.
    """
    stocks, around = {member.stock for member in one.members}, set(places)
    span = now - since
    seen = sorted(
        (event for event in events if since - span <= event.happened <= now),
        key=lambda event: (event.happened, event.serial),
    )
    before = [event for event in seen if event.happened <= since]
    after = [event for event in seen if event.happened > since]
    changes = [change for event in after for change in _happened(event, stocks, here=event.place in around)]
    here = ([event for event in part if event.place in around] for part in (before, after))
    old, new = here
    changes.extend(_foods(old, new))
    changes.extend(_readings(old, new))
    return tuple(sorted(changes, key=lambda change: (change.at, change.what)))


def _foods(before: Sequence[Event], after: Sequence[Event]) -> Iterator[Change]:
    """Foods given for the first time, where any were written down before."""
    known = {food for event in before if (food := _food(event))}
    for event in after:
        food = _food(event)
        if known and food and food not in known:
            known.add(food)
            yield Change(at=event.happened, what="food", after=food)


def _food(event: Event) -> str:
    return str(event.details.get("food", "")).strip() if event.kind == "fed" else ""


def _readings(before: Sequence[Event], after: Sequence[Event]) -> Iterator[Change]:
    old, new = _read(before), _read(after)
    for quantity, later in new.items():
        earlier = [value for _, value in old.get(quantity, ())]
        middle = median(value for _, value in later)
        if earlier and not min(earlier) <= middle <= max(earlier):
            yield Change(at=later[0][0], what=quantity, before=f"{median(earlier):g}", after=f"{middle:g}")


def _read(events: Sequence[Event]) -> dict[str, list[tuple[datetime, float]]]:
    read: dict[str, list[tuple[datetime, float]]] = defaultdict(list)
    for event in events:
        if event.kind in {"tested", "task_done"}:
            for seen in event.observed:
                if seen.value is not None:
                    read[seen.quantity].append((event.happened, seen.value))
    return read


_THINGS: Final[dict[str, tuple[str, str]]] = {
    "treated": ("treated", "with"), "cleaned": ("cleaned", "what"), "incident": ("incident", "what"),
}  # fmt: skip


def _happened(event: Event, stocks: set[str], *, here: bool) -> list[Change]:
    if event.kind in _THINGS and (here or event.stock in stocks):
        what, key = _THINGS[event.kind]
        return [Change(at=event.happened, what=what, after=str(event.details.get(key, "")))]
    if here and event.kind == "place_changed":
        return [Change(at=event.happened, what="place changed", after=event.note)]
    if event.stock in stocks and event.kind in {"moved", "died", "culled", "left"}:
        return [Change(at=event.happened, what=event.kind, after=str(event.details.get("to", "")))]
    if here and event.kind in {"arrived", "moved"} and event.stock not in stocks:
        return [Change(at=event.happened, what="other fish moved")]
    return []
