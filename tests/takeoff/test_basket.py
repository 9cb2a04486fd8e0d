"""Baskets: by hand, against trying everything, and what is told when something is missing."""

from __future__ import annotations

from collections import defaultdict
from decimal import Decimal
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tankwright.takeoff.basket import Basket, fill_basket
from tankwright.takeoff.basket_program import Choice, cheapest
from tankwright.takeoff.needs_text import read_needs
from tankwright.takeoff.offers import Form, Freight, Offer, Wanted


def offer(article: str, shop: str, price: str, pack: float = 1.0, **more: str) -> Offer:
    form = Form(unit=more.pop("unit", ""))
    return Offer(article=article, shop=shop, price=Decimal(price), pack=pack, form=form, **more)  # type: ignore[arg-type] # texts all


def want(article: str, count: float, on_hand: float = 0.0, unit: str = "") -> Wanted:
    return Wanted(article=article, count=count, on_hand=on_hand, form=Form(unit=unit))


def freight(shop: str, price: str, free_from: str | None = None) -> Freight:
    return Freight(
        shop=shop, price=Decimal(price), free_from=None if free_from is None else Decimal(free_from)
    )


def packs(basket: Basket) -> dict[tuple[str, str, float], int]:
    return {(one.article, one.offer.shop, one.offer.pack): one.packs for one in basket.lines}


def test_packs_and_singles_are_mixed_where_that_is_cheaper() -> None:
    offers = [offer("tap", "A", "0.95"), offer("tap", "A", "9.80", 20.0)]
    basket = fill_basket([want("tap", 24)], offers)
    # 20 in a bag and 4 single: 9.80 + 3.80; two bags would be 19.60, 24 single 22.80
    assert (basket.total, packs(basket)) == (Decimal("13.60"), {("tap", "A", 1.0): 4, ("tap", "A", 20.0): 1})
    assert (basket.proved_optimal, basket.gap, basket.lower_bound) == (True, 0.0, Decimal("13.60"))
    assert basket.surplus == ()


def test_freight_decides_and_each_shop_alone_is_told() -> None:
    offers = [
        offer("a", "Near", "10"),
        offer("b", "Near", "10"),
        offer("a", "Far", "8"),
        offer("b", "Far", "7"),
    ]
    demand = [want("a", 2), want("b", 1)]
    dear = fill_basket(demand, offers, [freight("Far", "8")])
    # all near 30; all far 23 + 8 = 31; b far and a near 20 + 7 + 8 = 35
    assert (dear.total, [one.shop for one in dear.shops]) == (Decimal(30), ["Near"])
    assert [(one.shop, one.total) for one in dear.one_shop] == [("Near", Decimal(30)), ("Far", Decimal(31))]
    assert dear.saving == 0
    cheap = fill_basket(demand, offers, [freight("Far", "6")])
    assert (cheap.total, cheap.shops[0].freight, cheap.saving) == (Decimal(29), Decimal(6), Decimal(0))


def test_goods_from_a_sum_on_come_for_nothing() -> None:
    offers = [
        offer("a", "Near", "10"),
        offer("a", "Far", "9"),
        offer("b", "Near", "5"),
        offer("b", "Far", "6"),
    ]
    demand = [want("a", 3), want("b", 1)]
    basket = fill_basket(demand, offers, [freight("Far", "7", "33")])
    # split 27 + 7 + 5 = 39; near 35; far 27 + 6 = 33, which reaches the sum
    assert (basket.total, basket.shops[0].freight) == (Decimal(33), Decimal(0))
    above = fill_basket(demand, offers, [freight("Far", "7", "33.01")])
    assert above.total == Decimal(35)


def test_what_is_on_hand_is_used_first_and_an_article_named_twice_is_added_up() -> None:
    basket = fill_basket([want("elbow", 5, 3), want("Elbow ", 4)], [offer("elbow", "A", "2")])
    assert (basket.total, basket.on_hand[0].count) == (Decimal(12), 3.0)
    enough = fill_basket([want("elbow", 5, 9)], [offer("elbow", "A", "2")])
    assert (enough.lines, enough.total, enough.on_hand[0].count) == ((), Decimal(0), 5.0)
    assert enough.proved_optimal


