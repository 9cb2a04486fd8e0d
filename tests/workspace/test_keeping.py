"""The deeds of a keeper: from names as people type them, whole or refused, each once."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from tankwright.finding import Finding
from tankwright.husbandry.records import Event, Observed
from tankwright.husbandry.register import Member, Stock
from tankwright.logbook.listing import happenings, voided_by
from tankwright.logbook.outcome import Recorded, Refused
from tankwright.workspace.keeping import Hand
from tankwright.workspace.keeping_coming import NewFish, arrived, born
from tankwright.workspace.keeping_going import counted, culled, died, guessed, left, moved
from tankwright.workspace.keeping_groups import merged, set_ended, set_made, split
from tankwright.workspace.keeping_mending import corrected, struck
from tankwright.workspace.keeping_places import (
    line_opened,
    now_called,
    place_added,
    place_gone,
    stock_changed,
)
from tankwright.workspace.keeping_seen import measured, noted, spawned, went_wrong
from tankwright.workspace.log import RoomLog
from tankwright.workspace.opened import Opened, open_plan

from .rooms import Clock

EXAMPLES = Path(__file__).parent.parent.parent / "examples"
DAY = timedelta(days=1)
START = datetime(2026, 7, 1, 8, tzinfo=UTC)


@pytest.fixture(scope="module")
def opened() -> Opened:
    return open_plan(EXAMPLES / "cellar.toml")


@pytest.fixture
def log(tmp_path: Path, opened: Opened) -> RoomLog:
    return RoomLog(tmp_path / "plan.toml", now=Clock(), room=lambda: opened.room)


@pytest.fixture
def hand(log: RoomLog) -> Callable[..., Hand]:
    def at(day: int = 0, key: str = "", note: str = "") -> Hand:
        return Hand(log=log, who="Ada", at=START + day * DAY, key=key, note=note)

    return at


def done(outcome: Recorded | Refused) -> tuple[Event, ...]:
    assert isinstance(outcome, Recorded), outcome
    return outcome.events


def refused(outcome: Recorded | Refused) -> Finding:
    assert isinstance(outcome, Refused), outcome
    return outcome.findings[0]


def held(log: RoomLog, tank: str) -> dict[str, int]:
    place = log.book.place_labelled(tank)
    assert place is not None
    stocks = {one.id: one.label for one in log.book.stocks(closed=True)}
    return {stocks[one.stock]: one.held for one in log.book.holdings(place=place.id) if one.held}


def stock(log: RoomLog, label: str) -> Stock:
    found = log.book.stock_labelled(label)
    assert found is not None
    return found


TETRAS = NewFish(label="Tetras", line="Creek", species="Hyphessobrycon amandae", came_from="a friend")


def test_fish_that_come_open_their_stock_and_their_line(log: RoomLog, hand: Callable[..., Hand]) -> None:
    done(arrived(hand(), "a3", 12, TETRAS, price=24.0, currency="EUR"))
    assert held(log, "A3") == {"Tetras": 12}
    assert (stock(log, "Tetras").came_from, log.book.lines()[0].name) == ("a friend", "Creek")
    done(arrived(hand(1), "A3", 3, NewFish(label="Tetras")))
    assert held(log, "A3") == {"Tetras": 15}
    done(arrived(hand(2), "A4", 2, NewFish(line="creek")))
    done(arrived(hand(2), "B1", 2, NewFish(line="creek")))
    assert (held(log, "A4"), held(log, "B1")) == ({"Creek": 2}, {"Creek 2": 2})
    said = refused(arrived(hand(3), "A3", 5, NewFish(line="Crek")))
    assert (said.code, said.attempt) == ("LOG-26", "Creek")


def test_a_deed_sent_again_is_done_once(log: RoomLog, hand: Callable[..., Hand]) -> None:
    first = done(arrived(hand(key="k"), "A3", 12, TETRAS))
    again = arrived(hand(key="k"), "A3", 99, TETRAS)
    assert isinstance(again, Recorded)
    assert (again.repeated, again.events) == (True, first)
    done(moved(hand(1, key="m"), "A3", "A4"))
    assert len(done(moved(hand(1, key="m"), "A3", "A4"))) == 1
    assert (held(log, "A3"), held(log, "A4")) == ({}, {"Tetras": 12})


def test_numbers_of_fish_add_up_through_every_way_they_go(log: RoomLog, hand: Callable[..., Hand]) -> None:
    done(arrived(hand(), "A3", 40, TETRAS))
    done(died(hand(1), "A3", 2, cause="old age"))
    done(culled(hand(2), "A3", 1))
    done(left(hand(3), "A3", 5, "sold", to="a club", price=15.0, currency="EUR"))
    done(moved(hand(4), "A3", "A4", 10))
    done(counted(hand(5), "A3", 20, method="by net"))
    assert (held(log, "A3"), held(log, "A4")) == ({"Tetras": 20}, {"Tetras": 10})
    lost = log.book.moved(accounts=["lost"])
    assert [(one.quantity, one.derived) for one in lost] == [(2, True)]
    done(guessed(hand(6), "A4", 9, 7, 12))
    done(counted(hand(7), "A3", 0))
    done(counted(hand(8), "A3", 1, stock="Tetras"))
    assert held(log, "A3") == {"Tetras": 1}


@pytest.mark.parametrize(
    ("deed", "code", "text"),
    [
        (lambda hand: died(hand, "A3", 13), "LEDGER-01", "has 12 and cannot give 13"),
        (lambda hand: moved(hand, "A3", "A4", 99), "LEDGER-01", "has 12 and cannot give 99"),
        (lambda hand: moved(hand, "A3", "A3"), "LOG-28", "is where they are already"),
        (lambda hand: moved(hand, "A3", "Q9"), "LOG-26", 'there is no place "Q9"'),
        (lambda hand: died(hand, "A3", 0), "LOG-28", "cannot take 0 as a number of fish"),
        (lambda hand: culled(hand, "A4", 1), "LOG-26", "has no fish in the book"),
        (lambda hand: culled(hand, "A3", 1, stock="Guppy"), "LOG-26", 'has no stock "Guppy"'),
        (lambda hand: split(hand, "A3", 12), "LOG-28", "has 12, of which 12 are no part"),
        (lambda hand: merged(hand, "A3"), "LOG-28", "has no two stocks to put together"),
        (lambda hand: born(hand, "A3", 30), "LOG-28", "has no breeding set"),
        (lambda hand: guessed(hand, "A3", 30, 40, 50), "LOG-28", "has bounds that do not hold 30"),
        (lambda hand: noted(hand, "A3"), "LOG-28", "has a note that says nothing"),
    ],
)
def test_what_cannot_be_is_refused_by_the_owners_names_and_changes_nothing(
    deed: Callable[[Hand], Recorded | Refused], code: str, text: str, log: RoomLog, hand: Callable[..., Hand]
) -> None:
    done(arrived(hand(), "A3", 12, TETRAS))
    before = log.book.count_events()
    said = refused(deed(hand(1)))
    assert (said.code, said.text) == (code, text)
    assert "A3" in said.subject or said.subject in {"logbook", "A4"}
    assert (log.book.count_events(), held(log, "A3")) == (before, {"Tetras": 12})


def test_of_several_stocks_in_a_tank_one_must_be_named(log: RoomLog, hand: Callable[..., Hand]) -> None:
    done(arrived(hand(), "A3", 12, TETRAS))
    done(arrived(hand(), "A3", 6, NewFish(label="Snails")))
    said = refused(died(hand(1), "A3", 1))
    assert (said.code, said.wanted) == ("LOG-27", "Snails, Tetras")
    done(died(hand(1), "A3", 1, stock="snails"))
    assert held(log, "A3") == {"Snails": 5, "Tetras": 12}


def test_dead_fish_of_a_tank_nobody_wrote_down_are_seen_all_the_same(
    log: RoomLog, hand: Callable[..., Hand]
) -> None:
    (event,) = done(died(hand(), "A3", 2))
    assert (event.details["unassigned"], event.flows) == (True, ())
    assert held(log, "A3") == {}


def test_a_part_keeps_line_birth_and_founders_and_goes_back_by_its_number(
    log: RoomLog, hand: Callable[..., Hand]
) -> None:
    done(arrived(hand(), "A3", 12, NewFish(label="T", line="L", species="s", born=date(2026, 1, 2))))
    done(split(hand(1), "A3", 4, to="A4"))
    first, part = stock(log, "T"), stock(log, "T 2")
    assert (held(log, "A3"), held(log, "A4")) == ({"T": 8}, {"T 2": 4})
    assert (part.line, part.born) == (first.line, first.born)
    assert [(one.founders, one.share) for one in part.origin] == [(first.id, 1.0)]
    done(moved(hand(2), "A4", "A3"))
    done(merged(hand(3), "A3", label="All"))
    assert held(log, "A3") == {"All": 12}
    shares = {one.founders: one.share for one in stock(log, "All").origin}
    assert shares == {first.id: pytest.approx(1.0)}
    assert log.book.stock_labelled("T") is None, "what was put together is at its end"


def test_lines_that_are_kept_apart_are_mixed_only_knowingly(log: RoomLog, hand: Callable[..., Hand]) -> None:
    done(line_opened(hand(), "Blue", "s", source="a club"))
    done(arrived(hand(), "A3", 9, NewFish(label="b", line="Blue")))
    done(arrived(hand(), "A3", 3, TETRAS))
    said = refused(merged(hand(1), "A3", ["b", "Tetras"]))
    assert (said.code, said.found) == ("LOG-29", "b (Blue), Tetras (Creek)")
    done(merged(hand(1), "A3", label="mix", knowing=True))
    mix = stock(log, "mix")
    assert (mix.line, sorted(one.share for one in mix.origin)) == ("", [0.25, 0.75])


def test_young_are_of_the_only_set_in_the_tank_and_of_its_line(
    log: RoomLog, hand: Callable[..., Hand]
) -> None:
    done(arrived(hand(), "A3", 3, TETRAS))
    members = [Member(stock="", count=1, sex="male"), Member(stock="", count=2, sex="female")]
    (made,) = done(set_made(hand(1), "A3", members))
    assert made.details["label"] == "Tetras 1+2"
    (spawn,) = done(spawned(hand(2), "A3", eggs=80, low=60, high=100))
    assert spawn.details["set"] == made.details["set"]
    done(born(hand(4), "A3", 30, low=25, high=40))
    brood = stock(log, "Tetras 1+2 young")
    assert (brood.kind, brood.born, brood.line) == ("brood", date(2026, 7, 5), stock(log, "Tetras").line)
    assert [one.breeding_set for one in brood.origin] == [made.details["set"]]
    assert refused(set_made(hand(5), "A3", [Member(stock="Tetras", count=4, sex="male")])).text == (
        "has 3 and cannot give 4"
    )
    done(set_ended(hand(6), "A3"))
    assert log.book.sets(closed=False) == ()
    (after,) = done(spawned(hand(7), "A3"))
    assert "set" not in after.details, "nobody knows of whom"


def test_what_is_seen_is_written_down(log: RoomLog, hand: Callable[..., Hand]) -> None:
    done(arrived(hand(), "A3", 3, TETRAS))
    done(measured(hand(1), "A3", [Observed(quantity="length", value=2.1, unit="cm")], number=3))
    done(noted(hand(2, note="torn fin"), "A3", stock="Tetras"))
    done(went_wrong(hand(3), "A3", "a heater stuck on", photo="0123.jpg"))
    seen = log.book.events(place=stock_place(log), kinds=["incident", "noted", "measured"])
    assert [one.kind for one in seen] == ["measured", "noted", "incident"]


def stock_place(log: RoomLog) -> str:
    place = log.book.place_labelled("A3")
    assert place is not None
    return place.id


def test_a_deed_is_struck_out_whole_with_its_reason(log: RoomLog, hand: Callable[..., Hand]) -> None:
    events = done(arrived(hand(key="k"), "A3", 12, TETRAS))
    assert len(events) == 3
    done(struck(hand(), events[-1].id, "wrong tank"))
    assert (held(log, "A3"), log.book.lines(), log.book.stocks()) == ({}, (), ())
    gone = voided_by(log.book, [one.id for one in events])
    assert {one.reason for one in gone.values()} == {"wrong tank"}
    assert refused(struck(hand(), events[-1].id, "again")).text == "was voided before"
    assert refused(struck(hand(), "nothing", "why")).code == "LOG-26"
    assert [one.kind for one in happenings(log.book, place=stock_place(log), but=["place_opened"])] == [
        "arrived", "stock_opened",
    ]  # fmt: skip


def test_a_reason_is_wanted_to_strike_something_out(log: RoomLog, hand: Callable[..., Hand]) -> None:
    events = done(arrived(hand(), "A3", 12, TETRAS))
    assert refused(struck(hand(), str(events[-1].serial), " ")).text == "is struck out for no reason"
    assert held(log, "A3") == {"Tetras": 12}


def test_a_number_is_corrected_at_its_own_moment(log: RoomLog, hand: Callable[..., Hand]) -> None:
    done(arrived(hand(), "A3", 12, TETRAS))
    (dead,) = done(died(hand(2), "A3", 2))
    done(counted(hand(4), "A3", 9))
    _, instead = done(corrected(hand(5), dead.id, "it was three", number=3, note="by the filter"))
    assert (instead.happened, instead.note) == (dead.happened, "by the filter")
    assert held(log, "A3") == {"Tetras": 9}
    assert log.book.moved(accounts=["lost"]) == (), "the third was dead, not lost"
    assert refused(corrected(hand(5), instead.id, "no", number=0)).text == "cannot take 0 as a number of fish"


def test_a_place_of_ones_own_comes_and_goes(log: RoomLog, hand: Callable[..., Hand]) -> None:
    done(place_added(hand(), "Pond", "outside", litres=900.0))
    done(arrived(hand(1), "Pond", 5, NewFish(label="Ricefish")))
    assert refused(place_gone(hand(2), "pond")).text == "has 5 fish in the book"
    done(moved(hand(3), "Pond", "A3"))
    done(place_gone(hand(4), "Pond"))
    assert refused(place_added(hand(5), "A3", "vat")).code == "LOG-08"
    assert refused(place_added(hand(5), " ", "vat")).code == "LOG-28"


def test_what_is_known_of_a_stock_changes(log: RoomLog, hand: Callable[..., Hand]) -> None:
    done(arrived(hand(), "A3", 5, NewFish(label="x")))
    done(line_opened(hand(), "Blue", "s"))
    done(stock_changed(hand(1), "x", label="y", line="Blue", sex="male"))
    assert (stock(log, "y").sex, stock(log, "y").line) == ("male", log.book.lines()[0].id)
    assert refused(stock_changed(hand(1), "y")).code == "LOG-28"


def test_a_tank_the_plan_calls_otherwise_keeps_its_fish_and_its_history(
    tmp_path: Path, opened: Opened, hand: Callable[..., Hand]
) -> None:
    text = (EXAMPLES / "cellar.toml").read_text("utf-8")
    (tmp_path / "new.toml").write_text(re.sub(r"\bA([345])\b", r"X\1", text), "utf-8")
    renamed = open_plan(tmp_path / "new.toml")
    rooms = [opened.room]
    log = RoomLog(tmp_path / "plan.toml", now=Clock(), room=lambda: rooms[0])
    by = Hand(log=log, who="Ada")
    done(arrived(by, "A3", 12, TETRAS))
    place = log.book.place_labelled("A3")
    assert place is not None
    assert log.astray() == ()
    there = {one.id for one in renamed.room.tanks} if renamed.room else set()
    assert there
    assert "A3" not in there
    rooms[0] = renamed.room
    assert [one.label for one in log.astray()] == ["A3"]
    done(now_called(by, "A3", "X3"))
    assert log.astray() == ()
    after = log.book.place_labelled("X3")
    assert after is not None
    assert (after.id, held(log, "X3")) == (place.id, {"Tetras": 12})
    done(arrived(by, "X4", 1, NewFish(label="z")))
    assert refused(now_called(by, "X3", "X4")).text == "has 1 fish of its own in the book"
