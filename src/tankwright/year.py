"""The year of a room, worked out when it is asked for: energy by month and use, cost, and what each measure saves.

    year = work_out_year(study.room, daily_inflow(study.feed), study.weather)

Some fifty years are run, each with one thing changed; an edit does not wait for them. Whoever asks is told how far
it is, and may stop it by raising out of `progress`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, fields, is_dataclass, replace
from hashlib import sha256
from itertools import combinations
from typing import Final

from tankwright.catalogue.assumptions import ASSUMPTIONS
from tankwright.room.model import Room
from tankwright.room.model_climate import ClimatePlace
from tankwright.study import Study
from tankwright.systems.feed_model import FeedResult
from tankwright.systems.heat_measure import Measure, combined, with_spaces
from tankwright.systems.heat_measures import all_measures
from tankwright.systems.heat_top_up import fitted_to_top_up
from tankwright.systems.heat_year import RoomYear, room_year, strain
from tankwright.systems.heat_year_model import HARDLY, KWH, Saving, Spread, YearResult
from tankwright.units import CubicMetre
from tankwright.weather.model import WeatherYear

Progress = Callable[[int, int], None]
"""Told how many years of how many are behind."""

BANDED: Final = 6
"""Measures, from the top, that are tried inside the bands too."""

PAIRED: Final = 4
"""Measures of which the best pair is sought."""

NO_CLIMATE: Final = (
    "year",
    "the plan says nothing of its climate",
    'write [climate] with weather and energy_price, and [climate.room.X] with heat_to = "24 °C" for a room X',
)
NO_WEATHER: Final = (
    "year",
    "the weather that the plan names could not be read",
    'name a file that lies beside the plan, or a year that comes with the program, such as weather = "Greensboro"',
)
NO_TANKS: Final = ("year", "no tank stands in the room", "put tanks on a shelf in the plan")
NO_PRICE: Final = (
    "cost",
    "the plan names no price of energy",
    "say energy_price under [climate], for a kWh",
)
NO_WATER_PRICE: Final = (
    "cost of water",
    "the plan names no price of water",
    "say water_price under [climate], for a cubic metre",
)
NO_BOARDS: Final = (
    "lights and pumps",
    "the plan names no boards and loads, so neither what they take nor what they warm is counted",
    'write [[power.boards]] with loads = [{ name = "light", power = "18 W", does = "light", hours = 10 }]',
)
NOT_SETTLED: Final = (
    "year",
    "the balance of heat and moisture found no end in some hour",
    "look for a power or a size that cannot be right",
)
_BANDS: Final = ("climate.covered", "climate.bubbling", "climate.air_change")


def daily_inflow(feed: FeedResult | None) -> dict[str, CubicMetre]:
    """Fresh water of each tank, m3 a day, as a year takes it."""
    return {} if feed is None else {one.tank: one.volume_a_day for one in feed.tanks}


def year_of(study: Study, *, fine: bool = False, progress: Progress | None = None) -> YearResult:
    """The year of a study's room under its weather."""
    return work_out_year(study.room, daily_inflow(study.feed), study.weather, fine=fine, progress=progress)


def work_out_year(
    room: Room,
    inflow: Mapping[str, CubicMetre],
    weather: WeatherYear | None,
    *,
    fine: bool = False,
    measures: bool = True,
    progress: Progress | None = None,
) -> YearResult:
    """The year of a room. `inflow` is the fresh water of each tank, m3 a day.

    `fine` adds the same year in steps of five minutes with thermostats that switch; without `measures` only the room
    as it stands is worked out.

    >>> empty = Room(title="", display="metric", spaces=(), racks=(), tanks=())
    >>> work_out_year(empty, {}, None).not_computed[0][1]
    'the plan says nothing of its climate'
    """
    climate = room.climate
    if climate is None:
        return YearResult(not_computed=(NO_CLIMATE,))
    if weather is None:
        return YearResult(not_computed=(NO_WEATHER,))
    if not room.tanks:
        return YearResult(place=weather.place, source=weather.source, not_computed=(NO_TANKS,))
    room = fitted_to_top_up(room, weather, inflow)
    work = _Work(room=room, inflow=inflow, weather=weather, progress=progress, fine=fine, measured=measures)
    return work.result(climate)


