"""How the oxygen falls once the air stops: one tank with its band, or those that are in trouble first."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

from tankwright.checks.oxygen import SCREENING
from tankwright.display import words
from tankwright.drawing.chart_model import Axis, Band, Chart, Line, Mark, line_in_band, line_through
from tankwright.finding import Number
from tankwright.systems.oxygen import levels_without_air
from tankwright.systems.oxygen_model import OxygenResult, TankOxygen
from tankwright.units import Second

_POINTS: Final = 73  # a point every ten minutes of twelve hours
_LONGEST: Final = 72 * 3600.0  # our own end of the axis: by then someone has looked
NOTES: Final = (
    "Shaded: from a film or a tight lid to a surface that fish keep moving. An oxygen drop test narrows it.",
    f"Demand as it is, fish fed and moving; water stirred. {SCREENING[0].upper()}{SCREENING[1:]}.",
)


def fall_chart(result: OxygenResult, one: TankOxygen, display: str) -> Chart:
    """Oxygen of one tank from the stop of its air: the value taken, and both ends of the band of still water."""
    last = last_shown(result, (one,))
    lines = (_line("as taken", one, _times(last)),) if one.demand is not None else ()
    return Chart(
        title=f"{one.tank}: oxygen after the air stops", x=_across(last, display),
        y=_up(one.saturation, display), lines=lines, bands=_trouble(result),
        marks=(*_crossings(result, one, last), *_look(result, last)), empty="no fish are described for this tank",
    )  # fmt: skip


def first_falls_chart(result: OxygenResult, display: str, most: int = 3) -> Chart:
    """Oxygen of the tanks that are in trouble first, tanks that fall alike told once, each with its band."""
    groups: dict[tuple[float, ...], list[TankOxygen]] = {}
    for one in result.in_order:
        if one.trouble is not None and one.stirring > 0.0:
            alike = (one.trouble.low, one.trouble.value, one.trouble.high)
            groups.setdefault(tuple(_rounded(part) for part in alike), []).append(one)
    chosen = list(groups.values())[:most]
    firsts = tuple(group[0] for group in chosen)
    last = last_shown(result, firsts)
    times = _times(last)
    lines = tuple(
        _line(first.tank if len(group) == 1 else f"{first.tank} and {len(group) - 1} alike", first, times)
        for group, first in zip(chosen, firsts, strict=True)
    )
    most_held = max((one.saturation for one in firsts), default=0.0)
    return Chart(
        title="Oxygen after the air stops, the tanks in trouble first", x=_across(last, display),
        y=_up(most_held, display), lines=lines, bands=_trouble(result),
        marks=_look(result, last), empty="no tank with air and described fish",
    )  # fmt: skip


def last_shown(result: OxygenResult, tanks: tuple[TankOxygen, ...]) -> Second:
    """How long a chart follows the water: past the next look, and past the last time trouble is met, to three days.

    >>> last_shown(OxygenResult(gap=43200.0), ()) / 3600
    14.4
    """
    met = [
        time for one in tanks if one.trouble is not None
        for time in (one.trouble.low, one.trouble.value, one.trouble.high) if math.isfinite(time)
    ]  # fmt: skip
    return min(_LONGEST, 1.2 * max(result.gap, *met)) if met else min(_LONGEST, 1.2 * result.gap)


def _rounded(time: Second) -> float:
    """Alike for times within about a sixth of each other."""
    return time if math.isinf(time) or time <= 0.0 else round(6.0 * math.log(time))


def _times(last: Second) -> tuple[Second, ...]:
    return tuple(last * step / (_POINTS - 1) for step in range(_POINTS))


def _across(last: Second, display: str) -> Axis:
    return Axis(
        label="after the air stopped",
        dimension="duration",
        display=display,
        least=0.0,
        most=last,
        clipped=True,
    )


def _up(saturation: float, display: str) -> Axis:
    return Axis(label="oxygen", dimension="concentration", display=display, least=0.0, most=saturation)


def _line(name: str, one: TankOxygen, times: Sequence[Second]) -> Line:
    """The course for the transfer taken, in its band where it has one."""
    low, value, high = (levels.tolist() for levels in levels_without_air(one, times))
    if one.still.low == one.still.high:
        return line_through(name, tuple(zip(times, value, strict=True)), one.tank)
    return line_in_band(name, zip(times, low, value, high, strict=True), one.tank)


def _trouble(result: OxygenResult) -> tuple[Band, ...]:
    if result.laws is None:
        return ()
    level = result.laws.trouble.value
    return (Band(name="trouble begins", low=level, high=level),)


def _look(result: OxygenResult, last: Second) -> tuple[Mark, ...]:
    return (Mark(name="next look, at the latest", x=result.gap),) if 0.0 < result.gap <= last else ()


def _crossings(result: OxygenResult, one: TankOxygen, last: Second) -> tuple[Mark, ...]:
    if one.trouble is None or result.laws is None or one.stirring == 0.0:
        return ()
    level = result.laws.trouble.value
    times = dict.fromkeys((one.trouble.value, one.trouble.low, one.trouble.high))
    return tuple(
        Mark(name=words(Number(time, "duration")), x=time, y=level, place=one.tank)
        for time in times if math.isfinite(time) and 0.0 < time <= last
    )  # fmt: skip
