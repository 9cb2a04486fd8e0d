"""Arrangements in words and as JSON: what each holds, where its racks stand, how good the best is."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from tankwright.arranging.model import Arrangements, Best, PlacedRack, Proposal, TankRow
from tankwright.finding import Number, Severity
from tankwright.report.finding import json_finding
from tankwright.report.model import SummaryLine
from tankwright.units import convert

SCREENING = (
    "Each proposal was laid out and judged like a plan: layout, weight, racks, glass, drain. It is a screening; air,"
    " feed, power, warmth and water are worked out once it is taken."
)
SOUGHT = {"tanks": "most tanks", "litres": "most litres", "cost": "least cost", "walking": "least walking"}
_DIMENSION = {"tanks": "number", "litres": "volume", "cost": "number", "walking": "length"}


def summary_fit(found: Arrangements) -> tuple[SummaryLine, ...]:
    """How many proposals there are, how good the best is, and what bounds it."""
    if not found.proposals:
        return (SummaryLine("no arrangement was found"),)
    best = found.proposals[0]
    value = Number(best.value(found.best), _DIMENSION[found.best])
    money = f" {found.currency}" if found.best == "cost" and found.currency else ""
    if found.proved:
        how = "proved: no arrangement on the places tried is better"
    elif found.bound is not None:
        how = f"no arrangement on the places tried passes {{bound}}{money}; nobody knows what lies between"
    else:
        how = "the wish cannot be met; these come nearest to it"
    bound = (("bound", Number(found.bound, _DIMENSION[found.best])),) if found.bound is not None else ()
    return (
        SummaryLine(
            f"{{many}} proposal{'' if len(found.proposals) == 1 else 's'} for room {found.room}",
            (("many", _count(len(found.proposals))),),
        ),
        SummaryLine(f"{SOUGHT[found.best]}: {{value}}{money}; {how}", (("value", value), *bound)),
        SummaryLine(SCREENING),
    )


def proposal_lines(proposal: Proposal, best: Best, currency: str = "") -> Iterator[SummaryLine]:
    """What a proposal holds, what it leaves out of the wish, what comes and goes."""
    kinds = ", ".join(f"{one.count} {one.kind}" for one in proposal.counts if one.count)
    yield SummaryLine(
        f"{{tanks}} tanks with {{litres}} of water{f': {kinds}' if kinds else ''}",
        (("tanks", _count(proposal.tanks)), ("litres", Number(proposal.litres, "volume"))),
    )
    short = [f"{one.short} {one.kind}" for one in proposal.counts if one.short]
    if short:
        yield SummaryLine(f"short of the wish by {', '.join(short)}")
    if proposal.short_of > 0.0:
        yield SummaryLine("short of the wish by {litres}", (("litres", Number(proposal.short_of, "volume")),))
    if proposal.cost is not None:
        yield SummaryLine(
            f"{{cost}} {currency}".rstrip() + " for what is not there yet",
            (("cost", Number(proposal.cost, "number")),),
        )
    if best == "walking":
        yield SummaryLine(
            "{way} from the door to its racks, added up", (("way", Number(proposal.walking, "length")),)
        )
    parts = [f"{len(ids)} {word}" for ids, word in (
        (proposal.moved, "keep their names and move"), (proposal.comes, "are new"), (proposal.goes, "go"),
    ) if ids]  # fmt: skip
    if parts:
        yield SummaryLine("tanks: " + ", ".join(parts))
    counts = Counter(one.severity for one in proposal.findings)
    told = ", ".join(f"{counts[one]} {one.value}" for one in Severity if counts[one])
    yield SummaryLine("findings: " + (told or "none"))


def rack_line(rack: PlacedRack) -> SummaryLine:
    """Where a rack stands and what is on its shelves, the lowest first."""
    numbers: tuple[tuple[str, Number], ...]
    if rack.wall is not None:
        corner = "west" if rack.wall in ("north", "south") else "south"
        where = f"{rack.wall} wall, {{along}} from {corner}"
        numbers = (("along", Number(rack.along or 0.0, "length")),)
    else:
        x, y = rack.at or (0.0, 0.0)
        where = f"free, {{x}} from west, {{y}} from south, worked from the {rack.facing}"
        numbers = (("x", Number(x, "length")), ("y", Number(y, "length")))
    shelves = " | ".join(_on(shelf) for shelf in rack.shelves)
    return SummaryLine(f"{rack.id} ({rack.kind}): {where}: {shelves}", numbers)


def _on(shelf: tuple[TankRow, ...]) -> str:
    counts: dict[str, int] = {}
    for row in shelf:
        counts[row.kind] = counts.get(row.kind, 0) + len(row.ids)
    return " + ".join(f"{many} {kind}" for kind, many in counts.items()) or "empty"


def json_fit(found: Arrangements) -> dict[str, object]:
    """All of it, units in the key names."""
    return {
        "room": found.room,
        "best": found.best,
        "bound": None if found.bound is None else _shown(found.bound, found.best),
        "proved": found.proved,
        "places_tried": found.places,
        "step_along_walls_mm": convert(found.step, "m", "mm"),
        "searched_again": found.rounds,
        "currency": found.currency,
        "caution": SCREENING,
        "proposals": [json_proposal(one, found.best) for one in found.proposals],
        "findings": [json_finding(one) for one in found.findings],
    }


def json_proposal(proposal: Proposal, best: Best) -> dict[str, object]:
    """One proposal."""
    return {
        "number": proposal.number,
        "value": _shown(proposal.value(best), best),
        "tanks": proposal.tanks,
        "water_l": convert(proposal.litres, "m**3", "L"),
        "cost": proposal.cost,
        "walking_m": proposal.walking,
        "meets_the_wish": proposal.meets_the_wish,
        "short_of_l": convert(proposal.short_of, "m**3", "L"),
        "kinds": [
            {"kind": one.kind, "count": one.count, "wanted": one.wanted, "short": one.short}
            for one in proposal.counts
        ],
        "racks": [_json_rack(one) for one in proposal.racks],
        "moved": list(proposal.moved),
        "comes": list(proposal.comes),
        "goes": list(proposal.goes),
        "drops": list(proposal.drops),
        "findings": [json_finding(one) for one in proposal.findings],
    }  # fmt: skip


def _json_rack(rack: PlacedRack) -> dict[str, object]:
    return {
        "id": rack.id, "kind": rack.kind, "wall": rack.wall, "facing": rack.facing,
        "along_mm": None if rack.along is None else convert(rack.along, "m", "mm"),
        "at_mm": None if rack.at is None else [convert(one, "m", "mm") for one in rack.at],
        "off_wall_mm": convert(rack.off_wall, "m", "mm"),
        "shelves": [
            [{"kind": row.kind, "ids": list(row.ids), "from_left_mm": convert(row.from_left, "m", "mm"),
              "end_on": row.end_on, "state": row.state} for row in shelf]
            for shelf in rack.shelves
        ],
    }  # fmt: skip


def _shown(value: float, best: Best) -> float:
    return convert(value, "m**3", "L") if best == "litres" else value


def _count(number: int) -> Number:
    return Number(float(number), "number")
