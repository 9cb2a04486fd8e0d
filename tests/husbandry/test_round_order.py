"""Never from dirty to clean without washing, what is shut off in one go, and no shorter walk keeps that order."""

from __future__ import annotations

from dataclasses import replace
from itertools import permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tankwright.husbandry.round_order import EXACT, RoundOrder, Stop, Wash, dirties, order_of_work
from tankwright.husbandry.walk_lengths import Spot, walk_lengths
from tankwright.husbandry.zones import (
    GRADES,
    USUAL,
    ZoneOrder,
    dirtiest,
    grade_of_zone,
    zone_order,
)


def stop(
    name: str, grade: str = "normal", unit: str = "", x: float = 0.0, y: float = 0.0, space: str = ""
) -> Stop:
    return Stop(id=name, place=name, grade=grade, unit=unit, spot=Spot(x=x, y=y, space=space))


def names(order: RoundOrder) -> list[str]:
    return [("wash" if isinstance(one, Wash) else one.place) for one in order.parts]


SHUT = st.sampled_from([("quarantine", "q1"), ("quarantine", "q2"), ("treated", "q1"), ("treated", "t")])
OPEN = st.tuples(st.sampled_from([*GRADES, "shed"]), st.just(""))
STOPS = st.lists(
    st.tuples(st.one_of(OPEN, OPEN, SHUT), st.floats(0, 9, width=16), st.floats(0, 9, width=16)), max_size=16
).map(
    lambda rows: [stop(f"s{number}", grade, unit, x, y) for number, ((grade, unit), x, y) in enumerate(rows)]
)


def is_kept(order: RoundOrder, been: list[Stop]) -> bool:
    """Looked at from the other side: between every dirty stop and a clean one after it stands a washing."""
    since = list(been)
    for part in order.parts:
        if isinstance(part, Wash):
            since = []
        else:
            if any(dirties(one, part) for one in since):
                return False
            since.append(part)
    return True


@settings(max_examples=200, deadline=None)
@given(
    STOPS,
    st.lists(st.builds(stop, st.just("b"), st.sampled_from(GRADES), st.sampled_from(["", "q1"])), max_size=2),
)
def test_it_never_goes_from_dirty_to_clean_without_washing(stops: list[Stop], been: list[Stop]) -> None:
    order = order_of_work(stops, been=been)
    assert sorted(one.id for one in order.stops) == sorted(one.id for one in stops)
    assert is_kept(order, been)


@settings(max_examples=200, deadline=None)
@given(STOPS)
def test_cleaner_comes_before_dirtier_and_what_is_shut_off_is_worked_at_in_one_go(stops: list[Stop]) -> None:
    route = order_of_work(stops).stops
    for first, one in enumerate(route):
        for other in route[first + 1 :]:
            if not one.unit and not other.unit:
                assert not USUAL.cleaner(other.grade, one.grade)
    units = [one.unit for one in route]
    for unit in set(units) - {""}:
        first, last = units.index(unit), len(units) - 1 - units[::-1].index(unit)
        assert set(units[first : last + 1]) == {unit}


@settings(max_examples=200, deadline=None)
@given(STOPS)
def test_no_washing_is_idle(stops: list[Stop]) -> None:
    parts = order_of_work(stops).parts
    for place, part in enumerate(parts):
        if isinstance(part, Wash):
            without = RoundOrder(parts=(*parts[:place], *parts[place + 1 :]), metres=None, exact=True)
            assert not is_kept(without, [])
            assert part.after is not None
            assert dirties(part.after, part.before)


def length(route: tuple[Stop, ...], start: Spot | None) -> float:
    spots = [one.spot for one in route if one.spot is not None]
    whole = walk_lengths([*([start] if start else []), *spots])
    return float(sum(whole[i, i + 1] for i in range(len(whole) - 1)))


@settings(max_examples=60, deadline=None)
@given(STOPS.filter(lambda stops: 0 < len(stops) <= 6), st.booleans())
def test_of_all_orders_that_are_kept_none_is_shorter(stops: list[Stop], from_door: bool) -> None:
    start = Spot(x=0.0, y=0.0) if from_door else None
    found = order_of_work(stops, start=start)
    washings = len(found.parts) - len(found.stops)
    assert found.exact
    worst = {
        one.unit: dirtiest(sorted({two.grade for two in stops if two.unit == one.unit})) for one in stops
    }

    def allowed(route: tuple[Stop, ...]) -> bool:
        units = [one.unit for one in route]
        together = all(
            len({units[i] for i in range(units.index(unit), len(units) - units[::-1].index(unit))}) == 1
            for unit in set(units) - {""}
        )
        return together and not any(
            USUAL.cleaner(
                two.grade if one.unit == two.unit or not two.unit else worst[two.unit],
                one.grade if one.unit == two.unit or not one.unit else worst[one.unit],
            )
            for place, one in enumerate(route)
            for two in route[place + 1 :]
        )

    best = min(length(route, start) for route in permutations(stops) if allowed(route))
    assert found.metres == pytest.approx(best, abs=1e-6)
    assert length(found.stops, start) == pytest.approx(best, abs=1e-6)
    assert washings <= max(0, len({one.unit for one in stops}) * 2)


