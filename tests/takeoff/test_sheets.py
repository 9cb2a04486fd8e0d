"""Sheets: nothing overlaps, every cut goes from edge to edge, the bound is never above the plan."""

from __future__ import annotations

import math
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tankwright.takeoff.sheet_bounds import least
from tankwright.takeoff.sheet_cuts import Box, part
from tankwright.takeoff.sheet_model import CutSheet, SheetPiece, SheetPlan, SheetStock
from tankwright.takeoff.sheet_packing import Bin, Item, pack
from tankwright.takeoff.sheets import cut_sheets

BOARD = SheetStock(width=2.4, height=1.2, name="board")
SMALLEST = 5e-5  # m, half of the tenth of a millimetre in which it is worked out


def piece(width: float, height: float, count: int = 1, label: str = "p", *, turns: bool = True) -> SheetPiece:
    return SheetPiece(width=width, height=height, count=count, label=label, turns=turns)


def codes(plan: SheetPlan) -> list[str]:
    return [one.code for one in plan.findings]


Part = tuple[float, float, float, float]
"""Left, lower, right and upper edge of what lies on the bench."""


def close(one: float, other: float, by: float = 0.0) -> bool:
    return abs(one - other) < 2 * SMALLEST + by


def saw(sheet: CutSheet, kerf: float) -> list[Part]:
    """Carry out the cuts one after another on a real sheet, and give the parts that come out."""
    trim = sheet.trim
    parts: list[Part] = [(trim, trim, sheet.stock.width - trim, sheet.stock.height - trim)]
    for cut in sheet.cuts:
        on = []
        for one in parts:
            left, lower, right, upper = one
            (low, high), (start, end) = ((left, right), (lower, upper))[:: 1 if cut.upright else -1]
            reaches = close(start, cut.start) and close(end, cut.end)
            if reaches and low - kerf - SMALLEST <= cut.at <= high + SMALLEST:
                on.append(one)
        assert len(on) == 1, "the cut runs from edge to edge of one part that is on the bench"
        parts.remove(on[0])
        left, lower, right, upper = on[0]
        if cut.upright:
            parts += [(left, lower, cut.at, upper), (cut.at + kerf, lower, right, upper)]
        else:
            parts += [(left, lower, right, cut.at), (left, cut.at + kerf, right, upper)]
    return parts


def check(plan: SheetPlan, kerf: float, trim: float = 0.0) -> None:
    for sheet in plan.sheets:
        off = 0.0 if sheet.stock.offcut else trim
        for one in sheet.pieces:
            assert one.x >= off - SMALLEST
            assert one.y >= off - SMALLEST
            assert one.x + one.width <= sheet.stock.width - off + SMALLEST
            assert one.y + one.height <= sheet.stock.height - off + SMALLEST
        for number, one in enumerate(sheet.pieces):
            for other in sheet.pieces[:number]:
                beside = one.x + one.width + kerf <= other.x + SMALLEST
                beside |= other.x + other.width + kerf <= one.x + SMALLEST
                over = one.y + one.height + kerf <= other.y + SMALLEST
                over |= other.y + other.height + kerf <= one.y + SMALLEST
                assert beside or over
        parts = saw(sheet, kerf)
        for one in sheet.pieces:
            wanted = (one.x, one.y, one.x + one.width, one.y + one.height)
            assert any(
                all(
                    abs(a - b) < 2 * SMALLEST + (kerf if n > 1 else 0)
                    for n, (a, b) in enumerate(zip(got, wanted, strict=True))
                )
                for got in parts
            ), "every piece comes off the saw"
    assert plan.lower_bound <= plan.value + 1e-6
    assert (
        plan.proved_optimal == (abs(plan.value - plan.lower_bound) < 1e-5 and bool(plan.sheets))
        or plan.unplaced
    )
    assert 0.0 <= plan.waste <= 1.0


