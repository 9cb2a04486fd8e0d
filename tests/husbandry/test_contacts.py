"""Contacts read off events: moves, bags, tools at both ends, water as plans stood, hands apart."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from tankwright.husbandry.contact_trace import Carriers, trace_contacts
from tankwright.husbandry.contacts import (
    HANDS,
    PlanTime,
    contacts_of,
    hands_contacts,
    microseconds,
    water_spans,
)
from tankwright.husbandry.facts import Tally, came, moved, regrouped
from tankwright.husbandry.records import Draft, Event, Flow
from tankwright.husbandry.register import Tool
from tankwright.husbandry.shared_water import WaterLink

from .happenings import as_events, day


def pairs(*drafts: Draft) -> list[tuple[str, str, str]]:
    return [(one.kind, one.source, one.target) for one in contacts_of(as_events(drafts))]


def test_fish_moved_by_a_net_are_a_move_and_two_dips() -> None:
    found = pairs(moved("s", "A1", "A2", 3, day(1), tool="net"))
    assert found == [("moved", "A1", "A2"), ("dipped", "", "A1"), ("dipped", "", "A2")]


def test_a_net_that_moved_fish_carried_nothing_back_to_where_they_were_caught() -> None:
    """Clean before, in the tank they came from first: it is the tank they went to that it could have reached."""
    contacts = contacts_of(as_events([moved("s", "A4", "A3", 1, day(1), tool="net")]))
    carriers = Carriers(contacts=contacts, spans=(), tools=(Tool(id="net", label="Net", wet_hours=24.0),))
    back = trace_contacts("A3", day(0), day(2), carriers)
    assert [one.place for one in back.reached] == []
    onward = trace_contacts("A4", day(0), day(2), carriers)
    assert [one.place for one in onward.reached] == ["A3"]


def test_fish_put_together_go_from_each_place_to_each_other() -> None:
    found = pairs(regrouped([("a", "A1", -3), ("b", "A2", -2), ("c", "A3", 5)], day(1)))
    assert found == [("moved", "A1", "A3"), ("moved", "A2", "A3")]


def test_a_stock_split_in_its_own_tank_goes_nowhere() -> None:
    assert pairs(regrouped([("a", "A1", -3), ("b", "A1", 3)], day(1))) == []


def test_fish_in_a_bag_go_into_it_and_out_of_it() -> None:
    into = Draft(kind="moved", happened=day(1), place="A1", stock="s", flows=(
        Flow(stock="s", account="held", quantity=-3, place="A1"), Flow(stock="s", account="transit", quantity=3),
    ))  # fmt: skip
    out = Draft(kind="moved", happened=day(2), place="A2", stock="s", flows=(
        Flow(stock="s", account="transit", quantity=-3), Flow(stock="s", account="held", quantity=3, place="A2"),
    ))  # fmt: skip
    assert pairs(out, into) == [("moved", "A1", "bag:s"), ("moved", "bag:s", "A2")]


def test_arrivals_and_counts_are_no_contact() -> None:
    assert (
        pairs(came("arrived", "s", "A1", Tally(number=3), day(1)), Draft(kind="looked", happened=day(1)))
        == []
    )


def test_tools_used_and_cleaned_are_read_by_their_ids() -> None:
    used = Draft(kind="tool_used", happened=day(1), place="A1", details={"tool": "t"})
    cleaned = Draft(kind="tool_cleaned", happened=day(2), details={"tool": "t", "how": "dried"})
    found = contacts_of(as_events([used, cleaned]))
    assert [(one.kind, one.target, one.tool, one.at) for one in found] == [
        ("dipped", "A1", "t", microseconds(day(1))), ("cleaned", "", "t", microseconds(day(2))),
    ]  # fmt: skip


def test_water_is_shared_as_long_as_the_plan_said_so() -> None:
    one = WaterLink(source="A1", target="A2", kind="sump", certain=True, through="drain main")
    other = replace(one, target="A3")
    times = [
        PlanTime(begin=day(5), end=None, links=(one,)), PlanTime(begin=day(0), end=day(2), links=(one, other)),
        PlanTime(begin=day(2), end=day(4), links=(one,)), PlanTime(begin=day(4), end=day(5), links=(other,)),
    ]  # fmt: skip
    found = water_spans(times, {"A1": "p1", "A2": "p2"})
    assert [(span.target, span.begin, span.end) for span in found] == [
        ("p2", microseconds(day(0)), microseconds(day(4))), ("p2", microseconds(day(5)), None),
        ("A3", microseconds(day(0)), microseconds(day(2))), ("A3", microseconds(day(4)), microseconds(day(5))),
    ]  # fmt: skip
    assert {span.source for span in found} == {"p1"}


def work(number: float, place: str, who: str = "AB", kind: str = "tested") -> Event:
    (event,) = as_events([Draft(kind=kind, happened=day(number / 24), place=place)])  # type: ignore[arg-type]
    return replace(event, who=who)


def washed(number: float, who: str = "AB") -> Event:
    (event,) = as_events([Draft(kind="tool_cleaned", happened=day(number / 24), details={"tool": HANDS})])
    return replace(event, who=who)


def hands(reached: dict[str, datetime], *events: Event, back: bool = False) -> list[tuple[str, str]]:
    return [(one.source, one.target) for one in hands_contacts(events, reached, back=back)]


def test_hands_that_go_on_within_the_hour_are_told_apart() -> None:
    reached = {"A1": day(0)}
    assert hands(reached, work(1, "A1"), work(1.5, "A2"), work(3, "A3")) == [("A1", "A2")]
    assert hands(reached, work(1, "A1"), work(1.5, "A2", "CD")) == [], "hands of somebody else"
    assert hands(reached, work(1, "A1"), washed(1.2), work(1.5, "A2")) == [], "washed in between"
    assert hands(reached, work(1, "A1", kind="looked"), work(1.5, "A2")) == [], "looking is dry work"
    assert hands({"A1": day(1)}, work(1, "A1"), work(1.5, "A2")) == [], "before it was there"


def test_hands_back_are_those_that_came_from_elsewhere() -> None:
    reached = {"A2": day(1)}
    assert hands(reached, work(1, "A1"), work(1.5, "A2"), back=True) == [("A1", "A2")]
    assert hands(reached, work(1, "A1"), washed(1.2), work(1.5, "A2"), back=True) == []
    assert hands({"A2": day(0)}, work(1, "A1"), work(1.5, "A2"), back=True) == [], (
        "after it could have been given"
    )


def test_each_person_and_tank_is_told_once() -> None:
    found = hands_contacts([work(1, "A1"), work(1.5, "A2"), work(2, "A1"), work(2.5, "A2")], {"A1": day(0)})
    assert [one.at for one in found] == [day(1.5 / 24)]


def test_nothing_after_the_asked_days_is_looked_at() -> None:
    events = [work(1, "A1"), work(1.5, "A2")]
    assert hands_contacts(events, {"A1": day(0)}, until=day(1 / 24)) == ()
