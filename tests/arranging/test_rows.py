"""Rows of tanks on a shelf: all there are, none too long, every hole clear of the uprights."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.arranging.model import Row, TankSize
from tankwright.arranging.rows import MOST_ROWS, rows_for
from tankwright.arranging.trial import on_shelf, tank_sizes, tried, uprights_of

from .small_rooms import plan_of, small_room

ENDS = ((0.0, 0.045), (0.955, 1.0))


def tank(kind: str = "t", wide: float = 0.3, *, hole_at: float | None = None, half: float = 0.02,
         beside: tuple[float, float] = (0.0, 0.0)) -> TankSize:  # fmt: skip
    return TankSize(
        kind=kind, end_on=False, wide=wide, deep=0.3, height=0.3, water=0.02, mass=27.0, hole_at=hole_at,
        hole_half=half, hole_up=0.2, beside=beside,
    )  # fmt: skip


def least_place(tank: TankSize, least: float, uprights: tuple[tuple[float, float], ...]) -> float:
    """The first place to the millimetre that is clear: looked for one by one."""
    place = round(least, 3)
    while tank.hole_at is not None and any(
        start < place + tank.hole_at + tank.hole_half - 1e-6
        and place + tank.hole_at - tank.hole_half < end - 1e-6
        for start, end in uprights
    ):
        place = round(place + 0.001, 3)
    return place


@given(
    widths=st.tuples(st.integers(150, 500), st.integers(150, 500)), length=st.integers(400, 1400),
    hole=st.integers(30, 120), middle=st.integers(200, 900),
)  # fmt: skip
def test_rows_are_those_that_fit_when_each_tank_is_pushed_to_the_left(
    widths: tuple[int, int], length: int, hole: int, middle: int
) -> None:
    sizes = [tank("a", widths[0] / 1000, hole_at=hole / 1000), tank("b", widths[1] / 1000)]
    uprights = ((0.0, 0.045), (middle / 1000, middle / 1000 + 0.045))
    rows, whole = rows_for(sizes, length / 1000, uprights, gap=0.01, quantum=0.001)
    assert whole
    got = {(row.counts.get("a", 0), row.counts.get("b", 0)) for row in rows}
    expected = set()
    for many_a, many_b in product(range(9), range(9)):
        for order in (
            (sizes[0],) * many_a + (sizes[1],) * many_b,
            (sizes[1],) * many_b + (sizes[0],) * many_a,
        ):
            end = -0.01
            for one in order:
                end = least_place(one, end + 0.01, uprights) + one.wide
            if end <= length / 1000 + 1e-6:
                expected.add((many_a, many_b))
    assert got == expected


@given(
    wide=st.floats(0.15, 0.6),
    hole=st.floats(0.03, 0.12),
    gap=st.floats(0.0, 0.03),
    middle=st.floats(0.2, 0.7),
)
def test_no_tank_stands_over_another_nor_over_the_end_nor_a_hole_behind_an_upright(
    wide: float, hole: float, gap: float, middle: float
) -> None:
    uprights = (*ENDS, (middle, middle + 0.045))
    rows, _ = rows_for(
        [tank("a", wide, hole_at=hole), tank("b", 0.25)], 1.0, uprights, gap=gap, quantum=0.001
    )
    assert rows[0] == Row()
    for row in rows:
        end = -gap
        for size, place in row.tanks:
            assert place >= end + gap - 1e-6
            end = place + size.wide
            if size.hole_at is not None:
                at = place + size.hole_at
                assert all(
                    at + size.hole_half <= start + 2e-6 or at - size.hole_half >= stop - 2e-6
                    for start, stop in uprights
                )
        assert end <= 1.0 + 1e-6


def test_a_row_stands_in_the_middle_where_its_holes_let_it() -> None:
    rows, _ = rows_for([tank()], 1.0, ENDS, gap=0.01, quantum=0.001)
    (_, first), (_, second) = rows[2].tanks
    assert first == pytest.approx(1.0 - (second + 0.3), abs=0.002)


def test_a_hole_in_an_end_keeps_its_fitting_s_way_to_the_neighbour() -> None:
    rows, _ = rows_for([tank(beside=(0.05, 0.0))], 1.0, ENDS, gap=0.01, quantum=0.001)
    (_, first), (_, second) = rows[2].tanks
    assert second - (first + 0.3) == pytest.approx(0.05)


def test_of_too_many_rows_those_that_fill_the_shelf_best_are_kept() -> None:
    sizes = [tank(name, 0.15 + 0.01 * number) for number, name in enumerate("abcd")]
    rows, whole = rows_for(sizes, 2.0, (), gap=0.01, quantum=0.001)
    assert not whole
    assert len(rows) == MOST_ROWS
    assert rows[0] == Row()
    assert max(sum(size.wide for size, _ in row.tanks) for row in rows) > 1.85


# --- tried by the checks -----------------------------------------------------------------------------------------


def sizes_in(text: str) -> tuple[TankSize, ...]:
    plan = plan_of(text)
    return tank_sizes(plan, plan.tank_kind)


def test_a_tank_is_as_the_layout_makes_it() -> None:
    drilled = (
        'hole = { pane = "back", diameter = "29 mm", from_left = "75 mm", below_rim = "65 mm", flange = "45 mm" }\n'
        'overflow = { elbow_reach = "30 mm", water_below_rim = "40 mm", bore = "16 mm" }'
    )
    (cube,) = sizes_in(small_room(tanks=drilled))
    assert cube.hole_at == pytest.approx(0.075)
    assert cube.hole_half == pytest.approx(0.0225)
    assert cube.hole_up == pytest.approx(0.235)
    assert cube.water == pytest.approx(0.29 * 0.29 * (0.30 - 0.005 - 0.040))


def test_a_long_tank_with_a_hole_in_its_end_may_stand_end_on_and_one_drilled_behind_may_not() -> None:
    def kind(pane: str) -> str:
        hole = f'hole = {{ pane = "{pane}", diameter = "29 mm", from_left = "75 mm", below_rim = "65 mm" }}'
        return f'[tank_kind.long]\noutside = ["60 cm", "30 cm", "30 cm"]\n{hole}'

    assert [one.end_on for one in sizes_in(small_room(tanks=kind("left"))) if one.kind == "long"] == [
        False,
        True,
    ]
    assert [one.end_on for one in sizes_in(small_room(tanks=kind("back"))) if one.kind == "long"] == [False]


def one_on_shelf(text: str, many: int = 1, shelf: int = 1) -> set[str]:
    plan = plan_of(text)
    (size,) = tank_sizes(plan, ["cube"])
    rows, _ = rows_for([size], 1.0, uprights_of(plan, "plain"), gap=0.01, quantum=0.001)
    row = next(row for row in rows if len(row.tanks) == many)
    return {finding.code for finding in tried(plan, [("plain", on_shelf(shelf, row))])[0]}


def test_a_tank_that_has_room_over_it_may_stand() -> None:
    assert one_on_shelf(small_room(), many=3) == set()


def test_what_the_checks_refuse_stands_on_no_shelf() -> None:
    high = small_room().replace('["30 cm", "30 cm", "30 cm"]', '["30 cm", "30 cm", "65 cm"]')
    assert "LAYOUT-06" in one_on_shelf(high)
    low = small_room().replace('["30 cm", "30 cm", "30 cm"]', '["30 cm", "30 cm", "55 cm"]')
    assert "LAYOUT-11" in one_on_shelf(low)
    rated = small_room(racks='shelf_rating = "60 kg"')
    assert one_on_shelf(rated, many=1) == set()
    assert "LOAD-04" in one_on_shelf(rated, many=3)


def test_a_row_is_told_apart_from_those_it_was_tried_with() -> None:
    plan = plan_of(small_room(racks='shelf_rating = "60 kg"'))
    (size,) = tank_sizes(plan, ["cube"])
    rows, _ = rows_for([size], 1.0, uprights_of(plan, "plain"), gap=0.01, quantum=0.001)
    told = tried(plan, [("plain", on_shelf(shelf, row)) for shelf in (1, 2) for row in rows[1:]] * 20)
    assert [bool(one) for one in told] == [
        len(row.tanks) * size.mass > 60.0 for _ in (1, 2) for row in rows[1:]
    ] * 20
