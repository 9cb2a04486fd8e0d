"""What the weights mean: a screening for someone licensed to judge.

No finding here says that a floor, a shelf or a rack holds. Floors are the business of a structural engineer
and the local code; the values they are set beside are stated with their source.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Final

from tankwright.checks.grouping import listed, rests, rests_of_all, verb
from tankwright.finding import Finding, Number, Severity
from tankwright.origin import Known
from tankwright.room.model import RackPlace, Room
from tankwright.systems.load import LoadResult, RackLoad
from tankwright.units import Pascal

SCREENING: Final = (
    "a screening, not a verdict: span, joists, notches and what else stands there decide,"
    " and a structural engineer and the local code judge them"
)

TIP_RATIO: Final = 6.0
TIE_RATIO: Final = 8.0
"""Height of the top loaded shelf over depth: above 6 anchor, above 8 tie together or overhead.
Source: ANSI/RMI MH16.1, industrial steel racks; not written for home timber ones."""

GARAGE_POINT_LOAD: Final = 907.18474
"""kg on a small square under a wheel, 2000 lb. Source: IRC table R301.5, passenger vehicle garages."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FloorValue:
    """An imposed load that some code designs a floor for. It excludes heavy equipment, which tanks are."""

    where: str
    pressure: Pascal
    source: str


FLOOR_VALUES: Final = (
    FloorValue(where="sleeping rooms, US", pressure=1436.4, source="IRC table R301.5, 30 psf"),
    FloorValue(where="dwellings, UK until 2010", pressure=1500.0, source="BS 6399-1, by a secondary source"),
    FloorValue(where="dwellings, Australia and New Zealand", pressure=1500.0,
               source="AS/NZS 1170.1, by a secondary source"),
    FloorValue(where="dwellings, Netherlands", pressure=1750.0,
               source="EN 1991-1-1 national annex, table 6.2"),
    FloorValue(where="living rooms, US", pressure=1915.2, source="IRC table R301.5, 40 psf"),
    FloorValue(where="garages, Netherlands", pressure=2000.0, source="EN 1991-1-1 national annex"),
    FloorValue(where="garages, France", pressure=2300.0, source="EN 1991-1-1 national annex, clause 6.3.3.2"),
    FloorValue(where="passenger garages, US", pressure=2394.0, source="IRC table R301.5, 50 psf"),
)  # fmt: skip
"""Design loads of floors by several codes, lightest first. Pounds per square foot are 47.880 Pa each."""

_FLOORS: Final = {"slab": "a slab", "tiles on slab": "tiles on a slab"}

Check = Callable[[Room, LoadResult], Iterator[Finding]]


def check_load(room: Room, result: LoadResult) -> tuple[Finding, ...]:
    """Everything there is to say about the weights.

    >>> from tankwright.systems.load import solve_load
    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> check_load(empty, solve_load(empty))
    ()
    """
    return tuple(finding for check in CHECKS for finding in check(room, result))


def suspended_floors_are_shown_to_an_engineer(room: Room, result: LoadResult) -> Iterator[Finding]:
    """LOAD-01 and LOAD-02: on a timber floor, room and footprints against what codes design for."""
    for space in result.spaces:
        if space.floor in _FLOORS or space.total <= 0:
            continue
        timber = space.floor == "timber"
        racks = {rack.id for rack in room.racks if rack.room == space.space}
        heavy = [
            rack for rack in result.racks if rack.rack in racks and rack.pressure > FLOOR_VALUES[0].pressure
        ]
        living = next(value for value in FLOOR_VALUES if value.where == "living rooms, US")
        kind = "timber floor" if timber else f'floor ("{space.floor}")'
        if space.pressure > FLOOR_VALUES[0].pressure:
            yield Finding(
                code="LOAD-01",
                severity=Severity.PROBLEM if space.pressure > living.pressure else Severity.WARNING,
                subject=f"room {space.space}",
                text=f"puts {{load}} on its {kind}, spread over the whole floor;"
                " floors of dwellings are designed for {low} to {high}",
                numbers=(("load", _pressure(space.pressure)), ("low", _pressure(FLOOR_VALUES[0].pressure)),
                         ("high", _pressure(living.pressure)), ("brim", _pressure(space.brim_pressure))),
                value=_pressure(space.pressure), limit=_pressure(living.pressure),
                reason=f"{SCREENING}; {{brim}} with every tank full to the rim",
                remedy="show an engineer the load sheet before anything is filled",
                source=f"{FLOOR_VALUES[0].source}; {living.source}", line=_space_line(room, space.space),
                places=tuple(sorted(racks)), rests_on=_tank_rests(room, result),
            )  # fmt: skip
        if heavy:
            worst = max(heavy, key=lambda rack: rack.pressure)
            ids = [rack.rack for rack in heavy]
            yield Finding(
                code="LOAD-02", severity=Severity.WARNING,
                subject=listed(ids, "rack"),
                text=f"{verb(ids, 'presses', 'press')} harder on the {kind} than it is likely designed for:"
                f" {{load}} under rack {worst.rack}, {{mass}} on {{legs}} feet",
                numbers=(("load", _pressure(worst.pressure)), ("mass", _mass(worst.total)),
                         ("legs", Number(worst.legs.value, "number"))),
                value=_pressure(worst.pressure), limit=_pressure(living.pressure),
                reason=f"floors of dwellings are designed for 30 to 40 psf; {SCREENING}",
                remedy="ask an engineer; stand racks across the joists, near the walls that carry them",
                source=f"{FLOOR_VALUES[0].source}; {living.source}", line=_rack(room, worst.rack).line,
                places=tuple(ids), rests_on=rests(worst.own, worst.legs),
            )  # fmt: skip


