"""A trace names who could be, and nobody who could not: the worked example, an oracle without cleverness, both ways."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Final

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tankwright.husbandry import contact_trace
from tankwright.husbandry.contact_kernel import NEVER
from tankwright.husbandry.contact_table import HOUR, contact_table, turned
from tankwright.husbandry.contact_trace import Carriers, Trace, trace_contacts, walk_table
from tankwright.husbandry.contacts import Contact, WaterSpan, microseconds, moment_of
from tankwright.husbandry.register import Tool

ZERO: Final = datetime(2026, 5, 1, tzinfo=UTC)


def hour(number: float) -> datetime:
    return ZERO + timedelta(hours=number)


def at(number: float) -> int:
    return microseconds(hour(number))


def dip(number: float, place: str, tool: str = "net") -> Contact:
    return Contact(at=at(number), kind="dipped", target=place, tool=tool, event=f"{tool} {place} {number:g}")


def move(number: float, source: str, target: str) -> Contact:
    return Contact(
        at=at(number), kind="moved", source=source, target=target, event=f"{source} {target} {number:g}"
    )


def clean(number: float, tool: str = "net") -> Contact:
    return Contact(at=at(number), kind="cleaned", tool=tool)


def water(source: str, target: str, begin: float, end: float | None, *, certain: bool = True) -> WaterSpan:
    return WaterSpan(
        source=source, target=target, kind="sump" if certain else "backed up", certain=certain, through="drain main",
        begin=at(begin), end=None if end is None else at(end),
    )  # fmt: skip


def net(wet: float, name: str = "net") -> Tool:
    return Tool(id=name, label=name, wet_hours=wet)


def carriers(*contacts: Contact, spans: tuple[WaterSpan, ...] = (), wet: float = 12.0) -> Carriers:
    return Carriers(
        contacts=sorted(contacts, key=lambda one: one.at), spans=spans,
        tools=(net(wet), net(wet, "siphon")),
    )  # fmt: skip


def hours(trace: Trace) -> dict[str, float]:
    return {one.place: (one.at - ZERO) / timedelta(hours=1) for one in trace.reached}


EXAMPLE = carriers(
    dip(9, "Q1"), dip(10, "A1"), move(20, "A2", "A3"), move(30, "A1", "A2"), dip(40, "A4"), wet=12.0
)


def test_the_worked_example_names_two_tanks_with_their_hours_and_not_the_other_two() -> None:
    found = trace_contacts("Q1", hour(0), hour(100), EXAMPLE)
    assert hours(found) == {"A1": 10.0, "A2": 30.0}
    (tool,), (first, second) = found.reached[0].chain, found.reached[1].chain
    assert (tool.carrier, tool.source, tool.target, tool.left, tool.at) == (
        "tool",
        "Q1",
        "A1",
        hour(9),
        hour(10),
    )
    assert first == tool
    assert (second.carrier, second.source, second.target, second.events) == (
        "fish",
        "A1",
        "A2",
        ("A1 A2 30",),
    )


def test_the_worked_example_back_names_where_it_could_have_come_from() -> None:
    found = trace_contacts("A2", hour(0), hour(100), EXAMPLE, back=True)
    assert hours(found) == {"A1": 30.0, "Q1": 9.0}
    assert [hop.carrier for hop in found.reached[1].chain] == ["tool", "fish"]


def test_a_net_is_wet_for_its_hours_to_the_last_and_no_longer() -> None:
    assert hours(trace_contacts("Q1", hour(0), hour(99), carriers(dip(0, "Q1"), dip(12, "A1")))) == {
        "A1": 12.0
    }
    late = carriers(dip(0, "Q1"), dip(12.001, "A1"))
    assert hours(trace_contacts("Q1", hour(0), hour(99), late)) == {}


def test_a_net_that_goes_on_dipping_carries_on_for_longer_than_it_is_wet() -> None:
    chain = carriers(*(dip(10 * n, f"A{n}") for n in range(5)))
    assert hours(trace_contacts("A0", hour(0), hour(99), chain)) == {f"A{n}": 10.0 * n for n in range(1, 5)}


def test_a_net_cleaned_in_between_carries_nothing() -> None:
    assert (
        hours(trace_contacts("Q1", hour(0), hour(99), carriers(dip(1, "Q1"), clean(2), dip(3, "A1")))) == {}
    )
    unsure = carriers(dip(1, "Q1"), clean(3), dip(3, "A1"))
    assert hours(trace_contacts("Q1", hour(0), hour(99), unsure)) == {"A1": 3.0}, (
        "nobody knows which came first"
    )


def test_of_one_moment_any_order_is_possible() -> None:
    same = carriers(move(5, "A2", "A3"), move(5, "A1", "A2"), dip(5, "A3"), dip(5, "B1"), wet=1.0)
    assert set(hours(trace_contacts("A1", hour(0), hour(9), same))) == {"A2", "A3", "B1"}


def test_shared_water_carries_at_once_and_only_while_it_was_shared() -> None:
    spans = (water("A1", "sump", 0, 50), water("sump", "A2", 0, 50), water("A2", "A3", 60, None))
    found = hours(trace_contacts("B1", hour(0), hour(99), carriers(move(10, "B1", "A1"), spans=spans)))
    assert found == {"A1": 10.0, "sump": 10.0, "A2": 10.0, "A3": 60.0}
    late = carriers(move(51, "B1", "A1"), spans=spans)
    assert hours(trace_contacts("B1", hour(0), hour(99), late)) == {"A1": 51.0}


def test_what_only_a_mishap_could_carry_is_told_apart() -> None:
    spans = (water("A1", "A2", 0, None, certain=False), water("A1", "A3", 0, None))
    found = trace_contacts("A1", hour(0), hour(9), carriers(move(5, "A2", "A4"), spans=spans))
    assert {one.place: one.certain for one in found.reached} == {"A3": True, "A2": False, "A4": False}
    assert found.times(possible=False) == {"A1": hour(0), "A3": hour(0)}
    assert [(hop.kind, hop.certain) for hop in found.reached[1].chain] == [("backed up", False)]


def test_fish_in_a_bag_are_followed_and_the_bag_is_no_tank() -> None:
    found = trace_contacts("A1", hour(0), hour(99), carriers(move(1, "A1", "bag:s"), move(30, "bag:s", "A2")))
    assert hours(found) == {"A2": 30.0}
    assert len(found.reached[0].chain) == 2


def test_nothing_outside_the_asked_days_is_looked_at() -> None:
    moves = carriers(move(1, "A1", "A2"), move(5, "A1", "A3"), move(9, "A1", "A4"))
    assert set(hours(trace_contacts("A1", hour(2), hour(8), moves))) == {"A3"}
    assert trace_contacts("nowhere", hour(2), hour(8), moves).reached == ()


PLACES = ("A", "B", "C", "D", "E")
TIME = st.integers(0, 12)
CONTACT = st.one_of(
    st.builds(move, TIME, st.sampled_from(PLACES), st.sampled_from(PLACES)).filter(
        lambda c: c.source != c.target
    ),
    st.builds(dip, TIME, st.sampled_from(PLACES), st.sampled_from(["net", "siphon"])),
    st.builds(clean, TIME, st.sampled_from(["net", "siphon"])),
)
SPAN = st.builds(
    lambda source, target, begin, lasts: water(source, target, begin, None if lasts > 5 else begin + lasts),
    st.sampled_from(PLACES), st.sampled_from(PLACES), TIME, st.integers(0, 8),
).filter(lambda one: one.source != one.target)  # fmt: skip
WORLD = st.builds(
    lambda contacts, spans, wet: carriers(*contacts, spans=tuple(spans), wet=wet),
    st.lists(CONTACT, max_size=14), st.lists(SPAN, max_size=3), st.integers(0, 5),
)  # fmt: skip


def by_hand(place: str, since: int, until: int, world: Carriers) -> dict[str, int]:
    """Every step that could carry, tried again and again until nothing changes."""
    steps: list[tuple[str, int, str, int]] = []
    for one in world.contacts:
        if one.kind == "moved":
            steps.append((one.source, one.at, one.target, one.at))
        for other in world.contacts:
            if one.kind == other.kind == "dipped" and one.tool == other.tool and one.at <= other.at:
                wet = next(tool.wet_hours for tool in world.tools if tool.id == one.tool) * HOUR
                cleaned = any(
                    c.kind == "cleaned" and c.tool == one.tool and one.at < c.at < other.at
                    for c in world.contacts
                )
                if other.at - one.at <= wet and not cleaned:
                    steps.append((one.target, one.at, other.target, other.at))
    found = {place: since}
    while True:
        before = dict(found)
        for source, leaves, target, arrives in steps:
            if since <= leaves and arrives <= until and found.get(source, NEVER) <= leaves:
                found[target] = min(found.get(target, NEVER), arrives)
        for span in world.spans:
            arrives = max(found.get(span.source, NEVER), span.begin)
            if arrives <= min(until, NEVER if span.end is None else span.end):
                found[span.target] = min(found.get(span.target, NEVER), arrives)
        if found == before:
            return found


@settings(max_examples=400)
@given(WORLD, st.sampled_from(PLACES), TIME, st.integers(0, 12))
def test_it_is_what_trying_every_step_again_and_again_finds(
    world: Carriers, place: str, since: int, lasts: int
) -> None:
    found = trace_contacts(place, hour(since), hour(since + lasts), world)
    wanted = by_hand(place, at(since), at(since + lasts), world)
    assert {one.place: microseconds(one.at) for one in found.reached} | {place: at(since)} == wanted


@settings(max_examples=200)
@given(WORLD, TIME, st.integers(0, 12))
def test_who_is_reached_forward_reaches_it_back(world: Carriers, since: int, lasts: int) -> None:
    first, last = hour(since), hour(since + lasts)
    forward = {one: set(trace_contacts(one, first, last, world).times()) for one in PLACES}
    backward = {one: set(trace_contacts(one, first, last, world, back=True).times()) for one in PLACES}
    for here in PLACES:
        for there in PLACES:
            assert (there in forward[here]) == (here in backward[there])


@settings(max_examples=200)
@given(WORLD, st.sampled_from(PLACES), TIME, st.booleans())
def test_every_chain_goes_from_one_end_to_the_other_forward_in_time(
    world: Carriers, place: str, since: int, back: bool
) -> None:
    found = trace_contacts(place, hour(since), hour(13), world, back=back)
    for one in found.reached:
        ends = (one.chain[0].source, one.chain[-1].target)
        assert ends == ((one.place, place) if back else (place, one.place))
        now = hour(since)
        for hop in one.chain:
            assert now <= hop.left <= hop.at
            assert hop.carrier != "tool" or (hop.at - hop.left).total_seconds() <= 3600 * max(
                tool.wet_hours for tool in world.tools
            )
            now = hop.at
        for hop, following in zip(one.chain, one.chain[1:], strict=False):
            assert hop.target == following.source
        assert one.at == (one.chain[0].left if back else one.chain[-1].at)
        assert now <= hour(13)


@settings(max_examples=100)
@given(WORLD, st.sampled_from(PLACES), TIME)
def test_less_contact_never_reaches_more(world: Carriers, place: str, since: int) -> None:
    everything = trace_contacts(place, hour(since), hour(13), world).times()
    for left_out in range(len(world.contacts)):
        if world.contacts[left_out].kind != "cleaned":
            rest = [*world.contacts[:left_out], *world.contacts[left_out + 1 :]]
            found = trace_contacts(place, hour(since), hour(13), replace(world, contacts=rest)).times()
            assert all(everything[one] <= when for one, when in found.items())


@given(WORLD, st.sampled_from(PLACES), TIME)
def test_turned_round_twice_it_is_the_same(world: Carriers, place: str, since: int) -> None:
    table = contact_table(world.contacts, world.spans, world.tools, wet_hours=24.0, places=PLACES)
    again = turned(turned(table))
    here, there = (walk_table(one, place, at(since), at(13)).reached for one in (table, again))
    assert np.array_equal(here, there)
    assert again.back is False


def test_as_machine_code_it_says_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    random = np.random.default_rng(8)
    contacts = []
    for number in np.sort(random.integers(0, 4000, 6000)).tolist():
        kind, one, two, tool = random.integers(0, [10, 60, 60, 9]).tolist()
        if kind < 2 and one != two:
            contacts.append(move(number, f"T{one}", f"T{two}"))
        elif kind < 9:
            contacts.append(dip(number, f"T{one}", f"n{tool}"))
        else:
            contacts.append(clean(number, f"n{tool}"))
    world = Carriers(
        contacts=contacts, spans=(water("T5", "T6", 3, 900), water("T6", "T5", 3, 900)), wet_hours=6.0
    )
    interpreted = [trace_contacts("T5", hour(0), hour(300), world, back=back) for back in (False, True)]
    monkeypatch.setattr(contact_trace, "INTERPRETED_ITEMS", 0)
    compiled = [trace_contacts("T5", hour(0), hour(300), world, back=back) for back in (False, True)]
    contact_trace._compiled.cache_clear()
    assert interpreted == compiled
    assert len(interpreted[0].reached) > 10


@given(st.integers(-(10**15), 4 * 10**15))
def test_moments_are_kept_to_the_microsecond(number: int) -> None:
    assert microseconds(moment_of(number)) == number
