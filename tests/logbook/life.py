"""The life of a small room as hypothesis makes it up, written into a real book, and the properties it must keep.

Two stocks, `s` and `t`, are always counted exactly, so that ten lines (`plainly`) say what must be held of them; `u` is
guessed at. No two events happen at one moment, so that the order in which they come to the book can be shuffled.
"""

from __future__ import annotations

import shutil
import tempfile
from collections import Counter, defaultdict
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from functools import cache
from pathlib import Path
from typing import Any, ClassVar

from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)
from sqlalchemy import event as sqlalchemy_event
from sqlalchemy import select

from tankwright.husbandry.balance_sheet import balance_sheet
from tankwright.husbandry.facts import Tally, came, counted, culled, died, estimated, left, moved, regrouped
from tankwright.husbandry.records import Draft
from tankwright.husbandry.register import Holding
from tankwright.logbook.engine import reading, writing
from tankwright.logbook.exchange import export_book
from tankwright.logbook.exchange_reading import Export
from tankwright.logbook.merging import import_export
from tankwright.logbook.outcome import NoLogbookError
from tankwright.logbook.pictures import Pictures
from tankwright.logbook.rebuild import audit, rebuild
from tankwright.logbook.schema import BALANCE, CONFLICT, DERIVED, FOLLOWS, HELD, RECORDED
from tankwright.logbook.store import By, Logbook, Recorded, Refused

from .books import START, place, stock

PLACES = ("a", "b", "c")
EXACT = ("s", "t")
STOCKS = (*EXACT, "u")
EVERY = frozenset(f"P{number}" for number in range(1, 13))
HOUR = timedelta(hours=1)

Series = tuple[str, str]
Window = tuple[datetime, datetime | None, int]


@dataclass(slots=True)
class Said:
    """A draft that stands in the book, by its id there; `normal` when it was entered as it happened."""

    id: str
    draft: Draft
    key: str
    voided: bool = False

    def touches(self) -> set[Series]:
        held = {(one.stock, one.place) for one in self.draft.flows if one.account == "held"}
        seen = (
            {(self.draft.stock, self.draft.place)} if self.draft.kind in {"counted", "estimated"} else set()
        )
        return held | seen


@dataclass(slots=True)
class Plain:
    """What ten lines say of exact stocks."""

    held: Counter[Series] = field(default_factory=Counter)
    windows: defaultdict[Series, list[Window]] = field(default_factory=lambda: defaultdict(list))
    unknown: Counter[Series] = field(default_factory=Counter)


def plainly(said: list[Said]) -> Plain:
    """The number held of exact stocks, when it would have been below nothing, and what counts miss."""
    made = Plain()
    for one in sorted((one for one in said if not one.voided), key=lambda one: one.draft.happened):
        for series in sorted(series for series in one.touches() if series[0] in EXACT):
            before = made.held[series]
            if one.draft.kind == "counted":
                made.held[series] = int(one.draft.observed[0].value or 0)
                made.unknown[series] += made.held[series] - before
            else:
                made.held[series] += sum(
                    f.quantity
                    for f in one.draft.flows
                    if f.account == "held" and (f.stock, f.place) == series
                )
            at, now, windows = one.draft.happened, made.held[series], made.windows[series]
            if windows and windows[-1][1] is None:
                since, _, least = windows[-1]
                windows[-1] = (since, None, min(least, now)) if now < 0 else (since, at, least)
            elif now < 0:
                windows.append((at, None, now))
    return made


@cache
def _template() -> Path:
    path = Path(tempfile.mkdtemp(prefix="life")) / "logbook.sqlite"
    book = Logbook(path, now=lambda: START + HOUR)
    outcome = book.record([*(place(one) for one in PLACES), *(stock(one) for one in STOCKS)], By(who="Ada"))
    assert isinstance(outcome, Recorded)
    book.close()
    return path


@cache
def _empty() -> Path:
    path = Path(tempfile.mkdtemp(prefix="life")) / "logbook.sqlite"
    Logbook(path).close()
    return path


def new_book(folder: Path, name: str, clock: Any) -> Logbook:
    """A copy of a book with three tanks and three stocks, which waits for no disk."""
    path = folder / name
    shutil.copy(_template(), path)
    book = Logbook(path, now=clock)

    @sqlalchemy_event.listens_for(book.engine, "checkout")
    def _checked_out(connection: Any, *_: Any) -> None:
        connection.execute("PRAGMA synchronous = OFF")

    return book


