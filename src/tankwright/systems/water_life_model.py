"""What the water becomes in the tanks: chlorine, ammonia, hardness, nitrate, first weeks. No words, no judgement here.

Concentrations are kg/m3: chlorine as Cl2, ammonia as N, nitrate as NO3, carbonate hardness as calcium carbonate.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tankwright.origin import Known
from tankwright.physics.nitrifier_growth import NitrifierCourse
from tankwright.units import (
    CubicMetre,
    CubicMetrePerSecond,
    Kelvin,
    KilogramPerCubicMetre,
    KilogramPerCubicMetreSecond,
    PerSecond,
    Second,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """A number and the band it may really lie in, every assumption at the end that makes it least or most.

    >>> Span(low=1.0, value=2.0, high=math.inf).flips_at(3.0), Span(low=1.0, value=1.0, high=1.0).flips_at(3.0)
    (True, False)
    """

    low: float
    value: float
    high: float

    def flips_at(self, limit: float) -> bool:
        """Whether the band lies on both sides of a limit."""
        return self.low <= limit < self.high


NOTHING = Span(low=0.0, value=0.0, high=0.0)
NEVER = Span(low=math.inf, value=math.inf, high=math.inf)


def span_of(known: Known) -> Span:
    """A value with its band, or without one.

    >>> from tankwright.origin import Origin
    >>> span_of(Known(2.0, Origin.ASSUMED, band=(1.0, 4.0)))
    Span(low=1.0, value=2.0, high=4.0)
    """
    low, high = known.band or (known.value, known.value)
    return Span(low=min(low, known.value), value=known.value, high=max(high, known.value))


def spans(ends: ArrayLike) -> list[Span]:
    """Rows of low, value and high, as long as one likes, as a span for each column.

    >>> spans([[1.0, 4.0], [2.0, 5.0], [3.0, 6.0]])[1]
    Span(low=4.0, value=5.0, high=6.0)
    """
    columns = np.asarray(ends, dtype=np.float64).T.tolist()
    return [Span(low=low, value=value, high=high) for low, value, high in columns]


@dataclass(frozen=True, slots=True, kw_only=True)
class GivenWater:
    """The water a feed brings, mixed as it is; None where it is not known. `name` is "" for none in particular.

    `chlorine` is that of the source. `carbon` says that it has passed carbon before it arrives, in its feed or in every
    feed of the tank it comes out of.
    """

    name: str
    chlorine: Known | None
    disinfectant: str
    nitrate: Known | None
    ammonia: Known | None
    carbonate_hardness: Known | None
    carbon: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ChlorineCase:
    """Chlorine of a tank in one state of the carbon, under the programs' clock.

    `peak` is the highest of the day once every day is like the last. `harm` is the time from a clean tank's first
    opening until the limit, `opened` how long its drip was open by then; both infinite where it never comes.
    """

    peak: Span
    harm: Span
    opened: Span


@dataclass(frozen=True, slots=True, kw_only=True)
class TankChlorine:
    """One dripped tank. `fresh` is with every carbon filling as new, None where no feed of it has any; `bare` with
    none, or all spent. `begins` is the clock of the first opening, seconds after midnight, `every` after how long all
    begins again; `steady` False where a program runs less often and is taken as if it ran every time. `turnovers` are
    the inflow of each feed over the tank's volume while it is open, 1/s."""

    tank: str
    feeds: tuple[str, ...]
    turnovers: tuple[PerSecond, ...]
    begins: Second
    every: Second
    steady: bool
    fresh: ChlorineCase | None
    bare: ChlorineCase

    @property
    def now(self) -> ChlorineCase:
        """As it is before the carbon is spent."""
        return self.fresh or self.bare


@dataclass(frozen=True, slots=True, kw_only=True)
class RunCarbon:
    """The carbon of a feed: what it takes in all, what comes through it a day, and when it is spent."""

    run: str
    filters: tuple[str, ...]
    takes: Known
    chlorine: Known
    disinfectant: str
    volume_a_day: CubicMetre
    lasts: Span
    tanks: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ChlorineDose:
    """What takes the chlorine out of a batch: masses of the agents in kg. `vat` is "" for a hundred litres of it."""

    water: str
    vat: str
    volume: CubicMetre
    chlorine: Known
    disinfectant: str
    thiosulfate: Span
    ascorbate: Span


