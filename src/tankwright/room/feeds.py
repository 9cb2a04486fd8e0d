"""Feed: from the source along the walls to a manifold over every shelf, an outlet for every tank."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from tankwright.finding import Number, Severity
from tankwright.origin import Known, Origin, derived
from tankwright.plan.models import Feed, Filter, Plan, Program
from tankwright.room.defaults import Defaults
from tankwright.room.feed_pipes import Manifolds
from tankwright.room.mistakes import (
    FED_FROM_A_TANK,
    FEEDS_ITSELF,
    NOTHING_TO_SERVE,
    PLACE_TAKEN,
    THROUGH_A_WALL,
    Mistakes,
    metres,
)
from tankwright.room.model import FeedOutletPlace, FeedRun, FilterPlace, Place, ProgramRun, Space, Tank
from tankwright.room.people import seconds_after_midnight
from tankwright.room.powers import tanks_named
from tankwright.room.racks import Stand
from tankwright.room.serving import Claim, known_names, share_out, zone_names
from tankwright.room.spaces import place_in

FILTER_FLOW = 10.0 / 6e4
"""m3/s, the flow the assumed loss of a filter is for: 10 L/min."""

OVER_TANK = 0.05
"""m from the back edge of a tank to the end of its outlet. Source: common practice, no source."""

RUNS_A_WEEK = {"daily": 7.0, "weekdays": 5.0, "weekends": 2.0, "every second day": 3.5, "weekly": 1.0}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Source:
    """Where a feed comes from."""

    name: str
    kind: Literal["water point", "vat", "tank"]
    space: Space
    place: Place
    pressure: Known
    flow: Known | None
    volume: Known | None
    pump: str | None
    cutoff: Known | None = None


def lay_feeds(
    plan: Plan,
    spaces: Mapping[str, Space],
    stands: Mapping[str, Stand],
    tanks: Mapping[str, Tank],
    defaults: Defaults,
    mistakes: Mistakes,
) -> tuple[FeedRun, ...]:
    """Every feed whose source is known."""
    claims = [_claim(plan, name, feed, tanks, mistakes) for name, feed in plan.feed.items()]
    shares = share_out(claims, tanks)
    runs = []
    for claim in claims:
        feed = plan.feed[claim.name]
        source = _source(plan, claim.name, feed, spaces, tanks, defaults, mistakes)
        if source is not None:
            served = shares[claim.name]
            if source.kind == "tank":
                served = _all_but_itself(claim, feed, source, served, mistakes)
            runs.append(_run(claim.name, feed, source, served, stands, spaces, defaults, mistakes))
    return tuple(runs)


def _claim(plan: Plan, name: str, feed: Feed, tanks: Mapping[str, Tank], mistakes: Mistakes) -> Claim:
    subject = f"feed {name}"
    racks = tuple(rack.id for rack in plan.rack)
    source = plan.water_point.get(feed.source) or plan.vat.get(feed.source)
    named = tanks_named(feed.tanks, subject, feed.line, tanks, mistakes) if feed.tanks else None
    return Claim(
        name=name,
        zones=known_names(subject, "zone", feed.zones, zone_names(plan), feed.line, mistakes),
        racks=known_names(subject, "rack", feed.racks, racks, feed.line, mistakes),
        tanks=frozenset(named) if named is not None else None,
        home=source.room if source else tanks[feed.source].room if feed.source in tanks else "",
    )


def _all_but_itself(
    claim: Claim, feed: Feed, source: _Source, served: Sequence[Tank], mistakes: Mistakes
) -> tuple[Tank, ...]:
    """The tanks served by a tank, without that tank."""
    if claim.tanks is not None and source.name in claim.tanks:
        mistakes.say(
            FEEDS_ITSELF,
            f"feed {claim.name}",
            f"comes from tank {source.name} and is to feed it",
            line=feed.line,
            places=(source.name,),
            reason="a tank cannot fill itself; it gets no outlet",
            remedy="take the tank out of tanks",
        )
    return tuple(tank for tank in served if tank.id != source.name)


def _tank_as_source(
    name: str, feed: Feed, tank: Tank, spaces: Mapping[str, Space], mistakes: Mistakes
) -> _Source:
    """A tank that others are fed from: by gravity from its still water, and nobody refills it."""
    mistakes.say(
        FED_FROM_A_TANK,
        f"feed {name}",
        f"is worked out with tank {tank.id} at its still water, {{level}} over the floor, and nothing refilling it",
        severity=Severity.NOTE,
        line=feed.line,
        numbers=(("level", metres(tank.level)), ("volume", Number(tank.water_volume, "volume"))),
        places=(tank.id,),
        reason="as its water sinks, less runs; and its fish have only what is left in it",
        remedy="let the outlet in it end where the water must not sink below, and look at it every day",
    )
    middle = tank.box.middle
    return _Source(
        name=tank.id,
        kind="tank",
        space=spaces[tank.room],
        place=(middle[0], middle[1], tank.level),
        pressure=derived(0.0, "open to the air at its surface"),
        flow=None,
        volume=derived(tank.water_volume, "all the water that stands in it"),
        pump=None,
    )


def _source(
    plan: Plan,
    name: str,
    feed: Feed,
    spaces: Mapping[str, Space],
    tanks: Mapping[str, Tank],
    defaults: Defaults,
    mistakes: Mistakes,
) -> _Source | None:
    known = feed.source
    if known not in plan.water_point and known not in plan.vat and known not in tanks:
        choices = (*plan.water_point, *plan.vat, *tanks)
        known = mistakes.unknown(f"feed {name}", "water point, vat or tank", known, choices, feed.line)
        if not known:
            return None
    if known in tanks and known not in plan.water_point and known not in plan.vat:
        return _tank_as_source(name, feed, tanks[known], spaces, mistakes)
    point, vat = plan.water_point.get(known), plan.vat.get(known)
    table = point or vat
    if table is None:
        return None
    subject = f"water point {known}" if point else f"vat {known}"
    space = spaces.get(table.room)
    if space is None:
        space = spaces.get(mistakes.unknown(subject, "room", table.room, tuple(spaces), table.line))
        if space is None:
            return None
    if table.at is None:
        mistakes.note(
            PLACE_TAKEN,
            subject,
            "has no place: it is taken in the south-west corner of its room",
            line=table.line,
            remedy='write at = ["1 m", "2 m"]',
        )
        x, y = space.box.x0, space.box.y0
    else:
        x, y = place_in(space, table.at)
    if point is not None:
        return _Source(
            name=known,
            kind="water point",
            space=space,
            pressure=defaults.take("water.pressure", point.pressure),
            place=(x, y, defaults.take("water.tap_height", point.height).value),
            flow=point.flow,
            volume=None,
            pump=None,
        )
    assert vat is not None
    pump = vat.pump
    if pump is not None and pump not in plan.pump:
        pump = mistakes.unknown(subject, "pump", pump, tuple(plan.pump), vat.line) or None
    return _Source(
        name=known,
        kind="vat",
        space=space,
        pressure=derived(0.0, "open to the air at its surface"),
        place=(x, y, defaults.take("vat.height", vat.height).value),
        flow=None,
        volume=vat.volume,
        pump=pump,
        cutoff=vat.low_level_cutoff,
    )


def _run(
    name: str,
    feed: Feed,
    source: _Source,
    served: Sequence[Tank],
    stands: Mapping[str, Stand],
    spaces: Mapping[str, Space],
    defaults: Defaults,
    mistakes: Mistakes,
) -> FeedRun:
    subject = f"feed {name}"
    if not served:
        mistakes.say(
            NOTHING_TO_SERVE,
            subject,
            "serves no tank",
            line=feed.line,
            reason="there is nothing to lay its pipe to",
            remedy="check its zones, racks and tanks",
        )
    others = sorted({tank.room for tank in served} - {source.space.id})
    if others:
        mistakes.note(
            THROUGH_A_WALL,
            subject,
            f"is taken straight through the wall from {source.space.id} to {' and '.join(others)}",
            line=feed.line,
            remedy="measure the way if it goes another way",
        )
    above = defaults.take("feed.manifold_above_rim", feed.height).value
    bore = defaults.bore("feed.bore", feed.bore, feed.pipe, subject, feed.line)
    web = Manifolds(name=name, bore=bore, source=source.place, home=source.space.id)
    outlet_nodes = web.lay(served, stands, spaces, above)
    filters = tuple(_filter(one, defaults) for one in (*feed.filters, *((feed.valve,) if feed.valve else ())))
    return FeedRun(
        id=name,
        source=source.name,
        source_kind=source.kind,
        source_place=source.place,
        source_pressure=source.pressure,
        source_flow=source.flow,
        regulated_to=feed.regulated_to,
        vat_volume=source.volume,
        pump=source.pump,
        filters=filters,
        inlet=web.inlet,
        nodes=tuple(web.nodes.items()),
        pipes=tuple(web.pipes),
        outlets=_outlets(name, feed, served, outlet_nodes, stands, defaults),
        roughness=defaults.take("feed.roughness"),
        programs=tuple(_program(one) for one in feed.program),
        check_valve=feed.check_valve,
        derived=True,
        limit=feed.limit,
        shuts_after=feed.shuts_after,
        shuts_after_volume=feed.shuts_after_volume,
        off_without_power=feed.off_without_power is not False,
        shuts_on_floor_water=feed.shuts_on_floor_water,
        low_level_cutoff=source.cutoff,
        pipe=feed.pipe or "",
        line=feed.line,
    )


def _filter(one: Filter, defaults: Defaults) -> FilterPlace:
    at_flow = one.at_flow or derived(FILTER_FLOW, "10 L/min, which the loss is for")
    return FilterPlace(
        name=one.name,
        loss=defaults.take("feed.filter_loss", one.loss),
        at_flow=at_flow,
        carbon=one.carbon,
        takes=defaults.take("filter.takes", one.takes) if one.carbon else None,
    )


def _program(program: Program) -> ProgramRun:
    return ProgramRun(
        start=seconds_after_midnight(program.start),
        duration=program.minutes * 60.0,
        runs_a_week=RUNS_A_WEEK[program.days],
        line=program.line,
    )


def _outlets(
    name: str,
    feed: Feed,
    served: Sequence[Tank],
    nodes: Mapping[str, str],
    stands: Mapping[str, Stand],
    defaults: Defaults,
) -> tuple[FeedOutletPlace, ...]:
    law = _law(feed, defaults)
    gap = defaults.take("feed.air_gap", feed.air_gap)
    if feed.ends == "below rim":
        below = f"below the rim by {'the stated' if feed.air_gap else 'an assumed'} length"
        gap = Known(-gap.value, gap.origin, line=gap.line, key=gap.key, reason=below)
    outlets = []
    for tank in served:
        stand = stands[tank.rack]
        middle = ((tank.box.x0 + tank.box.x1) / 2.0, (tank.box.y0 + tank.box.y1) / 2.0)
        along = stand.frame.along(*middle)
        back = stand.frame.from_back(*middle) - tank.depth / 2.0
        x, y = stand.frame.point(along, back + min(OVER_TANK, tank.depth / 2.0))
        outlets.append(
            FeedOutletPlace(
                id=f"{name}.{tank.id}",
                node=nodes[tank.id],
                tank=tank.id,
                place=(x, y, tank.rim + gap.value),
                gap=gap,
                kind=feed.outlet.kind,
                rate=law.rate,
                at_pressure=law.at_pressure,
                exponent=law.exponent,
                variation=law.variation,
                bore=law.bore,
                length=law.length,
            )
        )
    return tuple(outlets)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Law:
    """How an outlet's flow follows from its pressure."""

    rate: Known
    at_pressure: Known
    exponent: Known
    variation: Known
    bore: Known | None = None
    length: Known | None = None


