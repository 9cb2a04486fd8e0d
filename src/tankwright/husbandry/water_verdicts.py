"""Is this bad, and is it getting worse: one verdict for each tank and quantity, its limits before its charts."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from statistics import median
from typing import Final, Literal

from tankwright.husbandry.change_points import change_points
from tankwright.husbandry.last_tests import is_old, rank, standing_of
from tankwright.husbandry.register import Place
from tankwright.husbandry.water_alkalinity import AlkalinityFall, alkalinity_fall, alkalinity_used
from tankwright.husbandry.water_ammonia import AmmoniaJudged
from tankwright.husbandry.water_causes import Cause, by_tank, last_change
from tankwright.husbandry.water_expected import Compared, nitrate_compared
from tankwright.husbandry.water_limits import Judged, WaterLimit
from tankwright.husbandry.water_quantities import WaterQuantity
from tankwright.husbandry.water_readings import DAY, WaterReading, WaterSeries, by_place, days_after
from tankwright.husbandry.water_slope import Slopes, longest_straight
from tankwright.husbandry.water_usual import BUDGET, Departure, Usual, departure, false_alarm_chance, usual_of
from tankwright.systems.water_life_model import TankNitrogen

Trend = Literal[
    "falls", "rises", "jumped down", "jumped up", "drifts down", "drifts up", "steady", "too few tests"
]  # fmt: skip
ARROWS: Final[Mapping[Trend, str]] = {
    "falls": "↓", "drifts down": "↘", "jumped down": "⤓", "rises": "↑", "drifts up": "↗", "jumped up": "⤒",
    "steady": "→", "too few tests": "",
}  # fmt: skip
"""A sign of each trend, beside its word and never instead of it."""

LEAST_TREND: Final = 4
"""Tests that one line must pass through before its slope counts as a trend. Our choice, no source."""

YEAR: Final = 365.25
_SHORTEST: Final = 28.0  # days of tests from which on their number a year is reckoned


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """What verdicts are given by, beside the tests: limits by the tank's name, known causes, the plan's figures by the
    tank's name, feed that was noted (grams a day, by place), days between tests by place and quantity."""

    now: datetime
    limits: Mapping[str, Sequence[WaterLimit]]
    causes: Sequence[Cause] = ()
    design: Mapping[str, TankNitrogen] | None = None
    grams_a_day: Mapping[str, float] | None = None
    every_days: Mapping[tuple[str, str], float] | None = None
    budget: float = BUDGET


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterVerdict:
    """All that is known of one quantity in one tank. `taken` are the tests since `since`, the newest cause that is no
    routine; chart, slopes are of them. `worse`: it goes towards a limit."""

    place: str
    tank: str
    series: WaterSeries
    age: float
    old: bool
    judged: Judged
    limits: tuple[WaterLimit, ...]
    trend: Trend
    worse: bool
    since: Cause | None
    taken: tuple[WaterReading, ...]
    slopes: Slopes
    usual: Usual | None = None
    departure: Departure | None = None
    ammonia: AmmoniaJudged | None = None
    fall: AlkalinityFall | None = None
    compared: Compared | None = None

    @property
    def quantity(self) -> WaterQuantity:
        """What was tested."""
        return self.series.quantity

    @property
    def order(self) -> tuple[bool, int, bool, bool]:
        """Its place among others, what matters most first."""
        standing, old = rank(self.judged.standing, old=self.old)
        warns = self.fall is not None and self.fall.warns
        return not (self.judged.standing.startswith("past") or warns), standing, old, not self.worse


def water_verdicts(
    places: Iterable[Place], series: Sequence[WaterSeries], setting: Setting
) -> tuple[WaterVerdict, ...]:
    """The verdicts of all places and quantities, what matters most first.

    >>> from datetime import UTC
    >>> water_verdicts((), (), Setting(now=datetime(2026, 8, 2, tzinfo=UTC), limits={}))
    ()
    """
    chance = false_alarm_chance(yearly_tests(series, setting.now), setting.budget)
    known, causes = by_place(series), by_tank(setting.causes)
    found = [
        _verdict(place, known[place.id], key, causes.get(place.id, ()), setting, chance)
        for place in places
        for key in known.get(place.id, {})
    ]
    return tuple(sorted(found, key=lambda one: one.order))


