"""Panes, racks and floors made by hand or by the engines themselves, for tests of their drawings."""

from __future__ import annotations

import math
from dataclasses import replace

from tankwright.catalogue.sections import read_section
from tankwright.origin import Known, Origin
from tankwright.plates.model import Plate, RoundHole
from tankwright.plates.solver import COARSE, solve_plate
from tankwright.room.model import Box, Pane, RackPlace, Room, Space
from tankwright.room.model_structure import JoistsPlace, Member
from tankwright.systems.glass import screen_pane
from tankwright.systems.glass_full_model import (
    FullPane,
    HoleFull,
    HoleMap,
    HoleSpot,
    HoleSurroundings,
    KeptOut,
)
from tankwright.systems.glass_model import PaneCase, PaneHole, Strengths
from tankwright.systems.racks_model import (
    BeamResult,
    Check,
    FloorStrength,
    FootPlace,
    JoistLoad,
    PostResult,
    RackStrength,
    Use,
)


def known(value: float) -> Known:
    return Known(value, Origin.GIVEN)


STRENGTHS = Strengths(
    en_surface=5.4e6,
    en_edge=4.3e6,
    duration_surface=4.52e6,
    duration_edge=3.55e6,
    working_surface=known(4.5e6),
    working_edge=known(3.6e6),
    week=1.2,
)


def pane(
    size: tuple[float, float, float] = (0.9, 0.38, 0.006),
    name: Pane = "back",
    holes: tuple[tuple[float, float, float], ...] = ((0.075, 0.07, 0.029),),
    **changes: object,
) -> PaneCase:
    """A pane by its outside size and thickness; holes by their middle from the left, below the rim, and diameter."""
    length, height, thickness = size
    offset = (thickness / 2, 0.008)
    case = PaneCase(
        kind="long90",
        pane=name,
        tanks=("A1",),
        length=length - thickness,
        height=height - 0.008,
        thickness=known(thickness),
        held="free",
        head=height - 0.06,
        brim=height - 0.008,
        pressure=0.0,
        outside=(length, height),
        offset=offset,
        stiffness=known(70e9),
        poisson=known(0.23),
        holes=tuple(
            PaneHole(
                x=across - offset[0],
                y=height - offset[1] - down,
                diameter=known(wide),
                flange=known(0.045),
                line=1,
            )
            for across, down, wide in holes
        ),
        brace=None,
        temper="annealed",
        edges=None,
        line=1,
    )
    return replace(case, **changes)  # type: ignore[arg-type]  # a test's own words


def full(case: PaneCase) -> FullPane:
    """A pane by the finite elements, coarsely."""
    base = case.pane == "base"
    solution = solve_plate(
        Plate(
            length=case.length,
            height=case.height,
            thickness=case.thickness.value,
            stiffness=case.stiffness.value,
            poisson=case.poisson.value,
            head=0.0 if base else case.head,
            pressure=3000.0 if base else 0.0,
            top="held" if base or case.held == "held" else "free",
            holes=tuple(RoundHole(x=one.x, y=one.y, diameter=one.diameter.value) for one in case.holes),
        ),
        fineness=COARSE,
    )
    assert solution.status == "solved"
    holes = tuple(
        HoleFull(hole=hole, stress=one.stress, at=(one.x, one.y), use=one.stress / 3.6e6)
        for hole, one in zip(case.holes, solution.holes, strict=True)
    )
    surface = screen_pane(replace(case, holes=()), STRENGTHS)
    worst = max([surface.plain, *(one.stress for one in holes)])
    return FullPane(
        case=case,
        strengths=STRENGTHS,
        screen=screen_pane(case, STRENGTHS),
        solution=solution,
        status="solved",
        holes=holes,
        surface=surface.plain,
        surface_at=surface.plain_at,
        edge=solution.top_edge,
        worst=worst,
        worst_at=solution.worst_at,
        governs="hole" if holes and worst > surface.plain else "surface",
        use=max([surface.plain / 4.5e6, *(one.use for one in holes)]),
        sag=solution.sag,
        sag_at=solution.sag_at,
        linear=solution.sag < case.thickness.value / 2,
    )


def hole_map(case: PaneCase, *, columns: int = 15, rows: int = 9) -> HoleMap:
    """A map by the quick screening of the place alone: what is drawn, not what is true."""
    across = tuple(0.03 + (case.length - 0.06) * n / (columns - 1) for n in range(columns))
    up = tuple(0.03 + (case.height - 0.06) * n / (rows - 1) for n in range(rows))
    spots = tuple(spot(case, x, y) for y in up for x in across)
    allowed = [one for one in spots if one.allowed]
    best = min(allowed, key=lambda one: one.use or 0.0, default=None)
    hole = case.holes[0]
    return HoleMap(
        case=case,
        strengths=STRENGTHS,
        index=0,
        diameter=hole.diameter,
        around=HoleSurroundings(),
        across=across,
        up=up,
        spots=spots,
        plain=2.1e6,
        present=spot(case, hole.x, hole.y),
        best=best,
        best_any_level=best,
    )


