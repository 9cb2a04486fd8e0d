"""A year of hourly weather at one place: what the heat of a room is worked out from."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, field, fields
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tankwright.units import Kelvin, Metre, Radian, Second

Hours = NDArray[np.float64]
"""One number for each hour of the year; hour 0 is 00:00 to 01:00 on 1 January, local standard time."""

HOURS: Final = 8760
DAYS_IN_MONTH: Final = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
_WEEK: Final = 168
_SECONDS_IN_HOUR: Final = 3600.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """Some hours in a row: where they begin (hour of the year), how many, and their mean temperature."""

    first_hour: int
    hours: int
    mean: Kelvin


@dataclass(frozen=True, slots=True, kw_only=True)
class WeatherYear:
    """8760 hours of weather, each the mean over its hour, and where the sun stood in the middle of it.

    `place` and `source` are words for people; `file` is the name of the file; `kind` is "TMY3", "TMY2" or "EPW".
    `latitude` is positive north, `longitude` positive east, `utc_offset` positive east of Greenwich.
    Irradiances are W/m2: `global_horizontal`, `direct_normal`, `diffuse_horizontal`.
    `sun_zenith` and `sun_azimuth` (clockwise from north) are in radians. `circumsolar` and `horizon` are the two
    shares F1 and F2 of the Perez sky; with them the sun on any plane follows (`weather.planes`) without pvlib.
    Two years are equal when their `identity` is: it is made of every number in them.
    """

    place: str
    file: str = field(compare=False)
    kind: str
    source: str = field(compare=False)
    latitude: Radian
    longitude: Radian
    elevation: Metre
    utc_offset: Second
    dry_bulb: Hours = field(compare=False, repr=False)
    relative_humidity: Hours = field(compare=False, repr=False)
    pressure: Hours = field(compare=False, repr=False)
    global_horizontal: Hours = field(compare=False, repr=False)
    direct_normal: Hours = field(compare=False, repr=False)
    diffuse_horizontal: Hours = field(compare=False, repr=False)
    wind_speed: Hours = field(compare=False, repr=False)
    sun_zenith: Hours = field(compare=False, repr=False)
    sun_azimuth: Hours = field(compare=False, repr=False)
    circumsolar: Hours = field(compare=False, repr=False)
    horizon: Hours = field(compare=False, repr=False)
    identity: str = field(init=False)

    def __post_init__(self) -> None:
        told = hashlib.sha256(
            f"{self.latitude!r} {self.longitude!r} {self.elevation!r} {self.utc_offset!r}".encode()
        )
        for name in SERIES:
            kept = np.array(getattr(self, name), dtype=np.float64)  # a copy: nobody holds a way to change it
            if kept.shape != (HOURS,) or not np.isfinite(kept).all():
                raise ValueError(f"{name}: a year has {HOURS} hours, each with a number")
            kept.setflags(write=False)
            object.__setattr__(self, name, kept)
            told.update(kept.tobytes())
        object.__setattr__(self, "identity", told.hexdigest())

    @property
    def annual_mean(self) -> Kelvin:
        """Mean temperature of the year."""
        return float(self.dry_bulb.mean())

    @property
    def monthly_means(self) -> tuple[Kelvin, ...]:
        """Mean temperature of each month, January first."""
        ends = np.cumsum(DAYS_IN_MONTH) * 24
        return tuple(float(hours.mean()) for hours in np.split(self.dry_bulb, ends[:-1]))

    @property
    def coldest_week(self) -> Stretch:
        """The seven days in a row with the lowest mean; they may run over the new year."""
        return self._stretch(_WEEK, coldest=True)

    @property
    def hottest_week(self) -> Stretch:
        """The seven days in a row with the highest mean."""
        return self._stretch(_WEEK, coldest=False)

    @property
    def coldest_day(self) -> Stretch:
        """The day, midnight to midnight, with the lowest mean."""
        return self._stretch(24, coldest=True)

    @property
    def hottest_day(self) -> Stretch:
        """The day, midnight to midnight, with the highest mean."""
        return self._stretch(24, coldest=False)

    @property
    def winter_design(self) -> Kelvin:
        """The temperature that 99.6 % of the hours exceed, the usual one for sizing a heater."""
        return self.exceeded(0.996)

    @property
    def summer_design(self) -> Kelvin:
        """The temperature that 0.4 % of the hours exceed, the usual one for sizing a cooler."""
        return self.exceeded(0.004)

    def exceeded(self, share: float) -> Kelvin:
        """The temperature exceeded in a share of the hours."""
        return float(np.quantile(self.dry_bulb, 1.0 - share))

    def kelvin_seconds_below(self, base: Kelvin) -> float:
        """How far and how long the air is below a temperature, K s: times a heat loss in W/K it is energy in J."""
        return float(np.maximum(base - self.dry_bulb, 0.0).sum()) * _SECONDS_IN_HOUR

    def _stretch(self, hours: int, *, coldest: bool) -> Stretch:
        days = self.dry_bulb.reshape(-1, 24).mean(axis=1)
        count = hours // 24
        around = np.concatenate([days, days[: count - 1]])
        means = np.convolve(around, np.full(count, 1.0 / count), mode="valid")
        first = int(means.argmin() if coldest else means.argmax())
        return Stretch(first_hour=first * 24, hours=hours, mean=float(means[first]))


SERIES: Final = tuple(one.name for one in fields(WeatherYear) if one.type == "Hours")


def hour_of_year(month: int, day: int, hour: int) -> int:
    """The hour of the year that begins at a clock hour, 0 to 23; the year has no 29 February.

    >>> hour_of_year(1, 1, 0), hour_of_year(12, 31, 23)
    (0, 8759)
    """
    return (sum(DAYS_IN_MONTH[: month - 1]) + day - 1) * 24 + hour


def month_day_hour(hour: int) -> tuple[int, int, int]:
    """The month, the day and the clock hour at which an hour of the year begins.

    >>> month_day_hour(8759)
    (12, 31, 23)
    """
    day, clock = divmod(hour % HOURS, 24)
    for month, length in enumerate(DAYS_IN_MONTH, 1):
        if day < length:
            return month, day + 1, clock
        day -= length
    raise AssertionError("an hour modulo the year lies in a month")