def test_metres_come_off_rolls_and_what_is_left_over_is_told() -> None:
    offers = [offer("hose", "A", "0.55", unit="m"), offer("hose", "B", "14.90", 50.0, unit="m")]
    basket = fill_basket([want("hose", 38.5, unit="m")], offers)
    assert (basket.total, basket.surplus[0].count) == (Decimal("14.90"), 11.5)
    short = fill_basket([want("hose", 10.2, unit="m")], offers)
    assert (short.total, short.surplus[0].count) == (Decimal("6.05"), pytest.approx(0.8))


def test_what_nobody_offers_is_told_and_never_dropped_in_silence() -> None:
    offers = [offer("hose", "A", "1", unit="m"), offer("tee", "A", "2")]
    basket = fill_basket([want("hose", 3), want("moon", 1), want("tee", 1)], offers)
    assert [one.article for one in basket.unoffered] == ["hose", "moon"]
    assert [(one.code, one.subject) for one in basket.findings] == [
        ("BASKET-09", "hose"),
        ("BASKET-09", "moon"),
    ]
    assert "only as m" in basket.findings[0].text
    assert basket.total == Decimal(2)


def test_a_shop_that_has_not_all_says_what_it_lacks() -> None:
    offers = [offer("a", "X", "1"), offer("b", "X", "1"), offer("a", "Y", "0.50")]
    basket = fill_basket([want("a", 1), want("b", 1), want("c", 1)], offers)
    assert [(one.shop, one.total, one.lacks) for one in basket.one_shop] == [
        ("X", Decimal(2), ()), ("Y", None, ("b", "c")),
    ]  # fmt: skip
    assert basket.saving == Decimal("0.50")


def test_the_prices_taken_say_when_they_were_seen() -> None:
    offers = [
        offer("a", "X", "1", date="2026-03-01"), offer("b", "X", "1", date="2025-01-01"), offer("b", "Y", "0.50"),
        offer("c", "Y", "1", date="2026-04-01"),
    ]  # fmt: skip
    basket = fill_basket([want("a", 1), want("b", 1), want("c", 1)], offers)
    assert (basket.oldest, basket.newest, basket.undated) == ("2026-03-01", "2026-04-01", 1)


def test_two_currencies_are_not_added_up() -> None:
    offers = [offer("a", "X", "1", currency="EUR"), offer("b", "Y", "1", currency="GBP")]
    basket = fill_basket([want("a", 1), want("b", 1)], offers)
    assert ([one.code for one in basket.findings], basket.lines) == (["BASKET-03"], ())
    assert fill_basket([want("a", 1)], offers[:1], currency="GBP").findings[0].code == "BASKET-03"


@pytest.mark.parametrize("count", [-1.0, 0.5, float("nan"), float("inf"), 1e9])
def test_a_count_that_cannot_be_is_told(count: float) -> None:
    basket = fill_basket([want("a", count), want("b", 1)], [offer("a", "X", "1"), offer("b", "X", "1")])
    assert ([one.code for one in basket.findings], basket.total) == (["BASKET-11"], Decimal(1))


def test_nothing_wanted_is_a_basket_with_nothing_in_it() -> None:
    assert fill_basket([], [offer("a", "X", "1")]).total == 0


def _job(seed: int, articles: int, shops: int) -> tuple[list[Wanted], list[Offer], list[Freight]]:
    demand = [want(f"a{n}", 1 + (n * 7 + seed) % 40) for n in range(articles)]
    offers = []
    for n, s, pack in product(range(articles), range(shops), (1, 10)):
        hundredths = (n * 37 % 90 + 20) * pack * (90 + (n * 13 + s * 29 + seed) % 21) // 100
        if (n + s * 3 + pack) % 4:
            offers.append(offer(f"a{n}", f"s{s}", f"{hundredths / 100:.2f}", float(pack)))
    return demand, offers, [freight(f"s{s}", f"{4 + s}.90", f"{60 + 40 * s}") for s in range(shops)]


