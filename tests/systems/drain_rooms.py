"""Small rooms for the tests of the drain, built by hand: a row of like tanks above one straight run."""

from __future__ import annotations

import math
from dataclasses import replace

from tankwright.origin import Known, Origin
from tankwright.room.model import (
    Box,
    DrainNode,
    DrainRun,
    DumpEvent,
    FeedOutletPlace,
    FeedRun,
    HosePlace,
    OutfallPlace,
    OverflowPlace,
    ProgramRun,
    Room,
    Tank,
)

LITRE_PER_MINUTE = 1 / 60000
LITRE_PER_HOUR = 1 / 3.6e6


def given(value: float) -> Known:
    return Known(value, Origin.GIVEN, line=1)


def make_tank(
    name: str,
    *,
    x: float,
    base: float = 0.9,
    node: str | None,
    drain: str = "main",
    end: float = 0.2,
    angle: float = 0.0,
    bore: float = 0.020,
    hose_bore: float = 0.013,
    freeboard: float = 0.03,
    zone: str = "main",
) -> Tank:
    """A 60 x 30 x 36 cm tank with 5.4 L of freeboard at 3 cm; no overflow when `node` is None."""
    rim = base + 0.36
    lip = rim - freeboard
    drilled = node is not None
    area = 0.60 * 0.30
    return Tank(
        id=name, kind="mid60", room="cellar", rack="A", shelf=1, zone=zone, state="stands",
        box=Box(x0=x, y0=0, z0=base, x1=x + 0.6, y1=0.3, z1=rim), facing="south", end_on=False,
        length=0.6, depth=0.3, height=0.36, glass_side=given(0.006), glass_base=given(0.006),
        toughened=(), temper="annealed", top="open", lid=None, inside_area=area,
        floor_inside=base + 0.006, rim=rim, level=lip, level_known=given(lip),
        water_volume=area * (lip - base - 0.006), freeboard=freeboard, freeboard_volume=area * freeboard,
        empty_mass=given(8.0), fittings_mass=given(2.0), substrate_depth=0.0, substrate_mass=0.0,
        clear_above=0.2, under="shelf",
        overflow=OverflowPlace(
            kind="elbow", lip=lip, angle=angle, reach=given(0.034), bore=given(bore),
            open_share=given(1.0), level_known=given(lip),
        ) if drilled else None,
        hose=HosePlace(
            drain=drain, node=node, bore=given(hose_bore), length=given(1.5),
            start=(x, 0.3, lip - 0.034), end=(x, 0.35, end),
        ) if node is not None else None,
    )  # fmt: skip


def make_run(
    count: int,
    *,
    spacing: float = 2.0,
    fall: float = 0.01,
    bore: float = 0.040,
    manning_n: float = 0.009,
    top: float = 0.15,
    vented: bool | None = True,
    events: tuple[DumpEvent, ...] = (),
    name: str = "main",
) -> DrainRun:
    """A straight run with a node for every tank and one more at the outfall."""
    nodes = tuple(
        DrainNode(
            id=f"{name}.{i + 1}",
            place=(i * spacing, 0.35, top - i * spacing * fall),
            chainage=i * spacing,
            tanks=(f"T{i + 1}",) if i < count else (),
        )
        for i in range(count + 1)
    )
    return DrainRun(
        id=name, outfall="gully", nodes=nodes, bore=given(bore), manning_n=given(manning_n),
        fall=given(fall), vented=vented, derived=True, events=events,
    )  # fmt: skip


def make_feed(tanks: tuple[str, ...], *, minutes: float = 60.0, runs_a_week: float = 7.0) -> FeedRun:
    """A drip with one timer run a day."""
    outlets = tuple(
        FeedOutletPlace(
            id=f"drip.{name}", node="m", tank=name, place=(0, 0, 0), gap=given(0.02), kind="dripper",
            rate=given(4 * LITRE_PER_HOUR), at_pressure=given(1e5), exponent=given(0.5),
            variation=given(0.05),
        )
        for name in tanks
    )  # fmt: skip
    return FeedRun(
        id="drip", source="tap", source_kind="water point", source_place=(0, 0, 1),
        source_pressure=given(3e5), source_flow=None, regulated_to=None, vat_volume=None,
        pump=None, filters=(), inlet="m",
        nodes=(("m", (0, 0, 1)),), pipes=(), outlets=outlets, roughness=given(1.5e-6),
        programs=(ProgramRun(start=7200.0, duration=minutes * 60, runs_a_week=runs_a_week),),
        check_valve=True, derived=True,
    )  # fmt: skip


def make_room(
    count: int = 4,
    *,
    run: DrainRun | None = None,
    tanks: tuple[Tank, ...] | None = None,
    outfall_height: float | None = None,
    capacity: float | None = None,
    to: str = "sewer, trapped",
    feed: FeedRun | None = None,
    absence: float | None = None,
) -> Room:
    """A row of `count` tanks on one run; the run falls free into its outfall unless a height is given."""
    run = run if run is not None else make_run(count)
    if tanks is None:
        tanks = tuple(make_tank(f"T{i + 1}", x=2.0 * i, node=f"{run.id}.{i + 1}") for i in range(count))
    last = run.nodes[-1].place
    height = last[2] if outfall_height is None else outfall_height
    return Room(
        title="test", display="metric", spaces=(), racks=(), tanks=tanks,
        outfalls=(
            OutfallPlace(
                id="gully", room="cellar", place=(last[0], last[1], height), to=to,
                capacity=given(capacity) if capacity is not None else None,
            ),
        ),
        drains=(run,), feeds=(feed,) if feed is not None else (),
        looks=(24300.0, 66600.0), longest_absence=given(absence) if absence is not None else None,
    )  # fmt: skip


def hose_left_in(tank: str, flow: float, name: str = "hose left in") -> DumpEvent:
    return DumpEvent(name=name, hose_in=tank, hose_flow=given(flow), pulled=())


def pulled(*tanks: str, name: str = "standpipes pulled") -> DumpEvent:
    return DumpEvent(name=name, hose_in=None, hose_flow=None, pulled=tanks)


def with_events(room: Room, *events: DumpEvent) -> Room:
    return replace(room, drains=tuple(replace(run, events=events) for run in room.drains))


SIDEWAYS = math.pi / 2