def test_a_sheet_is_quartered_when_saw_and_pieces_just_fit() -> None:
    plan = cut_sheets([piece(1.1985, 0.5985, 4)], [BOARD], kerf=0.003)
    assert (len(plan.sheets), plan.proved_optimal, len(plan.sheets[0].cuts)) == (1, True, 3)
    check(plan, 0.003)
    wider = cut_sheets([piece(1.1986, 0.5985, 4)], [BOARD], kerf=0.003)
    assert (len(wider.sheets), wider.proved_optimal) == (2, True)


def test_a_job_of_25_panels_on_two_boards_is_proved_by_its_area() -> None:
    """Of the kind of the trial in the notes of this program: 25 panels on 2400 x 1200 with 3 mm, 2 boards."""
    panels = [
        piece(0.59, 0.29, 8, "side"), piece(0.59, 0.36, 6, "front"), piece(0.36, 0.29, 5, "end"),
        piece(0.59, 0.395, 4, "base"), piece(0.35, 0.35, 2, "lid"),
    ]  # fmt: skip
    assert sum(one.count for one in panels) == 25
    plan = cut_sheets(panels, [BOARD], kerf=0.003)
    assert (plan.value, plan.lower_bound, plan.gap, plan.proved_optimal) == (2.0, 2.0, 0.0, True)
    assert sum(len(one.pieces) for one in plan.sheets) == 25
    assert plan.how == "the area of the pieces fills more than 1 sheet"
    check(plan, 0.003)


def test_the_edge_of_a_new_sheet_is_trimmed_and_that_of_an_offcut_is_not() -> None:
    assert codes(cut_sheets([piece(2.4, 1.2)], [BOARD], kerf=0.003, trim=0.005)) == ["SHEET-01"]
    offcut = SheetStock(width=2.4, height=1.2, offcut=True)
    plan = cut_sheets([piece(2.4, 1.2), piece(2.39, 1.19)], [BOARD, offcut], kerf=0.003, trim=0.005)
    assert plan.findings == ()
    assert [one.stock.offcut for one in sorted(plan.sheets, key=lambda one: one.trim)] == [True, False]
    assert (plan.measure, plan.value, plan.proved_optimal) == ("sheets", 1.0, True)
    check(plan, 0.003, 0.005)


def test_a_piece_that_may_not_turn_does_not() -> None:
    stands = cut_sheets([piece(0.5, 2.0, turns=False)], [BOARD], kerf=0.0)
    assert codes(stands) == ["SHEET-01"]
    assert "the way its grain runs" in stands.findings[0].text
    lies = cut_sheets([piece(0.5, 2.0)], [BOARD], kerf=0.0)
    assert (lies.sheets[0].pieces[0].turned, lies.sheets[0].pieces[0].width) == (True, 2.0)


def test_a_piece_too_large_is_named_with_what_is_missing_and_the_rest_is_cut() -> None:
    plan = cut_sheets([piece(2.41, 0.5, 2, "long"), piece(0.5, 0.5, 3, "ok")], [BOARD], kerf=0.003)
    assert (plan.findings[0].code, plan.findings[0].subject) == ("SHEET-01", "piece long")
    assert dict(plan.findings[0].numbers)["over"].value == pytest.approx(0.01)
    assert "joint" in plan.findings[0].remedy
    assert plan.unplaced == ("long", "long")
    assert len(plan.sheets[0].pieces) == 3


def test_of_several_sizes_the_cheapest_mix_is_taken_and_proved() -> None:
    small = SheetStock(width=1.2, height=0.6, name="small", price=9.0)
    large = SheetStock(width=2.4, height=1.2, name="large", price=30.0)
    plan = cut_sheets([piece(1.1, 0.55, 5)], [large, small], kerf=0.003)
    # five on small ones 45; four on a large one and one on a small one 39
    assert (plan.measure, plan.cost, plan.lower_bound, plan.proved_optimal) == ("price", 39.0, 39.0, True)
    assert [(kind.name, count) for kind, count in plan.counts] in (
        [("large", 1), ("small", 1)], [("small", 1), ("large", 1)],
    )  # fmt: skip
    check(plan, 0.003)