@settings(max_examples=30, deadline=None)
@given(st.lists(st.tuples(st.floats(0, 9, width=16), st.floats(0, 9, width=16)), min_size=13, max_size=40))
def test_a_long_round_is_never_longer_than_the_nearest_next_one(places: list[tuple[float, float]]) -> None:
    stops = [replace(stop(f"s{n:02d}", x=x, y=y), order=n) for n, (x, y) in enumerate(places)]
    found = order_of_work(stops, start=Spot(x=0.0, y=0.0))
    assert not found.exact
    left, here, walked = list(stops), Spot(x=0.0, y=0.0), 0.0
    while left:
        reach = [float(walk_lengths([here, one.spot or here])[0, 1]) for one in left]
        walked += min(reach)
        here = left.pop(reach.index(min(reach))).spot or here
    assert found.metres is not None
    assert found.metres <= walked + 1e-6


def test_two_quarantines_are_washed_between_and_come_last() -> None:
    stops = [
        stop("Q1", "quarantine", "a"),
        stop("A1"),
        stop("Q2", "quarantine", "b", x=1.0),
        stop("F1", "fry", x=9.0),
    ]
    assert names(order_of_work(stops)) == ["F1", "A1", "Q1", "wash", "Q2"]


def test_who_comes_from_the_quarantine_washes_first() -> None:
    order = order_of_work([stop("A1"), stop("Q1", "quarantine", "a")], been=[stop("Q9", "quarantine", "a")])
    assert names(order) == ["wash", "A1", "Q1"]
    wash = order.parts[0]
    assert isinstance(wash, Wash)
    assert wash.after is None


def test_without_spots_it_goes_in_walking_order_and_tells_no_metres() -> None:
    stops = [Stop(id=str(n), place=f"A{n}", grade="normal", order=n) for n in (3, 1, 2)]
    order = order_of_work(stops)
    assert (names(order), order.metres) == (["A1", "A2", "A3"], None)


def test_nothing_to_do_is_an_order_too() -> None:
    assert order_of_work([]).parts == ()


def test_two_stops_of_one_id_are_refused() -> None:
    with pytest.raises(ValueError, match="id of its own"):
        order_of_work([stop("A1"), stop("A1")])


def test_the_way_to_another_room_goes_by_the_doors() -> None:
    spots = [Spot(x=0.0, y=0.0, space="cellar"), Spot(x=0.0, y=2.0, space="laundry")]
    doors = [Spot(x=4.0, y=0.0, space="cellar"), Spot(x=4.0, y=2.0, space="laundry")]
    assert walk_lengths(spots, doors)[0, 1] == pytest.approx(10.0)
    assert walk_lengths(spots)[0, 1] == pytest.approx(2.0)


def test_a_round_of_two_thousand_stops_is_ordered() -> None:
    shut, usual = ("quarantine", "q"), ("normal", "")
    stops = [
        replace(stop(f"s{n:04d}", *(usual if n % 50 else shut), x=n % 40, y=n // 40), order=n)
        for n in range(2000)
    ]
    order = order_of_work(stops)
    assert [one.grade for one in order.stops].index("quarantine") == 1960
    assert len(stops) > EXACT


PAIRS = st.lists(st.tuples(st.sampled_from("abcde"), st.sampled_from("abcde")), max_size=8)


@given(PAIRS)
def test_an_order_of_zones_has_no_circle_and_follows_through(pairs: list[tuple[str, str]]) -> None:
    order, findings = zone_order(pairs)
    assert all(not order.cleaner(one, one) for one in "abcde")
    for one, other in order.pairs:
        assert not order.cleaner(other, one)
        assert all(order.cleaner(one, third) for third in "abcde" if order.cleaner(other, third))
    left_out = len(findings)
    assert sum(not order.cleaner(one, other) for one, other in pairs) == left_out


def test_a_circle_is_said_with_the_pair_that_closes_it() -> None:
    _, (finding,) = zone_order([("fry", "normal"), ("normal", "quarantine"), ("quarantine", "fry")])
    assert (finding.code, finding.found) == ("SHUT-09", "quarantine before fry")


def test_grades_follow_the_zones_of_the_plan() -> None:
    assert [grade_of_zone(one) for one in ("Fry", "main", "suspect")] == ["fry", "normal", "suspect"]
    assert dirtiest([]) == "normal"
    assert dirtiest(["fry", "shed", "suspect"], ZoneOrder(pairs=frozenset())) == "fry"
