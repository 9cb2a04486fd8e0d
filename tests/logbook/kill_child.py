"""Kills a process that writes to a book, again and again, and holds what is left against what it confirmed.

Run by test_disk.py as a program of its own, so that what it forks has one thread and starts at once.
"""

from __future__ import annotations

import os
import random
import signal
import sqlite3
import sys
import time
from collections import Counter
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

from tankwright.husbandry.facts import Tally, came, counted, died, moved
from tankwright.husbandry.records import Draft
from tankwright.logbook.backups import backups_of, look_at
from tankwright.logbook.engine import reading
from tankwright.logbook.rebuild import audit
from tankwright.logbook.store import By, Logbook, Recorded

START = datetime(2026, 3, 1, tzinfo=UTC)
ADA = By(who="Ada")


def first(book: Logbook) -> None:
    if book.count_events():
        return
    drafts = [Draft(kind="place_opened", happened=START, place=one, details={"label": one, "kind": "tank"})
              for one in ("a", "b")]  # fmt: skip
    drafts.append(
        Draft(kind="stock_opened", happened=START, stock="s", details={"label": "S", "kind": "group"})
    )
    assert isinstance(book.record(drafts, ADA), Recorded)


def write_for_ever(path: Path, tell: int) -> None:
    book = Logbook(path)
    first(book)
    turn = book.count_events()
    while True:
        turn += 1
        at = START + timedelta(minutes=turn)
        drafts = [
            came("born", "s", "a", Tally(number=3), at),
            moved("s", "a", "b", 2, at),
            died("s", "b", 1, at),
        ]
        if turn % 7 == 0:
            drafts.append(counted("s", "b", turn % 50, at))
        outcome = book.record(drafts, ADA)
        if not isinstance(outcome, Recorded):
            os._exit(3)
        if turn % 11 == 0:
            outcome = book.void(
                outcome.events[0].id,
                ADA,
                reason="a slip",
                instead=[came("born", "s", "a", Tally(number=4), at)],
            )
            if not isinstance(outcome, Recorded):
                os._exit(5)
        os.write(tell, outcome.events[-1].serial.to_bytes(4, "big"))


def back_up_for_ever(path: Path, tell: int) -> None:
    turn = 0
    while True:
        turn += 1
        book = Logbook(path, now=lambda: START + timedelta(days=turn))  # noqa: B023 - asked at once
        if book.record([Draft(kind="noted", happened=START, note="today")], ADA) and book.back_up():
            os._exit(3)
        book.close()
        os.write(tell, turn.to_bytes(4, "big"))


def open_once(path: Path, tell: int) -> None:
    Logbook(path).close()
    os.write(tell, (1).to_bytes(4, "big"))
    time.sleep(10)


def start_and_kill(what: Callable[[Path, int], None], path: Path, after: float, *, wait: bool) -> int:
    """What was confirmed last before the kill; 0 when nothing was. With `wait` the time counts from the first."""
    hear, tell = os.pipe()
    child = os.fork()
    if not child:
        os.close(hear)
        try:
            what(path, tell)
        finally:
            os._exit(4)
    os.close(tell)
    told = os.read(hear, 4) if wait else b""
    time.sleep(after)
    os.kill(child, signal.SIGKILL)
    _, status = os.waitpid(child, 0)
    assert os.WIFSIGNALED(status), f"the child ended by itself: {status}"
    while piece := os.read(hear, 65536):
        told += piece
    os.close(hear)
    return int.from_bytes(told[-4:], "big") if told else 0


def check(path: Path, confirmed: int, *, whole: bool = False) -> int:
    """All that was confirmed is there, at most two submissions more, whole ones, and all that follows stands. Gives
    how many events there are."""
    book = Logbook(path)
    count = book.count_events()
    assert confirmed <= count <= confirmed + 6, (confirmed, count)
    assert book.newest_serial() == count
    with reading(book.engine) as connection:
        assert audit(connection) == ()
    assert book.verify().broken is None
    if whole:
        batches = Counter(one.batch for one in book.events(only_standing=False))
        assert set(batches.values()) <= {2, 3, 4}, batches
    book.close()
    return count


def writing(folder: Path, kills: int, lot: random.Random) -> None:
    path = folder / "logbook.sqlite"
    confirmed = 0
    for turn in range(kills):
        confirmed = max(
            start_and_kill(write_for_ever, path, lot.random() * 0.08, wait=turn % 4 != 0), confirmed
        )
        if path.exists():
            confirmed = check(path, confirmed, whole=True)
    assert confirmed > kills


def upgrading(folder: Path, kills: int, lot: random.Random) -> None:
    older = (Path(__file__).parent / "older" / "0001.sql").read_text("utf-8")
    for turn in range(kills):
        path = folder / f"{turn}" / "logbook.sqlite"
        path.parent.mkdir()
        old = sqlite3.connect(path)
        old.executescript(older)
        rows = old.execute("SELECT count(*) FROM event").fetchone()[0]
        old.close()
        start_and_kill(open_once, path, lot.random() * 0.25, wait=False)
        check(path, rows)
        for one in backups_of(path):
            assert look_at(one.path) == ("0001", rows)


def backing_up(folder: Path, kills: int, lot: random.Random) -> None:
    path = folder / "logbook.sqlite"
    book = Logbook(path)
    first(book)
    book.close()
    for _ in range(kills):
        start_and_kill(back_up_for_ever, path, lot.random() * 0.1, wait=True)
        for one in backups_of(path):
            look_at(one.path)
        assert len(backups_of(path)) <= 15
    assert backups_of(path)


if __name__ == "__main__":
    {"writing": writing, "upgrading": upgrading, "backing up": backing_up}[sys.argv[1]](
        Path(sys.argv[2]), int(sys.argv[3]), random.Random(20260802)
    )
