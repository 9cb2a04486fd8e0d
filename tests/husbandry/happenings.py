"""Events made short for tests of husbandry: day 0 is the first of May."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, datetime, timedelta

from tankwright.husbandry.records import Draft, Event

FIRST = datetime(2026, 5, 1, 8, tzinfo=UTC)


def day(number: float) -> datetime:
    """A moment so many days after the first."""
    return FIRST + timedelta(days=number)


def as_events(drafts: Iterable[Draft]) -> tuple[Event, ...]:
    """Drafts as they would stand in the book, recorded a minute after they happened, in the order given."""
    made = []
    for number, one in enumerate(drafts, 1):
        fields = {name: getattr(one, name) for name in Draft.__dataclass_fields__}
        made.append(
            Event(
                id=f"e{number:04d}",
                serial=number,
                recorded=one.happened + timedelta(minutes=1),
                who="AB",
                **fields,
            )
        )
    return tuple(made)
