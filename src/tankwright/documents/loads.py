"""The load sheet: what stands on the floor and where, for an engineer who judges it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from tankwright.checks.load import FLOOR_VALUES, SCREENING
from tankwright.documents.model import Block, Paragraph, Sheet, Table, columns
from tankwright.drawing.paper import Paper
from tankwright.drawing.strength_sheets import floor_sheets
from tankwright.finding import Number
from tankwright.study import Study
from tankwright.systems.load import LoadResult

ASKED: Final = (
    "Asked of the engineer: does this floor carry these racks where they stand, brim-full, for years? What span,"
    " direction and size have the joists, where are notches and trimmers, may feet stand between joists, and how is a"
    " rack tied to which wall?"
)


def load_sheet(study: Study, *, paper: Paper = "A4") -> Sheet | None:
    """Rooms, racks, feet and tanks with their masses, and floors drawn; None where nothing was worked out or stands."""
    load = study.load
    if load is None or not load.racks:
        return None
    return Sheet(
        name="loads",
        title="Load sheet for an engineer",
        part="loads",
        blocks=(*_blocks(study, load), *floor_sheets(study, paper=paper)),
    )


def _blocks(study: Study, load: LoadResult) -> Iterator[Block]:
    room = study.room
    yield Paragraph(text=f"This is {SCREENING}.", caution=True)
    yield Paragraph(text=ASKED)
    yield Table(
        title="Floors",
        note="Pressures are all that stands in the room over its whole floor. Water is permanent: it does not go home.",
        columns=columns("room", "floor", "area", "filled", "brim-full", "pressure", "brim-full pressure"),
        rows=tuple(
            (
                one.space, one.floor, Number(one.area, "area"), Number(one.total, "mass"), Number(one.brim, "mass"),
                Number(one.pressure, "floor_load"), Number(one.brim_pressure, "floor_load"),
            )
            for one in load.spaces
        ),
        file="floors",
    )  # fmt: skip
    places = {rack.id: rack for rack in room.racks}
    yield Table(
        title="Racks",
        note="Place: corner of the rack nearest the south-west, from the south-west corner of the first room.",
        columns=columns(
            "rack", "east", "north", "long", "deep", "filled", "brim-full", "under it", "mean foot", "heaviest foot"
        ),
        rows=tuple(
            (
                one.rack, Number(places[one.rack].box.x0, "length"), Number(places[one.rack].box.y0, "length"),
                Number(places[one.rack].length, "length"), Number(places[one.rack].depth, "length"),
                Number(one.total, "mass"), Number(one.brim, "mass"), Number(one.pressure, "floor_load"),
                Number(one.leg, "mass"), None if one.worst_leg is None else Number(one.worst_leg, "mass"),
            )
            for one in load.racks
        ),
        file="racks",
    )  # fmt: skip
    yield Table(
        title="Shelves",
        columns=columns("rack", "shelf", "tanks", "filled", "brim-full"),
        rows=tuple(
            (one.rack, one.shelf, one.tanks, Number(one.total, "mass"), Number(one.brim, "mass"))
            for one in load.shelves
        ),
        file="shelves",
    )
    yield Table(
        title="Tipping",
        columns=columns("rack", "top loaded shelf over depth", "level pull that begins to tip it, N", "tied to a wall"),
        rows=tuple(
            (
                one.rack, None if one.ratio is None else round(one.ratio, 1),
                None if one.pull is None else float(round(one.pull)), _tied(places[one.rack].tied_to_wall),
            )
            for one in load.racks
        ),
        file="tipping",
    )  # fmt: skip
    yield from _feet(study)
    yield Table(
        title="Loads that codes design floors for, to hold these figures against",
        note="They cover people and furniture; heavy equipment is outside all of them.",
        columns=columns("where", "load", "source*"),
        rows=tuple((one.where, Number(one.pressure, "floor_load"), one.source) for one in FLOOR_VALUES),
    )
    if load.not_computed:
        yield Table(
            title="Not computed",
            columns=columns("what", "why*"),
            rows=tuple(load.not_computed),
        )


def _feet(study: Study) -> Iterator[Block]:
    """Every foot where it stands, and what comes to each joist: figures for an engineer to compare, never a verdict."""
    floors = study.racks.floors if study.racks is not None else ()
    feet = [(floor.space, foot) for floor in floors for foot in floor.feet]
    if feet:
        yield Table(
            title="Feet",
            note="Place: the middle of the foot, from the south-west corner of the first room. Tanks are full.",
            columns=columns("room", "rack", "upright", "foot", "east", "north", "comes down", "stands over"),
            rows=tuple(
                (
                    space, foot.rack, foot.upright + 1, foot.side, Number(foot.x, "length"), Number(foot.y, "length"),
                    Number(foot.force, "force"), foot.over or None,
                )
                for space, foot in feet
            ),
            file="feet",
        )  # fmt: skip
    joists = [(floor, joist) for floor in floors for joist in floor.joists]
    if joists:
        yield Table(
            title="Joists under feet",
            note="Counted from the west or the south wall. Beside what the racks alone bring stands what an even load "
            "of the named size over its strip of the floor would: to be compared, not added up to a verdict.",
            columns=columns("room", "joist", "at", "span", "racks bend it by", "even load", "would bend it by", "sags"),
            rows=tuple(
                (
                    floor.space, joist.index + 1, Number(joist.at, "length"), Number(joist.span, "length"),
                    Number(joist.moment, "bending_moment"), Number(floor.design.value, "floor_load"),
                    Number(joist.design_moment, "bending_moment"),
                    None if joist.sag_now is None else Number(joist.sag_now, "length"),
                )
                for floor, joist in joists
            ),
            file="joists",
        )  # fmt: skip


def _tied(said: bool | None) -> str | None:
    return None if said is None else "yes" if said else "no"
