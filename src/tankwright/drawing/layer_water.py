"""The water layer: the nitrate each tank comes to, against what its zone wants."""

from __future__ import annotations

import math

from tankwright.display import words
from tankwright.drawing.results import DrawnResults, DrawnTank
from tankwright.finding import Number
from tankwright.study import Study
from tankwright.systems.water_model import TankWater, WaterResult

ABOUT = (
    "nitrate each tank may come to, as a share of what it comes to by its feed, its fish and its fresh water"
)


def draw_water(study: Study) -> DrawnResults:
    """Every tank by its nitrate; a tank whose stock or water is not known has no colour.

    >>> from tankwright.room.model import Room
    >>> draw_water(Study(room=Room(title="", display="metric", spaces=(), racks=(), tanks=()))).scale
    'enough'
    """
    display = study.room.display
    if study.water is None or not study.water.sources:
        return DrawnResults(layer="water", about=ABOUT, scale="enough")
    water = study.water
    life = water.life
    settled = {one.tank: one.nitrate.value for one in life.nitrogen if one.nitrate} if life else {}
    wanted = {one.tank: one.wanted.value for one in life.wants} if life else {}
    tanks = tuple(_tank(row, settled.get(row.tank), wanted.get(row.tank), display) for row in water.tanks)
    figures, workings = _figures(water, settled, wanted, display)
    return DrawnResults(
        layer="water", about=ABOUT, scale="enough", figures=figures, workings=workings, tanks=tanks
    )


def _tank(row: TankWater, settled: float | None, wanted: float | None, display: str) -> DrawnTank:
    name = row.water.name if row.water is not None else ""
    gets = f"water {name}" if name else "its water is not described"
    if settled is None or wanted is None:
        return DrawnTank(
            id=row.tank, share=None, figure="", detail=name, title=f"{gets}, nitrate not computed"
        )
    if math.isinf(settled):
        return DrawnTank(id=row.tank, share=0.0, figure="rises", detail=name,
                         title=f"{gets}, its nitrate rises without end: no fresh water carries it away")  # fmt: skip
    told, limit = (words(Number(value, "concentration"), display) for value in (settled, wanted))
    return DrawnTank(
        id=row.tank, share=wanted / settled if settled > 0.0 else math.inf, figure=told, detail=name,
        title=f"{told} of nitrate in the long run, at most {limit} wanted; {gets}",
    )  # fmt: skip


def _figures(
    water: WaterResult, settled: dict[str, float], wanted: dict[str, float], display: str
) -> tuple[tuple[tuple[str, str], ...], tuple[str, ...]]:
    figures: list[tuple[str, str]] = []
    workings: list[str] = []
    known = [(settled[tank] / wanted[tank], tank) for tank in settled if tank in wanted]
    if known:
        over = sum(share > 1.0 for share, _ in known)
        figures.append(
            (f"of {len(known)} tanks come to more nitrate than wanted", words(Number(float(over), "number")))
        )
        workings.append("water.nitrate_over")
        finite = [one for one in known if math.isfinite(one[0])]
        if finite:
            _, tank = max(finite, key=lambda one: one[0])
            figures.append((f"nitrate {tank} comes to, the most for its want",
                            words(Number(settled[tank], "concentration"), display)))  # fmt: skip
            workings.append(f"{tank}.nitrate")
    drips = [(change.in_an_hour, fill.tank, change.season) for fill in water.cold_fills for change in fill.changes
             if change.kind == "drip"]  # fmt: skip
    if drips:
        drop, tank, season = max(drips, key=lambda one: one[0])
        figures.append((f"{tank} cools in an hour of drip in {season}, the most",
                        words(Number(drop, "temperature_difference"), display)))  # fmt: skip
        workings.append(f"{tank}.water.drip_{season}")
    first = water.sources[0]
    if first.standing_ph is not None:
        figures.append(
            (
                f"pH of {first.name} after standing in the room",
                words(Number(first.standing_ph[1], "ph"), display),
            )
        )
        workings.append(f"water.{first.name}.settled_ph")
    return tuple(figures), tuple(workings)
