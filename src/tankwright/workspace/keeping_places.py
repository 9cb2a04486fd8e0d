"""Places, lines and stocks as they are said by hand: a vat, a pond, a tank that is called otherwise, a new line."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING, Final, get_args

from tankwright.husbandry.records import Draft, Plain
from tankwright.husbandry.register import PlaceKind
from tankwright.logbook.outcome import Recorded, Refused
from tankwright.units import clip
from tankwright.workspace.keeping import Hand, do, wrong_value
from tankwright.workspace.naming import WrongError, line_named, place_named, stock_named
from tankwright.workspace.new_names import new_name

if TYPE_CHECKING:
    from tankwright.logbook.store import Logbook

PLACE_KINDS: Final[tuple[PlaceKind, ...]] = get_args(PlaceKind)


def place_added(
    hand: Hand, label: str, kind: PlaceKind, *, zone: str = "", litres: float | None = None
) -> Recorded | Refused:
    """A place the plan does not have as a tank: a vat, a rack, a pond outside."""

    def make(book: Logbook, at: datetime) -> list[Draft]:
        if not label.strip():
            raise WrongError(wrong_value("place", "has no name", wanted="what it is called"))
        if litres is not None and not 0 < litres < 1e7:
            raise WrongError(
                wrong_value(label, "cannot hold so much", found=f"{litres:g} L", wanted="its litres")
            )
        details: dict[str, Plain] = {"label": new_name(book, "place", label), "kind": kind}
        if zone.strip():
            details["zone"] = zone.strip()
        if litres is not None:
            details["litres"] = litres
        return [
            Draft(kind="place_opened", happened=at, place=hand.log.new_id(), note=hand.note, details=details)
        ]

    return do(hand, make)


def place_gone(hand: Hand, label: str) -> Recorded | Refused:
    """A place is no more; one with fish in it stays."""

    def make(book: Logbook, at: datetime) -> list[Draft]:
        place = place_named(book, label)
        held = sum(one.held for one in book.holdings(place=place.id))
        if held:
            raise WrongError(wrong_value(place.label, f"has {held} fish in the book", found=str(held),
                                         wanted="an empty place", attempt="move them first"))  # fmt: skip
        return [Draft(kind="place_closed", happened=at, place=place.id, note=hand.note)]

    return do(hand, make)


def now_called(hand: Hand, label: str, new: str) -> Recorded | Refused:
    """A place is called otherwise; its fish and its history stay with it. A tank of that name that the plan has just
    brought, with nothing in it, makes room for it."""

    def make(book: Logbook, at: datetime) -> list[Draft]:
        place = place_named(book, label)
        other = book.place_labelled(new.strip())
        if not new.strip():
            raise WrongError(wrong_value(place.label, "has no new name", wanted="what it is called now"))
        drafts = []
        if other is not None and other.id != place.id:
            held = sum(one.held for one in book.holdings(place=other.id))
            if held:
                raise WrongError(wrong_value(
                    other.label, f"has {held} fish of its own in the book", found=clip(new),
                    wanted="a name whose tank is empty", attempt="move the fish instead",
                ))  # fmt: skip
            drafts.append(Draft(kind="place_closed", happened=at, place=other.id))
        name = new.strip() if other is not None else new_name(book, "place", new, of=(place.id,))
        details: dict[str, Plain] = {"label": name}
        if other is not None and other.id != place.id:
            details |= {"rack": other.rack, "shelf": other.shelf, "zone": other.zone, "litres": other.litres,
                        "order": other.order}  # fmt: skip
        changed = Draft(kind="place_changed", happened=at, place=place.id, note=hand.note, details=details)
        return [*drafts, changed]

    return do(hand, make)


def line_opened(
    hand: Hand, name: str, species: str, *, source: str = "", locality: str = ""
) -> Recorded | Refused:
    """A line is kept from now on."""

    def make(book: Logbook, at: datetime) -> list[Draft]:
        if not name.strip() or not species.strip():
            raise WrongError(wrong_value("line", "needs a name and a species", found=clip(f"{name} {species}".strip()),
                                         wanted="both"))  # fmt: skip
        details: dict[str, Plain] = {"name": new_name(book, "line", name), "species": species.strip()}
        details |= {
            key: value.strip() for key, value in (("source", source), ("locality", locality)) if value.strip()
        }
        return [
            Draft(kind="line_opened", happened=at, line=hand.log.new_id(), note=hand.note, details=details)
        ]

    return do(hand, make)


def stock_changed(
    hand: Hand, stock: str, *, label: str = "", line: str = "", sex: str = ""
) -> Recorded | Refused:
    """What is known of a stock is otherwise: its name, its line, its sex."""

    def make(book: Logbook, at: datetime) -> list[Draft]:
        fish = stock_named(book, stock)
        details: dict[str, Plain] = {}
        if label.strip():
            details["label"] = new_name(book, "stock", label, of=(fish.id,))
        if line.strip():
            details["line"] = line_named(book, line).id
        if sex.strip():
            if sex not in {"male", "female"}:
                raise WrongError(wrong_value(fish.label, f'cannot be "{clip(sex)}"', wanted="male or female"))
            details["sex"] = sex
        if not details:
            raise WrongError(wrong_value(fish.label, "is told nothing new", wanted="a name, a line or a sex"))
        return [Draft(kind="stock_changed", happened=at, stock=fish.id, note=hand.note, details=details)]

    return do(hand, make)
