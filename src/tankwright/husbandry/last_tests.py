"""When each tank's water was last tested, and how the worst of its newest tests stands."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from tankwright.husbandry.register import Place
from tankwright.husbandry.water_ammonia import AmmoniaJudged, ammonia_judged
from tankwright.husbandry.water_limits import STANDINGS, Judged, Standing, WaterLimit, judged
from tankwright.husbandry.water_quantities import WaterQuantity
from tankwright.husbandry.water_readings import DAY, WaterReading, WaterSeries, by_place, usual_gap

USUAL_DAYS: Final = 7.0
"""Days between tests where a tank's own rhythm is not known yet. Common practice, no source."""

OVERDUE: Final = 2.0
"""A test older than so many times its usual distance is old. Our choice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NewestTest:
    """The newest test of one quantity in one tank and how it stands. `age` is in days, `old` that it says little of
    today, `ammonia` how an ammonia test was judged."""

    quantity: WaterQuantity
    reading: WaterReading
    age: float
    old: bool
    judged: Judged
    ammonia: AmmoniaJudged | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LastTests:
    """The newest tests of one tank, worst first; none where it was never tested."""

    place: str
    tank: str
    tests: tuple[NewestTest, ...]

    @property
    def worst(self) -> NewestTest | None:
        """The one that matters most."""
        return self.tests[0] if self.tests else None

    @property
    def age(self) -> float | None:
        """Days since anything was tested; None for never."""
        return min((one.age for one in self.tests), default=None)


def last_tests(
    places: Iterable[Place],
    series: Sequence[WaterSeries],
    limits: Mapping[str, Sequence[WaterLimit]],
    now: datetime,
) -> tuple[LastTests, ...]:
    """The newest tests of each place, in the order of the places; `limits` are by the name of the tank.

    >>> from datetime import UTC
    >>> at = datetime(2026, 8, 2, tzinfo=UTC)
    >>> last_tests((Place(id="p", label="A1", kind="tank", opened=at),), (), {}, at)[0].age is None
    True
    """
    known = by_place(series)
    return tuple(
        LastTests(place=one.id, tank=one.label, tests=_newest(known.get(one.id, {}), limits.get(one.label, ()), now))
        for one in places
    )  # fmt: skip


def _newest(
    series: Mapping[str, WaterSeries], limits: Sequence[WaterLimit], now: datetime
) -> tuple[NewestTest, ...]:
    found = []
    for key, one in series.items():
        held = standing_of(series, key, limits)
        age = (now - one.last.at).total_seconds() / DAY
        found.append(NewestTest(
            quantity=one.quantity, reading=one.last, age=age, old=is_old(one, now), judged=held[0], ammonia=held[1]
        ))  # fmt: skip
    return tuple(sorted(found, key=lambda one: rank(one.judged.standing, old=one.old)))


def standing_of(
    series: Mapping[str, WaterSeries], key: str, limits: Sequence[WaterLimit]
) -> tuple[Judged, AmmoniaJudged | None]:
    """How the newest test of a quantity stands, of all series of one tank; ammonia by the pH and warmth of the tank."""
    one = series[key]
    own = tuple(limit for limit in limits if limit.quantity == key)
    held = judged(one.last, own)
    if key != "nh4":
        return held, None
    nothing: tuple[WaterReading, ...] = ()
    ph = series["ph"].readings if "ph" in series else nothing
    warmth = series["temperature"].readings if "temperature" in series else nothing
    ammonia = ammonia_judged(one.last, ph, warmth)
    if _order(ammonia.standing) < _order(held.standing) or ammonia.standing == "not judged":
        standing: Standing = ammonia.standing
        if standing == "not judged" and held.standing in {"past hazard", "past want"}:
            standing = held.standing
        return Judged(standing=standing, limit=held.limit, side=held.side), ammonia
    return held, ammonia


def is_old(series: WaterSeries, now: datetime, every_days: float | None = None) -> bool:
    """Whether the newest test is so old that it says little of today: more than twice the days between tests."""
    usual = every_days or usual_gap(series.readings) or USUAL_DAYS
    return now - series.last.at > timedelta(days=OVERDUE * max(usual, 1.0))


def rank(standing: Standing, *, old: bool = False) -> tuple[int, bool]:
    """What to look at first: by standing, and of those alike the old ones."""
    return _order(standing), not old


def _order(standing: Standing) -> int:
    return STANDINGS.index(standing)
