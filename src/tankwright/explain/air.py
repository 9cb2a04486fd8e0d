"""The workings behind the air: a tank's flow, the pressure it needs, its tap setting, the pump."""

from __future__ import annotations

from collections.abc import Iterator

from tankwright.explain.model import Input, Working
from tankwright.finding import Number
from tankwright.origin import Known
from tankwright.room.model import AirRun, Room, TapPlace
from tankwright.systems.air_model import AirResult, AirRunResult, PumpWork, RunBack, TapAir

HYDROSTATICS = "hydrostatics, density times gravity times depth"
ORIFICE = "sharp orifice, coefficient 0.62; Darcy-Weisbach with 64/Re in the tube; isothermal air"


def workings_air(room: Room, result: AirResult) -> Iterator[Working]:
    """Every working of the air by name: "A3.air", "A3.air.pressure", "A3.air.setting", "air.ring.pump"."""
    runs = {run.id: run for run in room.airs}
    seen: dict[str, int] = {}
    for solved in result.runs:
        run = runs[solved.run]
        places = {tap.id: tap for tap in run.taps}
        for tap in solved.taps:
            if tap.tank is None:
                continue
            seen[tap.tank] = seen.get(tap.tank, 0) + 1
            base = f"{tap.tank}.air" + (f"{seen[tap.tank]}" if seen[tap.tank] > 1 else "")
            yield _flow(base, tap, places[tap.tap])
            yield _pressure(base, tap, places[tap.tap])
            if tap.opening is not None:
                yield _setting(base, tap, places[tap.tap], run)
        for place in run.taps:
            if place.tank is not None and not place.open and place.opening is not None:
                seen[place.tank] = seen.get(place.tank, 0) + 1
                yield _shut(
                    f"{place.tank}.air" + (f"{seen[place.tank]}" if seen[place.tank] > 1 else ""), place
                )
        for work in solved.pumps:
            yield _pump(run, solved, work)
        yield _capacity(run, solved)
        for one in solved.run_back:
            if one.certain:
                yield _run_back(one, places[one.tap])


def _flow(base: str, tap: TapAir, place: TapPlace) -> Working:
    return Working(
        name=base,
        title=f"air that reaches {tap.tank}, tap {tap.tap} "
        + ("fully open" if tap.stands_open >= 1.0 else "turned back as the plan says"),
        number=Number(tap.flow, "air_flow"),
        formula="ring pressure = water over the diffuser + check valve + tap + tube + diffuser, "
        "solved for the flow together with the whole ring",
        inputs=(
            Input(name="ring pressure at the tap", number=Number(tap.ring_pressure or 0.0, "pressure")),
            Input(
                name="water over the diffuser",
                number=Number(tap.depth_pressure, "pressure"),
                see=f"{base}.pressure",
            ),
            Input(name="check valve", number=Number(tap.valve_loss, "pressure")),
            Input(name="loss in the tap", number=Number(tap.tap_loss, "pressure")),
            Input(name="loss in the tube", number=Number(tap.tube_loss, "pressure")),
            Input(name="loss in the diffuser", number=Number(tap.diffuser_loss, "pressure")),
            *_known("tap bore", place.bore, "length"),
            *_known("share of its area open", place.opening, "share"),
            *_known("tube bore", place.tube_bore, "length"),
            *_known("tube length", place.tube_length, "length"),
            *_known("wanted", place.flow_wanted, "air_flow"),
        ),
        source=ORIFICE,
        note="the tap's orifice is the least known of these; a bottle test of one tap replaces it",
    )


def _shut(base: str, place: TapPlace) -> Working:
    return Working(
        name=base,
        title=f"air that reaches {place.tank}, tap {place.id} shut",
        number=Number(0.0, "air_flow"),
        formula="a shut tap passes no air",
        inputs=_known("share of its area open", place.opening, "share"),
        source="the plan shuts it; what it would take goes to the other tanks",
    )


