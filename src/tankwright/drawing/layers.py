"""From a worked-out room to what a drawing shows of one layer: shares, words, signs."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from typing import Final

from tankwright.display import words
from tankwright.drawing.layer_heat import draw_heat
from tankwright.drawing.layer_oxygen import draw_oxygen
from tankwright.drawing.layer_strength import draw_glass, draw_racks
from tankwright.drawing.layer_water import draw_water
from tankwright.drawing.pipe_flows import drawn_pipes
from tankwright.drawing.results import (
    DrawnAisle,
    DrawnMark,
    DrawnPipe,
    DrawnResults,
    DrawnSegment,
    DrawnTank,
    Layer,
)  # fmt: skip
from tankwright.finding import Finding, Number, Severity
from tankwright.study import Study
from tankwright.systems.drain import DrainCase, DrainRunResult, TankDrain

_ORDER: Final = tuple(Severity)
_PREFIX: Final[dict[Layer, str]] = {
    "layout": "LAYOUT-", "air": "AIR-", "feed": "FEED-", "drain": "DRAIN-", "load": "LOAD-",
    "glass": "GLASS-", "racks": "RACKS-", "power": "POWER-", "water": "WATER-", "oxygen": "OXYGEN-", "heat": "HEAT-",
}  # fmt: skip


def draw_results(study: Study, findings: Iterable[Finding], layer: Layer) -> DrawnResults:
    """What the drawing of one layer shows of a study and its findings.

    A system that was not computed leaves its tanks without data, which the drawing hatches.

    >>> from tankwright.room.model import Room
    >>> from tankwright.study import work_out
    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> draw_results(work_out(empty, frozenset()), (), "air").scale
    'enough'
    """
    marks = _marks(findings, layer)
    made = _LAYERS[layer](study)
    return DrawnResults(
        layer=layer, about=made.about, scale=made.scale, figures=made.figures, workings=made.workings,
        tanks=made.tanks, segments=made.segments, pipes=made.pipes, aisles=_aisles(study), marks=marks,
        boards=made.boards, sources=made.sources,
    )  # fmt: skip


def _marks(findings: Iterable[Finding], layer: Layer) -> tuple[DrawnMark, ...]:
    """The worst finding of the layer's system at every place; notes leave no sign, they would hide others."""
    worst: dict[str, Finding] = {}
    for finding in findings:
        if not finding.code.startswith(_PREFIX[layer]) or finding.severity is Severity.NOTE:
            continue
        for place in finding.places:
            known = worst.get(place)
            if known is None or _ORDER.index(finding.severity) < _ORDER.index(known.severity):
                worst[place] = finding
    return tuple(
        DrawnMark(place=place, severity=finding.severity, title=f"{finding.severity.value} {finding.code}")
        for place, finding in worst.items()
    )


def _aisles(study: Study) -> tuple[DrawnAisle, ...]:
    if study.layout is None:
        return ()
    shown: dict[tuple[str, bool, str], DrawnAisle] = {}
    for aisle in study.layout.aisles:
        level = abs(aisle.end[0] - aisle.start[0]) > abs(aisle.end[1] - aisle.start[1])
        label = _w(aisle.width, "length", study.room.display)
        severity = Severity.WARNING if aisle.width < aisle.needed.value else None
        drawn = DrawnAisle(start=aisle.start, end=aisle.end, label=label, severity=severity)
        shown.setdefault((aisle.space, level, label), drawn)  # a row of racks shares one aisle: written once
    return tuple(shown.values())


def _w(value: float, dimension: str, display: str) -> str:
    return words(Number(value, dimension), display)


def _layout(study: Study) -> DrawnResults:
    room = study.room
    fits = {fit.tank: fit for fit in study.layout.tanks} if study.layout is not None else {}
    tanks = []
    for tank in room.tanks:
        volume = _w(tank.water_volume, "volume", room.display)
        clear = _w(fits[tank.id].clear_above if tank.id in fits else tank.clear_above, "length", room.display)
        tanks.append(
            DrawnTank(id=tank.id, share=None, figure=volume, detail=f"{clear} over it",
                      title=f"{tank.kind}, {volume} of water, {clear} clear over it")
        )  # fmt: skip
    water = sum(tank.water_volume for tank in room.tanks)
    figures = [
        ("tanks", _w(len(room.tanks), "number", room.display)),
        ("water in all", _w(water, "volume", room.display)),
    ]
    workings = ["", "layout.water"]
    if study.layout is not None and study.layout.aisles:
        narrowest = min(study.layout.aisles, key=lambda aisle: aisle.width)
        figures.append(("narrowest aisle", _w(narrowest.width, "length", room.display)))
        workings.append(f"layout.{narrowest.racks[0]}.aisle" if narrowest.racks else "")
    return DrawnResults(layer="layout", about="water in each tank at its still level", figures=tuple(figures),
                        workings=tuple(workings), tanks=tuple(tanks))  # fmt: skip


