"""What is known to have changed a tank's water: new water, rinsed filters, doses, fish; and what of it is routine."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final, Literal

from tankwright.husbandry.records import Event

CauseKind = Literal["water change", "filter", "dose", "fish", "other"]

ROUTINE_WITHIN: Final = timedelta(weeks=12)
ROUTINE_TIMES: Final = 4
"""What happened so often in so long is how the tank is kept, not a change of it. Our choice, no source."""

_FISH: Final = frozenset({"arrived", "moved", "left", "regrouped", "born", "died", "culled"})
_MOVES: Final[Mapping[str, frozenset[CauseKind]]] = {
    "temperature": frozenset(), "ph": frozenset({"water change", "dose", "other"}),
    "gh": frozenset({"water change", "dose", "other"}), "salinity": frozenset({"water change", "dose", "other"}),
    "conductivity": frozenset({"water change", "dose", "other"}),
    "chlorine": frozenset({"water change", "dose", "filter"}), "oxygen": frozenset({"filter", "fish", "other"}),
}  # fmt: skip
"""What moves each quantity; all of it moves the others: what fish and filters make and use up."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cause:
    """Something done to a tank that may show in its water. `says` is in its keeper's words."""

    at: datetime
    place: str
    kind: CauseKind
    says: str
    event: str = ""


def causes_of(events: Iterable[Event]) -> tuple[Cause, ...]:
    """What events changed about the water of places, oldest first; a move changes both its ends.

    >>> causes_of(())
    ()
    """
    found = [cause for event in events for cause in _of(event)]
    return tuple(sorted(found, key=lambda one: (one.at, one.place, one.event)))


def _of(event: Event) -> tuple[Cause, ...]:
    if event.kind == "cleaned" and event.place:
        what = str(event.details.get("what", "")).strip()
        return (_cause(event, event.place, _cleaned(what), what or "cleaned"),)
    if event.kind == "treated":
        return (_cause(event, event.place, "dose", f"treated with {event.details.get('with', '')}".strip()),)
    if event.kind in _FISH:
        moved: dict[str, int] = {}
        for flow in event.flows:
            if flow.place:
                moved[flow.place] = moved.get(flow.place, 0) + flow.quantity
        return tuple(
            _cause(event, place, "fish", f"{abs(count)} fish {'more' if count > 0 else 'fewer'}")
            for place, count in moved.items() if count
        )  # fmt: skip
    return ()


def _cleaned(what: str) -> CauseKind:
    said = what.casefold()
    if "water" in said:
        return "water change"
    if any(word in said for word in ("filter", "sponge", "carbon", "media")):
        return "filter"
    return "other"


def _cause(event: Event, place: str, kind: CauseKind, says: str) -> Cause:
    return Cause(at=event.happened, place=place, kind=kind, says=says, event=event.id)


def last_change(causes: Sequence[Cause], quantity: str, now: datetime) -> Cause | None:
    """The newest cause that begins a new stretch of a quantity in a tank whose `causes` these are: none that is
    routine, and none the quantity does not feel.

    >>> from datetime import UTC
    >>> weekly = [Cause(at=datetime(2026, 8, day, tzinfo=UTC), place="p", kind="water change", says="water")
    ...           for day in (1, 8, 15, 22)]
    >>> now = datetime(2026, 8, 30, tzinfo=UTC)
    >>> last_change(weekly[:1], "no3", now).says, last_change(weekly, "no3", now)
    ('water', None)
    """
    feels = _MOVES.get(quantity)
    often: dict[CauseKind, int] = {}
    for one in causes:
        if now - ROUTINE_WITHIN <= one.at <= now:
            often[one.kind] = often.get(one.kind, 0) + 1
    felt = [
        one for one in causes
        if one.at <= now and (feels is None or one.kind in feels) and often.get(one.kind, 0) < ROUTINE_TIMES
    ]  # fmt: skip
    return felt[-1] if felt else None


def by_tank(causes: Iterable[Cause]) -> Mapping[str, tuple[Cause, ...]]:
    """Causes by place."""
    found: dict[str, list[Cause]] = {}
    for one in causes:
        found.setdefault(one.place, []).append(one)
    return {place: tuple(some) for place, some in found.items()}