def _pressure(base: str, tap: TapAir, place: TapPlace) -> Working:
    return Working(
        name=f"{base}.pressure",
        title=f"ring pressure at which {tap.tank} gets what it wants, tap fully open",
        number=Number(tap.needed_pressure or 0.0, "pressure"),
        formula="998.2 kg/m3 x 9.80665 m/s2 x depth + check valve + diffuser, tap and tube at the flow "
        "wanted",
        inputs=(
            Input(name="water above the diffuser", number=Number(place.water_depth, "length")),
            Input(name="that is", number=Number(tap.depth_pressure, "pressure")),
            Input(name="check valve", number=Number(tap.valve_loss, "pressure")),
            *_known("diffuser at the flow wanted", place.diffuser_loss, "pressure"),
            *_known("wanted", place.flow_wanted, "air_flow"),
        ),
        source=HYDROSTATICS + "; " + ORIFICE,
    )


def _setting(base: str, tap: TapAir, place: TapPlace, run: AirRun) -> Working:
    return Working(
        name=f"{base}.setting",
        title=f"share of tap {tap.tap} to leave open for {tap.tank}",
        number=Number(tap.opening or 0.0, "share"),
        formula="root of (loss of the open tap at the flow wanted / pressure the tap has to take away)",
        inputs=(
            *_known("tap bore, fully open", place.bore, "length"),
            *_known("wanted", place.flow_wanted, "air_flow"),
            Input(name="flow that comes, solved again", number=Number(tap.set_flow or 0.0, "air_flow")),
        ),
        source="the loss of an orifice goes with the inverse square of its area; " + ORIFICE,
        note=f"with every tap of {run.id} set and spare taps shut; share of the way through, not of the turn",
    )


def _pump(run: AirRun, solved: AirRunResult, work: PumpWork) -> Working:
    return Working(
        name=f"air.{run.id}.{work.pump}",
        title=f"pressure at which pump {work.pump} works",
        number=Number(work.pressure, "pressure"),
        formula="where the pump's curve meets what lead, ring, taps, tubes, diffusers and open taps take",
        inputs=(
            Input(name="flow there", number=Number(work.flow, "air_flow")),
            Input(
                name="through the whole run",
                number=Number(solved.total_flow, "air_flow"),
                see=f"air.{run.id}.flow",
            ),
            Input(name="of it out of spare taps", number=Number(solved.spare_flow, "air_flow")),
            Input(name="lost between pump and ring", number=Number(solved.losses.lead, "pressure")),
            Input(name="lost along the ring", number=Number(solved.losses.header, "pressure")),
            Input(name="end of its curve", number=Number(work.curve_highest, "pressure")),
        ),
        source="pump curve of the plan, straight lines between its points; pipe network by Newton's method",
        note="outside its curve: extrapolated, a guess" if work.extrapolated else "",
    )


def _capacity(run: AirRun, solved: AirRunResult) -> Working:
    return Working(
        name=f"air.{run.id}.more_taps",
        title="average taps the run can carry beside the present ones",
        number=Number(solved.more_taps or 0, "number"),
        formula="the most taps, spread round the ring, with which every tap can still be set to its target",
        inputs=(
            Input(
                name="taps with a tank",
                number=Number(sum(tap.tank is not None for tap in solved.taps), "number"),
            ),
            Input(
                name="more taps left as open as the present ones",
                number=Number(solved.more_taps_unset or 0, "number"),
            ),
        ),
        source="pipe network solved again for each count, by bisection",
    )


def _run_back(one: RunBack, place: TapPlace) -> Working:
    return Working(
        name=f"{one.tank}.air.run_back",
        title=f"water that can leave {one.tank} through its air tube",
        number=Number(one.volume, "volume"),
        formula="area of the water x (water level - the higher of diffuser and ring)",
        inputs=(
            Input(name="tap below the water", number=Number(one.head, "length")),
            Input(name="level it stops at", number=Number(one.stops_at or 0.0, "length")),
            Input(name="flow to begin with", number=Number(one.flow or 0.0, "flow")),
            *_known("tube bore", place.tube_bore, "length"),
            *_known("tube length", place.tube_length, "length"),
            *_known("tap bore", place.bore, "length"),
        ),
        source="energy equation of a full hose, laminar in small tubes; good to some 20 %",
        note="an upper bound: a stone or a tap turned back slows it",
    )


def _known(name: str, known: Known | None, dimension: str) -> tuple[Input, ...]:
    return (
        (Input(name=name, number=Number(known.value, dimension), known=known),) if known is not None else ()
    )
