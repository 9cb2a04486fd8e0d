"""What was lost adds up with the balance of the same fish, by month, tank and cause."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone

from hypothesis import given
from hypothesis import strategies as st
from tests.husbandry.happenings import as_events, day

from tankwright.husbandry.balance_sheet import Moved, balance_sheet
from tankwright.husbandry.facts import culled, died, died_unassigned
from tankwright.husbandry.losses import LOSSES, Cause, LossRow, losses
from tankwright.husbandry.records import Account, Event


def flows(event: Event) -> list[Moved]:
    return [
        Moved(event=event.id, stock=one.stock, place=one.place, account=one.account, quantity=one.quantity,
              happened=event.happened)
        for one in event.flows
    ]  # fmt: skip


def seen(name: str, account: Account, quantity: int, at: datetime) -> Moved:
    return Moved(
        event=name, stock="s", place="p", account=account, quantity=quantity, happened=at, derived=True
    )


def test_deaths_are_told_by_cause_and_those_of_none_apart() -> None:
    events = as_events([
        died("s", "p", 3, day(1), cause="white spots"), died("s", "p", 2, day(2)), died("t", "q", 1, day(2)),
        culled("s", "p", 4, day(3), cause="bent spine"),
    ])  # fmt: skip
    found = losses([one for event in events for one in flows(event)], events)
    assert found.rows == (
        LossRow(month="2026-05", place="p", known=3, unknown=2, culled=4),
        LossRow(month="2026-05", place="q", unknown=1),
    )
    assert found.causes == (
        Cause(how="culled", cause="bent spine", fish=4), Cause(how="died", cause="white spots", fish=3),
        Cause(how="died", cause="", fish=3),
    )  # fmt: skip
    assert found.total("dead") == 6


def test_what_counts_show_is_missing_and_nobody_knows_why() -> None:
    found = losses(
        [seen("e1", "lost", 5, day(1)), seen("e2", "found", -2, day(40)), seen("e3", "estimate", 9, day(1))],
        (),
    )
    assert found.rows == (
        LossRow(month="2026-05", place="p", lost=5), LossRow(month="2026-06", place="p", found=2),
    )  # fmt: skip


def test_dead_fish_of_no_stock_are_told_and_taken_off_no_number() -> None:
    events = as_events([died_unassigned("p", 2, day(1))])
    found = losses([], events)
    assert found.rows == (LossRow(month="2026-05", place="p", unassigned=2),)
    assert found.total("dead") == 0


def test_months_are_those_of_the_zone() -> None:
    late = datetime(2026, 5, 31, 23, 30, tzinfo=UTC)
    east = timezone(timedelta(hours=2))
    assert [losses([seen("e", "lost", 1, late)], (), zone).rows[0].month for zone in (UTC, east)] == [
        "2026-05",
        "2026-06",
    ]


GONE = st.lists(
    st.tuples(
        st.sampled_from(["dead", "culled", "escaped", "lost", "found"]), st.integers(1, 30), st.sampled_from("pq"),
        st.integers(0, 90),
    ),
    max_size=25,
)  # fmt: skip


@given(gone=GONE)
def test_losses_and_the_balance_sheet_say_the_same(
    gone: list[tuple[Account, int, str, int]],
) -> None:
    moved: list[Moved] = []
    for number, (account, fish, place, at) in enumerate(gone):
        if account in {"lost", "found"}:
            signed = fish if account == "lost" else -fish
            moved.append(
                Moved(event=f"e{number}", stock="s", place=place, account=account, quantity=signed, happened=day(at),
                      derived=True)
            )  # fmt: skip
            continue
        moved += [
            Moved(
                event=f"e{number}", stock="s", place=place, account="held", quantity=-fish, happened=day(at)
            ),
            Moved(event=f"e{number}", stock="s", place="", account=account, quantity=fish, happened=day(at)),
        ]
    found, sheet = losses(moved, ()), balance_sheet(moved)
    for what in LOSSES:
        assert found.total(what) == abs(sheet.fish(what))
    assert sum(one.fish for one in found.causes) == found.total("dead") + found.total("culled")