@dataclass(frozen=True, slots=True, kw_only=True)
class TankNitrogen:
    """The nitrogen of one tank, from its feed to its overflow, as it settles.

    Rates are kg of nitrogen a second; `capacity` is what the filter turns over at most, `nitrified` what it does.
    `ammonia` is infinite where filter and drip cannot keep up, `nitrate` where nothing carries it away. `unionised`
    is kg of NH3 (not N) a m3; `acute`, `chronic` and `harm` are total ammonia nitrogen at its pH: the
    two limits of the EPA, and where the gas comes to what harms. `hardness` is the carbonate
    hardness that is left (below nought: all is used and more is wanted), `hardness_lasts` how long what it holds
    lasts without new water. `rise` is nitrate made a second over its volume.
    """

    tank: str
    volume: CubicMetre
    temperature: Known
    media: Known
    feed: Known
    protein: Known
    inflow: CubicMetrePerSecond
    from_feed: Span
    from_chloramine: Span
    from_source: Span
    load: Span
    capacity: Span
    nitrified: Span
    ammonia: Span
    ph: Known | None
    unionised: Span | None
    acute: KilogramPerCubicMetre | None
    chronic: KilogramPerCubicMetre | None
    harm: KilogramPerCubicMetre | None
    source_hardness: Known | None
    hardness: Span | None
    hardness_lasts: Span | None
    source_nitrate: Known | None
    rise: Span
    nitrate: Span | None
    wanted_nitrate: Known | None


@dataclass(frozen=True, slots=True, kw_only=True)
class NitrateWant:
    """What holds a tank's nitrate at its want. `passes` is when it passes it from clean water (infinite: never).

    `weekly` is the new water a week for a dripped tank (infinite: no drip can, its source has as much). `share` is
    that of the water changed once a week for a tank changed by hand; over 1 is more than all of it.
    """

    tank: str
    wanted: Known
    passes: Span
    weekly: Span
    share: Span


@dataclass(frozen=True, slots=True, kw_only=True)
class RunNitrate:
    """How long a feed must be open a day for every tank's wanted nitrate, and the tank that asks for most.

    `needed` is infinite where the source has as much as is wanted in one of its tanks, `beyond` names those.
    """

    run: str
    minutes_now: Second
    needed: Span
    worst: str
    beyond: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstWeeks:
    """A new filter under the feed of the most heavily fed tank, from its first day on.

    `early` and `late` are the courses at the friendly and the unfriendly end of seed and growth. `days` are the times
    until ammonia and nitrite are below the limit for good.
    """

    tank: str
    dose: KilogramPerCubicMetreSecond
    temperature: Kelvin
    seed: Known
    limit: KilogramPerCubicMetre
    days: Span
    early: NitrifierCourse
    middle: NitrifierCourse
    late: NitrifierCourse

    @property
    def ammonia_peak(self) -> Span:
        """The highest ammonia of each course."""
        return _peaks(self, "ammonia")

    @property
    def nitrite_peak(self) -> Span:
        """The highest nitrite of each course."""
        return _peaks(self, "nitrite")


def _peaks(weeks: FirstWeeks, what: str) -> Span:
    tops = [max(getattr(course, what)) for course in (weeks.early, weeks.middle, weeks.late)]
    return Span(low=min(tops), value=tops[1], high=max(tops))


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterLife:
    """The water's life in the whole room. `without_stock` are tanks no stock is said for: they count as empty.

    `not_computed` holds (subject, reason).
    """

    limit: KilogramPerCubicMetre
    waters: tuple[tuple[str, GivenWater], ...]
    chlorine: tuple[TankChlorine, ...] = ()
    carbons: tuple[RunCarbon, ...] = ()
    doses: tuple[ChlorineDose, ...] = ()
    nitrogen: tuple[TankNitrogen, ...] = ()
    wants: tuple[NitrateWant, ...] = ()
    programs: tuple[RunNitrate, ...] = ()
    first_weeks: FirstWeeks | None = None
    without_stock: tuple[str, ...] = ()
    not_computed: tuple[tuple[str, str], ...] = ()

    def water_of(self, run: str) -> GivenWater | None:
        """The water a feed brings; "" for what is changed by hand."""
        return next((water for name, water in self.waters if name == run), None)