def feet_on_a_slab_are_told(room: Room, result: LoadResult) -> Iterator[Finding]:
    """LOAD-03: on a slab, what the heaviest foot brings down."""
    for space in result.spaces:
        if space.floor not in _FLOORS:
            continue
        racks = {rack.id for rack in room.racks if rack.room == space.space}
        loaded = [rack for rack in result.racks if rack.rack in racks and rack.tanks > 0]
        if not loaded:
            continue
        worst = max(loaded, key=_foot)
        over = _foot(worst) > GARAGE_POINT_LOAD
        tiled = ". Tiles crack under a foot without a plate" if space.floor == "tiles on slab" else ""
        yield Finding(
            code="LOAD-03", severity=Severity.WARNING if over else Severity.NOTE,
            subject=f"room {space.space}",
            text=f"stands on {_FLOORS[space.floor]}: the heaviest foot carries {{foot}} (rack {worst.rack}),"
            " the heaviest footprint {load}",
            numbers=(("foot", _mass(_foot(worst))), ("load", _pressure(max(r.pressure for r in loaded)))),
            value=_mass(_foot(worst)), limit=_mass(GARAGE_POINT_LOAD),
            reason=f"{SCREENING}{tiled}",
            remedy="put a plate or a sole of timber under every foot, and level it",
            source="a garage floor is designed for one wheel of 2000 lb, IRC table R301.5",
            line=_rack(room, worst.rack).line, places=(worst.rack,), rests_on=rests(worst.own, worst.legs),
        )  # fmt: skip


def shelves_keep_to_their_rating(room: Room, result: LoadResult) -> Iterator[Finding]:
    """LOAD-04 and LOAD-05: each shelf against its maker's rating; one that has none and is not worked out from what it
    is built of is not judged.
    """
    unrated: list[str] = []
    for rack in room.racks:
        shelves = [shelf for shelf in result.shelves if shelf.rack == rack.id and shelf.tanks]
        if not shelves:
            continue
        worst = max(shelves, key=lambda shelf: shelf.total)
        if rack.shelf_rating is None:
            if not _worked_out(rack):
                unrated.append(rack.id)
            continue
        rating = rack.shelf_rating.value
        if worst.brim <= rating:
            continue
        over = worst.total > rating
        yield Finding(
            code="LOAD-04", severity=Severity.PROBLEM if over else Severity.WARNING,
            subject=f"rack {rack.id}",
            text="carries {mass} on shelf {shelf}, which is rated for {rating}" if over
            else "would carry {brim} on shelf {shelf} with its tanks brim-full; it is rated for {rating}",
            numbers=(("mass", _mass(worst.total)), ("brim", _mass(worst.brim)), ("rating", _mass(rating)),
                     ("shelf", Number(float(worst.shelf), "number"))),
            value=_mass(worst.total if over else worst.brim), limit=_mass(rating),
            reason="a rating holds for an even load on a level rack, and water is on it for years",
            remedy="put fewer or smaller tanks on it, or a stronger shelf",
            source="the maker's rating in the plan",
            line=rack.line, places=(rack.id,), rests_on=rests(rack.shelf_rating),
        )  # fmt: skip
    if unrated:
        heaviest = max(
            (shelf for shelf in result.shelves if shelf.rack in set(unrated)), key=lambda shelf: shelf.total
        )
        yield Finding(
            code="LOAD-05", severity=Severity.NOT_COMPUTED, subject=listed(unrated, "rack"),
            text=f"{verb(unrated, 'has', 'have')} no shelf rating, so no shelf was judged;"
            f" the heaviest carries {{mass}} (rack {heaviest.rack}, shelf {{shelf}})",
            numbers=(("mass", _mass(heaviest.total)), ("shelf", Number(float(heaviest.shelf), "number"))),
            reason="the tool does not guess the strength of a shelf",
            remedy="write shelf_rating in the rack's kind, or what it is built of under timber or steel:"
            ' bearers = "45 mm x 95 mm C24"',
            line=_rack(room, unrated[0]).line, places=tuple(unrated),
        )  # fmt: skip