def _load(study: Study) -> DrawnResults:
    display = study.room.display
    about = "mass of each tank, filled and furnished"
    if study.load is None:
        return DrawnResults(layer="load", about=about, scale="amount")
    load = study.load
    most = max((one.total for one in load.tanks), default=0.0)
    tanks = tuple(
        DrawnTank(
            id=one.tank, share=one.total / most if most > 0 else None, figure=_w(one.total, "mass", display),
            detail=_w(one.pressure, "floor_load", display),
            title=f"{_w(one.total, 'mass', display)}, {_w(one.pressure, 'floor_load', display)} under it",
        )
        for one in load.tanks
    )  # fmt: skip
    figures = [("all racks with their tanks", _w(load.total, "mass", display))]
    workings = ["load.total"]
    if load.racks:
        heaviest = max(load.racks, key=lambda rack: rack.total)
        workings += [f"load.{heaviest.rack}.mass", f"load.{heaviest.rack}.pressure"]
        figures.append((f"heaviest rack, {heaviest.rack}", _w(heaviest.total, "mass", display)))
        figures.append(
            (f"under the footprint of {heaviest.rack}", _w(heaviest.pressure, "floor_load", display))
        )
    return DrawnResults(layer="load", about=about, scale="amount", figures=tuple(figures),
                        workings=tuple(workings), tanks=tanks)  # fmt: skip


def _air(study: Study) -> DrawnResults:
    display = study.room.display
    about = "air each tank gets, as a share of what it needs"
    if study.air is None:
        return DrawnResults(layer="air", about=about, scale="enough")
    air = study.air
    tanks = tuple(
        DrawnTank(
            id=one.tank, share=one.share, figure=_w(one.share, "share", display),
            detail=_w(one.flow, "air_flow", display),
            title=f"{_w(one.share, 'share', display)} of the air it needs",
        )
        for one in air.tanks
    )  # fmt: skip
    known = {one.tank for one in air.tanks}
    without = tuple(
        DrawnTank(id=name, share=0.0, figure="no air", title="no air")
        if study.room.airs
        else DrawnTank(id=name, share=None, figure="no air", title="no air is described")
        for name in air.without_air
        if name not in known
    )
    figures: list[tuple[str, str]] = []
    workings: list[str] = []
    if air.tanks:
        least = min(air.tanks, key=lambda one: one.share)
        figures.append((f"of its need at {least.tank}, the least", _w(least.share, "share", display)))
        workings.append(f"{least.tank}.air.share" if least.taps == 1 else "")
    for run in air.runs:
        figures.extend(
            (f"{pump.pump} works at", _w(pump.pressure, "pressure", display)) for pump in run.pumps
        )
        figures.append((f"air through {run.run}", _w(run.total_flow, "air_flow", display)))
        workings += [*(f"air.{run.run}.{pump.pump}" for pump in run.pumps), f"air.{run.run}.flow"]
    places = {run.id: run for run in study.room.airs}
    pipes: list[DrawnPipe] = []
    sources: list[tuple[str, str]] = []
    for run in air.runs:
        place = places.get(run.run)
        if place is not None:
            pipes.extend(drawn_pipes(place.pipes, run.solution.pipe_flows, place.inlet, display, "air_flow"))
        sources.extend((pump.pump, _w(pump.flow, "air_flow", display)) for pump in run.pumps)
    return DrawnResults(
        layer="air", about=about, scale="enough", figures=tuple(figures), workings=tuple(workings),
        tanks=(*tanks, *without), pipes=tuple(pipes), sources=tuple(sources),
    )  # fmt: skip


