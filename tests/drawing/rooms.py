"""Laid-out rooms made by hand, for tests of the drawing alone."""

from __future__ import annotations

import math

from tankwright.drawing.results import DrawnAisle, DrawnMark, DrawnResults, DrawnSegment, DrawnTank
from tankwright.finding import Severity
from tankwright.origin import Known, Origin
from tankwright.room.frames import box_between, frame_of
from tankwright.room.model import (
    AirRun,
    Box,
    DrainNode,
    DrainRun,
    FeedOutletPlace,
    FeedRun,
    HolePlace,
    Opening,
    OutfallPlace,
    PipeRun,
    PumpPlace,
    RackPlace,
    Room,
    Space,
    Tank,
    TapPlace,
    Wall,
)


def given(value: float) -> Known:
    return Known(value, Origin.GIVEN)


def rack(
    name: str, box: Box, facing: Wall, shelves: tuple[float, ...] = (0.3, 0.92, 1.54), room: str = "cellar"
) -> RackPlace:
    length = box.x1 - box.x0 if facing in ("north", "south") else box.y1 - box.y0
    depth = box.y1 - box.y0 if facing in ("north", "south") else box.x1 - box.x0
    return RackPlace(
        id=name,
        kind="three_high",
        room=room,
        zone="main",
        box=box,
        facing=facing,
        length=length,
        depth=depth,
        shelves=shelves,
        uprights=((0.0, 0.045), (length / 2 - 0.0225, length / 2 + 0.0225), (length - 0.045, length)),
        mass=given(40.0),
        legs=given(6.0),
        shelf_rating=None,
        tied_to_wall=True,
        island=False,
    )


def tank(name: str, place: RackPlace, shelf: int, start: float, size: tuple[float, float, float]) -> Tank:
    length, depth, height = size
    frame = frame_of(place.box.x0, place.box.y0, place.box.x1, place.box.y1, place.facing)
    bottom = place.shelves[shelf - 1]
    box = box_between(
        frame.point(start, 0.05), frame.point(start + length, 0.05 + depth), bottom, bottom + height
    )
    back = frame.point(start + 0.075, 0.05)
    hole = HolePlace(
        pane="back",
        centre=(back[0], back[1], bottom + height - 0.07),
        diameter=given(0.029),
        edge_distances=(),
        pane_thickness=given(0.006),
    )
    return Tank(
        id=name,
        kind="mid",
        room=place.room,
        rack=place.id,
        shelf=shelf,
        zone="main",
        state="stands",
        box=box,
        facing=place.facing,
        end_on=False,
        length=length,
        depth=depth,
        height=height,
        glass_side=given(0.006),
        glass_base=given(0.008),
        toughened=(),
        temper="annealed",
        top="open",
        lid=None,
        inside_area=(length - 0.012) * (depth - 0.012),
        floor_inside=bottom + 0.008,
        rim=bottom + height,
        level=bottom + height - 0.042,
        level_known=given(bottom + height - 0.042),
        water_volume=(length - 0.012) * (depth - 0.012) * (height - 0.05),
        freeboard=0.042,
        freeboard_volume=0.01,
        empty_mass=given(15.0),
        fittings_mass=given(2.0),
        substrate_depth=0.0,
        substrate_mass=0.0,
        clear_above=0.2,
        under="ceiling",
        hole=hole,
    )


def row(place: RackPlace, shelf: int, first: int, count: int, size: tuple[float, float, float]) -> list[Tank]:
    return [
        tank(f"{place.id}{first + index}", place, shelf, 0.005 + index * (size[0] + 0.01), size)
        for index in range(count)
    ]


LONG, MID, CUBE = (0.90, 0.38, 0.38), (0.60, 0.30, 0.32), (0.30, 0.30, 0.30)


def _block(x0: float, y0: float, x1: float, y1: float, z1: float) -> Box:
    return Box(x0=x0, y0=y0, z0=0.0, x1=x1, y1=y1, z1=z1)


