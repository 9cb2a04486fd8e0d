"""Names people give: one name for one thing, however a hurried hand writes it; numbers and days that cannot be."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from tankwright.finding import Finding
from tankwright.husbandry.records import Event
from tankwright.logbook.outcome import Recorded, Refused
from tankwright.web.deeding import Done, carry_out
from tankwright.workspace.keeping import Hand
from tankwright.workspace.keeping_coming import NewFish, arrived
from tankwright.workspace.keeping_going import died
from tankwright.workspace.keeping_groups import merged, split
from tankwright.workspace.keeping_mending import struck
from tankwright.workspace.keeping_places import line_opened, now_called, place_added, stock_changed
from tankwright.workspace.log import RoomLog
from tankwright.workspace.opened import Opened, open_plan
from tankwright.workspace.wall_days import begin_of, end_of

from .rooms import Clock

START = datetime(2026, 7, 1, 8, tzinfo=UTC)
TETRAS = NewFish(label="Tetras", line="Tetras", species="Hyphessobrycon herbertaxelrodi")


@pytest.fixture(scope="module")
def opened() -> Opened:
    return open_plan(Path(__file__).parent.parent.parent / "examples" / "cellar.toml")


@pytest.fixture
def log(tmp_path: Path, opened: Opened) -> RoomLog:
    return RoomLog(tmp_path / "plan.toml", now=Clock(), room=lambda: opened.room)


@pytest.fixture
def hand(log: RoomLog) -> Hand:
    made = Hand(log=log, who="Ada", at=START)
    assert isinstance(arrived(made, "A3", 12, TETRAS), Recorded)
    return made


@pytest.mark.parametrize(
    "deed",
    [
        lambda hand: arrived(hand, "A3", 3, NewFish(label="tetras")),
        lambda hand: arrived(hand, "A4", 3, NewFish(label="\uff34etras ")),
        lambda hand: split(hand, "A3", 2, label="TETRAS"),
        lambda hand: line_opened(hand, "TETRAS", "Poecilia reticulata"),
        lambda hand: place_added(hand, "a3", "vat"),
        lambda hand: now_called(hand, "A3", "a4"),
        lambda hand: place_added(hand, "x" * 61, "vat"),
        lambda hand: place_added(hand, "Vat\u202e1", "vat"),
        lambda hand: arrived(hand, "A3", 3, NewFish(label="Te\x07tra")),
    ],
)
def test_a_name_that_would_be_taken_for_another_is_refused(
    deed: Callable[[Hand], Recorded | Refused], log: RoomLog, hand: Hand
) -> None:
    before = log.book.count_events()
    told = deed(hand)
    assert isinstance(told, Refused)
    assert told.findings[0].code in {"LOG-08", "LOG-28"}
    assert log.book.count_events() == before


def test_a_thing_may_be_called_by_its_own_name_in_other_letters(log: RoomLog, hand: Hand) -> None:
    assert isinstance(stock_changed(hand, "Tetras", label="tetras"), Recorded)
    assert isinstance(arrived(hand, "A3", 2, NewFish(label="Others")), Recorded)
    assert isinstance(merged(hand, "A3", label="Tetras", knowing=True), Recorded)
    assert log.book.stock_labelled("Tetras") is not None


def test_of_two_names_that_differ_in_capitals_the_one_that_is_typed_is_meant(
    log: RoomLog, hand: Hand
) -> None:
    stock = log.book.stock_labelled("Tetras")
    assert stock is not None
    # two books put together may bring such a pair
    place = log.book.place_labelled("A3")
    assert place is not None
    from tankwright.husbandry.records import Draft, Flow  # noqa: PLC0415 - only this test drafts by hand
    from tankwright.logbook.outcome import By  # noqa: PLC0415 - as above

    new = log.new_id()
    log.book.record(
        [
            Draft(kind="stock_opened", happened=START, stock=new, details={"label": "TETRAS", "kind": "group"}),
            Draft(kind="arrived", happened=START, stock=new, place=place.id, flows=(
                Flow(stock=new, account="held", place=place.id, quantity=5),
                Flow(stock=new, account="arrived", quantity=-5),
            )),
        ],
        By(who="Ada"),
    )  # fmt: skip
    assert isinstance(died(hand, "A3", 1, stock="Tetras"), Recorded)
    held = {one.stock: one.held for one in log.book.holdings(place=place.id)}
    assert held == {stock.id: 11, new: 5}
    told = died(hand, "A3", 1, stock="tetras")
    assert isinstance(told, Refused), "either may be meant"


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"kind": "died", "value": "0"}, "cannot take 0 as a number of fish"),
        ({"kind": "measured", "value": "2 cm", "number": "0"}, "cannot take 0 as a number of fish"),
        ({"kind": "measured", "value": "99999 in"}, 'of "99999 in" is of no fish'),
        ({"kind": "measured", "value": "0 g"}, 'of "0 g" is of no fish'),
        ({"kind": "struck", "event": "1", "reason": " "}, "is struck out for no reason"),
    ],
)
def test_a_number_that_is_typed_is_taken_as_it_stands(
    fields: dict[str, str], said: str, log: RoomLog, hand: Hand
) -> None:
    before = log.book.count_events()
    told = carry_out(log, {"tank": "A3", "key": "k", **fields}, who="Ada", now=log.now())
    assert isinstance(told, Finding)
    assert told.text == said
    assert log.book.count_events() == before
    assert isinstance(
        carry_out(log, {"tank": "A3", "key": "k", "kind": "died"}, who="Ada", now=log.now()), Done
    )


@pytest.mark.parametrize("day", [date(1, 1, 1), date(1850, 1, 1), date(2026, 3, 29), date(9999, 12, 31)])
def test_a_day_of_any_calendar_has_a_first_and_a_last_moment(day: date) -> None:
    assert begin_of(day).tzinfo is not None
    assert timedelta(hours=22) < end_of(day) - begin_of(day) < timedelta(hours=26)


def test_striking_out_cannot_be_struck_out_and_that_is_said(log: RoomLog, hand: Hand) -> None:
    (dead,) = done(died(hand, "A3", 1))
    (gone,) = done(struck(hand, dead.id, "it only slept"))
    told = struck(hand, gone.id, "it did not")
    assert isinstance(told, Refused)
    assert told.findings[0].text == "cannot be struck out or changed: it strikes out another itself"
    assert told.findings[0].wanted == "a new entry that says what is so"


def done(outcome: Recorded | Refused) -> tuple[Event, ...]:
    assert isinstance(outcome, Recorded), outcome
    return outcome.events
