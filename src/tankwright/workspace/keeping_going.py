"""Fish that are counted, die, leave or go to another tank."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from tankwright.husbandry import facts
from tankwright.husbandry.facts import Cause
from tankwright.husbandry.records import Draft, Plain
from tankwright.husbandry.register import Place, Stock
from tankwright.logbook.outcome import Recorded, Refused
from tankwright.workspace.keeping import Hand, checked_number, checked_tally, do, wrong_value
from tankwright.workspace.naming import WrongError, fish_in, fish_then, place_named, stock_in

if TYPE_CHECKING:
    from tankwright.logbook.store import Logbook


def counted(hand: Hand, tank: str, number: int, *, stock: str = "", method: str = "") -> Recorded | Refused:
    """So many were counted, all of them; what is missing is lost, and nobody needs to say how."""

    def make(book: Logbook, at: datetime) -> list[Draft]:
        place = place_named(book, tank)
        checked_number(number, place.label, least=0)
        _, fish = stock_or_empty(book, place, stock, hand.then)
        return [facts.counted(fish.id, place.id, number, at, method=method, note=hand.note)]

    return do(hand, make)


def stock_or_empty(book: Logbook, place: Place, typed: str, at: datetime | None = None) -> tuple[int, Stock]:
    """How many of a stock are in a place; one that is named may be there with none left."""
    here = {one.stock: one.held for one in book.holdings(place=place.id)}
    named = book.stock_labelled(typed.strip()) if typed.strip() else None
    if named is not None:
        return here.get(named.id, 0), named
    holding, fish = stock_in(book, place, typed, at)
    return holding.held, fish


def guessed(
    hand: Hand, tank: str, number: int, low: int, high: int, *, stock: str = ""
) -> Recorded | Refused:
    """About so many, at least and at most."""

    def make(book: Logbook, at: datetime) -> list[Draft]:
        place = place_named(book, tank)
        tally = checked_tally(number, low, high, place.label)
        _, fish = stock_or_empty(book, place, stock, hand.then)
        return [facts.estimated(fish.id, place.id, tally, at, note=hand.note)]

    return do(hand, make)


def died(hand: Hand, tank: str, number: int, *, stock: str = "", cause: str = "") -> Recorded | Refused:
    """Fish died. In a tank whose fish nobody wrote down they are seen all the same."""

    def make(book: Logbook, at: datetime) -> list[Draft]:
        place = place_named(book, tank)
        checked_number(number, place.label)
        if (
            not stock.strip()
            and not fish_in(book, place)
            and not (hand.then is not None and fish_then(book, place, hand.then))
        ):
            return [facts.died_unassigned(place.id, number, at, note=hand.note)]
        _, fish = stock_in(book, place, stock, hand.then)
        return [facts.died(fish.id, place.id, number, at, note=hand.note, cause=cause)]

    return do(hand, make)


def culled(hand: Hand, tank: str, number: int, *, stock: str = "", cause: str = "") -> Recorded | Refused:
    """Fish were culled."""

    def make(book: Logbook, at: datetime) -> list[Draft]:
        place = place_named(book, tank)
        checked_number(number, place.label)
        _, fish = stock_in(book, place, stock, hand.then)
        return [facts.culled(fish.id, place.id, number, at, note=hand.note, cause=cause)]

    return do(hand, make)


def left(
    hand: Hand, tank: str, number: int | None, how: Cause, *, stock: str = "", to: str = "",
    price: float | None = None, currency: str = "",
) -> Recorded | Refused:  # fmt: skip
    """Fish were sold, given away, used or escaped; all of them when no number is said."""

    def make(book: Logbook, at: datetime) -> list[Draft]:
        place = place_named(book, tank)
        holding, fish = stock_in(book, place, stock, hand.then)
        many = holding.held if number is None else checked_number(number, place.label)
        said: dict[str, Plain] = {"to": to.strip()} if to.strip() else {}
        if price is not None:
            said |= {"price": price, "currency": currency}
        return [facts.left(fish.id, place.id, many, at, how, note=hand.note, details=said)]

    return do(hand, make)


def moved(
    hand: Hand, tank: str, to: str, number: int | None = None, *, stock: str = "", tool: str = ""
) -> Recorded | Refused:
    """Fish went to another tank; all of them when no number is said."""

    def make(book: Logbook, at: datetime) -> list[Draft]:
        place, there = place_named(book, tank), place_named(book, to)
        if place.id == there.id:
            raise WrongError(wrong_value(place.label, "is where they are already", wanted="another tank"))
        holding, fish = stock_in(book, place, stock, hand.then)
        many = holding.held if number is None else checked_number(number, place.label)
        return [facts.moved(fish.id, place.id, there.id, many, at, tool=tool, note=hand.note)]

    return do(hand, make)
