"""Small rooms with air, made by hand for the tests of the air system."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from tankwright.origin import Known, Origin
from tankwright.room.model import (
    AirRun,
    Box,
    PipeRun,
    PumpPlace,
    Room,
    Tank,
    TapPlace,
    ZonePlace,
)

L_PER_MIN = 1 / 60_000


def given(value: float) -> Known:
    return Known(value, Origin.GIVEN)


def make_tank(
    name: str,
    *,
    base: float = 0.5,
    height: float = 0.36,
    water: float = 0.32,
    zone: str = "main",
    volume: float | None = None,
    area: float = 0.18,
) -> Tank:
    """A tank of 60 x 30 cm floor area standing at `base`, its water `water` deep."""
    floor = base + 0.006
    return Tank(
        id=name, kind="mid", room="cellar", rack="A", shelf=1, zone=zone, state="stands",
        box=Box(x0=0, y0=0, z0=base, x1=0.6, y1=0.3, z1=base + height), facing="south", end_on=False,
        length=0.6, depth=0.3, height=height, glass_side=given(0.006), glass_base=given(0.006),
        toughened=(), temper="annealed", top="open", lid=None, inside_area=area,
        floor_inside=floor, rim=base + height, level=floor + water, level_known=given(floor + water),
        water_volume=volume if volume is not None else area * water,
        freeboard=base + height - floor - water, freeboard_volume=area * (base + height - floor - water),
        empty_mass=given(8.0), fittings_mass=given(2.0), substrate_depth=0.0, substrate_mass=0.0,
        clear_above=0.2, under="",
    )  # fmt: skip


def make_tap(
    number: int,
    node: str,
    place: tuple[float, float, float],
    tank: Tank | None = None,
    *,
    is_open: bool = True,
    bore: float = 0.002,
    wanted: float = 1.0,
    check_valve: bool = False,
    loss: float = 100.0,
) -> TapPlace:
    if tank is None:
        return TapPlace(id=f"tap {number}", node=node, place=place, open=is_open, bore=given(bore))
    foot = tank.floor_inside + 0.03
    return TapPlace(
        id=f"tap {number}", node=node, place=place, open=is_open, bore=given(bore), tank=tank.id,
        tube_bore=given(0.004), tube_length=given(1.5), check_valve=check_valve,
        diffuser=(place[0], place[1], foot), diffuser_loss=given(loss),
        water_depth=tank.level - foot, flow_wanted=given(wanted * L_PER_MIN),
    )  # fmt: skip


def make_pump(
    name: str = "piston",
    *,
    curve: tuple[tuple[float, float], ...] = ((0.0, 85.0), (10e3, 70.0), (20e3, 48.0)),
    lowest: float | None = None,
    highest: float | None = 25e3,
    height: float = 2.1,
    reserve: bool = False,
) -> PumpPlace:
    """Curve in Pa and L/min."""
    return PumpPlace(
        id=name, place=None, height=given(height),
        curve=tuple((pressure, flow * L_PER_MIN) for pressure, flow in curve),
        lowest_pressure=given(lowest) if lowest is not None else None,
        highest_pressure=given(highest) if highest is not None else None,
        power=given(71.0), reserve=reserve,
    )  # fmt: skip


def make_ring(
    tanks: tuple[Tank, ...],
    *,
    taps: int,
    spacing: float = 0.1,
    ring_bore: float = 0.0209,
    height: float = 2.0,
    open_spare: int = 0,
    pumps: tuple[PumpPlace, ...] | None = None,
    relief: float | None = None,
    tap: dict[str, float] | None = None,
    check_valves: bool = False,
    zones: tuple[ZonePlace, ...] = (),
) -> Room:
    """A closed ring of `taps` taps; the first ones feed `tanks`, spread evenly, the next are left open."""
    running = pumps if pumps is not None else (make_pump(),)
    names = [f"n{i}" for i in range(taps)]
    nodes = [("pump", (0.0, 0.0, running[0].height.value if running else height))]
    nodes += [(name, (spacing * i, 0.0, height)) for i, name in enumerate(names)]
    pipes = [PipeRun(id="lead", start="pump", end="n0", path=(), length=1.5, bore=given(ring_bore))]
    pipes += [
        PipeRun(
            id=f"ring {i}", start=names[i], end=names[(i + 1) % taps], path=(), length=spacing,
            bore=given(ring_bore),
        )
        for i in range(taps)
    ]  # fmt: skip
    every = max(1, taps // max(1, len(tanks)))
    holder = {i * every: tank for i, tank in enumerate(tanks)}
    made, spare_left = [], open_spare
    for i, (name, place) in enumerate(nodes[1:]):
        tank = holder.get(i)
        if tank is None:
            made.append(make_tap(i, name, place, is_open=spare_left > 0, bore=(tap or {}).get("bore", 0.002)))
            spare_left -= 1
        else:
            made.append(make_tap(i, name, place, tank, check_valve=check_valves, **(tap or {})))  # type: ignore[arg-type]
    run = AirRun(
        id="ring", pumps=tuple(pump.id for pump in running), inlet="pump", nodes=tuple(nodes),
        pipes=tuple(pipes), taps=tuple(made), roughness=given(1.5e-6), height=given(height),
        relief=given(relief) if relief else None, derived=True, closed_ring=True, pipe="25 mm",
    )  # fmt: skip
    return Room(
        title="test",
        display="metric",
        spaces=(),
        racks=(),
        tanks=tanks,
        airs=(run,),
        pumps=running,
        zones=zones,
    )


def turned(room: Room, openings: Mapping[str, float]) -> Room:
    """The same room with the taps of these tanks as far open as said; 0 shuts one, as the layout does."""
    (run,) = room.airs
    taps = tuple(
        tap
        if tap.tank not in openings
        else replace(tap, opening=given(openings[tap.tank]), open=openings[tap.tank] > 0.0)
        for tap in run.taps
    )
    return replace(room, airs=(replace(run, taps=taps),))
