"""Every quantity of a worked-out room that can be read off with a keeper's instruments, by a stable id."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from functools import lru_cache
from typing import Final

from tankwright.building.point import Kind, Measurable
from tankwright.catalogue.assumptions import ASSUMPTIONS
from tankwright.physics.mouths import tilted_overflow
from tankwright.physics.numerics import integral
from tankwright.physics.pipes import hose_drain_flow
from tankwright.physics.ranges import OutsideValidRange
from tankwright.room.model import DrainRun, Tank
from tankwright.study import Study
from tankwright.systems.drain_tanks import HOSE_LOSSES
from tankwright.units import Metre, Second

POURED: Final = 0.5
"""Share of its freeboard a tank is filled over its lip for a test of its overflow."""
LEFT: Final = 0.2
"""Share of the freeboard left over the lip when the clock is stopped: the rest trickles."""
MANY: Final = 10.0
"""Times what is expected beyond which a flow read is a slip of the pen."""

RESTS_ON: Final[dict[Kind, tuple[str, ...]]] = {
    "level": ("overflow.below_rim", "overflow.bore", "strainer.open", "feed.rate", "feed.rate_share"),
    "drip": ("feed.rate", "feed.rate_share", "feed.exponent", "feed.at_pressure", "feed.tube_bore",
             "feed.tube_length", "feed.bore", "pipe.bore_share", "feed.roughness", "feed.filter_loss", "water.pressure",
             "water.tap_height"),
    "air": ("air.tap_bore", "air.tap_share", "air.loss.sponge", "air.loss.stone", "air.loss.open", "pump.flow_share",
            "air.tube_bore", "air.tube_slack", "air.check_valve_loss", "air.bore", "pipe.bore_share", "feed.roughness",
            "air.lead", "air.diffuser_above_base", "overflow.below_rim"),
    "drain time": ("overflow.bore", "strainer.open", "hose.bore", "hose.slack", "overflow.below_rim"),
    "depth": ("drain.manning_n", "drain.fall", "drain.bore", "pipe.bore_share", "feed.rate", "feed.rate_share"),
    "fall": ("drain.fall",),
    "rise": ("shell.wall", "shell.roof", "shell.ground", "shell.window", "shell.door", "climate.air_change"),
    "trip": (),
}  # fmt: skip
RESTS_ON["spare air"] = RESTS_ON["pump pressure"] = RESTS_ON["ring pressure"] = RESTS_ON["air"]
RESTS_ON["feed pressure"] = RESTS_ON["drip"]


def measurable(study: Study) -> tuple[Measurable, ...]:
    """Everything that can be measured in a room, in the order one walks: drains first, then feed, air, warmth, power.

    >>> from tankwright.room.model import Room
    >>> measurable(Study(room=Room(title="", display="metric", spaces=(), racks=(), tanks=())))
    ()
    """
    return (*_drains(study), *_levels(study), *_feeds(study), *_airs(study), *_warmth(study), *_trips(study))


def usual(key: str) -> float:
    """The value of a row of the wet test's own assumptions."""
    return ASSUMPTIONS[key].value


def _drains(study: Study) -> Iterator[Measurable]:
    worked = {run.run: run for run in study.drain.runs} if study.drain else {}
    for run in study.room.drains:
        length = run.nodes[-1].chainage - run.nodes[0].chainage if run.nodes else 0.0
        if length > 0.0:
            yield Measurable(
                id=f"drain {run.id}.fall", kind="fall", run=run.id, place=run.id, dimension="slope",
                least=-0.3, most=0.5, tolerance=usual("proof.fall"),
                value=(run.nodes[0].place[2] - run.nodes[-1].place[2]) / length,
            )  # fmt: skip
        if run.id in worked:
            yield from _depths(run, [(one.start, one.depth) for one in worked[run.id].cases[0].segments])
    seen: set[tuple[str, float, float]] = set()
    for tank in study.room.tanks:
        alike = (tank.kind, round(tank.level - tank.rim, 6), round(tank.inside_area, 9))
        seconds = None if alike in seen else _seconds_to_fall(tank)
        if seconds is not None:
            seen.add(alike)
            yield Measurable(
                id=f"{tank.id}.drain_time", kind="drain time", run=tank.hose.drain if tank.hose else "", tank=tank.id,
                place=tank.id, dimension="duration", value=seconds, tolerance=usual("proof.clock") * seconds, least=0.5,
                most=86400.0,
            )  # fmt: skip


def _depths(run: DrainRun, depths: list[tuple[str, Metre | None]]) -> Iterator[Measurable]:
    """The deepest water of a run and that above its outfall, where it can be looked at."""
    known = [(depth, node) for node, depth in depths if depth is not None and depth > 0.0]
    for depth, node in dict.fromkeys((max(known), known[-1])) if known else ():
        name = node if node.startswith(f"{run.id}.") else f"{run.id}.{node}"
        head, _, tail = name.rpartition(".")
        yield Measurable(
            id=f"{head}.node {tail}.depth", kind="depth", run=run.id, node=node, place=run.id, dimension="length",
            value=depth, tolerance=2.0 * usual("proof.ruler"), least=0.0, most=run.bore.value,
        )  # fmt: skip


def _seconds_to_fall(tank: Tank) -> Second | None:
    """From half the freeboard over the lip down to a fifth of it, nothing running in; None without a way out."""
    overflow, hose = tank.overflow, tank.hose
    freeboard = tank.rim - overflow.lip if overflow else 0.0
    if overflow is None or hose is None or not 0.0 < freeboard < 2.0:
        return None
    angle = min(max(overflow.angle, 0.0), math.pi / 2)
    try:
        return tank.inside_area * _fall_per_area(
            freeboard, overflow.bore.value, angle, overflow.open_share.value, overflow.lip - hose.end[2],
            hose.bore.value, hose.length.value,
        )  # fmt: skip
    except OutsideValidRange:
        return None


