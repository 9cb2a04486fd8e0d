"""The layer of warmth: how far each tank stays within what is wanted, from the coldest week to the hottest."""

from __future__ import annotations

from itertools import pairwise
from typing import Final

from tankwright.display import words
from tankwright.drawing.results import DrawnResults, DrawnTank
from tankwright.finding import Number
from tankwright.study import Study
from tankwright.systems.heat_model import HeatResult, TankHeat

ABOUT: Final = (
    "coldest and hottest hour of each tank in the coldest and the hottest week, beside what is wanted"
)

COLD_SIDE: Final = 2.0
HOT_SIDE: Final = 4.0
"""K that a tank may stray where its zone says no range. Common practice, no source."""

SCALE: Final = (
    (-6.0, 2.2),
    (-3.0, 1.6),
    (-0.25, 1.15),
    (0.0, 1.0),
    (0.25, 0.95),
    (1.0, 0.8),
    (3.0, 0.5),
    (6.0, 0.0),
)
"""K outside what is wanted, and where that stands on the scale: hot on its warm side, cold on its cool side."""


def draw_heat(study: Study) -> DrawnResults:
    """Colours and figures of the warmth.

    >>> from tankwright.room.model import Room
    >>> from tankwright.study import work_out
    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> draw_heat(work_out(empty, frozenset())).tanks
    ()
    """
    display, result = study.room.display, study.heat
    if result is None or not result.spaces:
        return DrawnResults(layer="heat", about=ABOUT, scale="enough")
    known = {row.tank for row in result.tanks}
    tanks = [_tank(row, display) for row in result.tanks]
    tanks += [
        DrawnTank(id=tank.id, share=None, figure="not known", title="its warmth was not worked out")
        for tank in study.room.tanks
        if tank.id not in known
    ]
    figures, workings = _figures(result, display)
    return DrawnResults(
        layer="heat", about=ABOUT, scale="enough", tanks=tuple(tanks), figures=figures, workings=workings
    )


def strays(row: TankHeat) -> float:
    """K outside what is wanted, the larger of both sides: negative too cold, positive too hot, 0 within."""
    low = row.low if row.low is not None else row.wanted.value - COLD_SIDE
    high = row.high if row.high is not None else row.wanted.value + HOT_SIDE
    cold, hot = max(low - row.coldest, 0.0), max(row.hottest - high, 0.0)
    return -cold if cold >= hot else hot


def share_of(row: TankHeat) -> float:
    """The place on the scale about "just right": under 1 too hot, over 1 too cold."""
    off = strays(row)
    for (before, left), (after, right) in pairwise(SCALE):
        if off < after:
            return left + (max(off, before) - before) / (after - before) * (right - left)
    return SCALE[-1][1]


def _tank(row: TankHeat, display: str) -> DrawnTank:
    cold, hot = _w(row.coldest, display), _w(row.hottest, display)
    off = strays(row)
    gap = words(Number(abs(off), "temperature_difference"), display)
    said = f"{gap} too {'cold' if off < 0 else 'hot'}" if abs(off) >= 0.05 else "as wanted"
    return DrawnTank(
        id=row.tank, share=share_of(row), figure=cold, detail=f"to {hot}",
        title=f"{cold} in the coldest week, {hot} in the hottest: {said}",
    )  # fmt: skip


def _figures(result: HeatResult, display: str) -> tuple[tuple[tuple[str, str], ...], tuple[str, ...]]:
    figures: list[tuple[str, str]] = []
    workings: list[str] = []
    if result.tanks:
        coldest = min(result.tanks, key=lambda row: row.coldest)
        hottest = max(result.tanks, key=lambda row: row.hottest)
        figures += [
            (f"{coldest.tank} in the coldest week, the least", _w(coldest.coldest, display)),
            (f"{hottest.tank} in the hottest week, the most", _w(hottest.hottest, display)),
        ]
        workings += [f"{coldest.tank}.heat", f"{hottest.tank}.heat.hottest"]
    asked = [space for space in result.spaces if space.heat_need is not None]
    if asked:
        most = max(asked, key=lambda space: space.heat_need or 0.0)
        figures.append(
            (f"heats {most.space} in the design cold", words(Number(most.heat_need or 0.0, "power"), display))
        )
        workings.append(f"heat.{most.space}.need")
    return tuple(figures), tuple(workings)


def _w(value: float, display: str) -> str:
    return words(Number(value, "temperature"), display)