def _feed(study: Study) -> DrawnResults:
    display = study.room.display
    about = "feed each tank gets, as a share of its outlet's nominal flow"
    if study.feed is None:
        return DrawnResults(layer="feed", about=about, scale="enough")
    feed = study.feed
    rates: dict[str, float] = {}
    for outlet in (outlet for run in feed.runs for outlet in run.outlets):
        rates[outlet.tank] = rates.get(outlet.tank, 0.0) + outlet.rate
    tanks: list[DrawnTank] = []
    for one in feed.tanks:
        rate = rates.get(one.tank, 0.0)
        share = one.inflow / rate if rate > 0 else None
        figure = _w(share, "share", display) if share is not None else ""
        said = f"{figure} of its nominal feed, {_w(one.inflow, 'flow', display)}"
        if one.replaced_a_week is not None:
            said += f", {_w(one.replaced_a_week, 'share', display)} of its water replaced a week"
        flow = _w(one.inflow, "flow", display)
        tanks.append(DrawnTank(id=one.tank, share=share, figure=figure, detail=flow, title=said))
    fed = {tank.id for tank in tanks}
    tanks.extend(
        DrawnTank(id=name, share=None, figure="no feed", title="no feed is described")
        for name in feed.without_feed
        if name not in fed
    )
    figures = [(f"in {run.run}, all open", _w(run.total_flow, "flow", display)) for run in feed.runs]
    figures += [(f"a day through {run.run}", _w(run.volume_a_day, "volume", display)) for run in feed.runs]
    workings = [f"feed.{run.run}.{what}" for what in ("flow", "day") for run in feed.runs]
    renewed = [(one.replaced_a_week, one.tank) for one in feed.tanks if one.replaced_a_week is not None]
    if renewed:
        least, name = min(renewed)
        figures.append((f"of the water of {name} replaced a week, the least", _w(least, "share", display)))
        workings.append(f"{name}.feed.week")
    places = {run.id: run for run in study.room.feeds}
    pipes: list[DrawnPipe] = []
    for run in feed.runs:
        place = places.get(run.run)
        if place is not None:
            pipes.extend(drawn_pipes(place.pipes, run.solution.pipe_flows, place.inlet, display))
    sources = tuple((run.run, _w(run.total_flow, "flow", display)) for run in feed.runs)
    return DrawnResults(layer="feed", about=about, scale="enough", figures=tuple(figures),
                        workings=tuple(workings), tanks=tuple(tanks), pipes=tuple(pipes), sources=sources)  # fmt: skip


def _drain(study: Study) -> DrawnResults:
    display = study.room.display
    about = "share of the water between two looks a blocked tank can hold"
    if study.drain is None:
        return DrawnResults(layer="drain", about=about, scale="enough")
    drain = study.drain
    segments: list[DrawnSegment] = []
    figures: list[tuple[str, str]] = []
    workings: list[str] = []
    for run in drain.runs:
        case = worst_case(run)
        if case is None:
            continue
        ending = "" if case.kind == "feed" else f".{case.name}"
        workings += [f"drain.{run.run}.full{ending}", f"drain.{run.run}.out{ending}"]
        segments.extend(_segments(run, case, display))
        share = _w(case.greatest_share, "share", display)
        figures.append(
            (f"fullest in {run.run}, {case.name}", "drowned" if _drowned(case) else f"{share} full")
        )
        figures.append((f"out of {run.run}", _w(case.outfall_flow, "flow", display)))
    tanks = tuple(_blocked(one, display) for one in drain.tanks)
    return DrawnResults(layer="drain", about=about, scale="enough", figures=tuple(figures),
                        workings=tuple(workings), tanks=tanks, segments=tuple(segments))  # fmt: skip


def with_case(results: DrawnResults, run: DrainRunResult, name: str, display: str) -> DrawnResults:
    """Results of the drain layer with the water of one case in one drain, instead of its worst one.

    A case that is not there leaves them as they are.

    >>> run = DrainRunResult(run="d", tanks=(), length=0.0, least_slope=None, half_full_flow=None,
    ...     half_full_flow_colebrook=None, full_flow=None, cases=(), first_spill=None, first_spill_evenly=None)
    >>> with_case(DrawnResults(layer="drain"), run, "a hose left in A1", "metric").segments
    ()
    """
    case = next((one for one in run.cases if one.name == name), None)
    if case is None:
        return results
    others = tuple(one for one in results.segments if one.drain != run.run)
    return replace(results, segments=(*others, *_segments(run, case, display)))


