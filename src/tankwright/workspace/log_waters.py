"""The water tests of the logbook: gathered for charts, verdicts and the drawing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from tankwright.finding import Finding, Severity
from tankwright.husbandry.last_tests import LastTests, last_tests
from tankwright.husbandry.records import Event, Kind
from tankwright.husbandry.register import Place
from tankwright.husbandry.water_causes import Cause, by_tank, causes_of
from tankwright.husbandry.water_limits import all_limits
from tankwright.husbandry.water_quantities import NAMES, quantity_called
from tankwright.husbandry.water_readings import WaterSeries, places_of_line, water_series
from tankwright.husbandry.water_sentences import verdict_finding
from tankwright.husbandry.water_usual import BUDGET, false_alarm_chance
from tankwright.husbandry.water_verdicts import Setting, WaterVerdict, water_verdicts, yearly_tests
from tankwright.room.model import Room
from tankwright.study import Study
from tankwright.systems.water_life_model import TankNitrogen
from tankwright.workspace.log import RoomLog

LOOKED_BACK: Final = timedelta(days=400)
LOOKED_BACK_IN_A_HALL: Final = timedelta(days=182)
ALL_OF_ONE: Final = timedelta(days=3 * 366)
"""How far back tests are looked at for all tanks, for those of a hall, and for one tank."""

A_HALL: Final = 200
"""Tanks from which on a room is a hall."""

_FED: Final = timedelta(days=14)
_FEEDING: Final[frozenset[Kind]] = frozenset({"fed"})
_CAUSES: Final[frozenset[Kind]] = frozenset({
    "cleaned", "treated", "arrived", "moved", "left", "regrouped", "born", "died", "culled",
})  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterTests:
    """The tests of a room and what they say, what matters most first.

    `never` are tanks that stand and were never tested, `unread` tests that could not be read, `causes` by the id of
    the place. `a_year` is how many tests the room makes, `chance` that of a false alarm a test and chart, `budget` the
    false alarms a year that come of it.
    """

    verdicts: tuple[WaterVerdict, ...]
    series: tuple[WaterSeries, ...] = ()
    never: tuple[str, ...] = ()
    unread: tuple[Finding, ...] = ()
    causes: Mapping[str, tuple[Cause, ...]]
    a_year: float = 0.0
    chance: float = 0.0
    budget: float = BUDGET

    def of(self, tank: str, quantity: str = "") -> WaterVerdict | None:
        """The verdict on a quantity of a tank, or the worst of that tank."""
        return next(
            (one for one in self.verdicts if one.tank == tank and quantity in {"", one.quantity.key}), None
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class LastTestFacts:
    """What the layer of the last tests shows: the newest tests of every place, and every verdict that is more than a
    note."""

    last: tuple[LastTests, ...] = ()
    findings: tuple[Finding, ...] = ()


def last_test_facts(log: RoomLog, room: Room, now: datetime) -> LastTestFacts:
    """The newest tests of every place and what they say, for the layer of the drawing."""
    book = log.kept
    if book is None:
        return LastTestFacts()
    waters = water_tests(log, room, None, now)
    found = (verdict_finding(one) for one in waters.verdicts)
    return LastTestFacts(
        last=last_tests(
            _waters(book.places()), waters.series, all_limits(room, (tank.id for tank in room.tanks)), now
        ),
        findings=tuple(one for one in found if one.severity is not Severity.NOTE),
    )


def water_tests(
    log: RoomLog, room: Room, study: Study | None, now: datetime, *, tank: str = "", line: str = ""
) -> WaterTests:
    """Every verdict on the water of a room; of one tank alone, or of the tanks fish of a line (its id) are in."""
    book = log.kept
    if book is None:
        return WaterTests(verdicts=(), causes={})
    everywhere = _waters(book.places())
    places = everywhere
    if line:
        held = set(places_of_line(line, book.stocks(line=line), book.holdings()))
        places = tuple(one for one in places if one.id in held)
    if tank:
        places = tuple(one for one in places if one.label == tank)
    only = places[0].id if len(places) == 1 else None
    back = LOOKED_BACK if len(everywhere) < A_HALL else LOOKED_BACK_IN_A_HALL
    since = now - (ALL_OF_ONE if only is not None else back)
    series, unread = water_series(book.readings(place=only, quantities=NAMES, since=since))
    events = book.events(place=only, kinds=_CAUSES, since=since)
    causes = causes_of(events)
    every = {
        (task.place, known.key): task.every_days
        for task in book.tasks() if (known := quantity_called(task.quantity)) is not None
    }  # fmt: skip
    setting = Setting(
        now=now, limits=all_limits(room, (one.label for one in places)), causes=causes, every_days=every,
        design=_design(study), grams_a_day=_grams(book.events(place=only, kinds=_FEEDING, since=now - _FED), now),
    )  # fmt: skip
    verdicts = water_verdicts(places, series, setting)
    tested = {one.place for one in series}
    standing = {one.id for one in room.tanks if one.state == "stands"}
    a_year = yearly_tests(series, now)
    return WaterTests(
        verdicts=verdicts, series=series, unread=unread, causes=by_tank(causes), a_year=a_year,
        chance=false_alarm_chance(a_year, setting.budget), budget=setting.budget,
        never=tuple(one.label for one in places if one.label in standing and one.id not in tested),
    )  # fmt: skip


def _waters(places: tuple[Place, ...]) -> tuple[Place, ...]:
    return tuple(one for one in places if one.kind in {"tank", "vat"})


def _design(study: Study | None) -> dict[str, TankNitrogen]:
    life = study.water.life if study is not None and study.water is not None else None
    return {one.tank: one for one in life.nitrogen} if life is not None else {}


def _grams(events: tuple[Event, ...], now: datetime) -> dict[str, float]:
    """Grams fed a day by place, where the amount was noted each time over most of the last two weeks."""
    found: dict[str, list[Event]] = {}
    for one in events:
        found.setdefault(one.place, []).append(one)
    fed = {}
    for place, some in found.items():
        grams = [one.details.get("grams") for one in some]
        days = (now - min(one.happened for one in some)).total_seconds() / 86400.0
        if place and days >= 7.0 and all(isinstance(one, (int, float)) for one in grams):
            fed[place] = sum(float(one) for one in grams if isinstance(one, (int, float))) / days
    return fed