def test_without_all_prices_the_area_is_least_and_that_is_said() -> None:
    plan = cut_sheets(
        [piece(0.5, 0.5)], [BOARD, SheetStock(width=1.2, height=0.6, name="half", price=3.0)], kerf=0.0
    )
    assert (plan.measure, plan.value, plan.cost, codes(plan)) == (
        "area",
        pytest.approx(0.72),
        3.0,
        ["SHEET-04"],
    )


def test_too_few_sheets_on_hand_leave_pieces_that_are_named() -> None:
    plan = cut_sheets([piece(1.0, 1.0, 3, "lid")], [SheetStock(width=2.4, height=1.2, count=1)], kerf=0.0)
    assert (codes(plan), plan.unplaced, plan.proved_optimal) == (["SHEET-03"], ("lid",), False)


def test_an_honest_gap_when_it_is_not_proved() -> None:
    # a windmill of four round a square: no guillotine cut makes it, though the area is one sheet's
    pieces = [piece(0.6, 0.4, 4, turns=True), piece(0.2, 0.2)]
    plan = cut_sheets(pieces, [SheetStock(width=1.0, height=1.0)], kerf=0.0)
    assert (plan.value, plan.lower_bound, plan.proved_optimal) == (2.0, 1.0, False)
    assert plan.gap == pytest.approx(0.5)
    assert codes(plan) == ["SHEET-05"]
    check(plan, 0.0)


@pytest.mark.parametrize(
    ("pieces", "stocks", "kerf", "trim"),
    [
        ([piece(0.0, 1.0)], [BOARD], 0.003, 0.0),
        ([piece(math.nan, 1.0)], [BOARD], 0.003, 0.0),
        ([piece(1.0, 1.0, 0)], [BOARD], 0.003, 0.0),
        ([piece(1.0, 1.0, 9999)], [BOARD], 0.003, 0.0),
        ([piece(1.0, 1.0)], [], 0.003, 0.0),
        ([piece(1.0, 1.0)], [BOARD], -0.003, 0.0),
        ([piece(1.0, 1.0)], [BOARD], 0.003, math.inf),
        ([piece(0.1, 0.1)], [BOARD], 0.003, 0.6),
        ([piece(1.0, 1.0)], [SheetStock(width=2, height=2, price=-1.0)], 0.003, 0.0),
        ([piece(1.0, 1.0)], [SheetStock(width=2, height=2, count=-1)], 0.003, 0.0),
    ],
)
def test_a_number_that_cannot_be_is_refused(
    pieces: list[SheetPiece], stocks: list[SheetStock], kerf: float, trim: float
) -> None:
    plan = cut_sheets(pieces, stocks, kerf=kerf, trim=trim)
    assert set(codes(plan)) == {"SHEET-02"}
    assert plan.sheets == ()


def test_nothing_to_cut_takes_no_sheet() -> None:
    plan = cut_sheets([], [BOARD], kerf=0.003)
    assert (plan.sheets, plan.value, plan.findings) == ((), 0.0, ())


def test_the_same_job_is_cut_the_same_way_each_time() -> None:
    job = [piece(0.1 + 0.07 * n, 0.9 - 0.06 * n, 2, str(n)) for n in range(9)]
    assert cut_sheets(job, [BOARD], kerf=0.003) == cut_sheets(job, [BOARD], kerf=0.003)


def test_what_is_left_is_told_once() -> None:
    plan = cut_sheets([piece(1.2, 1.2)], [BOARD], kerf=0.004)
    (left,) = plan.sheets[0].offcuts
    assert (left.x, left.y, left.width, left.height) == pytest.approx((1.204, 0.0, 1.196, 1.2))
    assert plan.waste == pytest.approx(0.004 / 2.4)


sizes = st.integers(min_value=5, max_value=120).map(lambda cm: cm / 100)
jobs = st.lists(
    st.builds(
        SheetPiece,
        width=sizes,
        height=sizes,
        count=st.integers(1, 4),
        label=st.just("p"),
        turns=st.booleans(),
    ),
    min_size=1,
    max_size=6,
)