def _loop(corners: list[tuple[float, float]], height: float, spacing: float) -> tuple[PipeRun, ...]:
    """A closed ring through corners as pieces no longer than the spacing."""
    points: list[tuple[float, float]] = []
    for first, second in zip(corners, corners[1:] + corners[:1], strict=True):
        pieces = max(1, round(math.dist(first, second) / spacing))
        points.extend(
            (first[0] + (second[0] - first[0]) * i / pieces, first[1] + (second[1] - first[1]) * i / pieces)
            for i in range(pieces)
        )
    ends = points[1:] + points[:1]
    return tuple(
        PipeRun(
            id=f"r{index}",
            start=f"n{index}",
            end=f"n{(index + 1) % len(points)}",
            path=((*start, height), (*end, height)),
            length=math.dist(start, end),
            bore=given(0.0209),
        )
        for index, (start, end) in enumerate(zip(points, ends, strict=True))
    )


def small_room(display: str = "metric", title: str = "Small room") -> Room:
    """One room of 2.6 x 2.0 m, one rack, five tanks, a drain, a ring and a feed."""
    space = Space(
        id="shed",
        box=_block(0, 0, 2.6, 2.0, 2.2),
        floor="slab",
        openings=(
            Opening(
                kind="door", wall="south", start=(0.3, 0.0), end=(1.0, 0.0), swing="in", hinge=(0.3, 0.0)
            ),
            Opening(kind="window", wall="east", start=(2.6, 0.6), end=(2.6, 1.2), sill=1.4, height=0.5),
        ),
        obstacles=(("post", _block(2.3, 0.0, 2.45, 0.15, 2.2)),),
        beams=(("duct", Box(x0=0.0, y0=0.9, z0=2.0, x1=2.6, y1=1.1, z1=2.2)),),
    )
    place = rack("A", _block(0.2, 1.45, 2.1, 1.9, 1.6), "south", (0.3, 0.92), "shed")
    tanks = (*row(place, 1, 1, 2, LONG), *row(place, 2, 3, 3, MID))
    drain = DrainRun(
        id="main",
        outfall="gully",
        bore=given(0.046),
        manning_n=given(0.009),
        fall=given(1 / 60),
        vented=True,
        derived=True,
        nodes=(
            DrainNode(id="d0", place=(0.3, 1.95, 0.25), chainage=0.0, tanks=("A1", "A3")),
            DrainNode(id="d1", place=(1.2, 1.95, 0.235), chainage=0.9, tanks=("A2", "A4", "A5")),
            DrainNode(id="d2", place=(2.5, 1.95, 0.21), chainage=2.2),
            DrainNode(id="d3", place=(2.5, 0.3, 0.18), chainage=3.85),
        ),
    )
    pipes = _loop([(0.05, 0.05), (2.55, 0.05), (2.55, 1.95), (0.05, 1.95)], 2.0, 0.4)
    nodes = tuple((pipe.start, pipe.path[0]) for pipe in pipes)
    taps = tuple(
        TapPlace(
            id=f"t{index}",
            node=name,
            place=spot,
            open=True,
            bore=given(0.002),
            tank=f"A{index + 1}" if index < 5 else None,
        )
        for index, (name, spot) in enumerate(nodes[8:16])
    )
    ring = AirRun(
        id="ring",
        pumps=("piston",),
        inlet="n0",
        nodes=nodes,
        pipes=pipes,
        taps=taps,
        roughness=given(1.5e-6),
        height=given(2.0),
        relief=None,
        derived=True,
        closed_ring=True,
    )
    manifold = PipeRun(
        id="m0",
        start="s",
        end="e",
        path=((2.4, 0.4, 0.9), (2.4, 1.7, 0.75), (0.3, 1.7, 0.75)),
        length=3.4,
        bore=given(0.0136),
    )
    outlets = tuple(
        FeedOutletPlace(
            id=f"o{one.id}",
            node="e",
            tank=one.id,
            place=(one.box.middle[0], 1.7, one.rim + 0.025),
            gap=given(0.025),
            kind="dripper",
            rate=given(1e-6),
            at_pressure=given(1e5),
            exponent=given(0.5),
            variation=given(0.05),
        )
        for one in tanks
    )
    feed = FeedRun(
        id="drip",
        source="tap",
        source_kind="water point",
        source_place=(2.4, 0.4, 0.9),
        source_pressure=given(3e5),
        source_flow=None,
        regulated_to=None,
        vat_volume=None,
        pump=None,
        filters=(),
        inlet="s",
        nodes=(("s", (2.4, 0.4, 0.9)), ("e", (0.3, 1.7, 0.75))),
        pipes=(manifold,),
        outlets=outlets,
        roughness=given(1.5e-6),
        programs=(),
        check_valve=False,
        derived=True,
    )
    pump = PumpPlace(
        id="piston",
        place=(0.25, 0.2, 2.0),
        height=given(2.0),
        curve=((0.0, 1e-3), (2e4, 5e-4)),
        lowest_pressure=None,
        highest_pressure=None,
        power=given(71.0),
        reserve=False,
    )
    outfall = OutfallPlace(id="gully", room="shed", place=(2.5, 0.3, -0.03), to="sewer", capacity=None)
    return Room(
        title=title,
        display=display,
        spaces=(space,),
        racks=(place,),
        tanks=tanks,
        outfalls=(outfall,),
        drains=(drain,),
        feeds=(feed,),
        airs=(ring,),
        pumps=(pump,),
    )


