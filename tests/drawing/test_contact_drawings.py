"""A trace over time, the strip of a clock and the layer of quarantines: nothing off the page, nothing over another."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tankwright.drawing.clock_strip import WIDTH as STRIP
from tankwright.drawing.clock_strip import day_name, draw_clock
from tankwright.drawing.colour import TEAL
from tankwright.drawing.layer_quarantine import draw_quarantine, draw_reached
from tankwright.drawing.model import Drawing, Group, Polyline, Rectangle, walk
from tankwright.drawing.trace_chart import MOST, draw_trace
from tankwright.husbandry.contact_trace import Carriers, Trace, trace_contacts
from tankwright.husbandry.contacts import Contact, WaterSpan, microseconds
from tankwright.husbandry.quarantine import Clock, Restart
from tankwright.husbandry.register import Quarantine
from tankwright.husbandry.shut_facts import ShutFacts

from ..husbandry.test_shared_water import laid
from .sheet_checks import outside, overlapping

FIRST = datetime(2026, 5, 1, tzinfo=UTC)


def day(number: float) -> datetime:
    return FIRST + timedelta(days=number)


def clock(now: float, *restarts: float, least: float = 30.0, places: tuple[str, ...] = ("A1",)) -> Clock:
    shut = Quarantine(id="q", places=places, opened=day(0), least_days=least)
    begun = (
        Restart(at=day(0), kind="opened"),
        *(Restart(at=day(one), kind="arrived", place="A1") for one in restarts),
    )
    return Clock(quarantine=shut, now=day(now), restarts=begun)


def titles(drawing: Drawing) -> list[str]:
    return [one.title for one in walk(drawing.parts) if isinstance(one, Group) and one.title]


@settings(max_examples=60, deadline=None)
@given(st.floats(0.1, 200), st.lists(st.floats(0, 100), max_size=5), st.floats(0.5, 90))
def test_a_strip_keeps_to_its_page_and_its_dates_apart(now: float, again: list[float], least: float) -> None:
    drawing = draw_clock(clock(now, *sorted(one for one in again if one <= now), least=least), title="A1")
    assert outside(drawing) == []
    assert overlapping(drawing) == []


def test_a_strip_is_filled_by_the_share_of_its_days_since_it_began_again() -> None:
    drawing = draw_clock(clock(20, 5), title="A1")
    filled = [one for one in walk(drawing.parts) if isinstance(one, Rectangle) and one.look.fill == TEAL]
    whole = STRIP - 8.0
    assert [one.width for one in filled] == [pytest.approx(whole * 15 / 35)]
    marks = [one for one in walk(drawing.parts) if isinstance(one, Polyline) and one.closed]
    assert len(marks) == 1
    assert "1 times begun again" in drawing.description


def trace(tanks: int, *, back: bool = False) -> Trace:
    """A chain of tanks, a day from each to the next, by fish, net and water in turn."""
    contacts = []
    spans = []
    for one in range(tanks):
        here, there = f"T{one}", f"T{one + 1}"
        if one % 3 == 0:
            contacts.append(Contact(at=microseconds(day(one + 1)), kind="moved", source=here, target=there))
        elif one % 3 == 1:
            contacts += [
                Contact(at=microseconds(day(one + more)), kind="dipped", target=place, tool="net")
                for place, more in ((here, 0.6), (there, 1.0))
            ]
        else:
            spans.append(WaterSpan(
                source=here, target=there, kind="backed up", certain=False, through="drain main",
                begin=microseconds(day(one + 1)),
            ))  # fmt: skip
    contacts.sort(key=lambda one: one.at)
    carriers = Carriers(contacts=contacts, spans=tuple(spans))
    place = f"T{tanks}" if back else "T0"
    return trace_contacts(place, day(0), day(tanks + 2), carriers, back=back)


@pytest.mark.parametrize("tanks", [0, 1, 5, 30, 100])
@pytest.mark.parametrize("back", [False, True])
def test_a_trace_keeps_to_its_page_and_its_names_apart(tanks: int, back: bool) -> None:
    drawing = draw_trace(trace(tanks, back=back), str, title="trace")
    assert outside(drawing) == []
    assert overlapping(drawing) == []


def test_a_trace_has_an_arrow_for_every_hop_that_says_what_carried() -> None:
    names = {"net": "the green net"}
    drawing = draw_trace(trace(3), lambda name: names.get(name, name), title="trace")
    arrows = [one for one in titles(drawing) if " to " in one]
    assert arrows == [
        f"T0 to T1, {day_name(day(1))}: fish moved", f"T1 to T2, {day_name(day(2))}: the green net",
        f"T2 to T3, {day_name(day(3))}: drain main",
    ]  # fmt: skip


def test_a_long_trace_says_how_many_more_there_are() -> None:
    drawing = draw_trace(trace(100), str, title="trace")
    texts = [getattr(one, "text", "") for one in walk(drawing.parts)]
    assert any(f"{100 - MOST} more in the list" in text for text in texts)


def test_the_layer_hatches_nothing_and_tells_what_is_shut_joined_and_open() -> None:
    room = laid(to="sump")
    facts = ShutFacts(
        shut=((clock(5, places=("A1",)), ("A1",)), (clock(40, places=("A2",)), ("A2",))),
        joined=frozenset({"A3"}),
    )
    drawn = {one.id: one for one in draw_quarantine(room, facts).tanks}
    assert {name: one.figure for name, one in drawn.items()} == {
        "A1": "25 days", "A2": "over", "A3": "joined", "A4": "open",
    }  # fmt: skip
    shares = [drawn[name].share for name in ("A1", "A3", "A4")]
    assert shares == sorted(shares, key=lambda one: one or 0.0)
    assert draw_quarantine(room, facts).figures[0] == ("of 4 tanks shut off", "2")


def test_a_trace_lights_the_room_in_four_colours() -> None:
    drawn = draw_reached(laid(), "A1", ["A2"], ["A3"])
    assert len({one.share for one in drawn.tanks}) == 4
    assert [one.title for one in drawn.tanks] == [
        "here the trace begins", "could be", "only if something goes wrong", "not named",
    ]  # fmt: skip
