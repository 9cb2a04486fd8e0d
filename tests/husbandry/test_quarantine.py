"""The clock begins again with every arrival on shared water; release needs its days or a reason; slips are told."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.husbandry.contacts import WaterSpan, microseconds
from tankwright.husbandry.facts import Tally, came, left, moved
from tankwright.husbandry.quarantine import Clock, quarantine_clock, release_findings
from tankwright.husbandry.quarantine_findings import Shut, quarantine_findings, tools_for
from tankwright.husbandry.records import Draft
from tankwright.husbandry.register import Place, Quarantine, Tool

from .happenings import as_events, day

SHUT = Quarantine(id="q", places=("Q1", "Q2"), opened=day(0), least_days=30.0)


def arrived(number: float, place: str) -> Draft:
    return came("arrived", "s", place, Tally(number=3), day(number))


def water(
    source: str, target: str, begin: float = -9, end: float | None = None, *, certain: bool = True
) -> WaterSpan:
    return WaterSpan(
        source=source, target=target, kind="sump", certain=certain, through="drain main",
        begin=microseconds(day(begin)), end=None if end is None else microseconds(day(end)),
    )  # fmt: skip


def clock(
    *drafts: Draft, spans: tuple[WaterSpan, ...] = (), now: float = 40, shut: Quarantine = SHUT
) -> Clock:
    return quarantine_clock(shut, as_events(drafts), spans, day(now))


def test_its_days_run_from_its_opening() -> None:
    assert not clock(now=29.9).is_over
    assert clock(now=30).is_over
    assert clock(now=10).days_left == pytest.approx(20)


def test_every_arrival_begins_it_again() -> None:
    found = clock(arrived(3, "Q1"), arrived(12, "Q2"), arrived(50, "Q2"), now=20)
    assert [(one.kind, one.at, one.place) for one in found.restarts] == [
        ("opened", day(0), ""), ("arrived", day(3), "Q1"), ("arrived", day(12), "Q2"),
    ]  # fmt: skip
    assert found.ends == day(42)


def test_arrivals_elsewhere_count_only_where_their_water_comes_in() -> None:
    assert len(clock(arrived(3, "A1")).restarts) == 1
    assert clock(arrived(3, "A1"), spans=(water("A1", "sump"), water("sump", "Q1"))).began == day(3)
    assert len(clock(arrived(3, "A1"), spans=(water("Q1", "A1"),)).restarts) == 1, (
        "its own water goes out, not in"
    )
    assert len(clock(arrived(3, "A1"), spans=(water("A1", "Q1", end=2),)).restarts) == 1, "no more by then"


def test_water_that_only_a_mishap_brings_is_told_beside_the_clock() -> None:
    found = clock(arrived(3, "A1"), spans=(water("A1", "Q1", certain=False),), now=10)
    assert (found.began, found.ends, found.ends_if_unlucky) == (day(0), day(30), day(33))
    assert found.maybe_water == ("A1",)
    assert found.water == ()


def test_fish_brought_in_from_the_room_begin_it_again_and_those_moved_within_do_not() -> None:
    assert clock(moved("s", "A1", "Q1", 3, day(5))).restarts[-1].kind == "moved in"
    assert len(clock(moved("s", "Q1", "Q2", 3, day(5))).restarts) == 1
    assert len(clock(moved("s", "Q1", "A1", 3, day(5))).restarts) == 1, "out of it is no arrival"


def test_water_joined_while_it_was_shut_begins_it_again() -> None:
    found = clock(spans=(water("A1", "Q1", begin=7),))
    assert [(one.kind, one.at, one.place) for one in found.restarts[1:]] == [("water joined", day(7), "A1")]
    renamed = (water("A1", "Q1", end=7), water("A1", "Q1", begin=7))
    assert len(clock(spans=renamed).restarts) == 1, "the same water by another pipe"


def test_what_was_released_stands_still() -> None:
    done = replace(SHUT, released=day(31))
    assert clock(arrived(35, "Q1"), now=60, shut=done).days_gone == pytest.approx(31)


@given(st.lists(st.integers(0, 60), max_size=6), st.integers(0, 70), st.integers(1, 60))
def test_the_last_arrival_decides_and_no_earlier_one(arrivals: list[int], now: int, least: int) -> None:
    found = clock(
        *(arrived(one, "Q1") for one in arrivals), now=now, shut=replace(SHUT, least_days=float(least))
    )
    last = max([0, *(one for one in arrivals if one <= now)])
    assert found.began == day(last)
    assert found.is_over == (now - last >= least)
    assert found.days_left == pytest.approx(max(0, last + least - now))


@given(st.lists(st.integers(0, 60), max_size=6), st.integers(0, 60), st.integers(0, 70))
def test_one_more_arrival_never_ends_it_sooner(arrivals: list[int], more: int, now: int) -> None:
    before = clock(*(arrived(one, "Q1") for one in arrivals), now=now)
    after = clock(*(arrived(one, "Q1") for one in [*arrivals, more]), now=now)
    assert after.ends >= before.ends
    assert after.ends_if_unlucky >= after.ends


def test_release_is_refused_without_days_or_reason_and_written_down_as_early_with_one() -> None:
    (refused,) = release_findings(clock(now=10), "  ")
    assert (refused.code, refused.severity, refused.wanted) == ("SHUT-01", "problem", "a reason")
    (early,) = release_findings(clock(now=10), "only eggs leave")
    assert (early.code, early.severity) == ("SHUT-02", "warning")
    assert release_findings(clock(now=30), "") == ()


def place(name: str, zone: str) -> Place:
    return Place(id=name, label=name, kind="tank", opened=day(0), zone=zone)


PLACES = {
    one.id: one
    for one in (place("Q1", "laundry"), place("Q2", "laundry"), place("A1", "main"), place("B1", ""))
}
NET = Tool(id="net", label="the green net", wet_hours=24.0)
OWN = Tool(id="own", label="the red net", wet_hours=24.0, zone="laundry")


def dip(number: float, where: str, tool: str = "net") -> Draft:
    return Draft(kind="tool_used", happened=day(number), place=where, details={"tool": tool})


def cleaned(number: float) -> Draft:
    return Draft(kind="tool_cleaned", happened=day(number), details={"tool": "net"})


def codes(*drafts: Draft, tools: tuple[Tool, ...] = (NET, OWN), other: Quarantine | None = None) -> list[str]:
    events = as_events(sorted(drafts, key=lambda one: one.happened))
    clocks = tuple(quarantine_clock(one, events, (), day(20)) for one in (SHUT, other) if one is not None)
    shut = Shut(clocks=clocks, events=events, places=PLACES, tools={one.id: one for one in tools})
    return [one.code for one in quarantine_findings(shut)]


def test_a_net_that_went_on_wet_is_told_and_a_dry_or_clean_one_is_not() -> None:
    assert codes(dip(1, "Q1"), dip(1.5, "A1"), dip(1.6, "A1")) == ["SHUT-06"]
    assert codes(dip(1, "Q1"), dip(3, "A1")) == []
    assert codes(dip(1, "Q1"), cleaned(1.2), dip(1.5, "A1")) == []
    assert codes(dip(1, "A1"), dip(1.5, "Q1")) == [], "into it is allowed"
    assert codes(dip(1, "Q1"), dip(1.5, "Q2")) == [], "shut off together"


def test_a_net_between_two_quarantines_is_told_both_ways() -> None:
    other = Quarantine(id="r", places=("B1",), opened=day(0), least_days=30.0)
    assert codes(dip(1, "Q1"), dip(1.2, "B1"), dip(1.3, "Q1"), other=other).count("SHUT-06") == 2


def test_a_tool_out_of_its_zone_is_told_once_a_place() -> None:
    assert codes(dip(1, "A1", "own"), dip(5, "A1", "own")) == ["SHUT-07"]


def test_fish_taken_out_early_need_a_word() -> None:
    assert codes(moved("s", "Q1", "A1", 3, day(5))) == ["SHUT-08"]
    assert codes(moved("s", "Q1", "A1", 3, day(5), note="the last of the pair, seen by the vet")) == []
    assert codes(left("s", "Q1", 3, day(5), "sold")) == ["SHUT-08"]
    assert codes(moved("s", "Q1", "Q2", 3, day(5))) == []


def test_a_quarantine_without_a_net_of_its_own_is_told() -> None:
    assert codes(tools=(NET,)) == ["SHUT-11"]


def test_arrivals_shared_water_and_an_end_are_told_by_their_owners_names() -> None:
    spans = (water("A1", "Q1"), water("B1", "Q1", certain=False))
    events = as_events([arrived(2, "Q1")])
    shut = Shut(clocks=(quarantine_clock(SHUT, events, spans, day(40)),), places=PLACES, tools={"own": OWN})
    found = quarantine_findings(shut)
    assert [one.code for one in found] == ["SHUT-05", "SHUT-03", "SHUT-04", "SHUT-10"]
    assert "A1" in found[0].text
    assert all(one.subject == "quarantine Q1, Q2" for one in found)


def test_what_is_shut_off_is_touched_only_with_what_is_kept_for_it() -> None:
    assert tools_for(PLACES["Q1"], [NET, OWN], shut=True) == (OWN,)
    assert tools_for(PLACES["A1"], [NET, OWN], shut=False) == (NET,)


def test_a_place_is_shut_from_its_opening_until_its_release() -> None:
    shut = Shut(clocks=(clock(shut=replace(SHUT, released=day(9))),))
    moments: list[datetime] = [day(0) - timedelta(seconds=1), day(0), day(8.9), day(9)]
    assert [shut.shut_at("Q1", at) for at in moments] == ["", "q", "q", ""]