def racks_do_not_tip(room: Room, result: LoadResult) -> Iterator[Finding]:
    """LOAD-06: slender racks are tied; every rack should be."""
    loose: list[RackLoad] = []
    for load in result.racks:
        rack = _rack(room, load.rack)
        if rack.tied_to_wall or load.ratio is None or load.pull is None:
            continue
        if load.ratio <= TIP_RATIO:
            loose.append(load)
            continue
        yield Finding(
            code="LOAD-06", severity=Severity.PROBLEM if load.ratio > TIE_RATIO else Severity.WARNING,
            subject=f"rack {rack.id}",
            text="is slender and " + ("not tied to a wall" if rack.tied_to_wall is False else
                                      "the plan does not say that it is tied")
            + ": its top shelf stands {ratio} times its depth high",
            numbers=(("ratio", Number(load.ratio, "number")), ("pull", Number(load.pull, "force"))),
            value=Number(load.ratio, "number"), limit=Number(TIP_RATIO, "number"),
            reason="with only the top shelf full, a level pull of {pull} there begins to tip it",
            remedy="tie it to the wall or to its neighbour at the top, then write tied_to_wall = true",
            source="ANSI/RMI MH16.1 for industrial steel racks: above 6 anchor, above 8 tie together",
            line=rack.line, places=(rack.id,), rests_on=rests(load.own),
        )  # fmt: skip
    if loose:
        worst = min(loose, key=lambda load: load.pull or 0.0)
        ids = [load.rack for load in loose]
        yield Finding(
            code="LOAD-06", severity=Severity.NOTE, subject=listed(ids, "rack"),
            text=f"{verb(ids, 'is', 'are')} not said to be tied: with only the top shelf full, a level"
            f" pull of {{pull}} at that shelf begins to tip rack {worst.rack}",
            numbers=(("pull", Number(worst.pull or 0.0, "force")),),
            reason="a person who slips and holds on pulls harder than that may be",
            remedy="tie every rack to a wall, whatever its shape", source="statics; tying is common practice",
            line=_rack(room, worst.rack).line, places=tuple(ids), rests_on=rests(worst.own),
        )  # fmt: skip


def weights_are_not_chart_weights(room: Room, result: LoadResult) -> Iterator[Finding]:
    """LOAD-07: these figures are of measured tanks, and will not agree with a printed chart."""
    if result.tanks:
        yield Finding(
            code="LOAD-07", severity=Severity.NOTE, subject="the whole plan",
            text="weighs {mass} filled to the lips and {brim} brim-full, racks and glass included",
            numbers=(("mass", _mass(result.total)), ("brim", _mass(result.brim))),
            value=_mass(result.total),
            reason="printed charts of filled tanks go by nominal gallons and read 6 to 25 % above water and"
            f" glass of the same outside size; {SCREENING}",
            remedy="measure the glass of one tank of each kind with a caliper",
            source="geometry; the comparison was worked out from a widely copied chart",
            rests_on=_tank_rests(room, result),
        )  # fmt: skip


def what_was_not_worked_out(_room: Room, result: LoadResult) -> Iterator[Finding]:
    """LOAD-08: weights that could not be worked out."""
    for subject, reason in dict.fromkeys(result.not_computed):
        yield Finding(
            code="LOAD-08", severity=Severity.NOT_COMPUTED, subject=subject, text="was not weighed in full",
            reason=reason, remedy="describe it in the plan",
        )  # fmt: skip


CHECKS: Final[tuple[Check, ...]] = (
    suspended_floors_are_shown_to_an_engineer, feet_on_a_slab_are_told, shelves_keep_to_their_rating,
    racks_do_not_tip, weights_are_not_chart_weights, what_was_not_worked_out,
)  # fmt: skip


def _foot(rack: RackLoad) -> float:
    return rack.worst_leg if rack.worst_leg is not None else rack.leg


def _worked_out(rack: RackPlace) -> bool:
    """Whether enough is said of its bearers to work them out, as the racks do."""
    bearers = rack.built.bearers if rack.built else None
    return bearers is not None and bearers.section is not None and bearers.grade is not None


def _rack(room: Room, name: str) -> RackPlace:
    return next(rack for rack in room.racks if rack.id == name)


def _space_line(room: Room, name: str) -> int | None:
    return next((space.line for space in room.spaces if space.id == name), None)


def _tank_rests(room: Room, result: LoadResult) -> tuple[str, ...]:
    knowns: list[Known] = []
    for tank, load in zip(room.tanks, result.tanks, strict=True):
        knowns += (load.fittings, tank.level_known)
        if load.panes:
            knowns += (tank.glass_side, tank.glass_base, result.glass_density)
    return rests_of_all(knowns)


def _mass(value: float) -> Number:
    return Number(value, "mass")


def _pressure(value: float) -> Number:
    return Number(value, "floor_load")
