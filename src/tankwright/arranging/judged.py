"""An answer made a proposal: named, written as a change, laid out, worked out and judged like any plan."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from tankwright.arranging.ground import Ground
from tankwright.arranging.model import KindCount, Place, Proposal, Row
from tankwright.arranging.naming import Named, named
from tankwright.arranging.program import Answer
from tankwright.arranging.trial import OTHERS, tried
from tankwright.arranging.writing import change_for
from tankwright.checks.all import judge, worst_first
from tankwright.finding import Finding, Severity
from tankwright.plan.changes_arrange import TakeArrangement
from tankwright.plan.reading import read_plan_text
from tankwright.room.layout import lay_out
from tankwright.room.model import Room
from tankwright.study import Study, work_out
from tankwright.units import Kilogram, Metre

JUDGED: Final = frozenset({"layout", "load", "glass", "racks", "drain"})
OVER_A_VOID: Final = "RACKS-11"
"""Feet over a void: the rack is in the wrong place, whatever stands on it."""
ELSEWHERE: Final = frozenset({"STUDY-02"})


UPHILL: Final = frozenset({"DRAIN-03", "DRAIN-04"})
"""A hose that ends above the lip, or that has to rise: the drain lies too high behind that rack."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """A proposal, and what is against it: places that must not all have a rack, kinds of rack that carry too much.

    `higher` is where the drain was found to lie higher than a place asks: (place, height). There is no proposal where
    the plan would not read.
    """

    proposal: Proposal | None
    forbid: tuple[tuple[int, ...], ...] = ()
    lighter: tuple[tuple[str, Kilogram], ...] = ()
    higher: tuple[tuple[int, Metre], ...] = ()
    findings: tuple[Finding, ...] = ()

    @property
    def refused(self) -> bool:
        """True when it must not stand so."""
        return self.proposal is None or bool(self.forbid or self.lighter)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Laid:
    """An answer laid out: which place and which rows each of its racks has."""

    naming: Named
    spots: dict[str, int]
    carried: dict[str, tuple[Row, ...]]
    room: Room
    findings: tuple[Finding, ...]


def judged(ground: Ground, answer: Answer, text: str, number: int) -> Judged:
    """Lay an answer out and have the checks judge it."""
    rows = dict(answer.racks)
    spot_of = {id(ground.places[spot]): spot for spot in rows}
    naming = named(
        ground.plan,
        ground.room,
        ground.space,
        ground.out,
        [(ground.places[spot], rows[spot]) for spot in rows],
    )
    tanks = sum(rack.tanks for rack in naming.racks)
    change = change_for(
        ground.plan, ground.room, ground.space, ground.out, list(zip(naming.racks, naming.places, strict=True)),
        f"an arrangement taken: {len(naming.racks)} racks with {tanks} tanks in {ground.space.id}",
    )  # fmt: skip
    result = change.apply(text)
    read = None if result.text is None else read_plan_text(result.text, "proposal")
    if result.text is None or read is None or read.plan is None:
        return Judged(proposal=None, findings=result.findings + (read.findings if read else ()))
    out = lay_out(read.plan)
    assert out.room is not None
    study = work_out(out.room, JUDGED)
    told = (one for one in judge(study) if one.code not in ELSEWHERE)
    spots = {rack.id: spot_of[id(place)] for rack, place in zip(naming.racks, naming.places, strict=True)}
    laid = _Laid(
        naming=naming, spots=spots, carried={name: rows[spot] for name, spot in spots.items()}, room=out.room,
        findings=worst_first((*out.findings, *told)),
    )  # fmt: skip
    proposal = _proposal(ground, laid, study, change, text)
    proposal = replace(proposal, number=number, text=result.text)
    return _against(ground, laid, proposal)


def _proposal(ground: Ground, laid: _Laid, study: Study, change: TakeArrangement, before: str) -> Proposal:
    here = [tank for tank in laid.room.tanks if tank.room == ground.space.id]
    litres = sum(tank.water_volume for tank in here)
    counts = Counter(tank.kind for tank in here)
    least = {one.kind: one.at_least for one in ground.wish.tanks}
    wished = ground.wish.litres.value if ground.wish.litres is not None else 0.0
    naming = laid.naming
    return Proposal(
        number=0, racks=naming.racks, tanks=len(here), litres=litres, text="",
        cost=_cost(ground, [(place, laid.carried[rack.id])
                            for rack, place in zip(naming.racks, naming.places, strict=True)]),
        walking=sum(place.walk for place in naming.places),
        counts=tuple(KindCount(kind=kind, count=counts[kind], wanted=least.get(kind, 0))
                     for kind in ground.plan.tank_kind if counts[kind] or least.get(kind, 0)),
        short_of=max(wished - litres, 0.0), change=change, room=laid.room, study=study, findings=laid.findings,
        moved=naming.moved, comes=naming.comes, goes=naming.goes, drops=change.drops(before),
    )  # fmt: skip


def _against(ground: Ground, laid: _Laid, proposal: Proposal) -> Judged:
    """What the checks have against it: problems of the layout, racks that do not carry what stands on them, drains that
    lie too high."""
    forbid: list[tuple[int, ...]] = []
    lighter: list[tuple[str, Kilogram]] = []
    higher: dict[int, Metre] = {}
    tanks = {tank.id: tank for tank in laid.room.tanks}
    for finding in laid.findings:
        racks = dict.fromkeys(tanks[name].rack if name in tanks else name for name in finding.places)
        named_here = [rack for rack in racks if rack in laid.spots]
        if finding.code in UPHILL:
            for tank in (tanks[name] for name in finding.places if name in tanks):
                if tank.rack in laid.spots and tank.hose is not None:
                    spot = laid.spots[tank.rack]
                    higher[spot] = max(higher.get(spot, tank.hose.end[2]), tank.hose.end[2])
        elif finding.severity is not Severity.PROBLEM or not named_here:
            continue
        elif finding.code == OVER_A_VOID:
            forbid += [(laid.spots[rack],) for rack in named_here]
        elif finding.code in OTHERS:
            continue
        elif finding.code.startswith("LAYOUT-"):
            forbid.append(tuple(laid.spots[rack] for rack in named_here))
        elif finding.code.startswith(("RACKS-", "LOAD-04")):
            for rack in named_here:
                kind, rows = ground.places[laid.spots[rack]].kind, laid.carried[rack]
                if tried(ground.plan, [(kind, rows)])[0]:
                    lighter.append((kind, sum(row.mass for row in rows)))
                else:
                    forbid.append((laid.spots[rack],))
    return Judged(
        proposal=proposal, forbid=tuple(dict.fromkeys(forbid)), lighter=tuple(dict.fromkeys(lighter)),
        higher=tuple(higher.items()), findings=laid.findings,
    )  # fmt: skip


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
