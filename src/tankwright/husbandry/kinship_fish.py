"""Which fish a set has: certain fish of a stock, and the chance that two sets have the very same ones.

A stock of one fish is that fish in every set. A pair is the same male and the same female. A group is taken for the
same fish again, for who keeps a group breeds from it. A brood is many: two sets from it are taken to have different
fish unless it is said that they are the same; that they might be, when they were not at one time, is told as a bound.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from tankwright.husbandry.pedigree import Pedigree
from tankwright.husbandry.register import BreedingSet, Member, Sex, Stock, StockKind

FATHER, MOTHER = -1, -2
"""The places of a father and a mother nobody knows in a set, where known members are 0, 1, 2 ..."""

Name = tuple[str, int]
Identity = tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Fish:
    """Certain fish of a stock, `number` of them. `names` are the members of sets they are; `anyone` is True when a fish
    of the stock of today is meant. Fish of one `identity` are the same ones, as far as numbers allow."""

    stock: str
    kind: StockKind
    number: float
    identity: Identity
    sex: Sex = ""
    names: tuple[Name, ...] = ()
    anyone: bool = False
    opened: datetime | None = None
    ended: datetime | None = None


def chance_same(one: Fish, other: Fish) -> tuple[float, float, float]:
    """The chance that a fish drawn from each is the very same: as expected, at least and at most.

    >>> he = Fish(stock="a", kind="individual", number=1, identity=("stock", "a"))
    >>> chance_same(he, he)
    (1.0, 1.0, 1.0)
    """
    never = (0.0, 0.0, 0.0)
    if one.kind == other.kind == "individual" and one.identity == other.identity:
        return 1.0, 1.0, 1.0
    if one.sex and other.sex and one.sex != other.sex:
        return never
    if {name for name, _ in one.names} & {name for name, _ in other.names}:
        return never
    most = 1 / max(one.number, other.number)
    if one.identity == other.identity:
        sure = one.identity[0] != "stock" or one.kind in ("individual", "pair") or one.number == other.number
        return most, most if sure else 0.0, most
    if one.stock != other.stock or _at_once(one, other):
        return never
    return 0.0, 0.0, most


def _at_once(one: Fish, other: Fish) -> bool:
    """True when both were in their sets at one time, so that they cannot be the same."""
    if one.opened is None or other.opened is None:
        return False
    before = one.ended is not None and one.ended <= other.opened
    after = other.ended is not None and other.ended <= one.opened
    return not before and not after


def fish_of(pedigree: Pedigree, stocks: Sequence[str], sets: Sequence[str]) -> dict[str, tuple[Fish, ...]]:
    """The fish of each stock as the sets have them, and one that stands for any fish of it.

    >>> from tankwright.husbandry.pedigree import pedigree_of
    >>> fish_of(pedigree_of((), ()), (), ())
    {}
    """
    named: dict[str, list[tuple[Name, Member, BreedingSet]]] = {}
    for key in sets:
        breeding_set = pedigree.sets[key]
        for place, member in enumerate(breeding_set.members):
            if member.count > 0:
                named.setdefault(known_as(pedigree, member.stock), []).append(
                    ((key, place), member, breeding_set)
                )
    made: dict[str, tuple[Fish, ...]] = {}
    for key in dict.fromkeys((*stocks, *named)):
        stock = pedigree.stocks.get(key)
        kind: StockKind = "brood" if stock is None else stock.kind
        ones = named.get(key, [])
        if kind == "individual":
            made[key] = _alone(pedigree, key, ones)
            continue
        fish = [
            Fish(
                stock=key,
                kind=kind,
                number=float(member.count),
                identity=_identity(pedigree, name, member),
                sex=member.sex,
                names=(name,),
                opened=breeding_set.opened,
                ended=breeding_set.ended,
            )
            for name, member, breeding_set in ones
        ]
        if stock is not None:
            fish.append(_anyone(stock, ones))
        made[key] = tuple(fish)
    return made


def known_as(pedigree: Pedigree, stock: str) -> str:
    """The name under which a stock stands in the table: its id, marked when nothing is known of it.

    >>> from tankwright.husbandry.pedigree import pedigree_of
    >>> known_as(pedigree_of((), ()), "a")
    '?a'
    """
    return stock if stock in pedigree.stocks else f"?{stock}"


def _alone(
    pedigree: Pedigree, key: str, ones: Sequence[tuple[Name, Member, BreedingSet]]
) -> tuple[Fish, ...]:
    """A stock of one fish: one row for all its sets."""
    same = next((member for _, member, _ in ones if member.same_as), None)
    identity: Identity = ("stock", key)
    if same is not None:
        identity = _identity(pedigree, next(name for name, member, _ in ones if member is same), same)
    return (
        Fish(
            stock=key,
            kind="individual",
            number=1.0,
            identity=identity,
            sex=pedigree.stocks[key].sex,
            names=tuple(name for name, _, _ in ones),
            anyone=True,
        ),
    )


def _anyone(stock: Stock, ones: Sequence[tuple[Name, Member, BreedingSet]]) -> Fish:
    """Any fish of a stock as it is today."""
    counts: dict[str, int] = {}
    for (key, _), member, _ in ones:
        counts[key] = counts.get(key, 0) + member.count
    number = max(2 if stock.kind == "pair" else 1, *counts.values(), 1)
    pooled = stock.kind != "brood"
    return Fish(
        stock=stock.id,
        kind=stock.kind,
        number=float(number),
        identity=("stock", stock.id) if pooled else ("any", stock.id),
        sex=stock.sex,
        anyone=True,
    )


def _identity(pedigree: Pedigree, name: Name, member: Member) -> Identity:
    """What makes fish in two sets the very same: the set they are said to be the same as, or their stock."""
    seen = {name}
    while member.same_as in pedigree.sets:
        found = same_member(pedigree.sets[member.same_as], member)
        if found is None or (member.same_as, found) in seen:
            break
        name = (member.same_as, found)
        member = pedigree.sets[name[0]].members[found]
        seen.add(name)
    stock = pedigree.stocks.get(member.stock)
    if stock is not None and stock.kind != "brood":
        return "stock", member.stock
    return "member", name[0], str(name[1])


def same_member(earlier: BreedingSet, member: Member) -> int | None:
    """The place in an earlier set of the fish that a member is said to be the same as: those of its stock, else those
    of its sex.

    >>> from datetime import UTC, datetime
    >>> one = Member(stock="a", count=1, sex="male")
    >>> same_member(BreedingSet(id="s", opened=datetime(2026, 1, 1, tzinfo=UTC), members=(one,)), one)
    0
    """
    fitting = [
        place
        for place, one in enumerate(earlier.members)
        if one.count > 0 and (not one.sex or not member.sex or one.sex == member.sex)
    ]
    of_stock = [place for place in fitting if earlier.members[place].stock == member.stock]
    return next(iter(of_stock or fitting), None)


def phantom_of(pedigree: Pedigree, breeding_set: BreedingSet, key: str) -> Stock:
    """A founder that stands for one nobody knows: bought where the first known fish of its set came from.

    >>> from datetime import UTC, datetime
    >>> from tankwright.husbandry.pedigree import pedigree_of
    >>> breeding_set = BreedingSet(id="s", members=(), opened=datetime(2026, 1, 1, tzinfo=UTC))
    >>> phantom_of(pedigree_of((), ()), breeding_set, "?a").kind
    'brood'
    """
    known = [pedigree.stocks[one.stock] for one in breeding_set.members if one.stock in pedigree.stocks]
    return Stock(
        id=key,
        label="",
        kind="individual" if key.count("?") > 1 else "brood",
        line=known[0].line if known else "",
        came_from=known[0].came_from if known else "",
        opened=breeding_set.opened,
    )
