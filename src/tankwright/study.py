"""The whole room worked out: every system in order, results handed on as arguments, one frozen `Study`.

Systems meet only here. What the feed brings into each tank is what the drain must take and what renews its water; the
air each tank gets is what brings its oxygen, at the air pressure of the place the weather is from; the drip is what
its heater has to warm.
A system outside the range of a published formula is left out and named in `not_computed`; it is never "fine".
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Final, TypeVar

from tankwright.finding import Finding, Severity
from tankwright.physics.constants import STANDARD_PRESSURE
from tankwright.physics.ranges import OutsideValidRange
from tankwright.room.model import Room
from tankwright.systems.air import AirResult, solve_air
from tankwright.systems.drain import DrainResult, solve_drain
from tankwright.systems.feed import FeedResult, solve_feed
from tankwright.systems.glass import solve_glass
from tankwright.systems.glass_model import GlassResult
from tankwright.systems.heat import solve_heat
from tankwright.systems.heat_model import HeatResult
from tankwright.systems.heat_rests import what_heat_rests_on
from tankwright.systems.layout import LayoutResult, solve_layout
from tankwright.systems.load import LoadResult, solve_load
from tankwright.systems.oxygen import solve_oxygen
from tankwright.systems.oxygen_model import OxygenResult
from tankwright.systems.power import PowerResult, solve_power
from tankwright.systems.racks import solve_racks
from tankwright.systems.racks_model import RacksResult
from tankwright.systems.water import solve_water
from tankwright.systems.water_model import WaterResult
from tankwright.units import CubicMetrePerSecond
from tankwright.weather.model import WeatherYear

SYSTEMS: Final = (
    "layout",
    "load",
    "glass",
    "racks",
    "air",
    "feed",
    "drain",
    "power",
    "water",
    "oxygen",
    "heat",
)

Result = TypeVar("Result")


@dataclass(frozen=True, slots=True, kw_only=True)
class Study:
    """The room and what each system came to. None: not run, or not computed (then `not_computed` says why)."""

    room: Room
    weather: WeatherYear | None = None
    layout: LayoutResult | None = None
    load: LoadResult | None = None
    glass: GlassResult | None = None
    racks: RacksResult | None = None
    air: AirResult | None = None
    feed: FeedResult | None = None
    drain: DrainResult | None = None
    power: PowerResult | None = None
    water: WaterResult | None = None
    oxygen: OxygenResult | None = None
    heat: HeatResult | None = None
    heat_rests_on: tuple[object, ...] = field(default=(), compare=False, repr=False)
    not_computed: tuple[Finding, ...] = ()


@dataclass(slots=True)
class _Runner:
    only: frozenset[str]
    missing: list[Finding] = field(default_factory=list)

    def run(self, system: str, solve: Callable[[], Result]) -> Result | None:
        if system not in self.only:
            return None
        try:
            return solve()
        except OutsideValidRange as outside:
            self.missing.append(
                Finding(
                    code="STUDY-01",
                    severity=Severity.NOT_COMPUTED,
                    subject=system,
                    text=f"was left out: {outside}",
                    reason="a published formula does not reach that far, and a guess would look like a result",
                    remedy="bring the value named inside the range, or measure instead",
                )
            )
            return None


def work_out(
    room: Room,
    only: frozenset[str] = frozenset(SYSTEMS),
    *,
    weather: WeatherYear | None = None,
    walk_through: bool = True,
    known: Study | None = None,
) -> Study:
    """Run the systems named in `only` (all by default) on a laid-out room.

    `weather` is the year the plan names, or the default one. `walk_through` asks the systems for their costly
    what-ifs too; a trial of an assumption does without. Air and feed that others need and `only` does not name
    are taken from `known`, where they are known: a trial of what they do not rest on need not solve them again.
    Warmth is taken from it where all it rests on is the same.

    >>> work_out(Room(title="", display="metric", spaces=(), racks=(), tanks=()), frozenset()).air is None
    True
    """
    runner = _Runner(only)
    layout = runner.run("layout", lambda: solve_layout(room))
    weighing = runner if "racks" not in only else _Runner(only | {"load"}, runner.missing)
    load = weighing.run("load", lambda: solve_load(room))
    glass = runner.run("glass", lambda: solve_glass(room))
    masses = {one.tank: one.total for one in load.tanks} if load else {}
    racks = runner.run("racks", lambda: solve_racks(room, masses))
    airing = runner if "oxygen" not in only else _Runner(only | {"air"}, runner.missing)
    air = known.air if known is not None and "air" not in only else None
    if air is None:
        air = airing.run("air", lambda: solve_air(room, walk_through=walk_through and "air" in only))
    feeding = (
        runner if only.isdisjoint(("drain", "water", "heat")) else _Runner(only | {"feed"}, runner.missing)
    )
    feed = known.feed if known is not None and "feed" not in only else None
    if feed is None:
        feed = feeding.run("feed", lambda: solve_feed(room))
    inflows = feed.inflows() if feed else {}
    between_looks = feed.volume_between_looks() if feed else {}
    drain = runner.run("drain", lambda: solve_drain(room, inflows, between_looks))
    power = runner.run("power", lambda: solve_power(room))
    water = runner.run("water", lambda: solve_water(room, _flows_by_run(feed)))
    breathing = {one.tank: one.flow for one in air.tanks} if air else {}
    pressure = float(weather.pressure.mean()) if weather is not None else STANDARD_PRESSURE
    a_day = {one.tank: one.volume_a_day for one in feed.tanks} if feed else {}
    rests_on = what_heat_rests_on(room, weather, a_day) if "heat" in only else ()
    heat = known.heat if known is not None and rests_on and known.heat_rests_on == rests_on else None
    if heat is None:
        heat = runner.run("heat", lambda: solve_heat(room, weather, a_day))
    oxygen = runner.run("oxygen", lambda: solve_oxygen(room, breathing, pressure=pressure))
    return Study(
        room=room,
        weather=weather,
        layout=layout,
        load=load if "load" in only else None,
        glass=glass,
        racks=racks,
        air=air if "air" in only else None,
        feed=feed if "feed" in only else None,
        drain=drain,
        power=power,
        water=water,
        oxygen=oxygen,
        heat=heat,
        heat_rests_on=rests_on if heat is not None else (),
        not_computed=tuple(runner.missing),
    )


def _flows_by_run(feed: FeedResult | None) -> dict[str, dict[str, CubicMetrePerSecond]]:
    """What each feed run brings into each of its tanks while it runs, all its outlets there together."""
    flows: dict[str, dict[str, CubicMetrePerSecond]] = {}
    for run in feed.runs if feed else ():
        into = flows.setdefault(run.run, {})
        for outlet in run.outlets:
            into[outlet.tank] = into.get(outlet.tank, 0.0) + outlet.flow
    return flows
