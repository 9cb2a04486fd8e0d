"""What the room weighs: racks and their feet, shelves and their tanks, floors. A screening for someone licensed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from markupsafe import Markup

from tankwright.drawing.bars import Part, draw_bar, draw_shade
from tankwright.drawing.fronts import walking_order
from tankwright.drawing.screen_svg import to_screen_svg
from tankwright.room.model import RackPlace, Room
from tankwright.systems.load import LoadResult, RackLoad, ShelfLoad, TankLoad
from tankwright.web.page import Page, View
from tankwright.web.pointer import to_pointer
from tankwright.web.sheets import SheetField
from tankwright.workspace.opened import Opened

MOST_TANKS = 80
"""Above so many tanks one rack's shelves are shown at a time, so that a hall's page stays small."""

PARTS = ("glass", "water", "bed", "fittings")


@dataclass(frozen=True, slots=True, kw_only=True)
class TanksRow:
    """Tanks of one shelf that are made up alike; `one` stands for each of them. `glass` names what the glass's
    number leads to: its panes, or the tank where it was weighed."""

    tanks: tuple[str, ...]
    one: TankLoad
    bar: Markup
    glass: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfRow:
    """A shelf with its tanks; `share` is its load over its rating, None where no rating is said. `bearers` is the most
    its bearers use of what they may bear, None where that is not known."""

    load: ShelfLoad
    height: float | None
    share: float | None
    brim_share: float | None
    bearers: float | None
    rows: tuple[TanksRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RackRow:
    """A rack, what it carries, and its shelves from the top down."""

    place: RackPlace
    load: RackLoad
    shelves: tuple[ShelfRow, ...]


def show(view: View) -> Mapping[str, object]:
    """All racks as one walks past them, the floors, and the values of the plan they rest on."""
    room, study = view.room, view.study
    if room is None or study is None or study.load is None or not room.tanks:
        return {"load": None}
    load = study.load
    racks = _racks(view, room, load)
    asked = view.query.get("rack", "")
    one = next((row for row in racks if row.place.id == asked), racks[0] if racks else None)
    many = len(room.tanks) > MOST_TANKS
    return {
        "load": load, "racks": racks, "many": many, "opened": one,
        "lost": asked if asked and (one is None or one.place.id != asked) else "",
        "shown": (one,) if many and one is not None else racks,
        "shades": tuple((name, _shade(number)) for number, name in enumerate(PARTS)),
        "kinds": tuple(_kinds(view, room)), "tank_kinds": tuple(_tank_kinds(view, room, load)),
        "floors": tuple(_floors(room)),
    }  # fmt: skip


def _shade(number: int) -> Markup:
    return Markup(to_screen_svg(draw_shade(number), classes=("swatch",), hidden=True))


def _racks(view: View, room: Room, load: LoadResult) -> tuple[RackRow, ...]:
    def make(_: Opened) -> tuple[RackRow, ...]:
        most = max((one.total for one in load.tanks), default=0.0)
        tanks = {one.tank: one for one in load.tanks}
        racks = {one.rack: one for one in load.racks}
        return tuple(
            RackRow(
                place=rack, load=racks[rack.id],
                shelves=tuple(_shelves(view, room, rack, load, tanks, most)),
            )
            for rack in walking_order(room)
            if rack.id in racks
        )  # fmt: skip

    return view.made_once.keep(view.snapshot, ("load racks", view.display), make) or ()


def _shelves(
    view: View, room: Room, rack: RackPlace, load: LoadResult, tanks: Mapping[str, TankLoad], most: float
) -> Iterator[ShelfRow]:
    rating = rack.shelf_rating.value if rack.shelf_rating is not None else None
    for shelf in reversed([one for one in load.shelves if one.rack == rack.id]):
        alike: dict[tuple[float, ...], list[str]] = {}
        for tank in room.tanks:
            if tank.rack == rack.id and tank.shelf == shelf.shelf:
                one = tanks[tank.id]
                key = (one.glass.value, one.water, one.substrate, one.fittings.value)
                alike.setdefault(tuple(round(part, 6) for part in key), []).append(tank.id)
        place = shelf.shelf - 1
        yield ShelfRow(
            load=shelf,
            height=rack.shelves[place] if 0 <= place < len(rack.shelves) else None,
            share=shelf.total / rating if rating else None,
            brim_share=shelf.brim / rating if rating else None,
            bearers=_bearers(view, rack.id, shelf.shelf),
            rows=tuple(_tanks_row(view, tuple(names), tanks[names[0]], most) for names in alike.values()),
        )


def _bearers(view: View, rack: str, shelf: int) -> float | None:
    """The most the bearers of a shelf use of what they may bear."""
    racks = view.study.racks.racks if view.study is not None and view.study.racks is not None else ()
    beams = (beam for one in racks if one.rack == rack for beam in one.beams if beam.shelf == shelf)
    uses = (use for beam in beams if beam.part == "bearer" for use in beam.uses if use.check != "sag")
    return max((use.share for use in uses), default=None)


def _tanks_row(view: View, names: tuple[str, ...], one: TankLoad, most: float) -> TanksRow:
    amounts = (one.glass.value, one.water, one.substrate, one.fittings.value)
    parts = tuple(
        Part(amount=amount, words=f"{name} {view.words(amount, 'mass')}")
        for name, amount in zip(PARTS, amounts, strict=True)
    )
    drawing = draw_bar(", ".join(names), parts, most=most)
    glass = f"{one.tank}.glass" if one.panes else f"{one.tank}.mass"
    return TanksRow(tanks=names, one=one, bar=Markup(to_screen_svg(drawing, classes=("stack",))), glass=glass)


def _kinds(view: View, room: Room) -> Iterator[tuple[str, tuple[SheetField, ...]]]:
    """Every kind of rack that stands, with the values its weight rests on."""
    first: dict[str, RackPlace] = {}
    for rack in room.racks:
        first.setdefault(rack.kind, rack)
    for kind, rack in first.items():
        here = ("rack_kind", kind)
        mass = view.words(rack.mass.value, "mass") if rack.mass.is_assumed else ""
        legs, said = view.words(rack.legs.value, "number"), view.value(*here, "legs") is not None
        yield kind, (
            SheetField(pointer=to_pointer((*here, "shelf_rating")), label="Rating of a shelf",
                       help="the maker's; without it no shelf is judged"),
            SheetField(pointer=to_pointer((*here, "mass")), label="Mass of the empty rack", assumed=mass),
            SheetField(pointer=to_pointer((*here, "legs")), label="Feet on the floor",
                       help="" if said else f"{legs} by its uprights", assumed=legs if rack.legs.is_assumed else ""),
        )  # fmt: skip


def _tank_kinds(view: View, room: Room, load: LoadResult) -> Iterator[tuple[str, tuple[SheetField, ...]]]:
    """Every kind of tank, with what it may be weighed by."""
    loads = {one.tank: one for one in load.tanks}
    seen: set[str] = set()
    for tank in room.tanks:
        if tank.kind in seen:
            continue
        seen.add(tank.kind)
        here = ("tank_kind", tank.kind)
        glass = view.words(loads[tank.id].glass.value, "mass")
        yield tank.kind, (
            SheetField(pointer=to_pointer((*here, "empty_mass")), label="Weighed empty",
                       help=f"by its panes {glass}" if loads[tank.id].panes else ""),
            SheetField(pointer=to_pointer((*here, "glass", "sides")), label="Glass of the sides",
                       assumed=view.words(tank.glass_side.value, "length") if tank.glass_side.is_assumed else ""),
            SheetField(pointer=to_pointer((*here, "glass", "base")), label="Glass of the base",
                       assumed=view.words(tank.glass_base.value, "length") if tank.glass_base.is_assumed else ""),
            SheetField(pointer=to_pointer((*here, "substrate", "depth")), label="Depth of the bed"),
        )  # fmt: skip


def _floors(room: Room) -> Iterator[SheetField]:
    for space in room.spaces:
        yield SheetField(
            pointer=to_pointer(("room", space.id, "floor")), label=f"Floor of {space.id}",
            assumed=space.floor, choices=("slab", "timber", "tiles on slab", "other"),
        )  # fmt: skip


PAGE = Page(
    name="load", path="/load", title="Load", template="load.html", show=show, group="system", layer="load"
)
