"""What cannot be or ought not to be in lines and pedigrees: loops, broods older than their parents, lines mixed."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from datetime import date, timedelta
from typing import Final

from tankwright.finding import Finding, Number, Severity
from tankwright.husbandry.closed_line import MOST_INBREEDING_A_GENERATION, least_breeders
from tankwright.husbandry.lines import LineStanding
from tankwright.husbandry.pedigree import Node, Pedigree
from tankwright.husbandry.register import BreedingSet, Line, Stock
from tankwright.husbandry.shares import SLACK, sides_of

LOOP: Final = "LINE-01"
OLDER_THAN_PARENTS: Final = "LINE-02"
BORN_BEFORE_SET: Final = "LINE-03"
SET_MIXES: Final = "LINE-04"
STOCK_MIXES: Final = "LINE-05"
NO_WAY_TO_SHARE: Final = "LINE-06"
LEADS_NOWHERE: Final = "LINE-07"
LOSES_MUCH: Final = "LINE-08"
TOO_FEW: Final = "LINE-09"
REGENERATE: Final = "LINE-10"
FEW_LEFT: Final = "LINE-11"
FOUNDERS_UNKNOWN: Final = "LINE-12"
PARENT_UNKNOWN: Final = "LINE-13"
SHARES_OF_ORIGIN: Final = "LINE-14"

SOON_DAYS: Final = 30
"""Days before a new generation must stand from which on it is told. A choice, no source."""

FEW_GENERATIONS: Final = 2
"""So few generations left are told. A choice, no source."""


def pedigree_findings(pedigree: Pedigree, lines: Mapping[str, Line]) -> tuple[Finding, ...]:
    """What is wrong with the pedigree as it was written, all of it.

    >>> pedigree_findings(Pedigree(stocks={}, sets={}, order=()), {})
    ()
    """
    return tuple(
        one
        for part in (_loops, _ages, _mixed_sets, _mixed_stocks, _shares, _nowhere)
        for one in part(pedigree, lines)
    )


def standing_findings(standing: LineStanding, today: date) -> tuple[Finding, ...]:
    """What is to be said of how a line stands today.

    >>> from datetime import UTC, datetime
    >>> line = Line(id="l", name="Blue", species="x", opened=datetime(2026, 1, 1, tzinfo=UTC))
    >>> standing_findings(LineStanding(line=line, held=(), fish=0, limit=0.25), date(2026, 8, 1))
    ()
    """
    makers: tuple[Callable[[], Iterator[Finding]], ...] = (
        lambda: _too_few(standing),
        lambda: _loses(standing),
        lambda: _left(standing),
        lambda: _regenerate(standing, today),
        lambda: _founders(standing),
    )
    return tuple(one for make in makers for one in make())


def set_findings(
    pedigree: Pedigree, lines: Mapping[str, Line], breeding_set: BreedingSet
) -> tuple[Finding, ...]:
    """What is to be said of a set that is thought of or made: lines it mixes, shares that cannot be, parents unknown.

    >>> from datetime import UTC, datetime
    >>> empty = BreedingSet(id="s", members=(), opened=datetime(2026, 1, 1, tzinfo=UTC))
    >>> [one.code for one in set_findings(Pedigree(stocks={}, sets={}, order=()), {}, empty)]
    ['LINE-13']
    """
    found = [*_mixes(pedigree, lines, breeding_set), *_no_way(breeding_set)]
    sides = sides_of(breeding_set)
    missing = [name for name, side in (("father", sides.fathers), ("mother", sides.mothers)) if not side]
    if missing:
        found.append(
            Finding(
                code=PARENT_UNKNOWN,
                severity=Severity.NOTE,
                subject=set_name(pedigree, breeding_set),
                text=f"has no {' and no '.join(missing)} that is known",
                reason="An unknown parent is taken for one fish that is related to nobody, so inbreeding may be more.",
                remedy="say who it was, or who it may have been with the shares each may have",
            )
        )
    return tuple(found)


def stock_name(pedigree: Pedigree, key: str) -> str:
    """What a stock is called, for a sentence.

    >>> stock_name(Pedigree(stocks={}, sets={}, order=()), "x")
    'stock x'
    """
    known = pedigree.stocks.get(key)
    return f"stock {known.label or key}" if known is not None else f"stock {key}"


def set_name(pedigree: Pedigree, breeding_set: BreedingSet) -> str:
    """What a set is called, for a sentence: its label, else its fish.

    >>> from datetime import UTC, datetime
    >>> empty = BreedingSet(id="s", members=(), opened=datetime(2026, 1, 1, tzinfo=UTC))
    >>> set_name(Pedigree(stocks={}, sets={}, order=()), empty)
    'a set of nobody'
    """
    if breeding_set.label:
        return f"set {breeding_set.label}"
    names = dict.fromkeys(
        pedigree.stocks[one.stock].label if one.stock in pedigree.stocks else one.stock
        for one in breeding_set.members
    )
    return f"the set of {' and '.join(names)}" if names else "a set of nobody"


def _loops(pedigree: Pedigree, _lines: Mapping[str, Line]) -> Iterator[Finding]:
    for loop in pedigree.loops:
        names = [_node_name(pedigree, node) for node in (*loop, loop[0])]
        stocks = [key for kind, key in loop if kind == "stock"]
        yield Finding(
            code=LOOP,
            severity=Severity.PROBLEM,
            subject=stock_name(pedigree, stocks[0]) if stocks else names[0],
            text=f"is its own ancestor: {', then '.join(names)}",
            reason="No fish comes from itself, so inbreeding and kinship of these and of all that come from them are"
            " not worked out.",
            remedy="correct the origin of one of them: the set it came from, or the members of that set",
        )


def _node_name(pedigree: Pedigree, node: Node) -> str:
    kind, key = node
    if kind == "stock":
        return stock_name(pedigree, key)
    return set_name(pedigree, pedigree.sets[key]) if key in pedigree.sets else f"set {key}"


def _ages(pedigree: Pedigree, _lines: Mapping[str, Line]) -> Iterator[Finding]:
    for one in pedigree.stocks.values():
        if one.born is None:
            continue
        for share in one.origin:
            known = pedigree.sets.get(share.breeding_set)
            if known is None:
                continue
            older = [
                parent
                for member in known.members
                if (parent := pedigree.stocks.get(member.stock)) is not None
                and parent.born is not None
                and parent.born >= one.born
            ]
            if older:
                yield _older(pedigree, one, older)
            elif one.born < known.opened.date():
                yield Finding(
                    code=BORN_BEFORE_SET,
                    severity=Severity.WARNING,
                    subject=stock_name(pedigree, one.id),
                    text=f"was born on {one.born.isoformat()}, before {set_name(pedigree, known)} was put together on"
                    f" {known.opened.date().isoformat()}",
                    reason="Its parents may be others than those of this set.",
                    remedy="correct the day of birth, the day the set was put together, or the set it came from",
                )


def _older(pedigree: Pedigree, one: Stock, older: list[Stock]) -> Finding:
    said = ", ".join(f"{stock_name(pedigree, parent.id)}, born on {parent.born}" for parent in older)
    return Finding(
        code=OLDER_THAN_PARENTS,
        severity=Severity.PROBLEM,
        subject=stock_name(pedigree, one.id),
        text=f"was born on {one.born} and is not younger than a parent: {said}",
        reason="One of the days, or the set it came from, is wrong; so may be all that follows from them.",
        remedy="correct the day of birth of either, or the set it came from",
    )


def _may_mix(lines: Mapping[str, Line], one: str, other: str) -> bool:
    """True when two lines are the same, or either says that it may be mixed with the other."""
    if one == other:
        return True
    return any(a in lines and b in lines[a].may_mix for a, b in ((one, other), (other, one)))


def _line_name(lines: Mapping[str, Line], key: str) -> str:
    return lines[key].name if key in lines else "fish of no line"


def _mixed_sets(pedigree: Pedigree, lines: Mapping[str, Line]) -> Iterator[Finding]:
    for one in pedigree.sets.values():
        yield from _mixes(pedigree, lines, one)


def _mixes(pedigree: Pedigree, lines: Mapping[str, Line], one: BreedingSet) -> Iterator[Finding]:
    kept = list(
        dict.fromkeys(
            pedigree.stocks[member.stock].line for member in one.members if member.stock in pedigree.stocks
        )
    )
    apart = [other for other in kept[1:] if not _may_mix(lines, kept[0], other)]
    if apart:
        names = " and ".join(_line_name(lines, key) for key in (kept[0], *apart))
        yield Finding(
            code=SET_MIXES,
            severity=Severity.WARNING,
            subject=set_name(pedigree, one),
            text=f"brings lines together that are kept apart: {names}",
            reason="Young of two lines belong to neither, and cannot be told from them later.",
            remedy="part them, or say of one line that it may be mixed with the other",
        )


def _mixed_stocks(pedigree: Pedigree, lines: Mapping[str, Line]) -> Iterator[Finding]:
    for one in pedigree.stocks.values():
        others: dict[str, None] = {}
        for share in one.origin:
            known = pedigree.sets.get(share.breeding_set)
            parents = [member.stock for member in known.members] if known is not None else [share.founders]
            for key in parents:
                if key in pedigree.stocks and not _may_mix(lines, one.line, pedigree.stocks[key].line):
                    others[pedigree.stocks[key].line] = None
        if others:
            names = " and ".join(_line_name(lines, key) for key in others)
            yield Finding(
                code=STOCK_MIXES,
                severity=Severity.WARNING,
                subject=stock_name(pedigree, one.id),
                text=f"stands under {_line_name(lines, one.line)} and comes from {names}",
                reason="A line that is kept apart stays one only as long as nothing of another is in it.",
                remedy="put the stock under a line of its own, or say that the lines may be mixed",
            )


def _shares(pedigree: Pedigree, _lines: Mapping[str, Line]) -> Iterator[Finding]:
    for breeding_set in pedigree.sets.values():
        yield from _no_way(breeding_set, pedigree)
    for one in pedigree.stocks.values():
        total = sum(share.share for share in one.origin)
        if one.origin and (abs(total - 1) > 1e-3 or any(share.share < 0 for share in one.origin)):
            yield Finding(
                code=SHARES_OF_ORIGIN,
                severity=Severity.WARNING,
                subject=stock_name(pedigree, one.id),
                text="has an origin whose shares are {total} in all",
                numbers=(("total", Number(total, "share")),),
                reason="Shares of an origin are parts of a whole; they were reckoned with as if they were one.",
                remedy="correct the shares of its origin so that they make a whole",
            )


def _no_way(breeding_set: BreedingSet, pedigree: Pedigree | None = None) -> Iterator[Finding]:
    known = pedigree if pedigree is not None else Pedigree(stocks={}, sets={}, order=())
    wrong = [
        one
        for one in breeding_set.members
        if one.share_low is not None and one.share_high is not None and one.share_low > one.share_high + SLACK
    ]
    if wrong or not sides_of(breeding_set).possible:
        yield Finding(
            code=NO_WAY_TO_SHARE,
            severity=Severity.PROBLEM,
            subject=set_name(known, breeding_set),
            text="has shares of the young that cannot all be so",
            reason="Of one sex the least shares are more than a whole, or the most less than one, or a least is above"
            " its most.",
            remedy="correct the least and most share of each so that a whole lies between them",
        )


def _nowhere(pedigree: Pedigree, _lines: Mapping[str, Line]) -> Iterator[Finding]:
    for breeding_set in pedigree.sets.values():
        lost = [one.stock for one in breeding_set.members if one.stock in pedigree.unknown_stocks]
        if lost:
            yield _lost(set_name(pedigree, breeding_set), f"stock {', '.join(dict.fromkeys(lost))}")
    for stock in pedigree.stocks.values():
        lost = [one.breeding_set for one in stock.origin if one.breeding_set in pedigree.unknown_sets]
        lost += [one.founders for one in stock.origin if one.founders in pedigree.unknown_stocks]
        if lost:
            yield _lost(stock_name(pedigree, stock.id), f"set or stock {', '.join(dict.fromkeys(lost))}")


def _lost(subject: str, what: str) -> Finding:
    return Finding(
        code=LEADS_NOWHERE,
        severity=Severity.WARNING,
        subject=subject,
        text=f"names {what}, of which nothing is known",
        reason="Fish from there are taken for founders that are related to nobody.",
        remedy="enter what is missing, or correct the name",
    )


def _too_few(standing: LineStanding) -> Iterator[Finding]:
    least, there = standing.line.least_breeders, standing.males + standing.females
    if least is not None and standing.sets and there < least:
        yield Finding(
            code=TOO_FEW,
            severity=Severity.WARNING,
            subject=f"line {standing.line.name}",
            text="is bred from {there} fish, of {least} it must have at least",
            numbers=(("there", Number(there, "number")), ("least", Number(least, "number"))),
            value=Number(there, "number"),
            limit=Number(least, "number"),
            reason="The fewer breed, the faster the line loses what its founders brought.",
            remedy="put more fish of the line together, or make further sets",
        )


def _loses(standing: LineStanding) -> Iterator[Finding]:
    if standing.effective is None:
        return
    said = standing.line.most_inbreeding
    limit = MOST_INBREEDING_A_GENERATION if said is None else said
    loss = standing.effective.loss
    if loss <= limit or limit <= 0:
        return
    need = least_breeders(limit) if limit < 1 else 1
    yield Finding(
        code=LOSES_MUCH,
        severity=Severity.NOTE if said is None else Severity.WARNING,
        subject=f"line {standing.line.name}",
        text="adds {loss} of inbreeding a generation with {males} male and {females} female; {limit} is its most"
        if said is not None
        else "adds {loss} of inbreeding a generation with {males} male and {females} female; {limit} is often advised",
        numbers=(
            ("loss", Number(loss, "share")),
            ("males", Number(standing.males, "number")),
            ("females", Number(standing.females, "number")),
            ("limit", Number(limit, "share")),
        ),
        value=Number(loss, "share"),
        limit=Number(limit, "share"),
        reason="That is what the recursion gives in the long run for a closed line of so many, all having young alike.",
        remedy=f"breed from {need} of each sex, or rotate males between sets",
    )


def _left(standing: LineStanding) -> Iterator[Finding]:
    if standing.left is None or standing.left > FEW_GENERATIONS:
        return
    yield Finding(
        code=FEW_LEFT,
        severity=Severity.WARNING,
        subject=f"line {standing.line.name}",
        text="passes {limit} of inbreeding with the very next generation of its living fish"
        if standing.left == 0
        else f"has {standing.left} generation{'s' * (standing.left > 1)} left before inbreeding passes {{limit}}",
        numbers=(("limit", Number(standing.limit, "share")),),
        reason="It is reckoned with the breeders of now, mated at random, and nothing new from outside.",
        remedy="choose mates of least kinship, breed from more fish, or bring unrelated fish of the same line in",
    )


def _regenerate(standing: LineStanding, today: date) -> Iterator[Finding]:
    by = standing.regenerate_by
    if by is None or today < by - timedelta(days=SOON_DAYS):
        return
    passed = today > by
    yield Finding(
        code=REGENERATE,
        severity=Severity.WARNING if passed else Severity.NOTE,
        subject=f"line {standing.line.name}",
        text=f"{'was' if passed else 'is'} to have a new generation by {by.isoformat()}",
        reason=f"Its youngest are of {standing.newest}; its keeper wants a new generation every"
        f" {standing.line.regenerate_days} days.",
        remedy="set fish together to breed, or say that a longer time will do",
    )


def _founders(standing: LineStanding) -> Iterator[Finding]:
    if standing.inbreeding is None or standing.related is None:
        return
    if standing.related - standing.inbreeding > 1e-9:
        yield Finding(
            code=FOUNDERS_UNKNOWN,
            severity=Severity.NOTE,
            subject=f"line {standing.line.name}",
            text="has founders of whom nobody knows how they are related: inbreeding is {least} if they are not,"
            " {most} if they are as half brothers and sisters",
            numbers=(
                ("least", Number(standing.inbreeding, "share")),
                ("most", Number(standing.related, "share")),
            ),
            reason="Fish that were bought together are often brothers and sisters.",
            remedy="ask whence they came, and give the kinship of the founders",
        )
