"""Spare parts that are kept, and the fewest there should be: what fails on a Sunday."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from tankwright.finding import Finding, Severity
from tankwright.husbandry.records import Draft, Event, Plain

SHORT: Final = "ROUND-10"


@dataclass(frozen=True, slots=True, kw_only=True)
class Spare:
    """Spare parts of one kind as they were counted last; `least` is None where nobody said how few are too few."""

    what: str
    kept: int
    least: int | None
    counted: datetime

    @property
    def is_short(self) -> bool:
        """True when there are fewer than there should be."""
        return self.least is not None and self.kept < self.least


def counted_spares(
    what: str, kept: int, happened: datetime, *, least: int | None = None, note: str = ""
) -> Draft:
    """Spares that were counted.

    >>> from datetime import UTC
    >>> counted_spares("drippers", 4, datetime(2026, 8, 2, tzinfo=UTC), least=6).details["kept"]
    4
    """
    details: dict[str, Plain] = {"what": what, "kept": kept}
    if least is not None:
        details["least"] = least
    return Draft(kind="spares_counted", happened=happened, note=note, details=details)


def spares(events: Iterable[Event]) -> tuple[Spare, ...]:
    """Spares as the last count of each says, what is short first. A count that says no least number keeps the one said
    before; one of nothing kept and nothing wanted takes the part off the list.

    >>> spares(())
    ()
    """
    known: dict[str, Spare] = {}
    for event in events:
        kept, least = event.details.get("kept"), event.details.get("least")
        if event.kind != "spares_counted" or not isinstance(kept, int | float):
            continue
        what = str(event.details.get("what", ""))
        before = known.get(what)
        wanted = (
            int(least) if isinstance(least, int | float) else before.least if before is not None else None
        )
        known[what] = Spare(what=what, kept=int(kept), least=wanted, counted=event.happened)
    shown = [one for one in known.values() if one.kept or one.least]
    return tuple(sorted(shown, key=lambda one: (not one.is_short, one.what.casefold())))


def spare_findings(kept: Iterable[Spare]) -> tuple[Finding, ...]:
    """Spares that are fewer than they should be."""
    return tuple(
        Finding(
            code=SHORT, severity=Severity.WARNING, subject=one.what,
            text=f"{one.kept} kept, {one.least} wanted", reason="it fails when shops are shut",
            remedy="buy more, then count them", found=str(one.kept), wanted=f"at least {one.least}",
        )
        for one in kept if one.is_short
    )  # fmt: skip
