"""What the warmth and damp of a room came to: design days, tanks, cold surfaces, weeks, a power cut. Numbers only."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from tankwright.origin import Known
from tankwright.room.model_climate import Faces, SurfaceKind
from tankwright.thermal.model import Numbers
from tankwright.units import (
    Dimensionless,
    JoulePerKelvin,
    Kelvin,
    Kilogram,
    KilogramPerSecond,
    Metre,
    Second,
    SquareMetre,
    Watt,
    WattPerKelvin,
    WattPerSquareMetreKelvin,
)

CaseName = Literal["coldest", "coldest month", "hottest"]
Season = Literal["coldest", "hottest"]


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatPart:
    """One way by which heat leaves a space (or one source of it), W, positive."""

    name: str
    heat: Watt


@dataclass(frozen=True, slots=True, kw_only=True)
class SpaceDay:
    """A space at rest under one weather, with the machines it has.

    `house` is the air beyond inner walls. `losses` and `gains` are equal in sum. `humidity` is kg of vapour a kg of
    dry air. `water` has the temperature of each group of tanks, `tank_heating` W in each single tank. `cooled` is
    heat the cooler takes.
    """

    case: CaseName
    outside: Kelvin
    house: Kelvin
    outside_humidity: Dimensionless
    air: Kelvin
    humidity: Dimensionless
    relative_humidity: Dimensionless
    dew_point: Kelvin
    losses: tuple[HeatPart, ...]
    gains: tuple[HeatPart, ...]
    water: tuple[Kelvin, ...]
    tank_heating: tuple[Watt, ...]
    room_heating: Watt
    cooled: Watt
    evaporation: KilogramPerSecond
    settled: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ColdSurface:
    """The inner face of a part of the shell. Two questions, two weathers.

    `face` is its temperature in the design cold, where drops form at once (`dew_point` then of the air). Mould wants
    weeks: `corner` is its temperature in corners and behind racks in the coldest month, `moisture` the relative
    humidity there. `needed` is the transmittance at which that corner would stay under the limit, None where drier
    air alone helps.
    """

    id: str
    kind: SurfaceKind
    faces: Faces
    area: SquareMetre
    transmittance: Known
    face: Kelvin
    dew_point: Kelvin
    corner: Kelvin
    moisture: Dimensionless
    needed: WattPerSquareMetreKelvin | None

    @property
    def drips(self) -> bool:
        """Whether water of the air condenses on it in the design cold."""
        return self.face < self.dew_point


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WeekCourse:
    """A week hour by hour, the days before it run to warm up. `water` has a column for each group of tanks."""

    season: Season
    first_hour: int
    mean_outside: Kelvin
    outside: Numbers
    air: Numbers
    relative_humidity: Numbers
    water: Numbers
    settled: bool


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CutCourse:
    """The mains off on the coldest day, repeated: nothing heats, no fan runs, no water drips in.

    `times` are seconds after the cut, the first 0; `water` has a column for each group.
    """

    times: Numbers
    outside: Numbers
    air: Numbers
    water: Numbers
    settled: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatingWays:
    """All tanks kept as wanted in the design cold, by a warm room alone or by heaters in the tanks alone.

    `room_air` is the air that would warm the slowest tank enough, `hottest_tank` what the warmest tank then has.
    """

    room_air: Kelvin
    room_way: Watt
    hottest_tank: Kelvin
    tank_way: Watt
    tank_way_air: Kelvin


@dataclass(frozen=True, slots=True, kw_only=True)
class Cooling:
    """The most heat a cooler would have to take in the hottest week to hold `holds`, its humid part with it."""

    holds: Kelvin
    asked: bool
    sensible: Watt
    latent: Watt
    has: Watt | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Drying:
    """Water a dehumidifier must take out to hold a relative humidity, and what the one there takes in that air.

    `rated` is the rating of one that takes out as much there, None in air so cold that none does.
    """

    case: CaseName
    holds: Known
    needed: KilogramPerSecond
    rated: KilogramPerSecond | None
    has: KilogramPerSecond | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Airing:
    """A month of changing air: how much water a kg of outdoor air takes away, negative when it brings some.

    `inside` is the humidity of air that is as moist as one wants at most.
    """

    month: int
    outside_temperature: Kelvin
    outside: Dimensionless
    inside: Dimensionless

    @property
    def dries(self) -> Dimensionless:
        """Water a kilogram of changed air takes away, kg."""
        return self.inside - self.outside


@dataclass(frozen=True, slots=True, kw_only=True)
class SpaceHeat:
    """One space. `heat_need` is what the room's heater must give in the design cold, None where nothing is asked of
    one; `need_band` the same with every U-value and leak that is not known at either end of its band.

    `cool_air` is air in which the warmest shelf stays within what is wanted, `cooling_there` what holds it so.
    `loss` is all heat through shell and changed air for a kelvin, `store` all tanks and the inner skin.
    `tanks` are the names of each group's tanks, in the order of the columns.
    """

    space: str
    tanks: tuple[tuple[str, ...], ...]
    days: tuple[SpaceDay, ...]
    surfaces: tuple[ColdSurface, ...]
    weeks: tuple[WeekCourse, ...]
    cut: CutCourse
    ways: HeatingWays | None
    heat_need: Watt | None
    need_band: tuple[Watt, Watt]
    heat_to: Known | None
    heat_has: Watt
    cooling: Cooling
    cooling_there: Cooling
    cool_air: Kelvin
    drying: tuple[Drying, ...]
    airing: tuple[Airing, ...]
    loss: WattPerKelvin
    store: JoulePerKelvin
    time_constant: Second
    assumed_walls: tuple[str, ...]
    floor_area: SquareMetre

    def day(self, case: CaseName) -> SpaceDay:
        """One of its design days."""
        return next(one for one in self.days if one.case == case)

    def week(self, season: Season) -> WeekCourse:
        """One of its weeks."""
        return next(one for one in self.weeks if one.season == season)


@dataclass(frozen=True, slots=True, kw_only=True)
class StuckHeater:
    """One heater of a tank that does not switch off, on the hottest day.

    `rate` is K/s at the start, nothing lost; `final` where it ends; `to_limit` seconds until `limit`, None where it
    stays below. `halved` is the end with two heaters of half the size, one of them stuck.
    """

    power: Watt
    rate: float
    final: Kelvin
    halved: Kelvin
    limit: Kelvin
    to_limit: Second | None


@dataclass(frozen=True, slots=True, kw_only=True)
class TankHeat:
    """One tank. `low` and `high` are what its zone wants, None where nothing is said.

    `need` is the heat it takes in the design cold to be as wanted (0 where the room does it), `size` with margin and
    warm-up; `has` is what its heaters give. `aim` is the least it is to have, `aim_size` a
    heater that holds it there, `aim_air` the room's air that does so without one, `cold_sized` its water where every
    heater is large enough. `coldest` and `hottest` are the ends of the two weeks, `cold_design` at
    rest in the design cold. `cut_hours` to `cut_limit` after a power cut, None when it is not reached in the time
    followed. `evaporation` is kg/s in the design cold.
    """

    tank: str
    space: str
    group: int
    height: Metre
    covered: bool
    wanted: Known
    low: Kelvin | None
    high: Kelvin | None
    capacity: JoulePerKelvin
    dry_loss: WattPerKelvin
    time_constant: Second
    evaporation: KilogramPerSecond
    holds: Kelvin | None
    need: Watt
    size: Watt
    aim: Kelvin
    aim_size: Watt
    aim_air: Kelvin
    cold_sized: Kelvin
    has: Watt | None
    count: int
    room_air: Kelvin
    cold_design: Kelvin
    coldest: Kelvin
    hottest: Kelvin
    hot_hours: float
    stuck: StuckHeater | None
    cut_limit: Kelvin
    cut_time: Second | None


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatResult:
    """Every space and tank. `weather` names the year it rests on; `not_computed` holds (subject, reason).

    `topped_up` are spaces whose evaporation is held to a measured top-up, and what the law's is multiplied by for it.
    """

    weather: str
    weather_source: str
    named: bool
    winter_design: Kelvin
    spaces: tuple[SpaceHeat, ...]
    tanks: tuple[TankHeat, ...]
    topped_up: tuple[tuple[str, Known, Dimensionless], ...] = ()
    not_computed: tuple[tuple[str, str], ...] = ()

    def tank(self, name: str) -> TankHeat | None:
        """The warmth of one tank."""
        return next((one for one in self.tanks if one.tank == name), None)

    def space(self, name: str) -> SpaceHeat | None:
        """The warmth of one space."""
        return next((one for one in self.spaces if one.space == name), None)


def water_lost(rate: KilogramPerSecond) -> Kilogram:
    """What a rate comes to in a day.

    >>> round(water_lost(1e-5), 3)
    0.864
    """
    return rate * 86400.0