@dataclass(slots=True, kw_only=True)
class _Work:
    room: Room
    inflow: Mapping[str, CubicMetre]
    weather: WeatherYear
    progress: Progress | None
    fine: bool
    measured: bool
    done: int = 0
    of: int = 0

    def result(self, climate: ClimatePlace) -> YearResult:
        watered = any(volume > 0.0 for volume in self.inflow.values())
        measures = all_measures(self.room, watered=watered) if self.measured else ()
        trials = tuple(_trials(self.room)) if self.measured else ()
        few = min(len(measures), BANDED)
        pairs = min(len(measures), PAIRED)
        layers = tuple(_layers(self.room)) if self.measured else ()
        self.of = (
            1
            + len(layers)
            + self.fine * 12
            + len(measures)
            + len(trials) * (1 + few)
            + pairs * (pairs - 1) // 2
            + 1
        )
        base = self.year(self.room)
        year = YearResult(
            place=self.weather.place, source=self.weather.source, currency=climate.currency,
            energy_price=climate.energy_price, water_price=climate.water_price, base=base,
            not_computed=tuple(_missing(self.room, climate, base, watered=watered)),
        )  # fmt: skip
        if self.fine:
            year = replace(year, fine=self.year(self.room, fine=True))
        if not base.settled:
            return replace(year, base=None)
        year = replace(year, layered=tuple(self.year(one) for one in layers))
        found = [self.saving(year, base, one) for one in measures]
        found.sort(key=lambda one: -one.saved)
        year = self.banded(replace(year, savings=tuple(found)), trials)
        return self.at_once(year, base)

    def year(self, room: Room, inflow: float = 1.0, *, fine: bool = False) -> RoomYear:
        """One year, counted."""
        if self.progress is not None:
            self.progress(self.done, self.of)
        self.done += 12 if fine else 1
        running = (
            self.inflow if inflow == 1.0 else {tank: volume * inflow for tank, volume in self.inflow.items()}
        )
        return room_year(room, self.weather, running, fine=fine)

    def saving(self, year: YearResult, base: RoomYear, measure: Measure, room: Room | None = None) -> Saving:
        """What a measure saves against a base, in that base's room."""
        after = self.year(measure.change(room or self.room), measure.inflow)
        uses = tuple((use, sum(months) - after.of(use)) for use, months in base.uses)
        water = base.fresh_water - after.fresh_water
        saved = base.total - after.total
        worth = year.cost_of(saved)
        if worth is not None and year.water_price is not None:
            worth += water * year.water_price
        return Saving(
            measure=measure, saved=saved, uses=tuple(one for one in uses if abs(one[1]) > 1e-3 * KWH), water=water,
            worth=worth, damp=after.hours_over(1) - base.hours_over(1), strain=strain(base, after),
            evaporated=after.evaporated - base.evaporated,
        )  # fmt: skip

    def banded(self, year: YearResult, trials: tuple[tuple[str, Room], ...]) -> YearResult:
        """The year and its first measures at both ends of every band that matters to them."""
        first = year.savings[:BANDED]
        ends: dict[str, list[float]] = {}
        saved: dict[str, list[float]] = {one.measure.key: [one.saved] for one in first}
        for key, room in trials:
            there = self.year(room)
            ends.setdefault(key, []).append(there.total)
            for one in first:
                saved[one.measure.key].append(self.saving(year, there, one.measure, room).saved)
        spreads = (Spread(key=key, low=min(totals), high=max(totals)) for key, totals in ends.items())
        banded = tuple(
            replace(one, low=min(saved[one.measure.key]), high=max(saved[one.measure.key]))
            if trials and one in first
            else one
            for one in year.savings
        )
        return replace(
            year, savings=banded, spreads=tuple(sorted(spreads, key=lambda one: one.low - one.high))
        )

    def at_once(self, year: YearResult, base: RoomYear) -> YearResult:
        """The best pair, and all that is worth it, at once."""
        worth = [one.measure for one in year.savings if year.is_worth_it(one)]
        pairs = [
            self.saving(year, base, combined(two, "pair", "the best two together"))
            for two in combinations(worth[:PAIRED], 2)
            if not (two[0].instead and two[0].instead == two[1].instead)
        ]
        pair = max(pairs, key=lambda one: one.saved, default=None)
        kept = tuple(_compatible(worth))
        together = None
        if len(kept) > 2:
            together = self.saving(year, base, combined(kept, "together", "all that are worth it, together"))
        if self.progress is not None:
            self.progress(self.of, self.of)
        return replace(year, pair=pair, together=together)


