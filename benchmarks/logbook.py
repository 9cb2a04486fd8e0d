"""How fast the logbook answers after three years of 2,000 tanks, two events a day each: 4.38 million events.

"work" is what the processor did of it: the rest is waiting for the disk, and for whoever else is at work on the
machine. Beside it what a keeper would search instead: the same events in one table, as CSV, and for the smallest book
as a spreadsheet. Run: python -m benchmarks.logbook [days ...]; 25, 250 and 1,095 days by default.
"""

from __future__ import annotations

import csv
import resource
import shutil
import sqlite3
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random

from sqlalchemy import Index, Table
from sqlalchemy.schema import CreateIndex, DropIndex

from tankwright.husbandry.facts import died
from tankwright.husbandry.records import Draft
from tankwright.logbook.engine import reading, writing
from tankwright.logbook.ids import micros
from tankwright.logbook.listing import happenings
from tankwright.logbook.rebuild import audit, rebuild
from tankwright.logbook.schema import EVENT, FLOW, OBSERVED
from tankwright.logbook.store import By, Logbook, Recorded

TANKS = 2000
EVERY = (5, 14, 30)  # days from one to the next, for each task of a tank
TASKS = len(EVERY)
DAYS = (25, 250, 1095)
START = datetime(2023, 1, 1, tzinfo=UTC)
DAY = 86_400_000_000
GOAL = 0.010
REBUILD_GOAL = 60.0
CENSUS_GOAL = 0.3
CALLS = 41
SHEET_ROWS = 200_000  # more than this no spreadsheet is asked: it would take minutes to write

HASH = "0" * 64


