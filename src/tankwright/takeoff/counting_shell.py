"""What a room is lined with: foam and boards as pieces of sheets, wool and vapour barrier by area, floor paint.

The layers are those of [room.X.shell]. Masonry, plaster, concrete and ground are taken as standing, and so is what
lies beyond the first of them, seen from inside. A wall is tiled upright from one corner and from the floor: whole
sheets, then strips and a row on top; a sheet that a door or window takes out whole is left out, one that it only cuts
into is counted whole. Thicknesses are not taken off lengths. Source: common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from tankwright.catalogue.materials import find_material
from tankwright.catalogue.size_names import size_name
from tankwright.finding import Finding, Severity
from tankwright.origin import Known
from tankwright.plan.models import Layer, Plan, ShellPart, Sold
from tankwright.room.assumed import assumed
from tankwright.room.model import Opening, Room, Space, Wall
from tankwright.room.shell_sizes import floor_area, roof_area, wall_area, wall_length
from tankwright.takeoff.counted import Counted
from tankwright.takeoff.gathering import Line, gathered
from tankwright.takeoff.model import Article, Need
from tankwright.takeoff.tally import listed
from tankwright.takeoff.usual_sheets import usual_sheet
from tankwright.units import Metre, SquareMetre

PRACTICE: Final = "common practice, no source"
WALLS: Final[tuple[Wall, ...]] = ("north", "east", "south", "west")
FINE: Final = 1e-6
"""m, a strip narrower than this is no strip."""

Class = Literal["foam", "board", "area", "paint", "standing"]
CLASSES: Final[dict[str, Class]] = {
    **dict.fromkeys(
        ("expanded polystyrene", "extruded polystyrene", "polyisocyanurate", "cellular glass"), "foam"
    ),
    **dict.fromkeys(
        ("plasterboard", "oriented strand board", "plywood", "particleboard", "fibreboard", "fibre cement board",
         "cement-bonded particleboard", "acrylic", "polycarbonate", "PVC"), "board",
    ),
    **dict.fromkeys(
        ("mineral wool", "cellulose", "polyethylene sheet", "bitumen felt", "ceramic tile", "rubber flooring",
         "sprayed polyurethane foam"), "area",
    ),
}  # fmt: skip
"""How a material of the table is bought; one that is not here is taken as standing."""

BARRIER: Final = "polyethylene sheet"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Part:
    """A wall, the roof or the floor: its sheet of so much by so much, and the holes in it from its corner."""

    name: str
    space: Space
    said: ShellPart | None
    wide: Metre
    high: Metre
    area: SquareMetre
    holes: tuple[tuple[Metre, Metre, Metre, Metre], ...] = ()


def count_shell(plan: Plan, room: Room) -> Counted:
    """What every room is lined and painted with."""
    return gathered(_lines(plan, room))


def _lines(plan: Plan, room: Room) -> Iterator[Line]:
    standing: dict[str, list[str]] = {}
    silent: list[str] = []
    lined: dict[str, None] = {}
    for space in room.spaces:
        for part in _parts(plan, space):
            if part.said is None or not part.said.layers:
                silent.append(f"{part.name} of {space.id}")
                continue
            for layer, kind, name in _layers(part.said.layers):
                if kind == "standing":
                    standing.setdefault(name, []).append(f"{part.name} of {space.id}")
                else:
                    lined[space.id] = None
                    yield from _layer(plan, room, part, layer, kind, name)
        yield from _paint(plan, room, space)
    if standing:
        said = "; ".join(f"{name} in {listed(where)}" for name, where in standing.items())
        yield Finding(
            code="PART-71", severity=Severity.NOTE, subject="shell", text=f"has layers taken as standing: {said}",
            reason="masonry, concrete and what lies beyond them is not bought for a lining",
            remedy="if one of them is still to be built, add it to the list by hand",
        )  # fmt: skip
    if lined:
        yield Finding(
            code="PART-73", severity=Severity.NOTE, subject="shell", places=tuple(lined),
            text="has no battens, screws, glue, tape or filler of its lining counted",
            reason="what holds a lining depends on the wall behind it", remedy="add them to the list by hand",
        )  # fmt: skip
    if silent:
        yield Finding(
            code="PART-72", severity=Severity.NOT_COMPUTED, subject="shell",
            text=f"is not counted for the {listed(silent)}: no layers are said",
            reason="the parts list has nothing for what one wants to line there",
            remedy="write layers in [room.NAME.shell], from the inside outwards",
        )  # fmt: skip


def _layers(layers: Sequence[Layer]) -> Iterator[tuple[Layer, Class, str]]:
    """Each layer, how it is bought and what it is called; beyond the first that stands, all stand."""
    stands = False
    for layer in layers:
        material = find_material(layer.material)
        name = material.name if material else layer.material
        kind: Class = CLASSES.get(name, "standing") if material else "area"
        stands = stands or kind == "standing"
        yield layer, "standing" if stands else kind, name


# --- surfaces ---------------------------------------------------------------------------------------------------------


def _parts(plan: Plan, space: Space) -> Iterator[_Part]:
    table = plan.room.get(space.id)
    shell = table.shell if table else None
    high = space.box.z1 - space.box.z0
    for wall in WALLS:
        openings = [one for one in space.openings if one.wall == wall]
        low = space.slope_height if space.slope_towards == wall and space.slope_height else high
        holes = tuple(_hole(space, wall, one) for one in openings)
        yield _Part(
            name=f"{wall} wall", space=space, said=(getattr(shell, wall) or shell.walls) if shell else None,
            wide=wall_length(space, wall), high=low, holes=holes,
            area=max(wall_area(space, wall) - math.fsum(wide * tall for _, _, wide, tall in holes), 0.0),
        )  # fmt: skip
    deep = space.box.y1 - space.box.y0
    wide = space.box.x1 - space.box.x0
    along = roof_area(space) / floor_area(space)  # a slope makes the roof longer one way
    yield _Part(name="roof", space=space, said=shell.roof if shell else None, wide=wide, high=deep * along,
                area=roof_area(space))  # fmt: skip
    yield _Part(name="floor", space=space, said=shell.floor if shell else None, wide=wide, high=deep,
                area=floor_area(space))  # fmt: skip


def _hole(space: Space, wall: Wall, one: Opening) -> tuple[Metre, Metre, Metre, Metre]:
    """An opening from the wall's west or south corner and from the floor: across, up, width, height."""
    axis = 0 if wall in ("north", "south") else 1
    origin = space.box.x0 if axis == 0 else space.box.y0
    begin, end = sorted((one.start[axis] - origin, one.end[axis] - origin))
    return begin, one.sill, end - begin, min(one.height, space.box.z1 - one.sill)


