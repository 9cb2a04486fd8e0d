"""Every shelf, upright and floor of the room under its tanks: a screening for someone licensed to judge.

Weight is permanent. Beams lie free between their uprights; joints, screws, notches, the wall a rack is tied to, and
what a bracket beside an upright bends into it, are not in it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from tankwright.catalogue.grades import Grade
from tankwright.catalogue.sections import Section
from tankwright.catalogue.strength import allowed_stresses, later_factor, post_capacity
from tankwright.physics.constants import STANDARD_GRAVITY
from tankwright.physics.footing import sway_push
from tankwright.physics.ranges import OutsideValidRange
from tankwright.room.assumed import assumed
from tankwright.room.boxes import along_span
from tankwright.room.model import RackBuilt, RackPlace, Room, Tank
from tankwright.room.model_structure import Member
from tankwright.systems.racks_beams import STRIP, Laws, bar_of, beams_of, damp_of, laws_of
from tankwright.systems.racks_floors import can_be_worked_out, floors_of, stands_at_its_uprights
from tankwright.systems.racks_loads import Grid, Standing, grid_of, shelves_of
from tankwright.systems.racks_model import (
    BeamResult,
    FloorStrength,
    PostResult,
    RacksResult,
    RackStrength,
    Route,
)
from tankwright.systems.racks_posts import leans, posts_of, tipping
from tankwright.systems.racks_sags import YEARS, readings_of, tilts_of
from tankwright.systems.racks_sections import STRENGTH, usual_that_holds
from tankwright.units import Kilogram

Missing = tuple[str, str, str]


def solve_racks(room: Room, masses: Mapping[str, Kilogram]) -> RacksResult:
    """Every rack and every floor under tanks of these masses.

    Source: statics; strengths by the code of each grade (`catalogue.strength`).

    >>> solve_racks(Room(title="", display="metric", spaces=(), racks=(), tanks=()), {}).racks
    ()
    """
    laws = laws_of(room)
    missing: list[Missing] = []
    strengths = tuple(_rack(room, rack, masses, laws, missing) for rack in room.racks)
    totals = {
        rack.id: rack.mass.value
        + sum(masses.get(tank.id, 0.0) for tank in room.tanks if tank.rack == rack.id)
        for rack in room.racks
    }
    floors = floors_of(room, totals, {one.rack: one.posts for one in strengths})
    missing += _floors_not_known(room, floors)
    return RacksResult(
        racks=strengths, floors=floors, years=YEARS, not_computed=tuple(dict.fromkeys(missing))
    )


def _rack(
    room: Room, rack: RackPlace, masses: Mapping[str, Kilogram], laws: Laws, missing: list[Missing]
) -> RackStrength:
    built = rack.built
    tanks = [tank for tank in room.tanks if tank.rack == rack.id]
    shelves = shelves_of(room, rack, masses)
    thin = built.bearers.section.thin if built and built.bearers and built.bearers.section else 0.0
    grid = grid_of(rack, built.bearers_under if built else 2, thin)
    beams: tuple[BeamResult, ...] = ()
    posts = posts_of(rack, grid, shelves) if grid else ()
    if built is not None and tanks:
        missing += _missing(rack, grid, tanks)
        missing += _too_long(rack, posts)
        if grid is not None:
            beams = _beams(rack, grid, shelves, laws, missing)
    uses = [use for beam in beams if beam.part == "bearer" for use in beam.uses]
    over = any(use.share > 1.0 for use in uses)
    full, worst = tipping(rack, shelves)
    total = rack.mass.value + sum(masses.get(tank.id, 0.0) for tank in tanks)
    carried = [sum(masses.get(tank.id, 0.0) for tank in tanks if tank.shelf == number) for number in shelves]
    return RackStrength(
        rack=rack.id,
        beams=beams,
        posts=posts,
        tilts=tilts_of(rack, grid, beams, tanks) if grid else (),
        readings=tuple(readings_of(rack, beams, shelves, assumed(room, "racks.creep_power"))),
        rated_share=max(carried, default=0.0) / rack.shelf_rating.value if rack.shelf_rating else None,
        leans=leans(rack, built),
        sway_push=sway_push(weight=total * STANDARD_GRAVITY, lean=assumed(room, "racks.out_of_plumb").value),
        tip_full=full,
        tip_worst=worst,
        judged=rack.shelf_rating is not None or any(use.check in STRENGTH for use in uses),
        route=_route(rack),
        service_class=built.service_class if built else None,
        would_hold=usual_that_holds(rack, built, shelves, laws) if built and over else "",
        bracketed=built is not None
        and built.bearers is not None
        and built.bearers_rest not in ("notch", "block"),
    )


def _beams(
    rack: RackPlace, grid: Grid, shelves: Mapping[int, Sequence[Standing]], laws: Laws, missing: list[Missing]
) -> tuple[BeamResult, ...]:
    if rack.built is None:
        return ()
    try:
        return beams_of(rack, rack.built, grid, shelves, laws)
    except OutsideValidRange as outside:
        missing.append(
            (
                f"rack {rack.id}",
                f"its bearers were left out: {outside}",
                "bring the value named inside the range",
            )
        )
        return ()


def _route(rack: RackPlace) -> Route | None:
    bar = bar_of(rack.built.bearers, damp_of(rack.built)) if rack.built else None
    return bar.allowed.route if bar and bar.allowed else None


# --- what could not be worked out ------------------------------------------------------------------------------------


def _missing(rack: RackPlace, grid: Grid | None, tanks: Sequence[Tank]) -> Iterator[Missing]:
    subject, built = f"rack {rack.id}", rack.built
    if built is None:
        return
    if grid is None:
        yield (
            subject,
            "its uprights make no bay that bearers could span",
            "write uprights_at, one distance from the left end for each upright",
        )
    named = [("bearers", built.bearers), ("uprights", built.uprights)]
    if built.cross is not None and built.bearers_under > 2:
        named.append(("cross pieces", built.cross))
    for key, member in named:
        yield from ((subject, reason, remedy) for reason, remedy in _not_known(key, member, built))
    yield from ((subject, reason, remedy) for reason, remedy in _board_not_known(built))
    if len(rack.uprights) > 1:
        first, last = rack.uprights[0], rack.uprights[-1]
        for tank in tanks:
            left, right = along_span(rack.box, rack.facing, tank.box)
            over = max(first[0] - left, right - last[1])
            if over > max(last[1] - last[0], 0.001):
                yield (
                    subject,
                    f"tank {tank.id} stands out past its last upright, and no bearer is known to carry it there",
                    "write every upright under uprights_at, or move the tank",
                )


def _untold(key: str, grade: Grade, section: Section, built: RackBuilt) -> tuple[str, ...]:
    damp = damp_of(built)
    if key == "uprights":
        return post_capacity(grade, section, free_length=1.0, service_class=damp).missing
    across = built.bearers_rest in ("notch", "block")
    untold = allowed_stresses(grade, section, service_class=damp).missing
    untold = tuple(one for one in untold if across or "across the grain" not in one)
    return (
        untold
        if later_factor(grade, damp) is not None
        else (*untold, f"how {grade.name} creeps in this damp")
    )


def _board_not_known(built: RackBuilt) -> Iterator[tuple[str, str]]:
    board, grade = built.board, built.board_grade
    if board is None:
        return
    if grade is None:
        yield (
            f"nothing is known of the strength of its board, {board.name}",
            'name a kind of the table, as "18 mm plywood"',
        )
        return
    strip = Section(name=board.name, thin=board.thickness, wide=STRIP)
    try:
        untold = allowed_stresses(grade, strip, service_class=damp_of(built), flat=True).missing
    except OutsideValidRange as outside:
        untold = (str(outside),)
    for one in untold:
        yield (
            f"its board: {one}",
            "take a board that is made for damp rooms, or hold it against its maker's sheet",
        )


def _not_known(key: str, member: Member | None, built: RackBuilt) -> Iterator[tuple[str, str]]:
    example = '"40 mm x 40 mm x 2 mm S235"' if built.material == "steel" else '"45 mm x 95 mm C24"'
    if member is None:
        yield f"nothing says what its {key} are", f"write {key} = {example}"
        return
    if member.section is None:
        yield f"the section of its {key} cannot be read", f"write {key} = {example}"
        return
    if member.grade is None:
        yield (
            f"no grade is known of its {key}: strength goes by grade",
            f"write the one that is stamped on them behind their sizes, as {key} = {example}, or describe them under"
            " [section] with strengths and their source",
        )
        return
    try:
        untold = _untold(key, member.grade, member.section, built)
    except OutsideValidRange as outside:
        untold = (str(outside),)
    for one in dict.fromkeys(untold):
        yield (
            f"its {key}, {one}: not known",
            "describe them under [section] with what the maker says, and its source",
        )


def _too_long(rack: RackPlace, posts: Sequence[PostResult]) -> Iterator[Missing]:
    """Uprights of a known section and grade that no formula reaches."""
    member = rack.built.uprights if rack.built else None
    if member is None or member.section is None or member.grade is None:
        return
    if any(post.force > 0.0 and not post.uses for post in posts):
        yield (
            f"rack {rack.id}",
            "its uprights were not judged: they are too long or too thin for the formulas, or stand on nothing high",
            "write the height of its shelves and a stouter section",
        )


def _floors_not_known(room: Room, floors: Sequence[FloorStrength]) -> Iterator[Missing]:
    for space in room.spaces:
        racks = [rack for rack in room.racks if rack.room == space.id]
        for rack in racks:
            if (space.voids or space.joists) and not stands_at_its_uprights(rack):
                yield (
                    f"rack {rack.id}",
                    "its feet do not match its uprights, so it is not known where they stand",
                    "write uprights_at where its feet are, and legs: two to an upright",
                )
        if racks and space.joists and not can_be_worked_out(space.joists):
            yield (
                f"rack {racks[0].id}",
                f"the joists of {space.id} have a span or a distance that joists do not have",
                "measure them again: a span of 0.1 to 20 m, 5 cm to 3 m apart",
            )
    known = {space.id for space in room.spaces if space.joists and can_be_worked_out(space.joists)}
    for floor in floors:
        if floor.space in known and floor.feet and not floor.joists:
            yield (
                f"rack {floor.feet[0].rack}",
                f"the joists of {floor.space} were not worked out: no foot stands over them, or far too much does",
                "look at where their span starts and ends, and at what the tanks weigh",
            )