def small_results(layer: str = "air") -> DrawnResults:
    """Results that touch every kind of thing: short, just right, plenty, none, marks, aisles, a drain."""
    shares = {"A1": 0.42, "A2": 0.87, "A3": 1.0, "A4": 1.9}
    return DrawnResults(
        layer=layer,  # type: ignore[arg-type]
        about="air: share of what each tank needs",
        scale="enough",
        figures=(("pump works at", "6.2 kPa"), ("tanks short of air", "2 of 5")),
        tanks=tuple(
            DrawnTank(
                id=name,
                share=share,
                figure=f"{share * 100:.0f} %",
                detail=f"{share:.2g} L/min",
                title=f"{share * 100:.0f} % of the air it needs",
            )
            for name, share in shares.items()
        ),
        segments=(
            DrawnSegment(drain="main", start="d0", end="d1", full=0.2, label="20 %"),
            DrawnSegment(drain="main", start="d1", end="d2", full=0.9, label="90 %"),
        ),
        aisles=(DrawnAisle(start=(1.6, 0.15), end=(1.6, 1.45), label="130 cm", severity=Severity.NOTE),),
        marks=(
            DrawnMark(place="A1", severity=Severity.PROBLEM, title="AIR-01"),
            DrawnMark(place="A2", severity=Severity.WARNING, title="AIR-02"),
            DrawnMark(place="A5", severity=Severity.NOT_COMPUTED, title="AIR-03"),
            DrawnMark(place="A", severity=Severity.NOTE, title="LOAD-01"),
        ),
    )


def cellar_like() -> Room:
    """Two rooms side by side, racks on four sides and an island, 40 tanks."""
    cellar = Space(
        id="cellar",
        box=_block(0, 0, 5.2, 3.4, 2.15),
        floor="slab",
        openings=(
            Opening(
                kind="door", wall="south", start=(0.4, 0.0), end=(1.2, 0.0), swing="in", hinge=(0.4, 0.0)
            ),
            Opening(kind="window", wall="east", start=(5.2, 1.2), end=(5.2, 2.0), sill=1.5, height=0.4),
        ),
        obstacles=(("chimney", _block(0.0, 1.6, 0.5, 2.0, 2.15)),),
    )
    laundry = Space(
        id="laundry",
        box=_block(5.4, 0, 7.5, 1.8, 2.4),
        floor="tiles on slab",
        openings=(
            Opening(kind="door", wall="south", start=(6.6, 0), end=(7.35, 0), swing="out", hinge=(7.35, 0)),
        ),
    )
    racks = (
        rack("A", _block(0.15, 2.87, 2.05, 3.32, 2.0), "south"),
        rack("B", _block(2.15, 2.87, 4.05, 3.32, 2.0), "south"),
        rack("C", _block(4.67, 0.75, 5.12, 2.65, 2.0), "west"),
        rack("D", _block(1.5, 0.08, 3.4, 0.53, 2.0), "north"),
        rack("Q", _block(5.6, 1.27, 6.9, 1.72, 1.5), "south", (0.45, 1.05), "laundry"),
    )
    tanks: list[Tank] = []
    for place in racks[:4]:
        tanks += [*row(place, 1, 1, 2, LONG), *row(place, 2, 3, 3, MID), *row(place, 3, 6, 5, CUBE)]
    tanks += [*row(racks[4], 1, 1, 2, MID), *row(racks[4], 2, 3, 2, MID)]
    return Room(title="Cellar", display="metric", spaces=(cellar, laundry), racks=racks, tanks=tuple(tanks))
