"""The layer of the oxygen: how long each tank lasts once its air stops, beside the time between two looks."""

from __future__ import annotations

import math
from typing import Final

from tankwright.display import words
from tankwright.drawing.results import DrawnResults, DrawnTank
from tankwright.finding import Number
from tankwright.study import Study
from tankwright.systems.oxygen_model import OxygenResult, TankOxygen

ABOUT: Final = (
    "time until a tank is in trouble once its air stops, as a share of the longest time between two looks"
)


def draw_oxygen(study: Study) -> DrawnResults:
    """Colours and figures of the oxygen. A tank without air is coloured by its level over the trouble level.

    >>> from tankwright.room.model import Room
    >>> from tankwright.study import work_out
    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> draw_oxygen(work_out(empty, frozenset())).tanks
    ()
    """
    display, result = study.room.display, study.oxygen
    if result is None or result.laws is None:
        return DrawnResults(layer="oxygen", about=ABOUT, scale="enough")
    level = result.laws.trouble.value
    known = {one.tank for one in result.tanks}
    tanks = [_tank(one, result.gap, level, display) for one in result.tanks]
    tanks += [
        DrawnTank(id=tank.id, share=None, figure="not known", title="its oxygen was not worked out")
        for tank in study.room.tanks if tank.id not in known
    ]  # fmt: skip
    figures, workings = _figures(result, display)
    return DrawnResults(
        layer="oxygen", about=ABOUT, scale="enough", tanks=tuple(tanks), figures=figures, workings=workings
    )


def _tank(one: TankOxygen, gap: float, level: float, display: str) -> DrawnTank:
    held = one.held("between looks")
    if one.trouble is None or one.steady is None:
        told = "" if held is None else f"holds {_w(held.value, 'mass', display)}"
        return DrawnTank(
            id=one.tank, share=None, figure="not known", detail=told, title="no fish are described"
        )
    kept = _w(one.steady.value, "concentration", display)
    if one.stirring == 0.0:
        return DrawnTank(
            id=one.tank, share=one.steady.value / level, figure=kept, detail="no air",
            title=f"no air; its surface keeps {kept} of oxygen",
        )  # fmt: skip
    time = one.trouble
    if math.isinf(time.value):
        least = "" if math.isinf(time.low) else f"{_w(time.low, 'duration', display)} at the least"
        said = "never in trouble without air" + (f" by the value taken, {least}" if least else "")
        return DrawnTank(id=one.tank, share=math.inf, figure="lasts", detail=least, title=said)
    figure = _w(time.value, "duration", display)
    most = "perhaps never" if math.isinf(time.high) else _w(time.high, "duration", display)
    band = "" if time.low == time.high else f"{_w(time.low, 'duration', display)} to {most}"
    said = f"in trouble {figure} after its air stops" + (f", {band}" if band else "")
    return DrawnTank(id=one.tank, share=time.value / gap, figure=figure, detail=band, title=said)


def _figures(result: OxygenResult, display: str) -> tuple[tuple[tuple[str, str], ...], tuple[str, ...]]:
    figures: list[tuple[str, str]] = []
    workings: list[str] = []
    aired = [(one, one.trouble) for one in result.in_order if one.stirring > 0.0 and one.trouble is not None]
    falling = [(one, time) for one, time in aired if math.isfinite(time.low)]
    if falling:
        first, time = falling[0]
        sure = math.isfinite(time.value)
        name = f"until {first.tank} is in trouble, the first" + ("" if sure else ", at the least")
        figures.append((name, _w(time.value if sure else time.low, "duration", display)))
        workings.append(f"{first.tank}.oxygen.time")
    if aired:
        before = sum(time.value <= result.gap for _, time in aired)
        figures.append(
            (f"of {len(aired)} tanks with air in trouble before the next look", _w(before, "number", display))
        )
        workings.append("oxygen.before_look")
    levels = [(one.steady.value, one) for one in result.tanks if one.steady is not None]
    if levels:
        level, least = min(levels, key=lambda item: item[0])
        figures.append(
            (f"of oxygen in {least.tank} as it stands, the least", _w(level, "concentration", display))
        )
        workings.append(f"{least.tank}.oxygen.steady")
    return tuple(figures), tuple(workings)


def _w(value: float, dimension: str, display: str) -> str:
    return words(Number(value, dimension), display)