def _compatible(measures: list[Measure]) -> Iterator[Measure]:
    """Of measures that stand in each other's place only the first."""
    taken: set[str] = set()
    for one in measures:
        if not one.instead or one.instead not in taken:
            yield one
        if one.instead:
            taken.add(one.instead)


def _trials(room: Room) -> Iterator[tuple[str, Room]]:
    """The room at both ends of every band that decides how much evaporates and leaks; none for what is said."""
    climate = room.climate
    if climate is None:
        return
    used = {known.key for known in room.assumed}
    for key in _BANDS:
        if key not in used:
            continue
        for end in (ASSUMPTIONS[key].low, ASSUMPTIONS[key].high):
            known = ASSUMPTIONS[key].known(end)
            if key == "climate.covered":
                yield key, replace(room, climate=replace(climate, covered=known))
            elif key == "climate.bubbling":
                yield key, replace(room, climate=replace(climate, bubbling=known))
            else:
                yield (
                    key,
                    with_spaces(
                        room,
                        lambda one, known=known: (
                            replace(one, air_change=known)  # type: ignore[misc] # its default keeps it
                            if one.air_change.is_assumed
                            else one
                        ),
                    ),
                )


def _layers(room: Room) -> Iterator[Room]:
    """The room at both ends of the band of how much warmer the air is above; none where that is said."""
    key = "climate.gradient"
    if key in {known.key for known in room.assumed}:
        for end in (ASSUMPTIONS[key].low, ASSUMPTIONS[key].high):
            known = ASSUMPTIONS[key].known(end)
            yield with_spaces(room, lambda one, known=known: replace(one, gradient=known))  # type: ignore[misc] # as above


def _missing(
    room: Room, climate: ClimatePlace, base: RoomYear, *, watered: bool
) -> Iterator[tuple[str, str, str]]:
    if not base.settled:
        yield NOT_SETTLED
        return
    if climate.energy_price is None:
        yield NO_PRICE
    if climate.water_price is None and watered:
        yield NO_WATER_PRICE
    if room.power is None:
        yield NO_BOARDS


# --- what a year depends on --------------------------------------------------------------------------------


def fingerprint(room: Room, inflow: Mapping[str, CubicMetre], weather: WeatherYear | None) -> str:
    """The same for two rooms whose years are the same: a year worked out before need not be worked out again.

    Only what warmth hangs on is looked at, and neither lines of the plan nor words.
    """
    told = sha256()
    told.update(repr((weather.identity if weather else "", sorted(inflow.items()))).encode())
    parts = (
        room.climate,
        room.spaces,
        room.racks,
        room.lives,
        room.laws,
        room.power,
        room.waters,
        room.zones,
    )
    tanks = [
        (one.id, one.kind, one.room, one.zone, one.shelf, one.box, one.length, one.depth, one.level, one.lid,
         one.inside_area, one.water_volume, one.substrate_mass, one.empty_mass)
        for one in room.tanks
    ]  # fmt: skip
    taps = [(tap.tank, tap.open) for run in room.airs for tap in run.taps]
    feeds = [(run.source, [outlet.tank for outlet in run.outlets]) for run in room.feeds]
    for part in (parts, tanks, taps, feeds):
        told.update(repr(_bare(part)).encode())
    return told.hexdigest()


_WORDS: Final = frozenset({
    "line", "weather_line", "measured_on", "reason", "origin", "openings", "obstacles", "beams", "uprights",
})  # fmt: skip


def _bare(thing: object) -> object:
    """A thing as nested tuples, without where it stands in the plan."""
    if is_dataclass(thing) and not isinstance(thing, type):
        return tuple(_bare(getattr(thing, one.name)) for one in fields(thing) if one.name not in _WORDS)
    if isinstance(thing, tuple | list):
        return tuple(_bare(one) for one in thing)
    return thing


__all__ = ["HARDLY", "daily_inflow", "fingerprint", "work_out_year", "year_of"]