def test_a_whole_room_over_four_shops_is_proved() -> None:
    basket = fill_basket(*_job(3, 120, 4), seconds=30.0)
    assert basket.proved_optimal
    assert basket.total == sum(one.total for one in basket.shops)
    assert fill_basket(*_job(3, 120, 4), seconds=30.0) == basket


def test_without_the_time_to_prove_it_the_gap_is_told() -> None:
    basket = fill_basket(*_job(5, 60, 4), seconds=1e-6)
    assert basket.lower_bound <= basket.total
    assert basket.proved_optimal == (basket.gap == 0.0)
    assert ("BASKET-10" in [one.code for one in basket.findings]) == (not basket.proved_optimal)
    assert {one.article for one in basket.lines} == {f"a{n}" for n in range(60)}


def by_trying(demand: list[Wanted], offers: list[Offer], freights: list[Freight]) -> Decimal:
    """The least total over every number of packs of every offer that can be of use."""
    known = {one.shop: one for one in freights}
    wanted = {one.article: one.count for one in demand}
    best: Decimal | None = None
    for counts in product(*(range(int(-(-wanted[one.article] // one.pack)) + 1) for one in offers)):
        held: dict[str, float] = defaultdict(float)
        goods: dict[str, Decimal] = {}
        for one, count in zip(offers, counts, strict=True):
            held[one.article] += one.pack * count
            if count:
                goods[one.shop] = goods.get(one.shop, Decimal(0)) + one.price * count
        if any(held[name] < count for name, count in wanted.items()):
            continue
        total = sum(goods.values(), Decimal(0))
        for shop, cost in goods.items():
            of = known.get(shop)
            if of is not None and (of.free_from is None or cost < of.free_from):
                total += of.price
        best = total if best is None else min(best, total)
    assert best is not None
    return best


cents = st.integers(10, 900).map(lambda one: Decimal(one) / 100)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.integers(1, 5), min_size=1, max_size=3),
    st.lists(
        st.tuples(st.integers(0, 2), st.sampled_from("XYZ"), cents, st.sampled_from([1.0, 2.0, 3.0])),
        max_size=4, unique_by=lambda one: (one[0], one[1], one[3]),
    ),
    st.dictionaries(st.sampled_from("XYZ"), st.tuples(cents, st.none() | cents.map(lambda one: 2 * one))),
)  # fmt: skip
def test_no_split_is_cheaper_than_the_one_found(
    counts: list[int],
    lines: list[tuple[int, str, Decimal, float]],
    asked: dict[str, tuple[Decimal, Decimal | None]],
) -> None:
    demand = [want(f"a{n}", count) for n, count in enumerate(counts)]
    offers = [
        Offer(article=f"a{n}", shop=shop, price=price, pack=pack)
        for n, shop, price, pack in lines
        if n < len(counts)
    ]
    offers += [offer(f"a{n}", "W", "9.50") for n in range(len(counts))]
    freights = [Freight(shop=shop, price=price, free_from=free) for shop, (price, free) in asked.items()]
    basket = fill_basket(demand, offers, freights)
    assert basket.proved_optimal
    assert basket.total == by_trying(demand, offers, freights)


def test_the_program_alone_takes_numbers() -> None:
    answer = cheapest([3.0], [Choice(0, 0, 2.0, 2.0, 2), Choice(0, 0, 1.5, 1.0, 3)], [(0.0, None)], 5.0)
    assert (answer.packs, answer.bound) == ((1, 1), pytest.approx(3.5))


def test_a_list_of_what_is_wanted_tells_all_its_mistakes() -> None:
    raw = b"article,count,unit,cuont\na,1,,\n,1,,\nb,half,,\nc,1.5,,\nd,1.5,m,\ne,1,bag,\nf,1,furlong,\ng,-1,,\n"
    wanted, wrong = read_needs(raw, name="needs.csv")
    assert [one.article for one in wanted] == ["a", "d"]
    assert [one.line for one in wrong] == [1, 3, 4, 5, 7, 8, 9]
    assert {one.code for one in wrong} == {"BASKET-12"}
    assert wrong[0].attempt == "count"
    for raw in (b"", b"article\nx\n", b"%PDF", b"article,count\n"):
        assert read_needs(raw)[1]
