"""Names as people type them to what the logbook knows by them: a tank, fish in it, a line, a breeding set."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime
from difflib import get_close_matches
from typing import TYPE_CHECKING, Final, TypeVar

from tankwright.finding import Finding
from tankwright.husbandry.register import BreedingSet, Holding, Line, Place, Stock
from tankwright.units import clip
from tankwright.workspace.outcomes import trouble

if TYPE_CHECKING:
    from tankwright.logbook.store import Logbook

NO_SUCH: Final = "LOG-26"
WHICH: Final = "LOG-27"
_MOST_TOLD: Final = 8
_Thing = TypeVar("_Thing")


class WrongError(Exception):
    """What was asked cannot be done, and why."""

    def __init__(self, *findings: Finding) -> None:
        super().__init__(findings)
        self.findings = findings


def place_named(book: Logbook, typed: str) -> Place:
    """The place of that label, however its letters are written. Raises WrongError for none."""
    exact = book.place_labelled(typed.strip())
    if exact is not None:
        return exact
    places = book.places()
    return _named(
        typed, {one.label: one for one in places}, "place", "a tank of the plan, or a place of the book"
    )


def line_named(book: Logbook, typed: str) -> Line:
    """The line of that name. Raises WrongError for none."""
    return _named(typed, {one.name: one for one in book.lines()}, "line", "a line that was opened")


def stock_named(book: Logbook, typed: str) -> Stock:
    """The stock of that label, wherever it is. Raises WrongError for none."""
    exact = book.stock_labelled(typed.strip())
    if exact is not None:
        return exact
    return _named(typed, {one.label: one for one in book.stocks()}, "stock", "fish that are in the book")


def set_named(book: Logbook, typed: str) -> BreedingSet:
    """The breeding set of that label. Raises WrongError for none."""
    sets = {one.label or one.id: one for one in book.sets(closed=False)}
    return _named(typed, sets, "breeding set", "a set that was made and has not ended")


def fish_in(book: Logbook, place: Place) -> tuple[tuple[Holding, Stock], ...]:
    """What lives in a place: how many of which stock."""
    found = []
    for one in book.holdings(place=place.id):
        stock = book.stock(one.stock) if one.held > 0 else None
        if stock is not None:
            found.append((one, stock))
    return tuple(sorted(found, key=lambda pair: pair[1].label))


def stock_in(book: Logbook, place: Place, typed: str, at: datetime | None = None) -> tuple[Holding, Stock]:
    """The stock of that label in a place; of no label the only one there. Raises WrongError when there is none, or
    when several are there and none is named.

    With a moment that is past, those that were there then come first: what lay in a phone for a day is of fish that
    may be elsewhere by now.
    """
    asked = typed.strip()
    here = fish_in(book, place)
    found = _meant(here, asked) if asked or at is None else None
    if found is None and at is not None:
        then = fish_then(book, place, at)
        found = _meant(then, asked) or _meant(here, asked) or _once_there(book, place, asked)
        here = then or here
    if found is not None:
        return found
    if not here:
        raise WrongError(trouble(
            NO_SUCH, place.label, "has no fish in the book", wanted="fish that were put in",
            attempt="put them in first, or count what is there",
        ))  # fmt: skip
    labels = [stock.label for _, stock in here]
    if not asked:
        raise WrongError(trouble(
            WHICH, place.label, f"has {len(here)} stocks, and it is not said which", wanted=_list(labels)
        ))  # fmt: skip
    elsewhere = book.stock_labelled(asked)
    text = f'has no stock "{clip(typed)}"' + ("; it is elsewhere" if elsewhere is not None else "")
    raise WrongError(trouble(NO_SUCH, place.label, text, found=clip(typed), wanted=_list(labels)))


def _meant(here: Sequence[tuple[Holding, Stock]], asked: str) -> tuple[Holding, Stock] | None:
    """The one that is called so, or the only one; None when that is not clear."""
    if not asked:
        return here[0] if len(here) == 1 else None
    alike = [pair for pair in here if pair[1].label.casefold() == asked.casefold()]
    exact = [pair for pair in here if asked in {pair[1].label, pair[1].id}]
    return exact[0] if exact else (alike[0] if len(alike) == 1 else None)


def fish_then(book: Logbook, place: Place, at: datetime) -> tuple[tuple[Holding, Stock], ...]:
    """What lived in a place at a moment, as far as is known today."""
    held = [one for one in book.holdings_at(at) if one.place == place.id and one.held > 0]
    found = [(one, stock) for one in held if (stock := book.stock(one.stock)) is not None]
    return tuple(sorted(found, key=lambda pair: pair[1].label))


def _once_there(book: Logbook, place: Place, asked: str) -> tuple[Holding, Stock] | None:
    """A stock that was in a place once and, by the book, no more of it is."""
    stock = book.stock_labelled(asked) if asked else None
    if stock is None or not book.moved(place=place.id, stock=stock.id):
        return None
    return Holding(stock=stock.id, place=place.id, held=0, low=0, high=0), stock


def _named(typed: str, known: dict[str, _Thing], sort: str, wanted: str) -> _Thing:
    asked = typed.strip()
    like = [label for label in known if label.casefold() == asked.casefold()]
    if len(like) == 1:
        return known[like[0]]
    near = get_close_matches(asked, known, n=3, cutoff=0.5)
    text = f'there is no {sort} "{clip(asked)}"' if asked else f"no {sort} is named"
    raise WrongError(trouble(
        NO_SUCH, "logbook", text, found=clip(asked), wanted=wanted,
        attempt=_list(near or sorted(known)[:_MOST_TOLD]),
    ))  # fmt: skip


def _list(labels: Sequence[str]) -> str:
    told = ", ".join(labels[:_MOST_TOLD])
    return f"{told} ..." if len(labels) > _MOST_TOLD else told


def free_label(base: str, taken: Iterable[str]) -> str:
    """A label that is not taken: the base itself, or with the next free number.

    >>> free_label("Blue", []), free_label("Blue", ["Blue", "Blue 2"])
    ('Blue', 'Blue 3')
    """
    used = {one.casefold() for one in taken}
    if base.casefold() not in used:
        return base
    number = 2
    while f"{base} {number}".casefold() in used:
        number += 1
    return f"{base} {number}"
