"""How a figure of a rack or of the floor under it came about: its most used bearer, upright, pulls, feet, joists."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from tankwright.explain.model import Input, Working
from tankwright.finding import Number
from tankwright.physics.constants import STANDARD_GRAVITY
from tankwright.room.assumed import assumed
from tankwright.room.model import RackPlace, Room
from tankwright.systems.racks_model import (
    BeamResult,
    FloorStrength,
    PostResult,
    RacksResult,
    RackStrength,
    Use,
)

SCREENING: Final = "a screening: someone licensed judges what carries it"
BEAM: Final = "beam theory; strengths by the code of the grade"
_FORMULAS: Final = {
    "bending": "largest moment / section modulus, beside the strength for weight that stays in this damp",
    "shear": "largest shear / shear area, beside the strength for weight that stays in this damp",
    "bearing": "reaction / (width x length of the end that rests), beside the strength across the grain",
    "sag": "elastic sag x (1 + creep), beside a share of the span",
}


def workings_racks(room: Room, result: RacksResult) -> Iterator[Working]:
    """The workings of every rack and floor: "racks.A.bearer", "racks.A.sag", "racks.A.upright", "racks.A.lean",
    "racks.A.tip", "racks.cellar.floor", "racks.attic.joist".

    >>> from tankwright.systems.racks import solve_racks
    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> list(workings_racks(empty, solve_racks(empty, {})))
    []
    """
    places = {rack.id: rack for rack in room.racks}
    for one in result.racks:
        rack = places[one.rack]
        for name, part, checks in (
            ("bearer", "bearer", ("bending", "shear", "bearing")), ("sag", "bearer", ("sag",)),
            ("piece", "end piece", ("bending", "shear")), ("board", "board", ("bending", "shear")),
        ):  # fmt: skip
            found = [
                (beam, use)
                for beam in one.beams
                if beam.part == part
                for use in beam.uses
                if use.check in checks
            ]
            if found:
                yield beam_working(name, room, rack, one, *max(found, key=lambda pair: pair[1].share))
        posts = [(post, use) for post in one.posts for use in post.uses]
        if posts:
            yield post_working(rack, one, *max(posts, key=lambda pair: pair[1].share))
        yield _lean(room, rack, one)
        if one.tip_worst is not None:
            yield _tip(rack, one, one.tip_worst)
    for floor in result.floors:
        yield from _floor(floor)


def beam_working(
    name: str, room: Room, rack: RackPlace, one: RackStrength, beam: BeamResult, use: Use
) -> Working:  # fmt: skip
    """How what asks the most of a bearer, a piece or a board came about."""
    weight = sum((each.end - each.start) * each.load for each in beam.patches)
    inputs = [
        Input(name="span, from middle to middle of what carries it", number=_length(beam.span)),
        Input(name="weight on it", number=Number(weight, "force")),
    ]  # fmt: skip
    section = beam.member.section if beam.member else None
    if use.check == "bending" and section is not None:
        inputs.append(Input(name="largest moment", number=Number(beam.moment, "bending_moment")))
        modulus = section.section_modulus_flat if beam.part == "board" else section.section_modulus
        inputs.append(Input(name="section modulus", number=Number(modulus, "section_modulus")))
    elif use.check == "shear" and section is not None:
        inputs.append(Input(name="largest shear", number=Number(beam.shear, "force")))
        inputs.append(Input(name="shear area", number=Number(section.shear_area, "area")))
    elif use.check == "bearing":
        inputs.append(Input(name="larger reaction", number=Number(max(beam.reactions), "force")))
        inputs.append(Input(name="length that rests", number=_length(assumed(room, "racks.end_length").value),
                            known=assumed(room, "racks.end_length")))  # fmt: skip
    else:
        share = assumed(room, "racks.sag_share")
        inputs.append(Input(name="elastic sag", number=_length(beam.sag_now or 0.0)))
        inputs.append(Input(name="most of its span", number=Number(share.value, "slope"), known=share))
    inputs.append(Input(name="allowed", number=Number(use.allowed, use.dimension)))
    if one.service_class is not None:
        inputs.append(
            Input(
                name="service class",
                number=Number(one.service_class.value, "number"),
                known=one.service_class,
            )
        )
    inputs.append(Input(name="empty rack", number=Number(rack.mass.value, "mass"), known=rack.mass))
    where = f"shelf {beam.shelf}, bay {beam.bay}" if beam.part == "bearer" else f"shelf {beam.shelf}"
    grade = beam.member.grade if beam.member else None
    return Working(
        name=f"racks.{rack.id}.{name}",
        title=f"{use.check} of the {beam.part} of rack {rack.id} that uses most ({where})",
        number=Number(use.demand, use.dimension), formula=_FORMULAS[use.check], inputs=tuple(inputs),
        source=f"{BEAM}; {grade.name}: {grade.source}" if grade else BEAM,
        note=f"joints and screws are not in it; {SCREENING}",
    )  # fmt: skip


def post_working(rack: RackPlace, one: RackStrength, post: PostResult, use: Use) -> Working:
    """How what an upright carries came about."""
    grade = post.member.grade if post.member else None
    inputs = [
        Input(name="longest between shelves", number=_length(post.free_length)),
        Input(name="length it counts for where it may lean", number=_length(post.loose_length)),
        Input(name="allowed", number=Number(use.allowed, "force")),
    ]
    if one.service_class is not None:
        inputs.append(
            Input(
                name="service class",
                number=Number(one.service_class.value, "number"),
                known=one.service_class,
            )
        )
    return Working(
        name=f"racks.{rack.id}.upright",
        title=f"force in the upright of rack {rack.id} that uses most",
        number=Number(use.demand, "force"),
        formula="what its shelves bring to it by the lever rule, along and across",
        inputs=tuple(inputs),
        source="statics; buckling by the code of the grade"
        + (f"; {grade.name}: {grade.source}" if grade else ""),
        note=f"what a bracket beside it bends into it is not in it; {SCREENING}",
    )


def _lean(room: Room, rack: RackPlace, one: RackStrength) -> Working:
    plumb = assumed(room, "racks.out_of_plumb")
    return Working(
        name=f"racks.{rack.id}.lean",
        title=f"push sideways of rack {rack.id} by its own weight",
        number=Number(one.sway_push, "force"),
        formula="weight of the rack with its tanks x how far it is out of plumb",
        inputs=(
            Input(
                name="weight", number=Number(one.sway_push / plumb.value, "force"), see=f"load.{rack.id}.mass"
            ),
            Input(name="out of plumb", number=Number(plumb.value, "slope"), known=plumb),
        ),
        source="statics; EN 1995-1-1, 5.4.4, from memory",
        note=f"a brace, a board or a tie has to take this and whoever leans on it; {SCREENING}",
    )


def _tip(rack: RackPlace, one: RackStrength, pull: float) -> Working:
    return Working(
        name=f"racks.{rack.id}.tip",
        title=f"level pull that begins to tip rack {rack.id} with only its highest loaded shelf full",
        number=Number(pull, "force"),
        formula="weight x distance of its middle from the edge it tips over / height of that shelf",
        inputs=(
            Input(name="depth", number=_length(rack.depth)),
            Input(
                name="empty rack", number=Number(rack.mass.value * STANDARD_GRAVITY, "force"), known=rack.mass
            ),
            Input(name="the same as it stands", number=Number(one.tip_full or 0.0, "force")),
        ),
        source="statics",
        note=f"a rack that is tied does not come to this; {SCREENING}",
    )


def _floor(floor: FloorStrength) -> Iterator[Working]:
    if floor.feet:
        foot = max(floor.feet, key=lambda one: one.force)
        yield Working(
            name=f"racks.{floor.space}.floor",
            title=f"heaviest foot in {floor.space}",
            number=Number(foot.force, "force"),
            formula="what the shelves of its rack bring to its upright by the lever rule, and its share of the rack",
            inputs=(
                Input(name=f"foot of rack {foot.rack}, from the west", number=_length(foot.x)),
                Input(name="from the south", number=_length(foot.y)),
            ),
            source="statics",
            note=f"as if every foot were under its upright, and none were short; {SCREENING}",
        )
    if floor.joists:
        joist = max(floor.joists, key=lambda one: one.moment)
        yield Working(
            name=f"racks.{floor.space}.joist",
            title=f"bending of the most loaded joist of {floor.space} by racks alone",
            number=Number(joist.moment, "bending_moment"),
            formula="feet over or beside it, by the lever rule between joists; a beam that lies free on its ends",
            inputs=(
                Input(name="span", number=_length(joist.span)),
                Input(
                    name="moment of the floor's design load",
                    number=Number(joist.design_moment, "bending_moment"),
                ),
                Input(
                    name="that design load",
                    number=Number(floor.design.value, "floor_load"),
                    known=floor.design,
                ),
            ),
            source="statics",
            note=f"joists are counted from the wall, and the first lies at it; {SCREENING}",
        )


def _length(value: float) -> Number:
    return Number(value, "length")
