"""What there is to say of a search: what fits nowhere and why, what is missing to the wish, how good the best is."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from tankwright.arranging.ground import Ground, Refusal
from tankwright.arranging.model import LEAST, Proposal
from tankwright.finding import Finding, Number, Severity
from tankwright.plan.models import Plan, Wish

SEARCH: Final = "a search by OR-tools CP-SAT over the places tried; the room's own checks judge each proposal"
CLOSE: Final = 1e-9
_WANT: Final[Mapping[str, str]] = {
    "tanks": "most tanks", "litres": "most litres", "cost": "least cost", "walking": "least walking"
}  # fmt: skip


def nothing_to_arrange(plan: Plan, wish: Wish) -> tuple[Finding, ...]:
    """WISH-11: without kinds of rack and of tank there is nothing to search with."""
    missing = [what for what, part in (("tank", plan.tank_kind), ("rack", plan.rack_kind)) if not part]
    return tuple(
        Finding(
            code="WISH-11", severity=Severity.PROBLEM, subject=f"[{what}_kind]",
            text=f"has no kind of {what}, so nothing can be arranged", line=wish.line,
            reason="arrangements are made of kinds the plan describes", remedy=f"describe one under [{what}_kind.name]",
        )
        for what in missing
    )  # fmt: skip


def about_grounds(ground: Ground) -> Iterator[Finding]:
    """WISH-01, 02, 05, 07, 08, 09, 12: what the search rests on, and what of the wish has no chance."""
    plan, wish = ground.plan, ground.wish
    if plan.wish is None:
        yield Finding(
            code="WISH-01", severity=Severity.NOTE, subject="[wish]",
            text="is not in the plan: the most tanks of any kind are looked for, on any rack, along the walls",
            reason="what fits best hangs on what is wanted",
            remedy='write [wish] with tanks = [{ kind = "...", at_least = 6 }] and best = "litres"',
        )  # fmt: skip
    yield from _kinds_that_fit_nowhere(ground)
    used = {one.kind for one in ground.places}
    for kind in wish.racks or tuple(plan.rack_kind):
        if kind not in used:
            table = plan.rack_kind[kind]
            yield Finding(
                code="WISH-12", severity=Severity.NOTE if used else Severity.PROBLEM, subject=f"rack kind {kind}",
                text=f"has no place in {ground.space.id}: {{length}} by {{depth}} with {{aisle}} clear before it",
                numbers=(("length", _long(table.length.value)), ("depth", _long(table.depth.value)),
                         ("aisle", _long(ground.floor.aisle))),
                reason="doors, obstacles, racks that stay, the ceiling or the aisle leave none",
                remedy="make it shorter or lower, accept a narrower aisle, or let it stand free: islands = true",
                line=table.line,
            )  # fmt: skip
    if not ground.classes:
        yield Finding(
            code="WISH-05", severity=Severity.PROBLEM, subject=f"room {ground.space.id}",
            text="has no place for any rack that could hold one of these tanks",
            reason="every place is shut out by a door, an obstacle, the aisle, the ceiling or the drain's fall",
            remedy="look at the kinds named here; try another kind of rack", line=ground.space.line,
        )  # fmt: skip
    if wish.best == "cost" and ground.wanted.prices.unknown:
        names = ", ".join(ground.wanted.prices.unknown)
        yield Finding(
            code="WISH-07", severity=Severity.WARNING, subject="[wish] best", line=wish.line,
            text=f"is cost, and not everything has a price: {names}",
            reason="what has no price counts as nothing, so the cheapest may not be the cheapest",
            remedy="write prices under [[buy.sold]], or name a price list under [buy]",
        )  # fmt: skip
    if not ground.whole:
        yield Finding(
            code="WISH-09", severity=Severity.NOTE, subject="[wish]", line=wish.line,
            text="leaves too many ways to fill a shelf; only those that fill it best were looked at",
            reason="the bound holds for these", remedy="name fewer kinds of tank",
        )  # fmt: skip


def _kinds_that_fit_nowhere(ground: Ground) -> Iterator[Finding]:
    stands = {
        size.kind for one in ground.classes for rows in one.rows for row in rows for size, _ in row.tanks
    }  # fmt: skip
    wanted = {one.kind: one for one in ground.wish.tanks}
    for kind in dict.fromkeys(size.kind for size in ground.sizes):
        if kind in stands:
            continue
        why = [one for one in ground.refused if one.tank == kind]
        table = ground.plan.tank_kind[kind]
        row = wanted.get(kind)
        needed = row is not None and row.at_least > 0
        told, numbers = _why(ground, why)
        yield Finding(
            code="WISH-02", severity=Severity.PROBLEM if needed else Severity.NOTE, subject=f"tank kind {kind}",
            text="fits on no shelf here: " + (told or "under the ceiling and over the drain none is left"),
            numbers=numbers, line=(row.line if row is not None else None) or table.line,
            reason=next((one.finding.reason for one in why if one.finding), "it would stand out over its rack"),
            remedy="a rack that is deeper, longer or has more height between its shelves, or another kind of tank",
        )  # fmt: skip


def _why(ground: Ground, why: Sequence[Refusal]) -> tuple[str, tuple[tuple[str, Number], ...]]:
    """For each kind of rack what keeps the tank off, with the measures."""
    said: list[str] = []
    numbers: list[tuple[str, Number]] = []
    for place, one in enumerate(why):
        tank, rack = ground.plan.tank_kind[one.tank], ground.plan.rack_kind[one.rack]
        if one.finding is not None:
            said.append(f"{one.rack} is refused by {one.finding.code}")
            continue
        side = 1 if one.why == "deep" else 0
        has = (rack.depth if one.why == "deep" else rack.length).value
        said.append(f"{one.rack} is {{has{place}}} {one.why} and it is {{takes{place}}}")
        numbers += [(f"has{place}", _long(has)), (f"takes{place}", _long(tank.outside[side].value))]
    return ", ".join(said), tuple(numbers)


def what_is_missing(
    ground: Ground, missing: Mapping[str, tuple[float, bool]], proposals: Sequence[Proposal], *, known: bool
) -> Iterator[Finding]:
    """WISH-03, 04: what of the wish no arrangement holds, with the bound. `known` is that it cannot be met as a whole:
    else it was not met within the work it was given."""
    if not missing:
        return
    nearest = proposals[0] if proposals else None
    counts = {one.kind: one.count for one in nearest.counts} if nearest else {}
    kept = ground.kept_tanks
    lone = False
    for row in ground.wish.tanks:
        if row.kind not in missing:
            continue
        most, _ = missing[row.kind]
        most += sum(tank.kind == row.kind for tank in kept)
        if most < row.at_least:
            lone = True
            yield Finding(
                code="WISH-03", severity=Severity.PROBLEM, subject=f"tank kind {row.kind}",
                text="cannot be had {wanted} times: no arrangement on the places tried holds more than {most}",
                numbers=(("wanted", _count(row.at_least)), ("most", _count(most))),
                value=_count(row.at_least), limit=_count(most), line=row.line, source=SEARCH,
                reason="even with nothing else in the room", remedy="wish for fewer, or name more kinds of rack",
            )  # fmt: skip
    if "" in missing and ground.wish.litres is not None:
        most = missing[""][0] + sum(tank.water_volume for tank in kept)
        if most < ground.wish.litres.value - CLOSE:
            lone = True
            yield Finding(
                code="WISH-04", severity=Severity.PROBLEM, subject="[wish] litres",
                text="are {wanted}, and no arrangement on the places tried holds more than {most}",
                numbers=(("wanted", Number(ground.wish.litres.value, "volume")), ("most", Number(most, "volume"))),
                value=Number(ground.wish.litres.value, "volume"), limit=Number(most, "volume"), line=ground.wish.line,
                reason="these kinds of tank hold no more, however they stand", source=SEARCH,
                remedy="wish for fewer, or for larger tanks",
            )  # fmt: skip
    if not lone:
        short = [f"{row.at_least - counts.get(row.kind, 0)} {row.kind}" for row in ground.wish.tanks
                 if counts.get(row.kind, 0) < row.at_least]  # fmt: skip
        if known:
            said, reason = "cannot be met as a whole", "each part of it fits by itself, not all together"
        else:
            said, reason = "was not met within the work given", "nobody knows yet whether it can be"
        yield Finding(
            code="WISH-03", severity=Severity.PROBLEM, subject="[wish]", line=ground.wish.line, source=SEARCH,
            text=said + (f"; the nearest lacks {', '.join(short)}" if short else ""), reason=reason,
            remedy="wish for fewer of one kind" if known else "let it search longer, or wish for fewer",
        )  # fmt: skip


def about_search(
    ground: Ground, bound: float | None, proposals: Sequence[Proposal], rounds: int, *, exhausted: bool
) -> Iterator[Finding]:
    """WISH-06, 08, 10: how far the best may be from the bound, and how fine the places lie."""
    best = ground.wish.best
    if not proposals:
        yield Finding(
            code="WISH-10", severity=Severity.PROBLEM, subject=f"room {ground.space.id}",
            text="was searched, and nothing was found that meets the wish, can be walked to and passes the checks"
            + (" ({rounds} tries)" if exhausted else ""),
            numbers=(("rounds", _count(rounds)),), reason="racks stand in each other's way", source=SEARCH,
            remedy="wish for fewer tanks, a narrower aisle, or other racks; or let it search longer",
            line=ground.wish.line,
        )  # fmt: skip
        return
    value = proposals[0].value(best)
    dimension = {"tanks": "number", "litres": "volume", "cost": "number", "walking": "length"}[best]
    if (
        bound is not None
        and abs(bound - value) > 1e-3 * max(abs(bound), 1.0)
        and (value > bound) == (best in LEAST)
    ):
        yield Finding(
            code="WISH-06", severity=Severity.NOTE, subject="[wish] best", line=ground.wish.line, source=SEARCH,
            text=f"{_WANT[best]}: {{value}} were found, and no arrangement on the places tried passes {{bound}}",
            numbers=(("value", Number(value, dimension)), ("bound", Number(bound, dimension))),
            value=Number(value, dimension), limit=Number(bound, dimension),
            reason="between the two nobody knows yet", remedy="let it search longer",
        )  # fmt: skip
    yield Finding(
        code="WISH-08", severity=Severity.NOTE, subject=f"room {ground.space.id}",
        text="was searched at {places} places for racks: flush with walls, doors, obstacles and each other, and every"
        " {step} along walls",
        numbers=(("places", _count(len(ground.places))), ("step", _long(ground.step))), line=ground.space.line,
        reason="bound and best hold for these places; a rack moved by less than a step may let one more in",
        source=SEARCH,
    )  # fmt: skip


def _long(length: float) -> Number:
    return Number(length, "length")


def _count(number: float) -> Number:
    return Number(float(number), "number")
