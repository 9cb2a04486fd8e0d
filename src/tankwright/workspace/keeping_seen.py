"""What is seen in a tank: spawns, lengths and weights, notes, incidents with a picture."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import TYPE_CHECKING

from tankwright.husbandry import facts
from tankwright.husbandry.records import Draft, Observed, Plain
from tankwright.logbook.outcome import Recorded, Refused
from tankwright.workspace.keeping import Hand, checked_number, checked_tally, do, wrong_value
from tankwright.workspace.naming import WrongError, fish_in, place_named, set_named, stock_in

if TYPE_CHECKING:
    from tankwright.logbook.store import Logbook


def spawned(
    hand: Hand, tank: str, *, eggs: int | None = None, low: int | None = None, high: int | None = None,
    parents: str = "", method: str = "",
) -> Recorded | Refused:  # fmt: skip
    """A spawn was seen: of the set that is named, or that is the only one in the tank, or of nobody knows whom."""

    def make(book: Logbook, at: datetime) -> list[Draft]:
        place = place_named(book, tank)
        tally = None if eggs is None else checked_tally(eggs, low, high, place.label)
        here = [stock.id for _, stock in fish_in(book, place)]
        if parents.strip():
            made = set_named(book, parents).id
        else:
            of = [
                one for one in book.sets(closed=False) if any(member.stock in here for member in one.members)
            ]
            made = of[0].id if len(of) == 1 else ""
        return [facts.spawned(place.id, at, breeding_set=made, stock=here[0] if len(here) == 1 else "", eggs=tally,
                              method=method, note=hand.note)]  # fmt: skip

    return do(hand, make)


def measured(
    hand: Hand, tank: str, values: Sequence[Observed], *, stock: str = "", number: int = 1
) -> Recorded | Refused:
    """Fish were measured or weighed: "length" and "mass" with their units, of `number` fish."""

    def make(book: Logbook, at: datetime) -> list[Draft]:
        place = place_named(book, tank)
        checked_number(number, place.label)
        _, fish = stock_in(book, place, stock, hand.then)
        return [Draft(kind="measured", happened=at, place=place.id, stock=fish.id, note=hand.note,
                      observed=tuple(values), details={"number": number})]  # fmt: skip

    return do(hand, make)


def noted(hand: Hand, tank: str, *, stock: str = "", photo: str = "") -> Recorded | Refused:
    """A note, or a picture with or without one."""
    return _said(hand, "noted", tank, stock, {"photo": photo} if photo else {})


def went_wrong(hand: Hand, tank: str, what: str, *, stock: str = "", photo: str = "") -> Recorded | Refused:
    """Something went wrong: what, with a picture where there is one."""
    said: dict[str, Plain] = {"what": what.strip()} if what.strip() else {}
    return _said(hand, "incident", tank, stock, said | ({"photo": photo} if photo else {}))


def _said(hand: Hand, kind: str, tank: str, stock: str, details: dict[str, Plain]) -> Recorded | Refused:
    def make(book: Logbook, at: datetime) -> list[Draft]:
        place = place_named(book, tank)
        fish = stock_in(book, place, stock, hand.then)[1].id if stock.strip() else ""
        if not hand.note.strip() and not details:
            raise WrongError(wrong_value(place.label, "has a note that says nothing", wanted="a few words"))
        return [Draft(kind="incident" if kind == "incident" else "noted", happened=at, place=place.id, stock=fish,
                      note=hand.note, details=details)]  # fmt: skip

    return do(hand, make)
