"""The workings of sums, shares and totals: what stands largest over a page, and the columns beside the main one."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Final

from tankwright.explain.feed import MIXING
from tankwright.explain.load import SCREENING
from tankwright.explain.model import Input, Working
from tankwright.explain.power import CAUTION
from tankwright.finding import Number
from tankwright.origin import Known
from tankwright.room.model import Room
from tankwright.study import Study
from tankwright.systems.air_model import AirResult
from tankwright.systems.drain import DrainResult
from tankwright.systems.feed_model import FeedResult
from tankwright.systems.load import LoadResult
from tankwright.systems.power import Draw, PowerResult

SUM: Final = "sum"
RATIO: Final = "definition"


def workings_totals(study: Study) -> Iterator[Working]:
    """Workings named "A3.water", "A3.air.share", "load.total", "feed.drip.day", "drain.main.full", "power.total" ...

    >>> from tankwright.study import work_out
    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> [one.name for one in workings_totals(work_out(empty, frozenset()))]
    ['layout.water']
    """
    yield from _water(study.room)
    if study.load is not None:
        yield from _load(study.load)
    if study.air is not None:
        yield from _air(study.air)
    if study.feed is not None:
        yield from _feed(study.feed)
    if study.drain is not None:
        yield from _drain(study.drain)
    if study.power is not None:
        yield from _power(study.power)


def _in(name: str, value: float, dimension: str, see: str = "", known: Known | None = None) -> Input:
    return Input(name=name, number=Number(value, dimension), see=see, known=known)


def _sum(
    name: str, title: str, value: float, dimension: str, parts: Iterable[Input], note: str = ""
) -> Working:
    return Working(name=name, title=title, number=Number(value, dimension), formula="sum of the parts",
                   inputs=tuple(parts), source=SUM, note=note)  # fmt: skip


def _water(room: Room) -> Iterator[Working]:
    for tank in room.tanks:
        yield Working(
            name=f"{tank.id}.water", title=f"water in tank {tank.id} at its still level",
            number=Number(tank.water_volume, "volume"),
            formula="inside area x (water level - inside floor - substrate)",
            inputs=(
                _in("inside area", tank.inside_area, "area"),
                _in("water level above the inside floor", tank.level - tank.floor_inside, "length",
                    known=tank.level_known),
                _in("substrate", tank.substrate_depth, "length"),
            ),
            source="geometry",
        )  # fmt: skip
    water = sum(tank.water_volume for tank in room.tanks)
    yield _sum("layout.water", "water in all tanks", water, "volume",
               (_in(tank.id, tank.water_volume, "volume", f"{tank.id}.water") for tank in room.tanks))  # fmt: skip


def _load(load: LoadResult) -> Iterator[Working]:
    yield _sum(
        "load.total", "all racks with their tanks", load.total, "mass",
        (_in(f"rack {rack.rack}", rack.total, "mass", f"load.{rack.rack}.mass") for rack in load.racks), SCREENING,
    )  # fmt: skip
    for rack in load.racks:
        base = f"load.{rack.rack}"
        yield Working(
            name=f"{base}.brim", title=f"rack {rack.rack} with every tank full to its rim",
            number=Number(rack.brim, "mass"), formula="as it stands + the water between lip and rim of each tank",
            inputs=(
                _in("as it stands", rack.total, "mass", f"{base}.mass"),
                _in("water between lip and rim", rack.brim - rack.total, "mass"),
            ),
            source="geometry; water at 20 °C, Kell (1975)", note=f"the fault case; {SCREENING}",
        )  # fmt: skip
        if rack.pull is not None and rack.ratio is not None:
            yield Working(
                name=f"{base}.pull", title=f"level pull at the top shelf that begins to tip rack {rack.rack}",
                number=Number(rack.pull, "force"),
                formula="weight with only the top shelf full x half its depth / height of that shelf",
                inputs=(
                    _in("empty rack", rack.own.value, "mass", known=rack.own),
                    _in("height of the top shelf over the depth", rack.ratio, "number", f"{base}.ratio"),
                ),
                source="statics: moments about the front feet", note=SCREENING,
            )  # fmt: skip
        if rack.ratio is not None:
            yield Working(
                name=f"{base}.ratio", title=f"height of the top loaded shelf of rack {rack.rack} over its depth",
                number=Number(rack.ratio, "number"), formula="height / depth",
                inputs=(_in("area it stands on", rack.footprint, "area"),), source=RATIO, note=SCREENING,
            )  # fmt: skip
    for space in load.spaces:
        for kind, mass, pressure in (
            ("", space.total, space.pressure),
            (".brim", space.brim, space.brim_pressure),
        ):
            yield Working(
                name=f"load.room.{space.space}{kind}", number=Number(pressure, "floor_load"),
                title=f"load of the racks{', brim-full,' if kind else ''} over the whole floor of {space.space}",
                formula="mass x g / area of the floor",
                inputs=(_in("racks", mass, "mass"), _in("floor", space.area, "area")),
                source="definition of pressure", note=f"spread evenly, which it is not; {SCREENING}",
            )  # fmt: skip


def _air(air: AirResult) -> Iterator[Working]:
    seen: dict[str, int] = {}
    for run in air.runs:
        base = f"air.{run.run}"
        taps = []
        for tap in run.taps:
            if tap.tank is not None:
                seen[tap.tank] = seen.get(tap.tank, 0) + 1
                taps.append((tap, f"{tap.tank}.air" + (f"{seen[tap.tank]}" if seen[tap.tank] > 1 else "")))
        yield Working(
            name=f"{base}.flow", title=f"air through {run.run}", number=Number(run.total_flow, "air_flow"),
            formula="sum of what reaches the tanks + out of spare taps",
            inputs=(
                *(_in(f"to {tap.tank}", tap.flow, "air_flow", name) for tap, name in taps),
                _in("out of spare taps", run.spare_flow, "air_flow"),
            ),
            source="pipe network by Newton's method on the pump's curve",
        )  # fmt: skip
        for tap, name in taps:
            if tap.share is not None and tap.wanted is not None:
                yield Working(
                    name=f"{name}.share", title=f"share {tap.tank} gets of the air it needs",
                    number=Number(tap.share, "share"), formula="air that reaches it / air it needs",
                    inputs=(_in("reaches it", tap.flow, "air_flow", name), _in("needs", tap.wanted, "air_flow")),
                    source=RATIO,
                )  # fmt: skip
            if tap.ring_pressure is not None:
                yield Working(
                    name=f"{name}.ring", title=f"pressure in {run.run} at the tap of {tap.tank}",
                    number=Number(tap.ring_pressure, "pressure"),
                    formula="where the pump works - lead - ring up to the tap",
                    inputs=(
                        *(_in(f"{work.pump} works at", work.pressure, "pressure", f"{base}.{work.pump}")
                          for work in run.pumps),
                        _in("lost between pump and ring", run.losses.lead, "pressure"),
                        _in("lost along the ring, to its worst tap", run.losses.header, "pressure"),
                        _in("air drawn there", tap.flow, "air_flow", name),
                    ),
                    source="pipe network by Newton's method, Darcy-Weisbach in each piece",
                )  # fmt: skip


def _feed(feed: FeedResult) -> Iterator[Working]:
    for run in feed.runs:
        flow = f"feed.{run.run}.flow"
        yield _sum(flow, f"water in {run.run}, everything open", run.total_flow, "flow",
                   (_in(one.tank, one.flow, "flow", f"{one.tank}.feed") for one in run.outlets))  # fmt: skip
        yield Working(
            name=f"feed.{run.run}.day", title=f"water a day through {run.run}",
            number=Number(run.volume_a_day, "volume"), formula="flow x time it runs in a week / 7",
            inputs=(_in("flow", run.total_flow, "flow", flow), _in("runs in a week", run.seconds_a_week, "duration")),
            source="volume is flow times time; the programs of the plan",
        )  # fmt: skip
    for fed in feed.tanks:
        inflow = _in("flow while it runs", fed.inflow, "flow", f"{fed.tank}.feed")
        yield Working(
            name=f"{fed.tank}.feed.day", title=f"fresh water {fed.tank} gets a day",
            number=Number(fed.volume_a_day, "volume"), formula="flow x time it runs a day, a mean of the week",
            inputs=(inflow, _in("runs a day", fed.seconds_a_day, "duration")), source=MIXING.split(",", 1)[0],
        )  # fmt: skip
        yield Working(
            name=f"{fed.tank}.feed.looks", title=f"the most that runs into {fed.tank} between two looks",
            number=Number(fed.between_looks, "volume"),
            formula="flow x the longest time it runs between two looks, by the programs' clock",
            inputs=(inflow, _in("a day, for comparison", fed.volume_a_day, "volume", f"{fed.tank}.feed.day")),
            source="volume is flow times time; how often somebody looks is the plan's",
        )  # fmt: skip


def _drain(drain: DrainResult) -> Iterator[Working]:
    for run in drain.runs:
        for case in run.cases:
            ending = "" if case.kind == "feed" else f".{case.name}"
            depth = f"drain.{run.run}.depth{ending}"
            yield Working(
                name=f"drain.{run.run}.full{ending}", title=f"how full {run.run} is at its fullest, {case.name}",
                number=Number(case.greatest_share, "share"), formula="depth of the water / bore of the pipe",
                inputs=tuple(
                    _in(f"from {one.start}", one.depth, "length", depth)
                    for one in case.segments if one.depth is not None and one.share == case.greatest_share
                )[:1] or (_in("pressure line over the crown", case.surcharge, "length", depth),),
                source=RATIO, note="over the pipe's crown it is drowned" if case.surcharge > 0 else "",
            )  # fmt: skip
            yield _sum(f"drain.{run.run}.out{ending}", f"out of {run.run}, {case.name}", case.outfall_flow, "flow",
                       (_in(tank, flow, "flow", f"{tank}.feed" if case.kind == "feed" else "")
                        for tank, flow in case.reaching))  # fmt: skip


def _power(power: PowerResult) -> Iterator[Working]:
    named = [(f"power.{one.board}", f"board {one.board}", one.draw) for one in power.boards]
    named += [(f"power.circuit.{one.circuit}", f"circuit {one.circuit}", one.draw) for one in power.circuits]
    for base, what, draw in named:
        yield from _draw(base, what, draw)
    if power.total is not None:
        for name, title, value, dimension, ending in (
            ("power.total", "everything at once", power.total.power, "power", "power"),
            ("power.total.energy", "energy of everything in a day", power.total.energy_a_day, "energy", "energy"),
        ):  # fmt: skip
            yield _sum(name, title, value, dimension, (
                _in(f"board {one.board}", one.draw.power if ending == "power" else one.draw.energy_a_day, dimension,
                    f"power.{one.board}.{ending}") for one in power.boards
            ), CAUTION)  # fmt: skip


def _draw(base: str, what: str, draw: Draw) -> Iterator[Working]:
    yield Working(
        name=f"{base}.power", title=f"power of {what}, everything on", number=Number(draw.power, "power"),
        formula="sum of count x watts", inputs=(_in("current that is", draw.current, "current", f"{base}.current"),),
        source=SUM, note=CAUTION,
    )  # fmt: skip
    if draw.share is not None:
        yield Working(
            name=f"{base}.rated", title=f"current of {what} over its rating", number=Number(draw.share, "share"),
            formula="current / rating", inputs=(_in("current", draw.current, "current", f"{base}.current"),),
            source=RATIO, note=CAUTION,
        )  # fmt: skip
