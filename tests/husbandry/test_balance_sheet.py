"""Where fish came from and where they went adds up, for whatever is asked about."""

from __future__ import annotations

from datetime import timedelta, timezone

from hypothesis import given
from hypothesis import strategies as st
from tests.husbandry.happenings import day

from tankwright.husbandry.balance_sheet import Moved, SheetLine, balance_sheet, unknown_losses
from tankwright.husbandry.records import Account


def flow(event: str, account: Account, quantity: int, stock: str = "s", place: str = "") -> Moved:
    at = day(float(event.lstrip("e")))
    return Moved(event=event, stock=stock, place=place, account=account, quantity=quantity, happened=at)


def missing(event: str, account: Account, quantity: int, stock: str, place: str) -> Moved:
    at = day(float(event.lstrip("e")))
    return Moved(
        event=event, stock=stock, place=place, account=account, quantity=quantity, happened=at, derived=True
    )


LIFE = (
    flow("e1", "held", 40, place="a"), flow("e1", "born", -40),
    flow("e2", "held", -3, place="a"), flow("e2", "dead", 3),
    flow("e3", "held", -12, place="a"), flow("e3", "held", 12, place="b"),
    flow("e4", "held", -5, place="b"), flow("e4", "held", 5, stock="t", place="b"),
    missing("e5", "lost", 6, "s", "a"),
    flow("e6", "held", -4, stock="t", place="b"), flow("e6", "sold", 4, stock="t"),
)  # fmt: skip


def test_a_stock_is_followed_through_its_tanks() -> None:
    sheet = balance_sheet(LIFE, stocks={"s"})
    assert sheet.came == (SheetLine(heading="born", fish=40),)
    assert sheet.went == (
        SheetLine(heading="dead", fish=-3), SheetLine(heading="lost", fish=-6), SheetLine(heading="regrouped", fish=-5),
    )  # fmt: skip
    assert (sheet.before, sheet.after, sheet.balances) == (0, 26, True)


def test_a_tank_has_moves_in_and_out() -> None:
    sheet = balance_sheet(LIFE, places={"b"})
    assert sheet.came == (SheetLine(heading="moved", fish=12),)
    assert sheet.went == (SheetLine(heading="sold", fish=-4),)  # regrouped within the tank: of no account
    assert sheet.after == 8


def test_between_two_days_what_was_before_is_told_as_before() -> None:
    sheet = balance_sheet(LIFE, since=day(2), until=day(5))
    assert (sheet.before, sheet.after, sheet.fish("lost"), sheet.fish("sold")) == (37, 31, -6, 0)


def test_one_event_with_ends_in_two_tanks_gives_each_its_part() -> None:
    arrived = (
        flow("e1", "held", 10, place="a"), flow("e1", "held", 20, place="b"), flow("e1", "arrived", -30),
    )  # fmt: skip
    assert balance_sheet(arrived, places={"a"}).came == (SheetLine(heading="arrived", fish=10),)


def test_unknown_losses_stand_by_tank_and_month_of_the_keepers_calendar() -> None:
    seen = (
        missing("e30.7", "lost", 6, "s", "a"),
        missing("e30.7", "found", -2, "t", "a"),
        missing("e3", "lost", 1, "s", "b"),
    )
    east = timezone(timedelta(hours=2))
    assert [(one.place, one.month, one.lost, one.found) for one in unknown_losses(seen, east)] == [
        ("a", "2026-06", 6, 2),
        ("b", "2026-05", 1, 0),
    ]


SOME_STOCKS = st.sampled_from([None, {"s"}, {"s", "t"}])
SOME_PLACES = st.sampled_from([None, {"a"}, {"a", "b"}])


@st.composite
def _lives(draw: st.DrawFn) -> list[Moved]:
    moved = []
    for number in range(draw(st.integers(0, 12))):
        event = f"e{number}"
        stock, other = draw(st.permutations(("s", "t")))
        place, to = draw(st.permutations(("a", "b")))
        fish = draw(st.integers(-9, 9))
        match draw(st.sampled_from(("ends", "moved", "regrouped", "count"))):
            case "ends":
                account = draw(st.sampled_from(("born", "dead", "sold", "transit")))
                moved += [flow(event, "held", fish, stock, place), flow(event, account, -fish, stock)]
            case "moved":
                moved += [flow(event, "held", -fish, stock, place), flow(event, "held", fish, stock, to)]
            case "regrouped":
                moved += [flow(event, "held", -fish, stock, place), flow(event, "held", fish, other, to)]
            case _:
                account = draw(st.sampled_from(("lost", "found", "estimate")))
                moved.append(missing(event, account, fish, stock, place))
    return moved


@given(
    _lives(),
    st.sampled_from([None, {"s"}, {"s", "t"}]),
    st.sampled_from([None, {"a"}, {"a", "b"}]),
    st.integers(-1, 12),
)
def test_what_came_and_went_explains_the_numbers_of_whatever_is_asked_about(
    moved: list[Moved], stocks: set[str] | None, places: set[str] | None, since: int
) -> None:
    sheet = balance_sheet(moved, stocks=stocks, places=places, since=day(since))
    within = [
        -one.quantity if one.derived else one.quantity
        for one in moved
        if (stocks is None or one.stock in stocks) and (places is None or one.place in places)
        and (one.derived or one.account == "held")
    ]  # fmt: skip
    assert sheet.balances
    assert sheet.after == sum(within)


@given(_lives())
def test_nothing_moves_or_regroups_in_the_whole_room(moved: list[Moved]) -> None:
    assert balance_sheet(moved).fish("moved", "regrouped") == 0
