"""The workings behind the feed: an outlet's flow, the share replaced, minutes for a target, uniformity."""

from __future__ import annotations

from collections.abc import Iterator

from tankwright.explain.model import Input, Working
from tankwright.finding import Number
from tankwright.origin import Known
from tankwright.physics.ranges import OutsideValidRange
from tankwright.room.model import FeedOutletPlace, FeedRun, Room, Tank
from tankwright.systems.feed import run_time_for_share
from tankwright.systems.feed_model import FeedResult, FeedRunResult, OutletFeed, TankFeed

MIXING = "mass balance of a stirred tank, 1 - exp(-inflow / volume), textbook form"
TARGET = 0.5


def workings_feed(room: Room, result: FeedResult) -> Iterator[Working]:
    """Every working of the feed by name: "A3.feed", "A3.feed.week", "feed.drip.uniformity" and so on."""
    runs = {run.id: run for run in room.feeds}
    seen: dict[str, int] = {}
    for solved in result.runs:
        run = runs[solved.run]
        places = {outlet.id: outlet for outlet in run.outlets}
        for outlet in solved.outlets:
            seen[outlet.tank] = seen.get(outlet.tank, 0) + 1
            base = f"{outlet.tank}.feed" + (f"{seen[outlet.tank]}" if seen[outlet.tank] > 1 else "")
            yield _outlet(base, outlet, places[outlet.outlet], solved, run)
        yield _pressure(run, solved)
        yield from _uniformity(run, solved)
    tanks = {tank.id: tank for tank in room.tanks}
    for fed in result.tanks:
        yield _week(fed, tanks[fed.tank])
        yield from _minutes(fed, tanks[fed.tank])


def _outlet(
    base: str, outlet: OutletFeed, place: FeedOutletPlace, solved: FeedRunResult, run: FeedRun
) -> Working:
    laws = {
        "compensating dripper": "rate from the least pressure on; below it rate x root of pressure / least",
        "small tube": "Darcy-Weisbach along the tube, entry and end counted",
    }
    return Working(
        name=base,
        title=f"water that {outlet.kind} {outlet.outlet} gives {outlet.tank} while the feed runs",
        number=Number(outlet.flow, "flow"),
        formula=laws.get(outlet.kind, "rate x (pressure / rated pressure) ^ exponent"),
        inputs=(
            Input(
                name="pressure at the outlet",
                number=Number(outlet.pressure or 0.0, "pressure"),
                see=f"feed.{run.id}.pressure",
            ),
            *_known("rate", place.rate, "flow"),
            *_known("rated or least pressure", place.at_pressure, "pressure"),
            *(_known("exponent", place.exponent, "number") if outlet.kind in ("dripper", "tap") else ()),
            *_known("bore", place.bore, "length"),
            *_known("length", place.length, "length"),
            Input(name="all outlets together", number=Number(solved.total_flow, "flow")),
        ),
        source="q = k p^x as in ASABE EP405.1; small tubes by Darcy-Weisbach, good to some 20 %",
    )


def _pressure(run: FeedRun, solved: FeedRunResult) -> Working:
    held = "held by the regulator" if solved.regulated else "source less filters and valve, height counted"
    return Working(
        name=f"feed.{run.id}.pressure",
        title=f"pressure where the manifold of {run.id} begins",
        number=Number(solved.inlet_pressure, "pressure"),
        formula=held,
        inputs=(
            *_known("source with nothing running", run.source_pressure, "pressure"),
            *_known("source fully open", run.source_flow, "flow"),
            *_known("regulator", run.regulated_to, "pressure"),
            Input(name="source at this flow", number=Number(solved.source_pressure, "pressure")),
            Input(name="filters and valve", number=Number(solved.filter_loss, "pressure")),
            Input(name="flow", number=Number(solved.total_flow, "flow")),
        ),
        source="pipe network by Newton's method; a tap's pressure falls with the square of flow, a model "
        "choice",
    )


def _uniformity(run: FeedRun, solved: FeedRunResult) -> Iterator[Working]:
    if solved.uniformity is None:
        return
    flows = [outlet.flow for outlet in solved.outlets]
    yield Working(
        name=f"feed.{run.id}.uniformity",
        title=f"emission uniformity of {run.id}",
        number=Number(solved.uniformity, "share"),
        formula="(1 - 1.27 v / root n) x weakest / mean, n = 1 outlet",
        inputs=(
            *_known("v, the maker's coefficient of variation", run.outlets[0].variation, "share"),
            Input(name="weakest outlet", number=Number(min(flows), "flow")),
            Input(name="mean", number=Number(sum(flows) / len(flows), "flow")),
            Input(
                name="statistical uniformity, for comparison",
                number=Number(solved.statistical or 0.0, "share"),
            ),
        ),
        source="Keller and Karmeli (1974); ASABE EP405.1, as two public pages give it",
        note="outlets of different rates are compared by flow over rate",
    )


def _week(fed: TankFeed, tank: Tank) -> Working:
    return Working(
        name=f"{fed.tank}.feed.week",
        title=f"share of the water in {fed.tank} that is new after a week",
        number=Number(fed.replaced_a_week or 0.0, "share"),
        formula="1 - exp(-litres in a week / litres in the tank)",
        inputs=(
            Input(name="litres in a week", number=Number(fed.volume_a_week, "volume")),
            Input(
                name="litres in the tank", number=Number(tank.water_volume, "volume"), see=f"{fed.tank}.water"
            ),
            Input(name="flow", number=Number(fed.inflow, "flow"), see=f"{fed.tank}.feed"),
            Input(name="runs a day", number=Number(fed.seconds_a_day, "duration")),
            Input(name="litres over litres would say", number=Number(fed.naive_a_week, "share")),
        ),
        source=MIXING,
        note="a well mixed tank; water that short-cuts from the outlet to the overflow replaces less",
    )


def _minutes(fed: TankFeed, tank: Tank) -> Iterator[Working]:
    try:
        seconds = run_time_for_share(
            weekly_share=TARGET, tank_volume=tank.water_volume, inflow=fed.inflow, runs_a_week=7.0
        )
    except OutsideValidRange:
        return
    if seconds is None:
        return
    yield Working(
        name=f"{fed.tank}.feed.minutes",
        title=f"time the feed must run a day so that half of the water in {fed.tank} is new after a week",
        number=Number(seconds, "duration"),
        formula="-litres in the tank x ln(1 - share) / flow / 7",
        inputs=(
            Input(name="share", number=Number(TARGET, "share")),
            Input(
                name="litres in the tank", number=Number(tank.water_volume, "volume"), see=f"{fed.tank}.water"
            ),
            Input(name="flow", number=Number(fed.inflow, "flow"), see=f"{fed.tank}.feed"),
        ),
        source=MIXING + ", solved for the inflow",
    )


def _known(name: str, known: Known | None, dimension: str) -> tuple[Input, ...]:
    return (
        (Input(name=name, number=Number(known.value, dimension), known=known),) if known is not None else ()
    )
