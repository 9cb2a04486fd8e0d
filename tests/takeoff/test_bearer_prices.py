"""The cheapest section for a rack's bearers, of those the plan prices."""

from __future__ import annotations

import pytest

from tankwright.plan.reading import read_plan_text
from tankwright.room.layout import lay_out
from tankwright.takeoff.bearer_prices import priced_bearers

from ..systems.rack_rooms import PLAN, TIMBER, USUAL

BUY = """
[buy]
currency = "EUR"
kerf = "3 mm"
trim = "1 cm"

[[buy.sold]]
of = "timber 45x70 mm C24"
lengths = [{ length = "4.8 m", price = 10 }]

[[buy.sold]]
of = "timber 45x145 mm C24"
lengths = [{ length = "4.8 m", price = 24 }, { length = "6 m", price = 27 }, { length = "1.8 m", price = 2 }]

[[buy.sold]]
of = "timber 45x195 mm C24"
lengths = [{ length = "4 m", price = 25 }]

[[buy.sold]]
of = "timber 45x95 mm C24"
lengths = [{ length = "4.8 m" }]

[[buy.sold]]
of = "angle bracket"
pack = 25
price = 21
"""


def priced(**changes):
    read = read_plan_text(PLAN.format(**{**USUAL, **changes}) + BUY, "test.toml")
    room = lay_out(read.plan).room
    return priced_bearers(read.plan, room, room.racks[0], {"A1": 150.0, "A2": 150.0})


def test_the_cheapest_that_passes_comes_first_and_what_fails_last():
    found = priced(built=TIMBER.replace('bearers = "50x100 C24"', 'bearers = "45x70 C24"'))
    assert [(one.article, one.tried.holds) for one in found] == [
        ("timber 45x145 mm C24", True), ("timber 45x195 mm C24", True), ("timber 45x70 mm C24", False),
    ]  # fmt: skip
    best = found[0]
    # 1.95 m clear, two to a length of 4.8 m and three to one of 6 m, on two shelves two bearers each
    assert (best.pieces, best.piece, best.each, best.cost) == pytest.approx((4, 1.95, 9.0, 36.0))
    assert found[1].each == pytest.approx(25.0 / 2.0)


def test_a_length_too_short_or_without_a_price_offers_nothing():
    assert "timber 45x95 mm C24" not in {one.article for one in priced()}
    assert min(one.each for one in priced()) > 2.0


def test_nothing_is_priced_for_a_rack_that_is_not_built_here():
    assert priced(built="") == ()