def spot(case: PaneCase, x: float, y: float) -> HoleSpot:
    kept: list[KeptOut] = []
    if min(x, case.length - x) < 0.05 or min(y, case.height - y) < 0.045:
        kept.append("edge")
    if 0.45 < x / case.length < 0.52:
        kept.append("upright")
    if y < 0.4 * case.height:
        kept.append("level")
    use = 0.3 + 1.2 * math.sin(math.pi * x / case.length) * y / case.height
    left, below = case.as_drilled(x, y)
    return HoleSpot(
        x=x, y=y, from_left=left, below_rim=below, worst=use * 3.6e6, hole=use * 3.6e6, use=use,
        kept_out=tuple(kept), levels=(below + 0.01, below - 0.034),
    )  # fmt: skip


def use(share: float, check: Check = "bending") -> Use:
    return Use(check=check, demand=share, allowed=1.0, share=share, dimension="stress")


def strength(
    rack: RackPlace, shares: tuple[float | None, ...] = (0.3, 0.9, 1.4), sag: float = 0.002
) -> RackStrength:
    """A rack whose bearers use so much of their strength, by shelf; None: not judged."""
    member = Member(text="45x70 C24", section=read_section("45x70 C24"), grade=None)
    middles = [(start + end) / 2 for start, end in rack.uprights]
    beams = []
    for shelf in range(1, len(rack.shelves) + 1):
        share = shares[(shelf - 1) % len(shares)]
        for bay in range(1, len(middles)):
            for index in range(2):
                span = middles[bay] - middles[bay - 1]
                most = sag * (1 + 0.2 * index)
                beams.append(
                    BeamResult(
                        rack=rack.id, shelf=shelf, bay=bay, index=index, part="bearer", member=member, span=span,
                        patches=(), moment=300.0, shear=600.0, reactions=(600.0, 600.0), sag_now=most,
                        sag_later=1.8 * most,
                        uses=() if share is None else (use(share * (1 + 0.1 * index)), use(0.1, "shear")),
                        curve=tuple((span * n / 10, most * math.sin(math.pi * n / 10)) for n in range(11)),
                    )
                )  # fmt: skip
    judged = any(one is not None for one in shares)
    posts = tuple(
        PostResult(
            rack=rack.id, upright=upright, side="front" if side == 0 else "back", member=member,
            force=900.0 + 300.0 * upright + 50.0 * side, free_length=0.6, loose_length=2.6,
            uses=(use(0.24, "buckling"),) if judged else (),
        )
        for upright in range(len(middles))
        for side in range(2)
    )  # fmt: skip
    return RackStrength(
        rack=rack.id, beams=tuple(beams), posts=posts, tilts=(), readings=(), rated_share=0.8, leans=not judged,
        sway_push=34.0, tip_full=310.0, tip_worst=120.0, judged=judged, route="limit state", service_class=None,
    )  # fmt: skip


def floor_of(room: Room, *, joists: bool = False, over: str = "") -> tuple[Room, FloorStrength]:
    """The first space of a room with feet at the corners of its racks; on joists every 40 cm, one foot over a void."""
    space = room.spaces[0]
    racks = [rack for rack in room.racks if rack.room == space.id]
    feet = tuple(
        FootPlace(
            rack=rack.id, upright=n % 2, side="front" if n < 2 else "back",
            x=rack.box.x0 + 0.03 if n % 2 == 0 else rack.box.x1 - 0.03,
            y=rack.box.y0 + 0.03 if n < 2 else rack.box.y1 - 0.03,
            force=400.0 * (n + 1), over=over if n == 3 and rack is racks[0] else "",
        )
        for rack in racks
        for n in range(4)
    )  # fmt: skip
    loads: tuple[JoistLoad, ...] = ()
    if joists:
        member = Member(text="45x195 C24", section=read_section("45x195 C24"), grade=None)
        box = space.box
        under = JoistsPlace(member=member, every=known(0.4), run="north-south", start=box.y0, end=box.y1)
        space = _with(space, under, over)
        loads = tuple(
            JoistLoad(
                space=space.id, index=n, at=box.x0 + 0.4 * n, span=box.y1 - box.y0, patches=(),
                moment=200.0 * (n + 1), design_moment=1100.0, sag_now=0.001,
            )
            for n in range(1, 6)
        )  # fmt: skip
    floor = FloorStrength(
        space=space.id, floor=space.floor, feet=feet, average=1400.0, heaviest_footprint=7700.0,
        heaviest_rack=racks[0].id if racks else "", limit=known(2000.0) if joists else None, design=known(2000.0),
        joists=loads,
    )  # fmt: skip
    return replace(room, spaces=(space, *room.spaces[1:])), floor


def _with(space: Space, joists: JoistsPlace, over: str) -> Space:
    box = space.box
    void = Box(x0=box.x1 - 0.9, y0=box.y1 - 0.8, z0=0.0, x1=box.x1 - 0.1, y1=box.y1 - 0.1, z1=0.0)
    return replace(space, joists=joists, voids=((over, void),) if over else (), floor="timber")
