"""Entries as events of the logbook, and such events as entries: a tap on "dead" is a fish that died."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Final

from tankwright.husbandry.facts import Tally, died, spawned
from tankwright.husbandry.records import Draft, Event, Kind, Observed
from tankwright.husbandry.register import BreedingSet, Holding
from tankwright.workspace.entry_values import SCALES, Entry, EntryKind

ENTRY_KINDS: Final[tuple[Kind, ...]] = ("tested", "fed", "looked", "spawned", "died", "noted")
"""Kinds of events an entry can be."""

TAKEN_BACK: Final = "taken back"
"""The reason of an entry that was taken back at once, with a tap."""

_ONE_TAP: Final = "one tap"  # how a number was come by that nobody typed
_PLAIN: Final[dict[str, EntryKind]] = {"fed": "fed", "looked": "looked", "noted": "note", "spawned": "spawn",
                                       "died": "dead"}  # fmt: skip


def draft_of(
    kind: EntryKind, *, place: str, value: float | None, unit: str, note: str, happened: datetime,
    here: Sequence[Holding] = (), sets: Sequence[BreedingSet] = (),
) -> Draft:  # fmt: skip
    """An entry as what happened. `here` is what lives in the place, `sets` what breeds: a dead fish or a spawn is of
    the only stock there, and of nobody knows whom when there are several."""
    stocks = [one.stock for one in here if one.held > 0]
    only = stocks[0] if len(stocks) == 1 else ""
    match kind:
        case "dead":
            return _died(only, place, value, note, happened)
        case "spawn":
            return spawned(
                place, happened, note=note, stock=only, breeding_set=set_of(stocks, sets),
                eggs=None if value is None else Tally(number=round(value)),
            )  # fmt: skip
        case "fed":
            return Draft(kind="fed", happened=happened, place=place, note=note)
        case "looked":
            return Draft(kind="looked", happened=happened, place=place, note=note)
        case "note":
            return Draft(kind="noted", happened=happened, place=place, note=note)
        case _:
            read = Observed(quantity=kind, value=value, unit=unit)
            return Draft(kind="tested", happened=happened, place=place, note=note, observed=(read,))


def set_of(stocks: Sequence[str], sets: Sequence[BreedingSet]) -> str:
    """The breeding set that has one of these stocks in it, when there is just one such set; else ""."""
    of = [
        one.id for one in sets if one.ended is None and any(member.stock in stocks for member in one.members)
    ]
    return of[0] if len(of) == 1 else ""


def _died(stock: str, place: str, value: float | None, note: str, happened: datetime) -> Draft:
    number = 1 if value is None else round(value)
    method = _ONE_TAP if value is None else ""
    if not stock or not number:  # of several nobody said which
        return Draft(
            kind="died", happened=happened, place=place, note=note, details={"unassigned": True},
            observed=Tally(number=number, method=method).observed(),
        )  # fmt: skip
    dead = died(stock, place, number, happened, note=note)
    return Draft(
        kind="died", happened=happened, place=place, stock=stock, note=note, flows=dead.flows,
        observed=Tally(number=number, method=method).observed("dead"),
    )  # fmt: skip


def entry_of(event: Event, tank: str, undoes: Event | None = None) -> Entry | None:
    """The entry an event is, at the tank of that label; None for an event that no entry is.

    Of a voiding `undoes` is the event it voids.
    """
    if event.kind == "voided":
        taken = None if undoes is None else entry_of(undoes, tank)
        if taken is None or undoes is None:
            return None
        return Entry(
            id=event.serial, key=event.key, tank=tank, kind=taken.kind, value=None, unit="", note="",
            happened=event.happened, recorded=event.recorded, who=event.who, undoes=undoes.serial,
        )  # fmt: skip
    if not event.place:
        return None
    kind, value, unit = _said(event)
    if kind is None:
        return None
    return Entry(
        id=event.serial, key=event.key, tank=tank, kind=kind, value=value, unit=unit, note=event.note,
        happened=event.happened, recorded=event.recorded, who=event.who,
    )  # fmt: skip


def _said(event: Event) -> tuple[EntryKind | None, float | None, str]:
    if event.kind == "tested":
        for one in event.observed:
            for kind in SCALES:
                if kind == one.quantity:
                    return kind, one.value, one.unit
        return None, None, ""
    known = _PLAIN.get(event.kind)
    if known in {"dead", "spawn"}:
        seen = next((one for one in event.observed if one.quantity in {"dead", "count", "eggs"}), None)
        if seen is not None:
            return known, None if seen.method == _ONE_TAP else seen.value, ""
        gone = -sum(one.quantity for one in event.flows if one.account == "held")
        return known, float(gone) if gone else None, ""
    return known, None, ""