class Life:
    """Events of one tank after another, each in the order of its days; the fish in them always add up."""

    def __init__(self, days: int) -> None:
        self.days = days
        self.serial = 0
        self.events: list[tuple[object, ...]] = []
        self.flows: list[tuple[object, ...]] = []
        self.observed: list[tuple[object, ...]] = []

    def event(
        self, kind: str, place: str, at: int, stock: str = "", details: str = "{}", thing: str = ""
    ) -> str:
        """One event; what is returned is its name."""
        self.serial += 1
        name = f"{at // 1000:011x}{self.serial:015d}"
        self.events.append((place, at, name, self.serial, kind, at + 60_000_000, stock, "", "AB", "phone", None, "",
                            0, None, "", "", "", details, HASH, thing))  # fmt: skip
        return name

    def flow(self, event: str, at: int, stock: str, *ends: tuple[str, str, int]) -> None:
        """What an event moves: account, place, number."""
        self.flows += [
            (event, number, stock, place, account, fish, at, at + 60_000_000)
            for number, (account, place, fish) in enumerate(ends)
        ]

    def read(self, event: str, at: int, place: str, stock: str, **values: float) -> None:
        """What was read at an event."""
        self.observed += [
            (event, number, place, stock, quantity, at, value, None, None, "", "")
            for number, (quantity, value) in enumerate(values.items())
        ]

    def tank(self, number: int) -> None:
        """The life of one tank: a stock a year, fed, looked at, tested, counted, and moved to the tank next to it."""
        lot, place, beside = Random(number), f"p{number:04d}", f"p{(number + 1) % TANKS:04d}"
        start = micros(START) + number * 1000
        held, stock = 0, ""
        for task in range(TASKS):
            name = f"t{number:04d}{task}"
            said = f'{{"task": "{name}", "label": "Task {task}", "every_days": {EVERY[task]}}}'
            self.event("task_set", place, start, details=said, thing=name)
        for half in range(2 * self.days):
            at = start + (half + 1) * (DAY // 2) + lot.randrange(DAY // 4)
            if half % 730 == 0:
                if held:
                    self._goes("sold", "left", place, stock, at - 2, held)
                stock, held = f"s{number:04d}{half // 730}", 0
                opened = f'{{"label": "S{number}.{half // 730}", "kind": "group"}}'
                self.event("stock_opened", "", at - 1, stock, opened, stock)
            draw = lot.random()
            if held < 6:
                held += self._comes(place, stock, at, 30)
            elif draw < 0.12:
                held -= self._goes("dead", "died", place, stock, at, 1)
            elif draw < 0.18:
                held -= self._goes("sold", "left", place, stock, at, lot.randint(1, 4))
            elif draw < 0.22:
                name = self.event("moved", place, at, stock, f'{{"to": "{beside}"}}')
                self.flow(name, at, stock, ("held", place, -1), ("held", beside, 1))
                held -= 1
            elif draw < 0.25:
                seen = max(held - lot.randint(0, 1), 0)
                self.read(self.event("counted", place, at, stock), at, place, stock, count=float(seen))
                held = seen
            elif draw < 0.33:
                tested = self.event("tested", place, at)
                self.read(tested, at, place, "", ph=7 + lot.random(), kh=float(lot.randint(4, 8)), no3=20.0)
            elif draw < 0.63:
                name = f"t{number:04d}{lot.randrange(TASKS)}"
                self.event("task_done", place, at, details=f'{{"task": "{name}"}}', thing=name)
            else:
                self.event("fed" if draw < 0.85 else "looked", place, at)

    def _comes(self, place: str, stock: str, at: int, fish: int) -> int:
        name = self.event("arrived", place, at, stock)
        self.flow(name, at, stock, ("held", place, fish), ("arrived", "", -fish))
        return fish

    def _goes(self, account: str, kind: str, place: str, stock: str, at: int, fish: int) -> int:
        self.flow(self.event(kind, place, at, stock), at, stock, ("held", place, -fish), (account, "", fish))
        return fish


def filled(path: Path, days: int) -> int:
    """A book with so many days of all tanks, nothing that follows from them yet; the number of events."""
    book = Logbook(path, now=lambda: START)
    places = [
        Draft(kind="place_opened", happened=START, place=f"p{number:04d}",
              details={"label": f"T{number}", "kind": "tank", "order": number})
        for number in range(TANKS)
    ]  # fmt: skip
    outcome = book.record(places, By(who="AB"))
    if not isinstance(outcome, Recorded):
        raise RuntimeError(outcome)
    book.close()
    connection = sqlite3.connect(path)
    for pragma in ("synchronous = OFF", "cache_size = -4000000", "temp_store = MEMORY"):
        connection.execute(f"PRAGMA {pragma}")
    indexes: list[Index] = [index for table in (EVENT, FLOW, OBSERVED) for index in table.indexes]
    # what guards the book looks every row up by the indexes that are made last
    guards = connection.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
    for name, _ in guards:
        connection.execute(f'DROP TRIGGER "{name}"')
    for index in indexes:
        connection.execute(str(DropIndex(index).compile(dialect=book.engine.dialect)))
    life = Life(days)
    life.serial = TANKS
    for number in range(TANKS):
        life.tank(number)
        if number % 50 == 49 or number == TANKS - 1:
            for table, rows in ((EVENT, life.events), (FLOW, life.flows), (OBSERVED, life.observed)):
                connection.executemany(_insert(table), rows)
                rows.clear()
    for index in indexes:
        connection.execute(str(CreateIndex(index).compile(dialect=book.engine.dialect)))
    for _, text in guards:
        connection.execute(text)
    connection.commit()
    connection.close()
    return life.serial


def _insert(table: Table) -> str:
    names = ", ".join(f'"{one.name}"' for one in table.columns)
    return f'INSERT INTO "{table.name}" ({names}) VALUES ({", ".join("?" * len(table.columns))})'


Measured = tuple[float, float, float, float]
"""The median and the slowest of some calls, the median of what the processor worked for one, and the goal; s."""


class Watch:
    """A watch for the part of a call that is timed."""

    def __init__(self) -> None:
        self.times: list[tuple[float, float]] = []

    def __enter__(self) -> None:
        self.began = time.perf_counter(), time.process_time()

    def __exit__(self, *_: object) -> None:
        wall, work = self.began
        self.times.append((time.perf_counter() - wall, time.process_time() - work))

    def read(self, goal: float) -> Measured:
        """What was measured, the first three calls not counted."""
        walls, works = zip(*self.times[3:], strict=True)
        return statistics.median(walls), max(walls), statistics.median(works), goal


def timed(call: Callable[[int], object], goal: float = GOAL, calls: int = CALLS) -> Measured:
    """Some calls, each with a number of its own."""
    watch = Watch()
    for turn in range(calls + 3):
        with watch:
            call(turn)
    return watch.read(goal)


def as_csv(book: Logbook, path: Path) -> None:
    """The same events as a keeper would have them in one table."""
    with reading(book.engine) as connection, path.open("w", newline="", encoding="utf-8") as file:
        table = csv.writer(file)
        table.writerow(("happened", "place", "kind", "stock", "details"))
        rows = connection.exec_driver_sql("SELECT happened, place, kind, stock, details FROM event")
        while part := rows.fetchmany(10_000):
            table.writerows(tuple(one) for one in part)


def scanned(path: Path, place: str) -> int:
    """How many rows of one tank a table has, read through from its beginning."""
    with path.open(newline="", encoding="utf-8") as file:
        return sum(row[1] == place for row in csv.reader(file))


def sheet_opened(path: Path, place: str) -> int:
    """The same in a spreadsheet, opened and searched."""
    from openpyxl import load_workbook  # noqa: PLC0415 - only the smallest book is searched in it

    sheet = load_workbook(path, read_only=True).active
    return sum(row[1] == place for row in sheet.iter_rows(values_only=True))


def as_sheet(table: Path, path: Path) -> None:
    """A table as a spreadsheet."""
    from openpyxl import Workbook  # noqa: PLC0415 - as above

    book = Workbook(write_only=True)
    sheet = book.create_sheet()
    with table.open(newline="", encoding="utf-8") as file:
        for row in csv.reader(file):
            sheet.append(row)
    book.save(path)


def measured(folder: Path, days: int) -> None:
    """Fill a book and ask it."""
    path = folder / "logbook.sqlite"
    start = time.perf_counter()
    with ProcessPoolExecutor(1) as other:  # its memory is not that of what is measured
        number = other.submit(filled, path, days).result()
    print(f"\n{number:,} events, {TANKS:,} tanks, {days:,} days; written in {time.perf_counter() - start:.0f} s, "
          f"{path.stat().st_size / 1e6:,.0f} MB before what follows")  # fmt: skip
    end = START + timedelta(days=days + 1)
    book = Logbook(path, now=lambda: end)
    start = time.perf_counter()
    with writing(book.engine) as connection:
        rebuild(connection)
    took = time.perf_counter() - start
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e3
    print(f"  rebuild of all that follows   {took:8.1f} s  (goal {REBUILD_GOAL:.0f} s; {memory:,.0f} MB at most)"
          f"  {path.stat().st_size / 1e6:,.0f} MB")  # fmt: skip
    start = time.perf_counter()
    with reading(book.engine) as connection:
        found = audit(connection)
    print(f"  audit, nothing written        {time.perf_counter() - start:8.1f} s  ({len(found)} differences)")
    answers = dict(asked(book, end))
    for name, (median, slowest, work, goal) in answers.items():
        print(f"  {name:28}{1000 * median:9.2f} ms  (work {1000 * work:.2f}, slowest {1000 * slowest:.2f}, "
              f"goal {1000 * goal:.0f})")  # fmt: skip
    page = answers["tank page"][0]
    as_csv(book, folder / "events.csv")
    by_table = timed(lambda turn: scanned(folder / "events.csv", f"p{turn:04d}"), 1 if number > 10**6 else 3)[
        0
    ]
    print(f"  a table searched for a tank   {by_table:8.2f} s   {by_table / page:,.0f} times the tank page")
    if number <= SHEET_ROWS:
        as_sheet(folder / "events.csv", folder / "events.xlsx")
        by_sheet = timed(lambda turn: sheet_opened(folder / "events.xlsx", f"p{turn:04d}"), calls=1)[0]
        print(
            f"  a spreadsheet opened for it   {by_sheet:8.2f} s   {by_sheet / page:,.0f} times the tank page"
        )
    book.close()


def asked(book: Logbook, end: datetime) -> Iterator[tuple[str, Measured]]:
    """What a day in the room asks for."""
    half = START + (end - START) / 2

    def page(turn: int) -> None:
        place = f"p{turn * 37 % TANKS:04d}"
        book.place(place)
        book.holdings(place=place)
        happenings(book, place=place, limit=50)
        book.tasks(place=place)

    def written(watch: Watch, turn: int, at: datetime) -> None:
        place = f"p{turn * 41 % TANKS:04d}"
        held = max(book.holdings(place=place), key=lambda one: one.held)
        draft = died(held.stock, place, 1, max(at, held.since or at))
        with watch:
            outcome = book.record([draft], By(who="AB", key=f"{at}{turn}"))
        if not isinstance(outcome, Recorded):
            raise RuntimeError(outcome)

    yield "tank page", timed(page)
    yield "due list", timed(lambda _: book.due(end - timedelta(days=1)))
    for name, at in (("one event written", end), ("one written for long ago", half)):
        watch = Watch()
        for turn in range(CALLS + 3):
            written(watch, turn, at)
        yield name, watch.read(GOAL)
    yield "numbers held of a tank", timed(lambda turn: book.holdings(place=f"p{turn * 29:04d}"))
    yield (
        "a year's tests of a tank",
        timed(
            lambda turn: book.readings(
                place=f"p{turn * 31:04d}", quantities=("ph",), since=end - timedelta(days=365)
            )
        ),
    )
    yield "rows of a tank's history", timed(lambda turn: _rows_of(book, f"p{turn * 23:04d}"))
    yield "a tank's history as events", timed(lambda turn: book.events(place=f"p{turn * 23:04d}"), 0.1, 11)
    yield (
        "census of a past day",
        timed(lambda turn: book.holdings_at(half + timedelta(hours=turn)), CENSUS_GOAL, 7),
    )


def _rows_of(book: Logbook, place: str) -> int:
    with reading(book.engine) as connection:
        query = "SELECT * FROM event WHERE place = ? ORDER BY happened"
        return len(connection.exec_driver_sql(query, (place,)).fetchall())


def run(days: tuple[int, ...] = DAYS) -> None:
    """Print it for each length of life."""
    print("The logbook")
    for one in days:
        folder = Path(tempfile.mkdtemp(prefix="logbook"))
        try:
            measured(folder, one)
        finally:
            shutil.rmtree(folder)


if __name__ == "__main__":
    run(tuple(int(one) for one in sys.argv[1:]) or DAYS)