@settings(max_examples=15, deadline=None)
@given(jobs, st.sampled_from([0.0, 0.003, 0.0049]), st.sampled_from([0.0, 0.01]))
def test_any_job_is_cut_from_edge_to_edge_and_nothing_overlaps(
    job: list[SheetPiece], kerf: float, trim: float
) -> None:
    stocks = [BOARD, SheetStock(width=1.25, height=1.25, name="square", offcut=True, count=1)]
    plan = cut_sheets(job, stocks[:1] if trim else stocks, kerf=kerf, trim=trim)
    check(plan, kerf, trim)
    assert sum(len(one.pieces) for one in plan.sheets) + len(plan.unplaced) == sum(one.count for one in job)


def fewest(items: list[Item], width: int, height: int) -> int:
    """The fewest sheets by trying every way to cut: each part is a piece, or is cut in two."""

    def holds(group: tuple[Item, ...], wide: int, tall: int) -> bool:
        if not group:
            return True
        if len(group) == 1:
            return (group[0].width <= wide and group[0].height <= tall) or (
                group[0].turns and group[0].height <= wide and group[0].width <= tall
            )
        for mask in range(1, 2 ** (len(group) - 1)):
            first = tuple(one for n, one in enumerate(group) if mask >> n & 1)
            second = tuple(one for n, one in enumerate(group) if not mask >> n & 1)
            if any(holds(first, at, tall) and holds(second, wide - at, tall) for at in range(1, wide)):
                return True
            if any(holds(first, wide, at) and holds(second, wide, tall - at) for at in range(1, tall)):
                return True
        return False

    for count in range(1, len(items) + 1):
        for where in product(range(count), repeat=len(items)):
            groups = [
                tuple(one for one, at in zip(items, where, strict=True) if at == n) for n in range(count)
            ]
            if all(holds(group, width, height) for group in groups):
                return count
    raise AssertionError


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(st.integers(1, 5), st.integers(1, 4), st.booleans()), min_size=1, max_size=4))
def test_no_plan_is_better_than_trying_everything_and_no_bound_is_above_it(
    sides: list[tuple[int, int, bool]],
) -> None:
    items = [Item(number, w, h, turns) for number, (w, h, turns) in enumerate(sides)]
    kind = Bin(0, 5, 4, 1.0, None)
    bound, _ = least(items, [kind])
    best = fewest(items, 5, 4)
    assert bound <= best <= pack(items, [kind], bound).cost


def test_a_layout_that_cannot_be_cut_from_edge_to_edge_is_told_apart() -> None:
    wheel = [Box(0, 0, 6, 4), Box(6, 0, 4, 6), Box(4, 6, 6, 4), Box(0, 4, 4, 6)]
    assert part(Box(0, 0, 10, 10), wheel) is None
    assert part(Box(0, 0, 10, 10), wheel[:3]) is not None


@settings(max_examples=12, deadline=None)
@given(
    st.lists(st.tuples(st.integers(1, 9), st.integers(1, 9), st.booleans()), min_size=1, max_size=9),
    st.lists(st.tuples(st.integers(4, 12), st.integers(4, 12), st.integers(1, 20)), min_size=1, max_size=3),
    st.booleans(),
)
def test_no_bound_on_several_sizes_of_sheet_is_above_a_plan(
    sides: list[tuple[int, int, bool]], sheets: list[tuple[int, int, int]], on_hand: bool
) -> None:
    bins = [Bin(number, w, h, float(cost), None) for number, (w, h, cost) in enumerate(sheets)]
    bins += [Bin(len(bins), 9, 9, 0.0, 1)] if on_hand else []
    bins += [Bin(len(bins), 9, 9, 50.0, None)]
    items = [Item(number, w, h, turns) for number, (w, h, turns) in enumerate(sides)]
    bound, _ = least(items, bins)
    packing = pack(items, bins, bound)
    assert packing.left == ()
    assert bound <= packing.cost + 1e-6