@lru_cache(maxsize=1024)
def _fall_per_area(
    freeboard: Metre, bore: Metre, angle: float, open_share: float, fall: Metre, hose: Metre, length: Metre
) -> float:
    def flow(head: float) -> float:
        mouth = tilted_overflow(head=head, diameter=bore, angle=angle, open_share=open_share)
        through = hose_drain_flow(
            head=max(head + fall, 1e-3), inner_diameter=hose, length=length, minor_loss=HOSE_LOSSES
        )
        return min(mouth, through)

    return integral(lambda head: 1.0 / flow(head), LEFT * freeboard, POURED * freeboard)


def _levels(study: Study) -> Iterator[Measurable]:
    heads = {one.tank: one.head for one in study.drain.tanks} if study.drain else {}
    tolerance = math.hypot(usual("proof.ruler"), usual("proof.drilling"))
    for tank in study.room.tanks:
        if tank.overflow is not None:
            yield Measurable(
                id=f"{tank.id}.level", kind="level", tank=tank.id, place=tank.id, dimension="length",
                value=tank.rim - tank.overflow.lip - (heads.get(tank.id) or 0.0), tolerance=tolerance,
                least=0.0, most=tank.rim - tank.floor_inside,
            )  # fmt: skip


def _feeds(study: Study) -> Iterator[Measurable]:
    nodes = {
        outlet.id: (outlet.node, outlet.variation.value) for run in study.room.feeds for outlet in run.outlets
    }
    numbers: Counter[str] = Counter()
    for run in study.feed.runs if study.feed else ():
        most = MANY * max([run.total_flow, *(outlet.rate for outlet in run.outlets)])
        for outlet in run.outlets:
            node, spread = nodes[outlet.outlet]
            share = math.hypot(usual("proof.jug"), 2.0 * spread)
            yield Measurable(
                id=_numbered(f"{outlet.tank}.drip", numbers), kind="drip", run=run.run, node=node, tank=outlet.tank,
                place=outlet.tank, dimension="flow", value=outlet.flow, least=0.0, most=most,
                tolerance=share * max(outlet.flow, 0.05 * outlet.rate, 1e-9),
            )  # fmt: skip
        yield Measurable(
            id=f"feed {run.run}.pressure", kind="feed pressure", run=run.run, place=run.run, dimension="pressure",
            value=run.inlet_pressure, tolerance=usual("proof.gauge") * max(run.inlet_pressure, 1e4),
            least=-1e5, most=2.5e6,
        )  # fmt: skip


def _airs(study: Study) -> Iterator[Measurable]:
    numbers: Counter[str] = Counter()
    share = math.hypot(usual("proof.bottle"), usual("proof.tap_spread"))
    for run in study.air.runs if study.air else ():
        most = MANY * max(run.total_flow, 1e-6)
        floor = 0.05 * run.total_flow / max(1, len(run.taps))
        for tap in run.taps:
            spare = tap.tank is None
            yield Measurable(
                id=f"{tap.tap}.flow" if spare else _numbered(f"{tap.tank}.air", numbers),
                kind="spare air" if spare else "air", run=run.run, node=tap.node, tank=tap.tank or "",
                place=tap.tank or run.run, dimension="air_flow", value=tap.flow, least=0.0, most=most,
                tolerance=share * max(tap.flow, floor),
            )  # fmt: skip
        for pump in run.pumps:
            yield Measurable(
                id=f"{pump.pump}.pressure", kind="pump pressure", run=run.run, place=pump.pump, dimension="pressure",
                value=pump.pressure, tolerance=usual("proof.u_tube"), least=0.0, most=2e5,
            )  # fmt: skip
        fed = [
            (tap.ring_pressure, tap.node) for tap in run.taps if tap.ring_pressure is not None and tap.tank
        ]
        if fed:
            pressure, node = min(fed)
            yield Measurable(
                id=f"{run.run}.far pressure", kind="ring pressure", run=run.run, node=node, place=run.run,
                dimension="pressure", value=pressure, tolerance=usual("proof.u_tube"), least=0.0, most=2e5,
            )  # fmt: skip


def _warmth(study: Study) -> Iterator[Measurable]:
    for space in study.heat.spaces if study.heat else ():
        if space.heat_has > 0.0 and space.loss > 0.0:
            rise = space.heat_has / space.loss
            yield Measurable(
                id=f"{space.space}.rise", kind="rise", run=space.space, place=space.space,
                dimension="temperature_difference", value=rise, least=-5.0, most=100.0,
                tolerance=math.hypot(usual("proof.thermometer"), 0.1 * rise),
            )  # fmt: skip


def _trips(study: Study) -> Iterator[Measurable]:
    for circuit in study.room.power.circuits if study.room.power else ():
        if circuit.rcd is not None:
            yield Measurable(
                id=f"rcd {circuit.id}.trip", kind="trip", run=circuit.device, place=circuit.id, dimension="duration",
                value=usual("proof.rcd_time"), tolerance=0.0, least=1e-3, most=60.0,
            )  # fmt: skip


def _numbered(name: str, numbers: Counter[str]) -> str:
    """A tank's second outlet is told from its first by a number, the first stays as it is."""
    numbers[name] += 1
    return name if numbers[name] == 1 else f"{name} {numbers[name]}"
