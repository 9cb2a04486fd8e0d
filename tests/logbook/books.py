"""Small rooms to write in books: a clock, a few tanks and stocks, a life of some length, all of it invented."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from random import Random

from tankwright.husbandry.facts import Tally, came, counted, died, moved, water_tested
from tankwright.husbandry.records import Draft, Event, Observed
from tankwright.logbook.engine import reading
from tankwright.logbook.rebuild import audit
from tankwright.logbook.store import By, Logbook, Recorded, Refused

START = datetime(2026, 3, 1, 8, tzinfo=UTC)
ADA = By(who="Ada", device="phone")


class Clock:
    """A clock that goes on by a second with every look; `at` may be set."""

    def __init__(self, at: datetime = START + timedelta(days=300)) -> None:
        self.at = at

    def __call__(self) -> datetime:
        self.at += timedelta(seconds=1)
        return self.at


def after(days: float = 0.0, minutes: float = 0.0) -> datetime:
    """A moment so long after the start."""
    return START + timedelta(days=days, minutes=minutes)


def place(name: str, label: str = "", at: datetime = START) -> Draft:
    return Draft(
        kind="place_opened", happened=at, place=name, details={"label": label or name, "kind": "tank"}
    )


def stock(name: str, label: str = "", at: datetime = START, line: str = "") -> Draft:
    return Draft(kind="stock_opened", happened=at, stock=name, line=line,
                 details={"label": label or name, "kind": "group"})  # fmt: skip


def line(name: str, at: datetime = START) -> Draft:
    return Draft(kind="line_opened", happened=at, line=name, details={"name": name, "species": "invented"})


def draft_task(name: str, where: str) -> list[Draft]:
    """Work of a tank that comes every week, done once."""
    said = {"task": name, "label": name, "every_days": 7}
    return [Draft(kind="task_set", happened=START, place=where, details=said),
            Draft(kind="task_done", happened=after(3), place=where, details={"task": name})]  # fmt: skip


def ph(where: str, value: float, at: datetime) -> Draft:
    return water_tested(where, at, [Observed(quantity="ph", value=value, low=value - 0.1, high=value + 0.1)])


def done(outcome: Recorded | Refused) -> tuple[Event, ...]:
    """The events of what was recorded."""
    assert isinstance(outcome, Recorded), outcome
    return outcome.events


def codes(outcome: Recorded | Refused) -> list[str]:
    """The codes of what was refused."""
    assert isinstance(outcome, Refused), outcome
    return [one.code for one in outcome.findings]


def begin(book: Logbook) -> None:
    """Two tanks, two stocks, and twenty fish in the first of each."""
    done(book.record([line("l1"), place("a"), place("b"), stock("s", line="l1"), stock("t"),
                      came("arrived", "s", "a", Tally(number=20), START),
                      came("born", "t", "b", Tally(number=90, low=70, high=120), START)], ADA))  # fmt: skip


def live(book: Logbook, days: int, seed: int = 1) -> None:
    """A life of some days after `begin`: deaths, moves, counts, tests, and now and then something voided."""
    lot = Random(seed)
    for day in range(1, days + 1):
        at = after(day)
        kind = lot.choice(["died", "moved", "counted", "tested", "voided"])
        if kind == "died":
            book.record([died("s", "a", 1, at)], ADA)
        elif kind == "moved":
            book.record([moved("s", *lot.sample(["a", "b"], 2), lot.randint(1, 4), at)], ADA)
        elif kind == "counted":
            held = sum(one.held for one in book.holdings(place="a", stock="s"))
            done(book.record([counted("s", "a", max(held - lot.randint(-1, 2), 0), at)], ADA))
        elif kind == "tested":
            done(book.record([ph("a", lot.uniform(6, 8), at), ph("b", 7, at)], ADA))
        else:
            last = book.events(kinds=("died", "moved", "counted"), newest_first=True, limit=1)
            if last:
                book.void(last[0].id, ADA, reason="a slip")


def follows(book: Logbook) -> None:
    """All that follows from the events stands, and nothing else; the chain of seals is whole."""
    with reading(book.engine) as connection:
        assert audit(connection) == ()
    assert book.verify().broken is None


def said(book: Logbook) -> tuple[object, ...]:
    """All that a book says of fish and things, but not in which order it came to know."""
    events = sorted(
        (one.id, one.kind, one.happened, one.place, one.voids) for one in book.events(only_standing=False)
    )
    return (events, book.holdings(), book.conflicts(), book.places(closed=True), book.stocks(closed=True), book.lines(),
            book.moved(), book.readings())  # fmt: skip