NUMBERS = st.integers(0, 12)
WHERE = st.sampled_from(PLACES)
WHICH = st.sampled_from(EXACT)
BACK = st.one_of(st.none(), st.floats(0.01, 0.99))
PICK = st.integers(0, 10_000)


class Life(RuleBasedStateMachine):
    """What people enter, in any order, and what must hold after each of it."""

    wanted: ClassVar[frozenset[str]] = EVERY

    def __init__(self) -> None:
        super().__init__()
        self.folder = Path(tempfile.mkdtemp(prefix="life"))
        self.time = START + 2 * HOUR
        self.number = 0
        self.book = new_book(self.folder, "book.sqlite", self.clock)
        self.said: list[Said] = []
        self.voids: list[str] = []
        self.remembered: dict[datetime, tuple[Holding, ...]] = {}

    def teardown(self) -> None:
        try:
            self._at_the_end()
        finally:
            self.book.close()
            shutil.rmtree(self.folder)

    def clock(self) -> datetime:
        """A clock that never shows one moment twice."""
        self.time += timedelta(microseconds=1)
        return self.time

    def holds(self, name: str, what: bool, why: object = "") -> None:
        """Say that a property holds, when it is looked at."""
        if name in self.wanted:
            assert what, f"{name} {why}"

    # --- what people do ------------------------------------------------------------------------------------

    def _moment(self, back: float | None) -> datetime:
        """Now, or a moment of the past at which nothing else happened."""
        self.number += 1
        self.time += HOUR
        own = timedelta(microseconds=self.number)
        return self.time + own if back is None else START + HOUR + (self.time - START - 3 * HOUR) * back + own

    def _enter(self, draft: Draft) -> None:
        key = f"k{self.number}"
        too_many = self._too_many(Said("", draft, key))
        before = self._rows(*RECORDED, *FOLLOWS) if "P4" in self.wanted else []
        outcome = self.book.record([draft], By(who="Ada", key=key))
        if draft.stock in EXACT:
            self.holds("P4", too_many == isinstance(outcome, Refused), outcome)
        if isinstance(outcome, Refused):
            self.holds(
                "P4", not before or self._rows(*RECORDED, *FOLLOWS) == before, "a refusal changed something"
            )
            assert {one.code for one in outcome.findings} == {"LEDGER-01"}, outcome
            return
        assert isinstance(outcome, Recorded)
        assert not outcome.repeated
        (event,) = outcome.events
        self._forget(draft.happened)
        self.said.append(Said(event.id, replace(draft, happened=event.happened), key))

    def _too_many(self, new: Said) -> bool:
        """Whether something takes more than there is from where nothing later was said."""
        held = plainly(self.said).held
        after = plainly([*self.said, new]).held
        return any(
            after[series] < 0 and after[series] < held[series]
            for series in new.touches()
            if not any(
                series in one.touches() and not one.voided and one.draft.happened > new.draft.happened
                for one in self.said
            )
        )

    def _forget(self, since: datetime) -> None:
        self.remembered = {at: seen for at, seen in self.remembered.items() if at < since}

    @rule(
        stock=WHICH,
        where=WHERE,
        number=NUMBERS,
        back=BACK,
        kind=st.sampled_from(("born", "arrived", "found")),
    )
    def come(self, stock: str, where: str, number: int, back: float | None, kind: Any) -> None:
        self._enter(came(kind, stock, where, Tally(number=number), self._moment(back)))

    @rule(
        stock=WHICH,
        where=WHERE,
        number=NUMBERS,
        back=BACK,
        how=st.sampled_from(("died", "culled", "sold", "given")),
    )
    def go(self, stock: str, where: str, number: int, back: float | None, how: Any) -> None:
        at = self._moment(back)
        if how in {"died", "culled"}:
            draft = (died if how == "died" else culled)(stock, where, number, at)
        else:
            draft = left(stock, where, number, at, how)
        self._enter(draft)

    @rule(stock=WHICH, where=st.permutations(PLACES), number=NUMBERS, back=BACK)
    def move(self, stock: str, where: list[str], number: int, back: float | None) -> None:
        self._enter(moved(stock, where[0], where[1], number, self._moment(back)))

    @rule(
        stocks=st.permutations(EXACT), where=st.tuples(WHERE, WHERE), number=NUMBERS, more=NUMBERS, back=BACK
    )
    def regroup(
        self, stocks: list[str], where: tuple[str, str], number: int, more: int, back: float | None
    ) -> None:
        one, other = stocks
        parts = [(one, where[0], -number), (one, where[1], -more), (other, where[1], number + more)]
        self._enter(regrouped(parts, self._moment(back)))

    @rule(stock=WHICH, where=WHERE, number=NUMBERS, back=BACK)
    def count(self, stock: str, where: str, number: int, back: float | None) -> None:
        self._enter(counted(stock, where, number, self._moment(back)))

    @rule(stock=WHICH, where=WHERE, dead=st.integers(1, 4), number=st.integers(0, 9))
    def week(self, stock: str, where: str, dead: int, number: int) -> None:
        """Some come, some die, and at the end they are counted."""
        self._enter(came("arrived", stock, where, Tally(number=10), self._moment(None)))
        self._enter(died(stock, where, dead, self._moment(None)))
        self._enter(counted(stock, where, number, self._moment(None)))

    @rule(where=WHERE, number=NUMBERS, under=NUMBERS, over=NUMBERS, back=BACK,
          what=st.sampled_from(("born", "died", "moved", "estimated", "counted")))  # fmt: skip
    def guess(self, where: str, number: int, under: int, over: int, back: float | None, what: str) -> None:
        at = self._moment(back)
        tally = Tally(number=number, low=max(number - under, 0), high=number + over)
        to = PLACES[(PLACES.index(where) + 1) % 3]
        draft = {
            "born": lambda: came("born", "u", where, tally, at), "died": lambda: died("u", where, number, at),
            "moved": lambda: moved("u", where, to, number, at), "estimated": lambda: estimated("u", where, tally, at),
            "counted": lambda: counted("u", where, number, at),
        }[what]()  # fmt: skip
        self._enter(draft)

    def _standing(self, pick: int, *kinds: str) -> Said | None:
        there = [one for one in self.said if not one.voided and (not kinds or one.draft.kind in kinds)]
        return there[pick % len(there)] if there else None

    def _void(self, one: Said, instead: list[Draft]) -> bool:
        self.number += 1
        key = f"k{self.number}"
        outcome = self.book.void(one.id, By(who="Ada", key=key), reason="a slip", instead=instead)
        if isinstance(outcome, Refused):
            assert {fault.code for fault in outcome.findings} == {"LEDGER-01"}, outcome
            return False
        one.voided = True
        self.voids.append(one.id)
        self._forget(min([one.draft.happened, *(draft.happened for draft in instead)]))
        for number, (event, draft) in enumerate(zip(outcome.events[1:], instead, strict=True), 2):
            self.said.append(Said(event.id, draft, f"{key}/{number}"))
        return True

    @precondition(lambda self: self.said)
    @rule(pick=PICK)
    def take_back(self, pick: int) -> None:
        one = self._standing(pick)
        if one is not None:
            assert self._void(one, [])
            again = self.book.void(one.id, By(who="Ada"), reason="once more")
            assert isinstance(again, Refused)

    @precondition(lambda self: self.said)
    @rule(pick=PICK)
    def say_again(self, pick: int) -> None:
        """P9: what is voided and entered again as it was changes nothing."""
        one = self._standing(pick)
        if one is not None:
            before = self._projected()
            stands = self._void(one, [one.draft])
            self.holds("P9", stands and self._projected() == before, "the same again is not the same")

    @precondition(lambda self: self.said)
    @rule(pick=PICK, number=NUMBERS)
    def correct(self, pick: int, number: int) -> None:
        """P7: what is corrected before a count leaves today's number, and what died more is lost less."""
        one = self._standing(pick, "died")
        if one is None or one.draft.stock not in EXACT:
            return
        draft = one.draft
        series = (draft.stock, draft.place)
        pinned = any(
            not other.voided and other.draft.kind == "counted" and series in other.touches()
            and other.draft.happened > draft.happened for other in self.said
        )  # fmt: skip
        before, gone = self._held(), self._gone(series)
        self._void(one, [died(*series, number, draft.happened)])
        if pinned:
            self.holds("P7", self._held() == before, "a correction before a count changed today's number")
            self.holds("P7", self._gone(series) == gone, "it moved more than between dead and unknown")

    def _gone(self, series: Series) -> int:
        """Fish of a series that are dead or that nobody knows of."""
        dead = sum(
            one.quantity for one in self.book.moved(stock=series[0])
            if one.account == "dead" and any(it.id == one.event and it.draft.place == series[1] for it in self.said)
        )  # fmt: skip
        unknown = self.book.moved(stock=series[0], place=series[1], accounts=("lost", "found"))
        return dead + sum(one.quantity for one in unknown if one.derived)

    @precondition(lambda self: self.said)
    @rule(pick=PICK, number=NUMBERS)
    def send_again(self, pick: int, number: int) -> None:
        """P5: one key, whatever it comes with, is kept once."""
        one = self.said[pick % len(self.said)]
        if "/" in one.key:
            return
        before = self._rows(*RECORDED, *FOLLOWS)
        outcome = self.book.record(
            [counted("t", "c", number, self._moment(None))], By(who="Bea", key=one.key)
        )
        repeated = isinstance(outcome, Recorded) and outcome.repeated and outcome.events[0].id == one.id
        self.holds("P5", repeated and self._rows(*RECORDED, *FOLLOWS) == before, outcome)

    @rule(back=st.floats(0.05, 1))
    def remember(self, back: float) -> None:
        at = START + (self.time - START) * back
        self.remembered[at] = self.book.holdings_at(at)

    # --- what must hold ------------------------------------------------------------------------------------

    @invariant()
    def flows_sum_to_nothing(self) -> None:
        """P1."""
        sums: Counter[str] = Counter()
        for one in self.book.moved():
            if not one.derived:
                sums[one.event] += one.quantity
        self.holds("P1", not any(sums.values()), sums)

    @invariant()
    def sheets_balance(self) -> None:
        """P2: for the room, a stock, a tank, and a stock in a tank."""
        if "P2" not in self.wanted:
            return
        scopes: list[tuple[set[str] | None, set[str] | None]] = [(None, None), *(({one}, None) for one in STOCKS),
            *((None, {one}) for one in PLACES), ({"s"}, {"a"}), ({"u"}, {"b"})]  # fmt: skip
        stocks, places = scopes[self.number % len(scopes)]  # another one after every step
        sheet = balance_sheet(
            self.book.moved_around(stocks=stocks or (), places=places or ()), stocks=stocks, places=places
        )
        there = sum(
            one.held for one in self.book.holdings()
            if (stocks is None or one.stock in stocks) and (places is None or one.place in places)
        )  # fmt: skip
        self.holds("P2", sheet.balances and sheet.after == there, (sheet, there))

    @invariant()
    def what_stands_follows(self) -> None:
        """P3."""
        if "P3" not in self.wanted:
            return
        plain = plainly(self.said)
        held = {(one.stock, one.place): one.held for one in self.book.holdings() if one.stock in EXACT}
        self.holds("P3", held == {series: number for series, number in plain.held.items() if number}, held)
        unknown: Counter[Series] = Counter()
        for one in self.book.moved(accounts=("lost", "found")):
            if one.derived:
                unknown[one.stock, one.place] -= one.quantity
        self.holds("P3", all(unknown[series] == number for series, number in plain.unknown.items()), unknown)
        with reading(self.book.engine) as connection:
            found = audit(connection)
        self.holds("P3", found == (), found)

    @invariant()
    def a_count_pins(self) -> None:
        """P6: where a count was the last that was said, as many are held."""
        last: dict[Series, Draft] = {}
        for one in sorted((one for one in self.said if not one.voided), key=lambda one: one.draft.happened):
            last |= dict.fromkeys(one.touches(), one.draft)
        held = self._held()
        for series, draft in last.items():
            if draft.kind == "counted":
                self.holds("P6", held[series] == draft.observed[0].value, (series, held[series], draft))

    @invariant()
    def what_cannot_be_is_listed(self) -> None:
        """P11."""
        listed: defaultdict[Series, list[Window]] = defaultdict(list)
        for one in self.book.conflicts():
            listed[one.stock, one.place].append((one.since, one.until, one.least))
        for series, windows in plainly(self.said).windows.items():
            self.holds("P11", listed[series] == windows, (series, listed[series], windows))
        short = {(row[0], row[1]) for row in self._rows(HELD)[0] if row[HELD.c.keys().index("held")] < 0}
        self.holds("P11", short == {series for series, windows in listed.items() if windows}, short)

    @invariant()
    def the_past_stays(self) -> None:
        """P12: what was where at a moment is not changed by what happens later."""
        for at, seen in self.remembered.items():
            self.holds("P12", self.book.holdings_at(at) == seen, at)

    def _at_the_end(self) -> None:
        if "P3" in self.wanted:
            before = self._rows(*FOLLOWS)
            with writing(self.book.engine) as connection:
                rebuild(connection)
            self.holds("P3", self._rows(*FOLLOWS) == before, "made anew it is another")
        if "P8" in self.wanted:
            self._shuffled()
        if "P12" in self.wanted:
            self._there_and_back()

    def _there_and_back(self) -> None:
        """P12: an export taken in by an empty book is exported from there byte for byte."""
        pictures = Pictures(self.folder / "pictures")
        export_book(self.book, pictures, self.folder / "one.zip")
        shutil.copy(_empty(), self.folder / "empty.sqlite")
        other = Logbook(self.folder / "empty.sqlite", now=self.clock)
        try:
            import_export(other, pictures, Export(self.folder / "one.zip"))
        except NoLogbookError as error:
            self.holds("P12", what=False, why=error)
        export_book(other, pictures, self.folder / "two.zip")
        same = (self.folder / "one.zip").read_bytes() == (self.folder / "two.zip").read_bytes()
        holdings = other.holdings() == self.book.holdings()
        other.close()
        self.holds("P12", same and holdings, "an export does not come back as it went")

    def _shuffled(self) -> None:
        """P8: the same drafts from phones that were away, the last that happened first, say the same."""
        other = new_book(self.folder, "other.sqlite", self.clock)
        names: dict[str, str] = {}
        order = sorted(self.said, key=lambda one: (one.draft.happened.microsecond * 7919) % 101)
        for one in order:
            outcome = other.record([one.draft], By(who="Bea", key=one.key), checked=False)
            assert isinstance(outcome, Recorded), outcome
            names[one.id] = outcome.events[0].id
        for voided in reversed(self.voids):
            draft = Draft(kind="voided", happened=self.clock(), voids=names[voided], reason="a slip")
            assert isinstance(other.record([draft], By(who="Bea"), checked=False), Recorded)
        mine, theirs = self._projected(), self._projected(other)
        other.close()
        self.holds("P8", mine == theirs, "in another order it is another")

    def _held(self) -> Counter[Series]:
        return Counter({(one.stock, one.place): one.held for one in self.book.holdings()})

    def _rows(self, *tables: Any) -> list[list[tuple[Any, ...]]]:
        with reading(self.book.engine) as connection:
            return [sorted(map(tuple, connection.execute(select(table))), key=repr) for table in tables]

    def _projected(self, book: Logbook | None = None) -> list[list[tuple[Any, ...]]]:
        """What follows from events, without their names and without when they were recorded."""
        trail = {"event", "recorded", "last_event", "last_recorded"}
        with reading((book or self.book).engine) as connection:
            kept = [
                [one for one in table.c if one.name not in trail]
                for table in (HELD, BALANCE, DERIVED, CONFLICT)
            ]
            return [sorted(map(tuple, connection.execute(select(*columns))), key=repr) for columns in kept]


SLOW = (HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much)


def lives(*names: str, examples: int, steps: int = 25, only_to_find: bool = False) -> None:
    """Lead so many lives and look at these properties after every step."""
    machine = type(f"Life{'_'.join(names)}", (Life,), {"wanted": frozenset(names)})
    phases = (
        (Phase.generate,) if only_to_find else (Phase.explicit, Phase.reuse, Phase.generate, Phase.shrink)
    )
    run_state_machine_as_test(
        machine,
        settings=settings(
            max_examples=examples, stateful_step_count=steps, deadline=None, suppress_health_check=SLOW, phases=phases,
            derandomize=only_to_find, database=None,
        ),
    )  # fmt: skip
