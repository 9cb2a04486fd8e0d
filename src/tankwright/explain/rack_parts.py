"""How every figure of one rack, and of the joists of one floor, came about: for whoever looks at that one closely."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from tankwright.explain.model import Input, Working
from tankwright.explain.racks import SCREENING, beam_working, post_working
from tankwright.finding import Number
from tankwright.room.assumed import assumed
from tankwright.room.model import RackPlace, Room
from tankwright.systems.racks_model import (
    BeamResult,
    FloorStrength,
    JoistLoad,
    PostResult,
    RackStrength,
    SagCompared,
    TankTilt,
)

YEARS: Final = "ten years"


def beam_name(beam: BeamResult, what: str) -> str:
    """The name of the working of a figure of a bearer, a piece or a board."""
    return f"racks.{beam.rack}.{beam.part.replace(' ', '-')}.{beam.shelf}.{beam.bay}.{beam.index + 1}.{what}"


def post_name(post: PostResult, what: str) -> str:
    """The name of the working of a figure of an upright."""
    return f"racks.{post.rack}.{what}.{post.upright + 1}.{post.side}"


def said_beam(beam: BeamResult) -> str:
    """A bearer, a piece or a board in words: "bearer 2"; an end piece by its upright."""
    return beam.part if beam.part == "board" else f"{beam.part} {beam.index + 1}"


def workings_of_rack(room: Room, strength: RackStrength) -> Iterator[Working]:
    """The workings of everything one rack comes to, part by part.

    >>> from tankwright.systems.racks_model import RackStrength
    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> none = RackStrength(rack="A", beams=(), posts=(), tilts=(), readings=(), rated_share=None, leans=None,
    ...     sway_push=0.0, tip_full=None, tip_worst=None, judged=False, route=None, service_class=None)
    >>> list(workings_of_rack(empty, none))
    []
    """
    rack = next((one for one in room.racks if one.id == strength.rack), None)
    if rack is None:
        return
    for beam in strength.beams:
        for use in beam.uses:
            made = beam_working("", room, rack, strength, beam, use)
            yield replace(
                made, name=beam_name(beam, use.check), title=f"{use.check} of {said_beam(beam)}{_where(beam)}"
            )
        if beam.sag_now is not None:
            yield _sag_now(rack, beam, beam.sag_now)
    for post in strength.posts:
        if post.worst is not None:
            yield replace(
                post_working(rack, strength, post, post.worst), name=post_name(post, "upright"),
                title=f"force in the {post.side} upright {post.upright + 1} of rack {rack.id} where it uses most",
            )  # fmt: skip
        yield _foot(rack, post)
    for tilt in strength.tilts:
        yield from _tilt(rack, strength, tilt)
    for number, reading in enumerate(strength.readings, start=1):
        yield _reading(room, strength, number, reading)


def _where(beam: BeamResult) -> str:
    bay = f", bay {beam.bay}" if beam.part == "bearer" else ""
    return f" of rack {beam.rack} (shelf {beam.shelf}{bay})"


def _sag_now(rack: RackPlace, beam: BeamResult, sag: float) -> Working:
    weight = sum((each.end - each.start) * each.load for each in beam.patches)
    section, grade = (beam.member.section, beam.member.grade) if beam.member else (None, None)
    inputs = [
        Input(name="span, from middle to middle of what carries it", number=Number(beam.span, "length")),
        Input(name="weight on it", number=Number(weight, "force")),
    ]
    if section is not None:
        moment = section.second_moment_flat if beam.part == "board" else section.second_moment
        inputs.append(Input(name="second moment of area", number=Number(moment, "second_moment")))
    if grade is not None and grade.stiffness is not None:
        inputs.append(
            Input(name=f"stiffness of {grade.name}, mean", number=Number(grade.stiffness, "stress"))
        )
    inputs.append(Input(name="empty rack", number=Number(rack.mass.value, "mass"), known=rack.mass))
    return Working(
        name=beam_name(beam, "now"), title=f"sag of {said_beam(beam)}{_where(beam)} at once",
        number=Number(sag, "length"),
        formula="a beam that lies free on its ends under what stands on it, bent and sheared", inputs=tuple(inputs),
        source="beam theory" + (f"; {grade.name}: {grade.source}" if grade else ""),
        note=f"joints give besides, and a board that is screwed on helps; {SCREENING}",
    )  # fmt: skip


def _foot(rack: RackPlace, post: PostResult) -> Working:
    return Working(
        name=post_name(post, "foot"),
        title=f"what comes down at the {post.side} foot of upright {post.upright + 1} of rack {rack.id}",
        number=Number(post.force, "force"),
        formula="what each shelf brings to it by the lever rule, along and across, and its share of the rack",
        inputs=(
            Input(name="depth of the rack", number=Number(rack.depth, "length")),
            Input(name="empty rack", number=Number(rack.mass.value, "mass"), known=rack.mass),
        ),
        source="statics", note=f"as if every foot were under its upright, and none were short; {SCREENING}",
    )  # fmt: skip


def _tilt(rack: RackPlace, strength: RackStrength, tilt: TankTilt) -> Iterator[Working]:
    service = strength.service_class
    damp = () if service is None else (
        Input(name="service class", number=Number(service.value, "number"), known=service),
    )  # fmt: skip
    for what, value, when in (("now", tilt.now, "at once"), ("later", tilt.later, f"after {YEARS}")):
        yield Working(
            name=f"racks.{rack.id}.tilt.{tilt.tank}.{what}",
            title=f"how far tank {tilt.tank} stands out of level {when}, from its lowest corner to its highest",
            number=Number(value, "length"),
            formula="largest less smallest sag of the bearers under the corners of its base",
            inputs=(
                Input(name="empty rack", number=Number(rack.mass.value, "mass"), known=rack.mass),
                *(damp if what == "later" else ()),
            ),
            source="geometry of the sag", note="as if the tank was level when it was empty, on an even floor",
        )  # fmt: skip


def _reading(room: Room, strength: RackStrength, number: int, one: SagCompared) -> Working:
    power, service = assumed(room, "racks.creep_power"), strength.service_class
    damp = () if service is None else (
        Input(name="service class", number=Number(service.value, "number"), known=service),
    )  # fmt: skip
    aged = "sag at once and the part of its creep that so long a time brings" if one.aged else (
        "sag after years, as nobody wrote for how long it had carried that"
    )  # fmt: skip
    return Working(
        name=f"racks.{one.rack}.read.{number}",
        title=f"sag worked out for the {one.bearer} of shelf {one.shelf} of rack {one.rack}",
        number=Number(one.expected, "length"), formula=f"{aged}; by the weight on the shelf that day",
        inputs=(
            Input(name="read off it", number=Number(one.read.value, "length"), known=one.read),
            Input(name="power of time by which timber creeps", number=Number(power.value, "number"), known=power),
            *damp,
        ),
        source="beam theory; creep by a power of time, from memory", note=SCREENING,
    )  # fmt: skip


# --- joists ----------------------------------------------------------------------------------------------------------


def joist_name(joist: JoistLoad, what: str) -> str:
    """The name of the working of a figure of a joist."""
    return f"racks.{joist.space}.joist.{joist.index + 1}.{what}"


def workings_of_joists(room: Room, floor: FloorStrength) -> Iterator[Working]:
    """The workings of every joist of a floor: bending by racks alone, by the design load, and the sag of the first."""
    space = next((one for one in room.spaces if one.id == floor.space), None)
    for joist in floor.joists:
        weight = sum((each.end - each.start) * each.load for each in joist.patches)
        span = Input(name="span", number=Number(joist.span, "length"))
        brought = Input(name="what racks bring to it", number=Number(weight, "force"))
        named = f"joist {joist.index + 1} of {floor.space}"
        note = f"joists are counted from the wall, and the first lies at it; {SCREENING}"
        by_racks = (
            "feet over or beside it, by the lever rule between joists; a beam that lies free on its ends"
        )
        yield Working(
            name=joist_name(joist, "moment"), title=f"bending of {named} by racks alone",
            number=Number(joist.moment, "bending_moment"), formula=by_racks, inputs=(span, brought),
            source="statics", note=note,
        )  # fmt: skip
        every = space.joists.every if space is not None and space.joists is not None else None
        apart = () if every is None else (
            Input(name="from joist to joist", number=Number(every.value, "length"), known=every),
        )  # fmt: skip
        yield Working(
            name=joist_name(joist, "design"), title=f"bending of {named} by the design load over the whole floor",
            number=Number(joist.design_moment, "bending_moment"), formula="load x spacing x span² / 8",
            inputs=(
                span, *apart,
                Input(name="design load", number=Number(floor.design.value, "floor_load"), known=floor.design),
            ),
            source="statics", note=note,
        )  # fmt: skip
        if joist.sag_now is not None:
            yield Working(
                name=joist_name(joist, "sag"), title=f"sag of {named} by racks alone, at once",
                number=Number(joist.sag_now, "length"), formula=by_racks, inputs=(span, brought),
                source="beam theory; stiffness by its grade", note=note,
            )  # fmt: skip
