"""An answer made a proposal: named, written as a change, laid out, worked out and judged like any plan."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from tankwright.arranging.ground import Ground
from tankwright.arranging.model import KindCount, Place, Proposal, Row
from tankwright.arranging.naming import named
from tankwright.arranging.program import Answer
from tankwright.arranging.trial import OTHERS, tried
from tankwright.arranging.writing import change_for
from tankwright.checks.all import judge, worst_first
from tankwright.finding import Finding, Severity
from tankwright.plan.reading import read_plan_text
from tankwright.room.layout import lay_out
from tankwright.study import work_out
from tankwright.units import Kilogram

JUDGED: Final = frozenset({"layout", "load", "glass", "racks", "drain"})
OVER_A_VOID: Final = "RACKS-11"
"""Feet over a void: the rack is in the wrong place, whatever stands on it."""
ELSEWHERE: Final = frozenset({"STUDY-02"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """A proposal, or why it is none: places that must not all have a rack, kinds of rack that carry too much."""

    proposal: Proposal | None
    forbid: tuple[tuple[int, ...], ...] = ()
    lighter: tuple[tuple[str, Kilogram], ...] = ()
    findings: tuple[Finding, ...] = ()


def judged(ground: Ground, answer: Answer, text: str, number: int) -> Judged:
    """Lay an answer out and have the checks judge it."""
    chosen = [(ground.places[place], rows) for place, rows in answer.racks]
    naming = named(ground.plan, ground.room, ground.space, ground.out, chosen)
    where = {
        id(place): spot for spot, (place, _) in zip((one for one, _ in answer.racks), chosen, strict=True)
    }
    words = _words(naming.racks, ground.space.id)
    racks = list(zip(naming.racks, naming.places, strict=True))
    change = change_for(ground.plan, ground.room, ground.space, ground.out, racks, words)
    result = change.apply(text)
    if result.text is None:
        return Judged(proposal=None, findings=result.findings)
    read = read_plan_text(result.text, "proposal")
    laid = lay_out(read.plan) if read.plan is not None else None
    if laid is None or laid.room is None:
        return Judged(proposal=None, findings=read.findings + (laid.findings if laid else ()))
    study = work_out(laid.room, JUDGED)
    findings = worst_first((
        *laid.findings, *(one for one in judge(study) if one.code not in ELSEWHERE),
    ))  # fmt: skip
    spots = {rack.id: where[id(place)] for rack, place in racks}
    on_rack = {tank.id: tank.rack for tank in laid.room.tanks}
    carried = {
        rack.id: rows
        for (rack, place), rows in zip(
            racks, (_rows(answer, where[id(one)]) for one in naming.places), strict=True
        )
    }
    forbid, lighter = _against(ground, findings, spots, on_rack, carried)
    if forbid or lighter:
        return Judged(proposal=None, forbid=forbid, lighter=lighter, findings=findings)
    here = [tank for tank in laid.room.tanks if tank.room == ground.space.id]
    litres = sum(tank.water_volume for tank in here)
    counts = Counter(tank.kind for tank in here)
    least = {one.kind: one.at_least for one in ground.wish.tanks}
    wished = ground.wish.litres.value if ground.wish.litres is not None else 0.0
    proposal = Proposal(
        number=number, racks=naming.racks, tanks=len(here), litres=litres, cost=_cost(ground, chosen),
        walking=sum(place.walk for place in naming.places),
        counts=tuple(KindCount(kind=kind, count=counts[kind], wanted=least.get(kind, 0))
                     for kind in ground.plan.tank_kind if counts[kind] or least.get(kind, 0)),
        short_of=max(wished - litres, 0.0), change=change, text=result.text, room=laid.room, study=study,
        findings=findings, moved=naming.moved, comes=naming.comes, goes=naming.goes, drops=change.drops(text),
    )  # fmt: skip
    return Judged(proposal=proposal)


def _rows(answer: Answer, spot: int) -> tuple[Row, ...]:
    return next(rows for place, rows in answer.racks if place == spot)


def _words(racks: Sequence[object], room: str) -> str:
    tanks = sum(rack.tanks for rack in racks)  # type: ignore[attr-defined]
    return f"an arrangement taken: {len(racks)} racks with {tanks} tanks in {room}"


def _against(
    ground: Ground, findings: Sequence[Finding], spots: dict[str, int], on_rack: dict[str, str],
    carried: dict[str, tuple[Row, ...]],
) -> tuple[tuple[tuple[int, ...], ...], tuple[tuple[str, Kilogram], ...]]:  # fmt: skip
    """What a proposal must not do again: problems of the layout, and racks that do not carry what stands on them."""
    forbid: list[tuple[int, ...]] = []
    lighter: list[tuple[str, Kilogram]] = []
    for finding in findings:
        if finding.severity is not Severity.PROBLEM or (
            finding.code in OTHERS and finding.code != OVER_A_VOID
        ):
            continue
        racks = dict.fromkeys(on_rack.get(name, name) for name in finding.places)
        named_here = [rack for rack in racks if rack in spots]
        if not named_here:
            continue
        if finding.code.startswith("LAYOUT-") or finding.code == OVER_A_VOID:
            forbid.append(tuple(spots[rack] for rack in named_here))
        elif finding.code.startswith(("RACKS-", "LOAD-04")):
            for rack in named_here:
                place = ground.places[spots[rack]]
                if tried(ground.plan, [(place.kind, carried[rack])])[0]:
                    lighter.append((place.kind, sum(row.mass for row in carried[rack])))
                else:
                    forbid.append((spots[rack],))
    return tuple(dict.fromkeys(forbid)), tuple(dict.fromkeys(lighter))


def _cost(ground: Ground, chosen: Sequence[tuple[Place, tuple[Row, ...]]]) -> float | None:
    """Of what is not there yet; None where a price is missing."""
    wanted = ground.wanted
    prices = wanted.prices
    racks = Counter(place.kind for place, _ in chosen)
    tanks = Counter(size.kind for _, rows in chosen for row in rows for size, _ in row.tanks)
    if any(kind not in prices.racks for kind in racks) or any(kind not in prices.tanks for kind in tanks):
        return None
    return sum(
        prices.racks[kind] * max(many - wanted.have_racks.get(kind, 0), 0) for kind, many in racks.items()
    ) + sum(
        prices.tanks[kind] * max(many - wanted.have_tanks.get(kind, 0), 0) for kind, many in tanks.items()
    )