def yearly_tests(series: Iterable[WaterSeries], now: datetime) -> float:
    """How many tests a year the room makes, as those of the last year tell it.

    >>> from datetime import UTC
    >>> yearly_tests((), datetime(2026, 8, 2, tzinfo=UTC))
    0.0
    """
    recent = [
        one.at for some in series for one in some.readings if now - timedelta(days=YEAR) <= one.at <= now
    ]
    if not recent:
        return 0.0
    days = max((now - min(recent)).total_seconds() / DAY, _SHORTEST)
    return len(recent) * YEAR / days


def _verdict(
    place: Place,
    series: Mapping[str, WaterSeries],
    key: str,
    causes: Sequence[Cause],
    setting: Setting,
    chance: float,
) -> WaterVerdict:
    one, now = series[key], setting.now
    limits = tuple(limit for limit in setting.limits.get(place.label, ()) if limit.quantity == key)
    held, ammonia = standing_of(series, key, limits)
    since = last_change(causes, key, now)
    taken = one.since(since.at if since is not None else None) or one.readings[-1:]
    days = days_after(taken)
    slopes = longest_straight(
        tuple((day, read.low, read.high) for day, read in zip(days, taken, strict=True))
    )
    middles = tuple(read.middle for read in taken)
    usual = usual_of(middles, chance, _finest(taken))
    left = departure(middles, usual) if usual is not None else None
    trend = _trend(slopes, left, len(taken))
    every = (setting.every_days or {}).get((place.id, key))
    design = (setting.design or {}).get(place.label)
    fall = compared = None
    if key == "kh":
        used = alkalinity_used(design, (setting.grams_a_day or {}).get(place.id))
        fall = alkalinity_fall(taken, limits, now, every_days=every, used=used, slopes=slopes)
        if fall is not None and fall.proved:
            trend = "falls"
    if key == "no3":
        compared = nitrate_compared(design, taken)
    return WaterVerdict(
        place=place.id, tank=place.label, series=one, age=max((now - one.last.at).total_seconds() / DAY, 0.0),
        old=is_old(one, now, every), judged=held, limits=limits, trend=trend, worse=_worse(trend, held, limits),
        since=since, taken=taken, slopes=slopes, usual=usual, departure=left,
        ammonia=ammonia, fall=fall, compared=compared,
    )  # fmt: skip


def level_changes(one: WaterVerdict) -> tuple[datetime, ...]:
    """The moments at which a new level began, as the tests since the newest cause alone tell it."""
    places = change_points(tuple(read.middle for read in one.taken), finest=_finest(one.taken))
    return tuple(one.taken[at].at for at in places)


def _finest(readings: Sequence[WaterReading]) -> float:
    """How far a reading may be from what it stands for where these lie: no spread is smaller."""
    return median((one.high - one.low) / 2.0 for one in readings)


def _trend(slopes: Slopes, left: Departure | None, tests: int) -> Trend:
    """A slope that every line says goes first, then the newest test, then the weighted mean of the last ones."""
    if slopes.proved and len(slopes.ranges) >= LEAST_TREND:
        return "falls" if slopes.proved == "falls" else "rises"
    if left is not None and left.jump:
        return "jumped up" if left.jump > 0 else "jumped down"
    if left is not None and left.drift:
        return "drifts up" if left.drift > 0 else "drifts down"
    return "steady" if left is not None or tests >= LEAST_TREND else "too few tests"


def _worse(trend: Trend, held: Judged, limits: Sequence[WaterLimit]) -> bool:
    """Whether it goes towards a limit: the one it is past or may be past, else any on that side."""
    up = trend in {"rises", "jumped up", "drifts up"}
    down = trend in {"falls", "jumped down", "drifts down"}
    if held.side:
        return (up and held.side == "high") or (down and held.side == "low")
    return any((up and one.high is not None) or (down and one.low is not None) for one in limits)