# --- a layer ----------------------------------------------------------------------------------------------------------


def _layer(
    plan: Plan, room: Room, part: _Part, layer: Layer, kind: Class, name: str
) -> Iterator[Line]:  # fmt: skip
    key = f"{name} {size_name(layer.thickness.value, room.display)}"
    where = f"{part.name} of {part.space.id}"
    if kind in ("foam", "board"):
        size, rests = _sheet(plan, room, key, kind)
        yield Article(
            key=key,
            kind="sheet" if kind == "foam" else "board",
            sold_by="sheet",
            source=PRACTICE,
            rests_on=rests,
        )
        for piece, count in tiles((part.wide, part.high), size, part.holes).items():
            yield Need(
                article=key, count=count, size=piece, system="shell", where=where, places=(part.space.id,),
                mark=where, rests_on=rests, line=layer.line,
            )  # fmt: skip
        return
    lap = assumed(room, "buy.lap")
    laps = name == BARRIER
    rests = (lap.key,) if laps and lap.is_assumed else ()
    yield Article(key=key, kind="sheet", sold_by="area", source=PRACTICE, rests_on=rests,
                  note="laps taped, edges turned up; on the warm side" if laps else "")  # fmt: skip
    if part.area > 0.0:
        yield Need(
            article=key, count=1, area=part.area * (1.0 + lap.value if laps else 1.0), system="shell", where=where,
            places=(part.space.id,), rests_on=rests, line=layer.line,
        )  # fmt: skip


def _sheet(plan: Plan, room: Room, key: str, kind: Class) -> tuple[tuple[Metre, Metre], tuple[str, ...]]:
    """Width and length of the sheets a layer is tiled with: the first the plan says it is sold in, or what is usual."""
    sold = next((one for one in (plan.buy.sold if plan.buy else ()) if _is_of(one, key) and one.sheets), None)
    if sold is not None:
        sides = sorted(one.value for one in sold.sheets[0].size)
        return (sides[0], sides[1]), ()
    width, length = usual_sheet(room, foam=kind == "foam")
    return (width.value, length.value), _rests(width, length)


def _is_of(sold: Sold, key: str) -> bool:
    return " ".join(sold.of.split()).lower() == key.lower()


def _rests(*values: Known) -> tuple[str, ...]:
    return tuple(one.key for one in values if one.is_assumed)


def tiles(
    wall: tuple[Metre, Metre],
    sheet: tuple[Metre, Metre],
    holes: Sequence[tuple[Metre, Metre, Metre, Metre]] = (),
) -> dict[tuple[Metre, Metre], int]:
    """The pieces that cover a wall of width and height, from sheets of width and length stood upright.

    `holes` are (across, up, width, height). A piece that lies whole in one hole is left out.

    >>> tiles((1.5, 2.0), (0.6, 1.25))
    {(0.6, 1.25): 2, (0.6, 0.75): 2, (0.3, 1.25): 1, (0.3, 0.75): 1}
    """
    pieces: dict[tuple[Metre, Metre], int] = {}
    for across, wide in _steps(wall[0], sheet[0]):
        for up, tall in _steps(wall[1], sheet[1]):
            gone = any(
                x <= across + FINE
                and across + wide <= x + w + FINE
                and y <= up + FINE
                and up + tall <= y + h + FINE
                for x, y, w, h in holes
            )
            if not gone:
                size = (round(wide, 6), round(tall, 6))
                pieces[size] = pieces.get(size, 0) + 1
    return pieces


def _steps(length: Metre, step: Metre) -> Iterator[tuple[Metre, Metre]]:
    """Whole steps and the rest of a length: where each begins, and how long it is."""
    whole = math.floor(length / step + FINE)
    for number in range(whole):
        yield number * step, step
    rest = length - whole * step
    if rest > FINE:
        yield whole * step, rest


# --- floor paint ------------------------------------------------------------------------------------------------------


def _paint(plan: Plan, room: Room, space: Space) -> Iterator[Line]:
    """Paint or sealer of a bare floor: its area times film times coats; none on a floor that is covered."""
    table = plan.room.get(space.id)
    part = table.shell.floor if table and table.shell else None
    covered = part is not None and any(kind != "standing" for _, kind, _ in _layers(part.layers))
    if covered or space.floor != "slab":
        return
    film, coats = assumed(room, "buy.floor_film"), assumed(room, "buy.floor_coats")
    key, rests = "floor paint", _rests(film, coats)
    yield Article(key=key, kind="glue", sold_by="volume", source=PRACTICE, rests_on=rests,
                  note="for concrete that gets wet; before racks stand on it")  # fmt: skip
    yield Need(
        article=key, count=1, volume=floor_area(space) * film.value * coats.value, system="shell",
        where=f"floor of {space.id}", places=(space.id,), rests_on=rests, line=space.line,
    )  # fmt: skip