def _law(feed: Feed, defaults: Defaults) -> _Law:
    outlet = feed.outlet
    said = None if outlet.exponent is None else Known(outlet.exponent, Origin.GIVEN, line=outlet.line)
    variation = defaults.take("feed.variation", outlet.variation)
    if outlet.kind == "small tube" and outlet.rate is None:
        by_tube = "follows from the bore and length of the tube"
        return _Law(
            rate=derived(0.0, by_tube),
            at_pressure=derived(0.0, by_tube),
            exponent=said or derived(1.0, "laminar flow in a small tube; " + by_tube),
            variation=variation,
            bore=defaults.take("feed.tube_bore", outlet.bore),
            length=defaults.take("feed.tube_length", outlet.length),
        )
    compensating = outlet.kind == "compensating dripper"
    key = "feed.from_pressure" if compensating else "feed.at_pressure"
    if said is None:
        if compensating:
            said = derived(0.0, "a compensating dripper holds its flow")
        elif outlet.kind == "dripper":
            said = defaults.take("feed.exponent")
        else:
            said = derived(0.5, "an orifice")
    return _Law(
        rate=defaults.corrected(defaults.take("feed.rate", outlet.rate), "feed.rate_share"),
        at_pressure=defaults.take(key, outlet.at_pressure),
        exponent=said,
        variation=variation,
        bore=outlet.bore,
        length=outlet.length,
    )
