"""What left the room: whatever these fish, or those they came of, were treated with; how their tank stood."""

from __future__ import annotations

from datetime import timedelta

from tests.husbandry.happenings import as_events, day

from tankwright.husbandry.balance_sheet import Moved
from tankwright.husbandry.dispatch import LOOKED_BACK, Left, dispatches, fish_left
from tankwright.husbandry.facts import Tally, came, left, moved, regrouped
from tankwright.husbandry.records import Draft, Event
from tankwright.husbandry.register import Quarantine
from tankwright.husbandry.stays import Stay, stays
from tankwright.husbandry.treatments import treated, treatments

ARRIVED = came("arrived", "s", "a", Tally(number=20), day(0))


def flows(events: tuple[Event, ...]) -> list[Moved]:
    return [
        Moved(event=event.id, stock=one.stock, place=one.place, account=one.account, quantity=one.quantity,
              happened=event.happened)
        for event in events for one in event.flows
    ]  # fmt: skip


def sent(*drafts: Draft, quarantines: tuple[Quarantine, ...] = ()) -> tuple[Left, ...]:
    events = as_events(sorted(drafts, key=lambda one: one.happened))
    return dispatches(events, treatments(events), quarantines, stays(flows(events)))


def sold(stock: str, place: str, fish: int, at: float) -> Draft:
    return left(stock, place, fish, day(at), "sold", details={"to": "a buyer"})


def test_fish_carry_the_treatment_of_the_tank_they_were_in() -> None:
    (one,) = sent(
        ARRIVED,
        treated("a", "salt", day(2), dose="2 g/L", days=5),
        moved("s", "a", "b", 20, day(10)),
        sold("s", "b", 4, 20),
    )
    assert (one.fish, one.to, one.how, one.place) == (4, "a buyer", "sold", "b")
    assert [course.what for course in one.courses] == ["salt"]
    assert one.withheld == ()


def test_a_tank_that_was_treated_before_they_came_or_after_they_went_is_not_told() -> None:
    (one,) = sent(
        ARRIVED, treated("b", "salt", day(1), days=2), moved("s", "a", "b", 20, day(10)),
        treated("a", "salt", day(12), days=2), sold("s", "b", 4, 20),
    )  # fmt: skip
    assert one.courses == ()


def test_fish_split_off_carry_what_they_had_before_the_split() -> None:
    (one,) = sent(
        ARRIVED, treated("a", "salt", day(2), stock="s", days=3),
        regrouped([("s", "a", -5), ("t", "a", 5)], day(8)), sold("t", "a", 5, 9),
    )  # fmt: skip
    assert [course.what for course in one.courses] == ["salt"]


def test_what_was_given_to_others_after_the_split_is_not_told_of_them() -> None:
    (one,) = sent(
        ARRIVED, regrouped([("s", "a", -5), ("t", "a", 5)], day(8)), moved("t", "a", "b", 5, day(9)),
        treated("a", "salt", day(10), days=3), sold("t", "b", 5, 12),
    )  # fmt: skip
    assert one.courses == ()


def test_a_course_of_the_stock_they_came_of_is_theirs_only_as_far_as_the_split() -> None:
    drafts = (ARRIVED, regrouped([("s", "a", -5), ("t", "a", 5)], day(8)), moved("t", "a", "b", 5, day(9)))
    (one,) = sent(*drafts, treated("a", "salt", day(10), stock="s", days=3), sold("t", "b", 5, 12))
    assert one.courses == ()


def test_fish_that_leave_within_a_withdrawal_are_named_so() -> None:
    (one,) = sent(
        ARRIVED, treated("a", "worms out", day(2), days=3, withdrawal_days=20), sold("s", "a", 2, 10)
    )
    assert [course.what for course in one.withheld] == ["worms out"]


def test_a_treatment_of_long_ago_is_left_out_unless_its_withdrawal_reaches_into_the_time() -> None:
    late = LOOKED_BACK / timedelta(days=1) + 30
    drafts = (treated("a", "salt", day(2), days=3), treated("a", "slow", day(2), days=3, withdrawal_days=400))
    (one,) = sent(ARRIVED, *drafts, sold("s", "a", 2, late))
    assert [course.what for course in one.courses] == ["slow"]


def test_how_the_tank_stood_is_told_with_days_since_fish_came() -> None:
    shut = Quarantine(id="q", places=("a",), opened=day(0), least_days=30)
    later = came("arrived", "t", "a", Tally(number=2), day(10))
    early, over = sent(ARRIVED, later, sold("s", "a", 2, 15), sold("s", "a", 2, 50), quarantines=(shut,))
    assert (early.shut, early.shut_days, early.least_days, early.arrived) == ("shut off", 5.0, 30, day(10))
    assert over.shut == "shut off"  # days gone by are no release
    released = Quarantine(id="q", places=("a",), opened=day(0), least_days=30, released=day(41))
    (again,) = sent(ARRIVED, sold("s", "a", 2, 50), quarantines=(released,))
    assert (again.shut, again.released) == ("opened again", day(41))
    (never,) = sent(ARRIVED, sold("s", "a", 2, 50))
    assert never.shut == "not shut off"


def test_all_that_left_is_told_by_account() -> None:
    events = as_events([ARRIVED, sold("s", "a", 4, 2), left("s", "a", 3, day(3), "given")])
    assert fish_left(flows(events)) == {"sold": 4, "given": 3, "used": 0, "escaped": 0}


def test_a_count_that_finds_none_ends_a_stay() -> None:
    events = as_events([ARRIVED])
    missed = Moved(
        event="c", stock="s", place="a", account="lost", quantity=20, happened=day(4), derived=True
    )
    found = stays([*flows(events), missed])
    assert found.of("s", day(9)) == (Stay(stock="s", place="a", begin=day(0), end=day(4)),)