def worst_case(run: DrainRunResult) -> DrainCase | None:
    """The case that fills a drain the most; None when none was worked out."""
    return max(run.cases, key=lambda case: (case.greatest_share, case.outfall_flow), default=None)


def _drowned(case: DrainCase) -> bool:
    return any(segment.surcharged for segment in case.segments)


def _segments(run: DrainRunResult, case: DrainCase, display: str) -> Iterator[DrawnSegment]:
    """Every segment of a run in its worst case; a label on the longest of those that read as the fullest."""
    fullness = [1.0 if one.surcharged else one.share for one in case.segments]
    known = [share for share in fullness if share is not None]
    most = _w(max(known), "share", display) if known else ""
    fullest = [
        index for index, share in enumerate(fullness)
        if share is not None and _w(share, "share", display) == most
        and (case.segments[index].surcharged or not _drowned(case))
    ]  # fmt: skip
    top = max(fullest, key=lambda index: case.segments[index].length, default=-1)
    for index, (segment, full) in enumerate(zip(case.segments, fullness, strict=True)):
        told = ""
        if full is not None and index == top:
            told = "drowned" if segment.surcharged else _w(full, "share", display)
        yield DrawnSegment(
            drain=run.run, start=segment.start, end=segment.end, full=full, label=told,
            levels=(segment.level_start, segment.level_end),
        )  # fmt: skip


def _blocked(one: TankDrain, display: str) -> DrawnTank:
    """A tank by how long its freeboard lasts when its overflow is blocked."""
    if one.fill_between_looks <= 0:
        return DrawnTank(
            id=one.tank, share=float("inf"), figure="", detail="no feed", title="nothing runs in"
        )
    if one.second_holds:
        said = "a second way out, or a float, keeps it under its rim if its overflow is blocked"
        return DrawnTank(id=one.tank, share=float("inf"), figure="", detail="second way out", title=said)
    share = one.freeboard_volume / one.fill_between_looks
    figure = _w(share, "share", display)
    when = one.seconds_to_spill_by_program
    detail = "" if when is None else f"over in {_w(when, 'duration', display)}"
    said = f"{figure} of what runs in between two looks fits over its water if its overflow is blocked"
    return DrawnTank(id=one.tank, share=share, figure=figure, detail=detail, title=said)


def _power(study: Study) -> DrawnResults:
    display = study.room.display
    about = "boards at the height of their sockets; an electrician decides, and your local code"
    if study.power is None or not study.power.described:
        return DrawnResults(layer="power", about=about)
    power = study.power
    figures: list[tuple[str, str]] = []
    workings: list[str] = []
    if power.total is not None:
        workings += ["power.total", "power.total.energy"]
        figures.append(("everything at once", _w(power.total.power, "power", display)))
        figures.append(("a day", _w(power.total.energy_a_day, "energy", display)))
    loaded = [one for one in power.circuits if one.draw.share is not None]
    if loaded:
        fullest = max(loaded, key=lambda one: one.draw.share or 0.0)
        workings.append(f"power.circuit.{fullest.circuit}.rated")
        figures.append(
            (f"of its breaker's rating on {fullest.circuit}", _w(fullest.draw.share or 0.0, "share", display))
        )
    boards = tuple((one.board, _w(one.draw.power, "power", display)) for one in power.boards)
    loose = (
        {board.id for board in study.room.power.boards if board.rack is None} if study.room.power else set()
    )
    figures.extend((f"on board {name}, on no rack", told) for name, told in boards if name in loose)
    workings += [f"power.{name}.power" for name, _ in boards if name in loose]
    return DrawnResults(layer="power", about=about, figures=tuple(figures), workings=tuple(workings),
                        boards=boards)  # fmt: skip


_LAYERS: Final[dict[Layer, Callable[[Study], DrawnResults]]] = {
    "layout": _layout, "air": _air, "feed": _feed, "drain": _drain, "load": _load, "glass": draw_glass,
    "racks": draw_racks, "power": _power,
    "water": draw_water, "oxygen": draw_oxygen, "heat": draw_heat,
}  # fmt: skip

__all__ = ["draw_results", "with_case", "worst_case"]
