"""An invented life of a room, for the demo alone: thirteen months of fish, broods, tests, rounds and mishaps.

Nothing of it happened. The numbers are the same for the same room; the days count back from the last one.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path
from random import Random
from typing import Final

from tankwright.husbandry.facts import (
    Tally,
    came,
    counted,
    culled,
    died,
    died_unassigned,
    estimated,
    left,
    moved,
    spawned,
    water_tested,
)
from tankwright.husbandry.records import Draft, Observed, Plain
from tankwright.logbook.outcome import By, Refused
from tankwright.room.model import Room
from tankwright.workspace.log import RoomLog

DAYS: Final = 395
_BY: Final = (By(who="Ada", device="phone"), By(who="Ben", device="tablet"))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Kept:
    """A line of the demo: where its breeders live, where its young go, how it spawns."""

    name: str
    species: str
    locality: str
    breeders: tuple[str, ...]
    nursery: tuple[str, ...]
    every: int
    young: int
    hatches_in: int = 0  # days; 0 for those that bear living young
    harem: bool = False


_LINES: Final = (
    _Kept(name="Amber", species="Xiphophorus maculatus", locality="bred stock, twelve generations",
          breeders=("A3", "A4"), nursery=("A5", "B3", "B4"), every=33, young=24, harem=True),
    _Kept(name="Green fan", species="Poecilia reticulata", locality="bred stock", breeders=("C1", "E1"),
          nursery=("C2",), every=29, young=31, harem=True),
    _Kept(name="North pond", species="Aphyosemion australe", locality="collected at a pond in 2019",
          breeders=("A6", "D7"), nursery=("A8", "A9", "D9"), every=24, young=19, hatches_in=14),
    _Kept(name="Pepper", species="Corydoras paleatus", locality="bred stock", breeders=("B6",),
          nursery=("B7", "B8", "C3"), every=47, young=52, hatches_in=4),
    _Kept(name="Slate", species="Danio rerio", locality="bred stock", breeders=("D1",), nursery=("D2", "D3", "D4"),
          every=41, young=85, hatches_in=3),
)  # fmt: skip
_TASKS: Final = (
    ("Look at every tank", "", 1.0, "look"), ("Feed, morning", "", 1.0, "feed"), ("Feed, evening", "", 1.0, "feed"),
    ("Test of every RCD", "", 30.0, "rcd"), ("Drippers: jug and clock", "", 60.0, "dripper"),
    ("Carbon: read the meter", "", 14.0, "carbon"),
)  # fmt: skip


class _Clock:
    def __init__(self, at: datetime) -> None:
        self.at = at

    def __call__(self) -> datetime:
        return self.at


@dataclass(slots=True, kw_only=True)
class _Brood:
    stock: str
    place: str
    number: int
    born: int
    label: str
    line: _Kept
    counted: set[int] = field(default_factory=set)


def live_in(plan: Path, room: Room, last: datetime) -> int:
    """Fill the logbook of a demo with an invented life up to `last`; how many events it then has.

    Nothing is done, and 0 given, when the book holds anything already, or no line has its tanks in the room.
    """
    clock = _Clock(last - timedelta(days=DAYS))
    log = RoomLog(plan, now=clock)
    if not _lines_in({tank.id for tank in room.tanks}):
        return 0
    book = log.book
    if book.count_events():
        return 0
    log.follow_plan(room)
    life = _Life(log, clock.at, {one.label for one in book.places()})
    for day in range(DAYS + 1):
        life.midnight = (last - timedelta(days=DAYS - day)).replace(hour=0, minute=0, second=0, microsecond=0)
        drafts = list(life.day(day))
        for evening in (False, True):
            done = [one for one in drafts if (one.happened.hour >= 12) is evening and one.happened < last]
            clock.at = max((one.happened for one in done), default=last) + timedelta(minutes=1)
            outcome = book.record(done, _BY[day % 5 == 0])
            if isinstance(outcome, Refused):
                raise AssertionError(outcome.findings)
    events = book.count_events()
    book.close()
    return events


def _lines_in(labels: set[str]) -> list[_Kept]:
    """The lines whose tanks are all there."""
    return [one for one in _LINES if labels.issuperset({*one.breeders, *one.nursery})]


class _Life:
    """What happens on each day."""

    def __init__(self, log: RoomLog, first: datetime, labels: set[str]) -> None:
        self.log = log
        self.midnight = first
        self.chance = Random(20260802)
        self.places = {one.label: one.id for one in log.book.places()}
        self.lines = _lines_in(labels)
        self.ids = {one.name: log.new_id() for one in self.lines}
        self.broods: list[_Brood] = []
        self.hatching: list[tuple[int, _Kept, str, int]] = []
        self.breeders: dict[str, tuple[str, str, str]] = {}  # by tank: females, males, the set
        self.next_spawn: dict[str, int] = {}
        self.tasks: dict[str, str] = {}
        self.net = log.new_id()
        self.number = 0
        self.newcomer = ""

    def day(self, day: int) -> Iterator[Draft]:
        """All that happens on a day, early to late."""
        if day == 0:
            yield from self._first_day()
        yield from self._spawns(day)
        yield from self._hatches(day)
        yield from self._broods(day)
        yield from self._tests(day)
        yield from self._work(day)
        yield from self._once(day)

    def _at(self, hour: float) -> datetime:
        """Somewhen in the morning's or the evening's round, in the order of the hours."""
        start, gone = (7.9, hour) if hour < 12 else (18.6, hour - 12)
        return self.midnight + timedelta(hours=start + gone / 100)

    def _first_day(self) -> Iterator[Draft]:
        at = self._at(10)
        yield Draft(kind="tool_made", happened=at,
                    details={"tool": self.net, "label": "Green net", "wet_hours": 24.0, "zone": "main"})  # fmt: skip
        for label, place, every, kind in _TASKS:
            task = self.log.new_id()
            self.tasks[label] = task
            yield Draft(kind="task_set", happened=at, place=place, details={
                "task": task, "label": label, "every_days": every, "window_days": every / 4, "kind": kind,
            })  # fmt: skip
        for label in sorted({tank for line in self.lines for tank in (*line.breeders, *line.nursery)}):
            for what, every, kind, read in (("Rinse the filter sponge", 45.0, "filter", False),
                                            ("Read the thermometer", 7.0, "thermometer", True)):  # fmt: skip
                task = self.tasks[f"{what}, {label}"] = self.log.new_id()
                value: dict[str, Plain] = (
                    {"quantity": "temperature", "unit": "°C", "low": 22.0, "high": 26.0} if read else {}
                )
                yield Draft(kind="task_set", happened=at, place=self.places[label], details={
                    "task": task, "label": what, "every_days": every, "window_days": every / 4, "kind": kind, **value,
                })  # fmt: skip
        for line in self.lines:
            yield Draft(kind="line_opened", happened=at, line=self.ids[line.name], details={
                "name": line.name, "species": line.species, "locality": line.locality,
                "source": "a keeper of the same town", "least_breeders": 4, "regenerate_days": 365,
            })  # fmt: skip
            for tank in line.breeders:
                yield from self._breeders(line, tank, at)

    def _breeders(self, line: _Kept, tank: str, at: datetime) -> Iterator[Draft]:
        place = self.places[tank]
        members: list[Plain] = []
        names = []
        for sex, number in (("female", 3 if line.harem else 1), ("male", 1)):
            stock = self.log.new_id()
            self.number += 1
            label = f"{line.name} {self.number}"
            yield Draft(kind="stock_opened", happened=at, stock=stock, line=self.ids[line.name], details={
                "label": label, "kind": "group" if number > 1 else "individual", "sex": sex,
                "came_from": "a keeper of the same town", "born": (at - timedelta(days=150)).date().isoformat(),
            })  # fmt: skip
            yield came(
                "arrived",
                stock,
                place,
                Tally(number=number),
                at,
                details={"price": 4.0 * number, "currency": "EUR"},
            )
            members.append({"stock": stock, "count": number, "sex": sex})
            names.append(stock)
        breeding = self.log.new_id()
        yield Draft(kind="set_made", happened=at, place=place, details={
            "set": breeding, "label": f"{line.name}, {tank}", "members": tuple(members),
        })  # fmt: skip
        self.breeders[tank] = (names[0], names[1], breeding)
        self.next_spawn[tank] = 18 + self.chance.randrange(line.every)

    def _spawns(self, day: int) -> Iterator[Draft]:
        for line in self.lines:
            for tank in line.breeders:
                if day != self.next_spawn[tank]:
                    continue
                quiet = line.name == "Pepper" and day > 250  # one pair falls silent
                self.next_spawn[tank] = day + (
                    10_000 if quiet else round(line.every * self.chance.uniform(0.85, 1.3))
                )
                eggs = round(line.young * self.chance.uniform(0.6, 1.5))
                at = self._at(self.chance.uniform(7, 20))
                tally = Tally(number=eggs, low=round(eggs * 0.8), high=round(eggs * 1.25), method="by eye")
                breeding = self.breeders[tank][2]
                yield spawned(self.places[tank], at, breeding_set=breeding, method="pair", eggs=tally)
                self.hatching.append((day + line.hatches_in, line, tank, eggs))

    def _hatches(self, day: int) -> Iterator[Draft]:
        for at, line, tank, eggs in self.hatching:
            if at == day:
                hour = 21.5 if line.hatches_in == 0 else self.chance.uniform(7, 20)
                yield from self._born(line, tank, day, eggs, self._at(hour))

    def _born(self, line: _Kept, tank: str, day: int, eggs: int, at: datetime) -> Iterator[Draft]:
        hatched = round(eggs * self.chance.betavariate(6, 3))
        living = [one for one in self.broods if one.line is line and one.number > 0]
        nursery = line.nursery[len(living) % len(line.nursery)]
        if hatched < 3:
            return
        self.number += 1
        stock, label = self.log.new_id(), f"{line.name} {self.number}"
        yield Draft(kind="stock_opened", happened=at, stock=stock, line=self.ids[line.name], details={
            "label": label, "kind": "brood", "born": at.date().isoformat(),
            "origin": ({"breeding_set": self.breeders[tank][2], "share": 1.0},),
        })  # fmt: skip
        yield came("born", stock, self.places[nursery],
                   Tally(number=hatched, low=round(hatched * 0.75), high=round(hatched * 1.3), method="by eye"), at,
                   details={"set": self.breeders[tank][2]})  # fmt: skip
        self.broods.append(
            _Brood(stock=stock, place=nursery, number=hatched, born=day, label=label, line=line)
        )

    def _broods(self, day: int) -> Iterator[Draft]:
        for brood in self.broods:
            age = day - brood.born
            if brood.number <= 0 or age < 1:
                continue
            rate = 0.018 if age < 14 else 0.0018
            lost = sum(self.chance.random() < rate for _ in range(brood.number))
            place = self.places[brood.place]
            seen = sum(self.chance.random() < 0.6 for _ in range(lost))
            brood.number -= lost
            if seen:
                yield died(brood.stock, place, seen, self._at(8.2))
            if age in {21, 30, 60, 100}:
                yield counted(brood.stock, place, brood.number, self._at(18.5), method="with a net")
            if age == 10 and brood.number > 20:
                guess = round(brood.number, -1)
                tally = Tally(number=guess, low=round(guess * 0.8), high=round(guess * 1.3))
                yield estimated(brood.stock, place, tally, self._at(18.2))
            if age % 14 == 0 and age <= 140:
                length = 26.0 * (1 - 0.78 * 0.985**age) * self.chance.uniform(0.96, 1.04)
                read = Observed(quantity="length", value=round(length, 1), unit="mm")
                yield Draft(
                    kind="measured", happened=self._at(18.6), stock=brood.stock, place=place,
                    details={"number": 5}, observed=(read,),
                )  # fmt: skip
            if age in {105, 120, 135, 150} and brood.number > 6:
                yield from self._leaving(brood, place)

    def _leaving(self, brood: _Brood, place: str) -> Iterator[Draft]:
        number = max(brood.number // 3, 2)
        brood.number -= number
        how = self.chance.choice(("sold", "sold", "given"))
        more: dict[str, Plain] = (
            {"price": 2.5 * number, "currency": "EUR"} if how == "sold" else {"to": "a friend"}
        )
        yield counted(brood.stock, place, brood.number + number, self._at(16), method="in a bag")
        yield left(
            brood.stock, place, number, self._at(16.1), "sold" if how == "sold" else "given", details=more
        )
        if self.chance.random() < 0.4 and brood.number > 2:
            brood.number -= 1
            yield culled(brood.stock, place, 1, self._at(16.2), cause="bent spine")

    def _tests(self, day: int) -> Iterator[Draft]:
        tanks = ("A1", "A5", "B6", "C2", "D1", "D3", "Q1")
        for number, tank in enumerate(one for one in tanks if one in self.places):
            if day % 7 != number % 7:
                continue
            falling = max(day - 300, 0) * 0.045 if tank == "D3" else 0.0
            kh = max(6.0 - falling + self.chance.gauss(0, 0.3), 1.0)
            ph = 7.4 + 0.1 * self.chance.gauss(0, 1) - (0.02 * falling)
            nitrate = 18 + 0.03 * day * (tank == "C2") + self.chance.gauss(0, 3)
            yield water_tested(self.places[tank], self._at(19), (
                Observed(quantity="ph", value=round(ph, 1)),
                Observed(quantity="kh", value=float(round(kh)), unit="°dH", method="drops"),
                Observed(quantity="no3", value=float(max(round(nitrate / 5) * 5, 0)), unit="mg/L"),
                Observed(quantity="no2", value=0.0 if day % 97 else 0.1, unit="mg/L"),
                Observed(quantity="temperature", value=round(24.2 + self.chance.gauss(0, 0.4), 1), unit="°C"),
            ))  # fmt: skip

    def _work(self, day: int) -> Iterator[Draft]:
        for label, _, every, _ in _TASKS:
            if day % round(every) == 0 and self.chance.random() < 0.93:
                yield Draft(kind="task_done", happened=self._at(7.1 if "evening" not in label else 19.6),
                            details={"task": self.tasks[label]})  # fmt: skip
        for number, (label, task) in enumerate(self.tasks.items()):
            what, _, tank = label.partition(", ")
            if tank not in self.places:
                continue
            if what.startswith("Rinse") and (day + 7 * number) % 45 == 3 and self.chance.random() < 0.9:
                yield Draft(
                    kind="task_done", happened=self._at(17.2), place=self.places[tank], details={"task": task}
                )
            if what.startswith("Read") and (day + number) % 7 == 0 and self.chance.random() < 0.9:
                read = Observed(
                    quantity="temperature", value=round(24.1 + self.chance.gauss(0, 0.5), 1), unit="°C"
                )
                yield Draft(kind="task_done", happened=self._at(18.9), place=self.places[tank], details={"task": task},
                            observed=(read,))  # fmt: skip
        if day % 12 == 4:
            labels = sorted(self.places)
            tank = labels[day // 12 % len(labels)]
            yield Draft(
                kind="cleaned",
                happened=self._at(17),
                place=self.places[tank],
                details={"what": "filter sponge"},
            )

    def _once(self, day: int) -> Iterator[Draft]:
        """What happened once: new fish in quarantine, a treatment, a net in two tanks, a cut of the power."""
        if day == 340 and "Q1" in self.places and self.lines:
            line, place = self.lines[0], self.places["Q1"]
            self.newcomer, self.number = self.log.new_id(), self.number + 1
            label = f"{line.name} {self.number}"
            yield Draft(
                kind="stock_opened", happened=self._at(15), stock=self.newcomer, line=self.ids[line.name],
                details={"label": label, "kind": "group", "came_from": "a show"},
            )  # fmt: skip
            yield came("arrived", self.newcomer, place, Tally(number=8), self._at(15.1),
                       details={"price": 48.0, "currency": "EUR", "from": "a show"})  # fmt: skip
            shut: dict[str, Plain] = {"quarantine": self.log.new_id(), "places": (place,), "least_days": 60}
            yield Draft(
                kind="quarantine_opened", happened=self._at(15.2), place=place, reason="new fish from a show",
                details=shut,
            )  # fmt: skip
        if day == 370 and "Q1" in self.places and self.lines:
            yield died(self.newcomer, self.places["Q1"], 2, self._at(8), cause="white spots")
            yield Draft(kind="treated", happened=self._at(8.5), place=self.places["Q1"], stock=self.newcomer, details={
                "with": "salt", "dose": "2 g/L", "days": 10, "withdrawal_days": 0, "why": "white spots",
                "by": "a veterinarian, by telephone"})  # fmt: skip
        if day in {380, 381} and {"A3", "A5"} <= self.places.keys():
            for hour, tank in ((18.0, "A3"), (18.2, "A5")):
                yield Draft(
                    kind="tool_used",
                    happened=self._at(hour),
                    place=self.places[tank],
                    details={"tool": self.net},
                )
        if day == 384 and "D1" in self.places:
            yield died_unassigned(self.places["A1"], 1, self._at(7.5), note="on the floor behind the rack")
            yield Draft(
                kind="incident",
                happened=self._at(7.0),
                details={"what": "Power cut of two hours before dawn"},
            )
        if day == 388 and "A4" in self.breeders:
            _females, males, _ = self.breeders["A4"]
            yield moved(males, self.places["A4"], self.places["A3"], 1, self._at(18), tool=self.net)
        if day % 90 == 60:
            yield Draft(kind="paid", happened=self._at(12), details={
                "amount": 36.0, "currency": "EUR", "what": "dry food and eggs of brine shrimp"})  # fmt: skip
