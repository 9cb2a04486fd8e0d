"""Fish that are counted together otherwise: split off, put together, set up to breed."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import asdict
from datetime import datetime
from typing import TYPE_CHECKING, Final

from tankwright.finding import Finding
from tankwright.husbandry import facts
from tankwright.husbandry.records import Draft, Plain
from tankwright.husbandry.register import Member, OriginShare, Stock
from tankwright.logbook.outcome import Recorded, Refused
from tankwright.workspace.keeping import Hand, checked_number, do, wrong_value
from tankwright.workspace.keeping_coming import NewFish, opened_stock, set_for
from tankwright.workspace.naming import WrongError, fish_in, free_label, place_named, stock_in
from tankwright.workspace.new_names import stock_name
from tankwright.workspace.outcomes import trouble

if TYPE_CHECKING:
    from tankwright.logbook.store import Logbook


MIXED_LINES: Final = "LOG-29"


def split(
    hand: Hand, tank: str, number: int, *, stock: str = "", to: str = "", label: str = ""
) -> Recorded | Refused:
    """So many of a stock are counted by themselves from now on, in the same tank or in another one. They keep their
    line, their birth and their origin; fish without an origin stay related to those they were bought with."""

    def make(book: Logbook, at: datetime) -> list[Draft]:
        place = place_named(book, tank)
        there = place_named(book, to) if to.strip() else place
        holding, fish = stock_in(book, place, stock)
        checked_number(number, place.label)
        if number >= holding.held:
            raise WrongError(wrong_value(
                f"{fish.label} in {place.label}", f"has {holding.held}, of which {number} are no part",
                found=str(number), wanted=f"fewer than {holding.held}", attempt="move them all instead",
            ))  # fmt: skip
        name = stock_name(book, label, fish.label)
        new = hand.log.new_id()
        like = NewFish(kind="individual" if number == 1 else fish.kind, sex=fish.sex, born=fish.born,
                       came_from=fish.came_from)  # fmt: skip
        return [
            opened_stock(new, name, like, at, line=fish.line, place=there.id, origin=_plain(_origin(fish))),
            facts.regrouped([(fish.id, place.id, -number), (new, there.id, number)], at, note=hand.note),
        ]

    return do(hand, make)


def merged(
    hand: Hand, tank: str, stocks: Sequence[str] = (), *, label: str = "", knowing: bool = False
) -> Recorded | Refused:
    """Stocks of one tank, all of them when none is named, are one from now on. Its origin is theirs, each by its
    number. Those of lines that must not be mixed are refused unless that is done `knowing`."""

    def make(book: Logbook, at: datetime) -> list[Draft]:
        place = place_named(book, tank)
        here = [stock_in(book, place, one) for one in stocks] if stocks else list(fish_in(book, place))
        if len({fish.id for _, fish in here}) < 2:
            raise WrongError(wrong_value(place.label, "has no two stocks to put together", found=str(len(here)),
                                         wanted="two or more"))  # fmt: skip
        lines = {fish.line for _, fish in here}
        if len(lines) > 1 and not knowing:
            raise WrongError(_mixed(book, place.label, here))
        total = sum(holding.held for holding, _ in here)
        shares: defaultdict[tuple[str, str], float] = defaultdict(float)
        for holding, fish in here:
            for one in _origin(fish):
                shares[one.breeding_set, one.founders] += one.share * holding.held / total
        origin = [
            OriginShare(breeding_set=made, founders=of, share=part) for (made, of), part in shares.items()
        ]
        births = {fish.born for _, fish in here}
        ended = {fish.id for _, fish in here}
        name = stock_name(book, label, here[0][1].label, of=ended)
        new = hand.log.new_id()
        like = NewFish(kind="group", born=births.pop() if len(births) == 1 else None)
        return [
            opened_stock(new, name, like, at, line=lines.pop() if len(lines) == 1 else "", place=place.id,
                         origin=_plain(origin)),
            facts.regrouped([*((fish.id, place.id, -holding.held) for holding, fish in here), (new, place.id, total)],
                            at, note=hand.note),
            *(Draft(kind="stock_closed", happened=at, stock=fish.id) for holding, fish in here
              if sum(one.held for one in book.holdings(stock=fish.id)) == holding.held),
        ]  # fmt: skip

    return do(hand, make)


def _mixed(book: Logbook, tank: str, here: Sequence[tuple[object, Stock]]) -> Finding:
    names = []
    for _, fish in here:
        line = book.line(fish.line) if fish.line else None
        names.append(f"{fish.label} ({line.name if line is not None else 'of no line'})")
    return trouble(
        MIXED_LINES, tank, "would mix lines that are kept apart", found=", ".join(names),
        wanted="fish of one line", attempt="say that it is done knowing so; what is mixed cannot be parted again",
    )  # fmt: skip


def _origin(fish: Stock) -> tuple[OriginShare, ...]:
    """Where a part of a stock comes from: what the stock comes from, or the founders it is part of."""
    return fish.origin or (OriginShare(founders=fish.id),)


def _plain(shares: Sequence[OriginShare]) -> tuple[Plain, ...]:
    return tuple({key: value for key, value in asdict(one).items() if value != ""} for one in shares)


# --- breeding sets ----------------------------------------------------------------------------------------------------


def set_made(hand: Hand, tank: str, members: Sequence[Member], *, label: str = "") -> Recorded | Refused:
    """Fish of a tank are put together to breed. The `stock` of a member is its label, "" for the only one there."""

    def make(book: Logbook, at: datetime) -> list[Draft]:
        place = place_named(book, tank)
        if not members:
            raise WrongError(
                wrong_value(place.label, "has a breeding set of nobody", wanted="males and females")
            )
        kept: list[Plain] = []
        wanted: Counter[str] = Counter()
        for one in members:
            checked_number(one.count, place.label)
            holding, fish = stock_in(book, place, one.stock)
            wanted[fish.id] += one.count
            if wanted[fish.id] > holding.held:
                raise WrongError(wrong_value(
                    f"{fish.label} in {place.label}", f"has {holding.held} and cannot give {wanted[fish.id]}",
                    found=str(wanted[fish.id]), wanted=f"at most {holding.held}",
                ))  # fmt: skip
            said = {key: value for key, value in asdict(one).items() if value not in {None, ""}}
            kept.append(said | {"stock": fish.id})
        known = [one.label for one in book.sets()]
        first, *_ = (stock_in(book, place, members[0].stock)[1].label,)
        name = label.strip() or free_label(f"{first} {_sexes(members)}", known)
        details: dict[str, Plain] = {"set": hand.log.new_id(), "label": name, "members": tuple(kept)}
        return [Draft(kind="set_made", happened=at, place=place.id, note=hand.note, details=details)]

    return do(hand, make)


def _sexes(members: Sequence[Member]) -> str:
    """How many males and females, short: "1+2".

    >>> _sexes([Member(stock="a", count=1, sex="male"), Member(stock="a", count=2, sex="female")])
    '1+2'
    """
    males = sum(one.count for one in members if one.sex == "male")
    females = sum(one.count for one in members if one.sex == "female")
    others = sum(one.count for one in members if not one.sex)
    return f"{males}+{females}" + (f"+{others}" if others else "")


def set_ended(hand: Hand, tank: str, *, parents: str = "") -> Recorded | Refused:
    """A breeding set is parted: the one that is named, or the only one in the tank."""

    def make(book: Logbook, at: datetime) -> list[Draft]:
        place = place_named(book, tank)
        made = set_for(book, tank, parents)
        return [
            Draft(kind="set_ended", happened=at, place=place.id, note=hand.note, details={"set": made.id})
        ]

    return do(hand, make)
