"""What goes on beside the round: foods that grow, treatments that run, spares that are kept."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Final

from tankwright.finding import Finding
from tankwright.husbandry.cultures import Culture, cultures
from tankwright.husbandry.records import Kind
from tankwright.husbandry.spares import Spare, spare_findings, spares
from tankwright.husbandry.treatments import Treatment, dilution_findings, treatments
from tankwright.workspace.log import RoomLog

SINCE: Final = timedelta(days=730)
"""How far back courses and cultures are looked for; our choice, no source."""
_FOODS: Final[tuple[Kind, ...]] = ("culture_started", "culture_ended")
_TREATED: Final[tuple[Kind, ...]] = ("treated",)
_SPARES: Final[tuple[Kind, ...]] = ("spares_counted",)
_CLEANED: Final[tuple[Kind, ...]] = ("cleaned",)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stores:
    """All of it, with the labels of places by their ids."""

    cultures: tuple[Culture, ...] = ()
    running: tuple[Treatment, ...] = ()
    over: tuple[Treatment, ...] = ()
    spares: tuple[Spare, ...] = ()
    findings: tuple[Finding, ...] = ()
    labels: Mapping[str, str] = field(default_factory=dict)


def stores_of(log: RoomLog, now: datetime) -> Stores:
    """What the book says of them; nothing where none was ever kept."""
    book = log.kept
    if book is None:
        return Stores()
    since = now - SINCE
    courses = treatments(book.events(kinds=_TREATED, since=since))
    running = tuple(one for one in courses if one.state(now) != "over")
    kept = spares(book.events(kinds=_SPARES))
    cleaned = book.events(kinds=_CLEANED, since=since) if running else ()
    return Stores(
        cultures=cultures(book.events(kinds=_FOODS, since=since)), running=running,
        over=tuple(one for one in reversed(courses) if one.state(now) == "over"), spares=kept,
        findings=(*spare_findings(kept), *dilution_findings(running, cleaned, now)),
        labels={one.id: one.label for one in book.places(closed=True)},
    )  # fmt: skip
