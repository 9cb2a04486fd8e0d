"""Fish that come: from outside, or born here of a breeding set."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import TYPE_CHECKING

from tankwright.husbandry import facts
from tankwright.husbandry.facts import Tally
from tankwright.husbandry.records import Draft, Plain
from tankwright.husbandry.register import BreedingSet, Line, Sex, StockKind
from tankwright.logbook.outcome import Recorded, Refused
from tankwright.workspace.keeping import Hand, checked_tally, do, wrong_value
from tankwright.workspace.naming import WrongError, fish_in, line_named, place_named, set_named
from tankwright.workspace.new_names import new_name, stock_name

if TYPE_CHECKING:
    from tankwright.logbook.store import Logbook


@dataclass(frozen=True, slots=True, kw_only=True)
class NewFish:
    """Fish as they come: what they are called, of which line (opened when it has a `species` and is not known)."""

    label: str = ""
    kind: StockKind = "group"
    line: str = ""
    species: str = ""
    sex: Sex = ""
    born: date | None = None
    came_from: str = ""


def arrived(
    hand: Hand, tank: str, number: int, fish: NewFish, *, low: int | None = None, high: int | None = None,
    price: float | None = None, currency: str = "",
) -> Recorded | Refused:  # fmt: skip
    """Fish came from outside: as a new stock, or more of one whose label is known."""

    def make(book: Logbook, at: datetime) -> list[Draft]:
        place = place_named(book, tank)
        tally = checked_tally(number, low, high, place.label)
        known = book.stock_labelled(fish.label.strip()) if fish.label.strip() else None
        drafts: list[Draft] = []
        if known is None:
            drafts, line = _line_for(hand, book, fish, at)
            stock = hand.log.new_id()
            drafts.append(opened_stock(stock, _label(book, fish, line), fish, at, line=line, place=place.id))
        else:
            stock = known.id
        said: dict[str, Plain] = {}
        if fish.came_from.strip():
            said["from"] = fish.came_from.strip()
        if price is not None:
            said |= {"price": price, "currency": currency}
        return [*drafts, facts.came("arrived", stock, place.id, tally, at, note=hand.note, details=said)]

    return do(hand, make)


def opened_stock(
    stock: str, label: str, fish: NewFish, at: datetime, *, line: str, place: str,
    origin: Sequence[Plain] = (),
) -> Draft:  # fmt: skip
    """The event that opens a stock."""
    details: dict[str, Plain] = {"label": label, "kind": fish.kind}
    if fish.sex:
        details["sex"] = fish.sex
    if fish.born is not None:
        details["born"] = fish.born.isoformat()
    if origin:
        details["origin"] = tuple(origin)
    if fish.came_from.strip():
        details["came_from"] = fish.came_from.strip()
    return Draft(kind="stock_opened", happened=at, place=place, stock=stock, line=line, details=details)


def _line_for(hand: Hand, book: Logbook, fish: NewFish, at: datetime) -> tuple[list[Draft], str]:
    """The id of the line fish are of, and what opens it when it is new."""
    name = fish.line.strip()
    if not name:
        return [], ""
    known = next((one for one in book.lines() if one.name.casefold() == name.casefold()), None)
    if known is not None:
        return [], known.id
    if not fish.species.strip():
        line_named(book, name)  # raises: it is no line, and of no species that would open it
    new, name = hand.log.new_id(), new_name(book, "line", name)
    details: dict[str, Plain] = {"name": name, "species": fish.species.strip()}
    if fish.came_from.strip():
        details["source"] = fish.came_from.strip()
    return [Draft(kind="line_opened", happened=at, line=new, details=details)], new


def _label(book: Logbook, fish: NewFish, line: str) -> str:
    known: Line | None = book.line(line) if line else None
    base = (known.name if known else "") or fish.line.strip() or fish.species.strip() or "Fish"
    return stock_name(book, fish.label, base)


def born(
    hand: Hand, tank: str, number: int, *, label: str = "", parents: str = "", low: int | None = None,
    high: int | None = None, method: str = "",
) -> Recorded | Refused:  # fmt: skip
    """Young are there, as a new brood of the breeding set that is named, or that is the only one in the tank."""

    def make(book: Logbook, at: datetime) -> list[Draft]:
        place = place_named(book, tank)
        tally = checked_tally(number, low, high, place.label)
        made = set_for(book, tank, parents)
        line = line_of_set(book, made)
        base = made.label or (line.name if line is not None else "Brood")
        fish = NewFish(label=label, kind="brood", born=at.date())
        name = stock_name(book, label, f"{base} young")
        stock = hand.log.new_id()
        return [
            opened_stock(stock, name, fish, at, line=line.id if line else "", place=place.id,
                         origin=({"breeding_set": made.id, "share": 1.0},)),
            facts.came("born", stock, place.id, Tally(number=tally.number, low=low, high=high, method=method), at,
                       note=hand.note, details={"set": made.id}),
        ]  # fmt: skip

    return do(hand, make)


def set_for(book: Logbook, tank: str, typed: str) -> BreedingSet:
    """The breeding set of that label; of no label the only one with a member in the tank. Raises WrongError."""
    if typed.strip():
        return set_named(book, typed)
    place = place_named(book, tank)
    here = {stock.id for _, stock in fish_in(book, place)}
    sets = [one for one in book.sets(closed=False) if any(member.stock in here for member in one.members)]
    if len(sets) == 1:
        return sets[0]
    text = "has no breeding set" if not sets else f"has {len(sets)} breeding sets, and it is not said which"
    labels = [one.label or one.id for one in (sets or book.sets(closed=False))]
    raise WrongError(
        wrong_value(place.label, text, wanted="the set the young are of", attempt=", ".join(labels[:8]))
    )


def line_of_set(book: Logbook, made: BreedingSet) -> Line | None:
    """The line all members of a set are of; None when they are of several or of none."""
    stocks = [book.stock(one.stock) for one in made.members]
    lines = {one.line for one in stocks if one is not None}
    return book.line(lines.pop()) if len(lines) == 1 else None
