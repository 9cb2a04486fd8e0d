"""What is bought for a takeoff, worked by hand: packs, stock on hand, lengths of plan and lists, spares, prices."""

from __future__ import annotations

from decimal import Decimal

import pytest

from tankwright.plan.models_build import Buy
from tankwright.plan.reading import read_plan_text
from tankwright.takeoff.model import Article, Need, Spare, Takeoff
from tankwright.takeoff.offers import Form, Offer
from tankwright.takeoff.purchase import purchase
from tankwright.takeoff.purchase_model import OWN_PRICE, Purchase, Row

PIPE = Article(key="pipe 50 mm", kind="pipe", sold_by="length")
ELBOW = Article(key="elbow 50 mm", kind="fitting", sold_by="piece")
HOSE = Article(key="hose 13 mm", kind="hose", sold_by="metre")
PAINT = Article(key="floor paint", kind="glue", sold_by="volume")
BOARD = Article(key="plywood 18 mm", kind="board", sold_by="sheet")


def buying(text: str = "") -> Buy:
    """The table [buy] of a plan that says no saw cut and no trim, so that sums stay whole."""
    plan = read_plan_text(
        '[room.r]\nsize = { length = "3 m", width = "2 m", height = "2.4 m" }\n'
        f'[buy]\nkerf = "0 mm"\ntrim = "0 mm"\n{text}',
        "test.toml",
    )
    assert plan.plan is not None, [one.text for one in plan.findings]
    assert plan.plan.buy is not None
    return plan.plan.buy


def need(article: Article, count: int = 1, **more: object) -> Need:
    return Need(article=article.key, count=count, system="drain", where="drain main", **more)  # type: ignore[arg-type] # fields of a need


def bought(*needs: Need, buy: Buy | None = None, offers: tuple[Offer, ...] = (), spares: tuple[Spare, ...] = (),
           articles: tuple[Article, ...] = ()) -> Purchase:  # fmt: skip
    named = {one.key: one for one in (PIPE, ELBOW, HOSE, PAINT, BOARD)}
    used = articles or tuple(named[key] for key in dict.fromkeys(one.article for one in (*needs, *spares)))
    return purchase(Takeoff(articles=used, needs=needs, spares=spares), buy or buying(), offers=offers)


def row(of: Purchase, article: Article) -> Row:
    (one,) = (row for row in of.rows if row.article == article.key)
    return one


def codes(of: Purchase) -> list[str]:
    return [one.code for one in of.findings]


def price(article: Article, cost: str, shop: str = "Corner", pack: float = 1.0, **form: object) -> Offer:
    made = Form(**form)  # type: ignore[arg-type] # fields of a form
    return Offer(article=article.key, shop=shop, price=Decimal(cost), pack=pack, form=made)


# --- counted ------------------------------------------------------------------------------------------------------


def test_packs_are_filled_after_spares_and_what_is_on_hand() -> None:
    said = buying('[[buy.sold]]\nof = "Elbow 50 mm"\npack = 10\nprice = 4.5\nhave = 3\n')
    one = row(
        bought(
            need(ELBOW, 20),
            need(ELBOW, 5),
            buy=said,
            spares=(Spare(article=ELBOW.key, count=2, reason="5 %"),),
        ),
        ELBOW,
    )
    # 20 + 5 + 2 spare - 3 on hand = 24: three packs of 10 at 4.50
    assert (one.needed, one.spare, one.on_hand, one.pack, one.buy, one.cost) == (25, 2, 3, 10, 3, 13.5)


def test_more_on_hand_than_is_needed_buys_nothing() -> None:
    said = buying('[[buy.sold]]\nof = "elbow 50 mm"\nhave = 100\n')
    one = row(bought(need(ELBOW, 4), buy=said), ELBOW)
    assert (one.on_hand, one.buy) == (4, 0)


def test_a_full_pack_is_not_rounded_up_by_the_last_bit_of_a_float() -> None:
    needs = tuple(need(HOSE, 1, length=0.1) for _ in range(30))  # 30 times 0.1 m is 3 m
    said = buying('[[buy.sold]]\nof = "hose 13 mm"\npack = 3\n')
    assert row(bought(*needs, buy=said), HOSE).buy == 1


def test_hose_is_counted_in_metres_and_paint_in_litres() -> None:
    got = bought(need(HOSE, 2, length=1.25), need(PAINT, 1, volume=0.0125),
                 spares=(Spare(article=HOSE.key, count=1, reason="10 %", length=0.25),))  # fmt: skip
    assert (row(got, HOSE).unit, row(got, HOSE).needed, row(got, HOSE).spare, row(got, HOSE).buy) == (
        "m",
        2.5,
        0.25,
        3,
    )
    assert (row(got, PAINT).unit, row(got, PAINT).buy) == ("L", 13)
    assert row(got, PAINT).needed == pytest.approx(12.5, rel=1e-12)


@pytest.mark.parametrize("state", ["stands", "ordered", "made here"])
def test_only_what_is_to_be_bought_is_bought(state: str) -> None:
    one = row(bought(need(ELBOW, 3), need(ELBOW, 50, state=state)), ELBOW)
    assert (one.needed, one.buy) == (3, 3)


def test_a_spare_of_what_nobody_needs_is_bought() -> None:
    one = row(bought(spares=(Spare(article=ELBOW.key, count=1, reason="kept"),)), ELBOW)
    assert (one.needed, one.spare, one.buy) == (0, 1, 1)


# --- cut from lengths ---------------------------------------------------------------------------------------------


def test_pieces_are_cut_from_the_lengths_the_plan_says_with_offcuts_first() -> None:
    said = buying(
        '[[buy.sold]]\nof = "pipe 50 mm"\nlengths = [{ length = "6 m", price = 12 }]\noffcuts = ["1 m"]\n'
    )
    got = bought(need(PIPE, 4, length=2.0), need(PIPE, 1, length=1.0), buy=said)
    # the 1 m from the offcut, three of 2 m from one stick, the fourth from another
    one = row(got, PIPE)
    assert (one.unit, one.length, one.buy, one.price, one.cost) == ("lengths", 6.0, 2, 12, 24)
    (plan,) = got.cuts
    assert (plan.plan.sticks, plan.plan.offcuts, plan.plan.proved_optimal, plan.assumed) == (
        2,
        1,
        True,
        False,
    )
    assert codes(got) == []


def test_sticks_on_hand_are_not_bought() -> None:
    said = buying('[[buy.sold]]\nof = "pipe 50 mm"\nlengths = [{ length = "4 m" }]\nhave = 2\n')
    one = row(bought(need(PIPE, 5, length=3.0), buy=said), PIPE)
    assert (one.needed, one.on_hand, one.buy) == (5, 2, 3)


def test_nothing_is_bought_twice_of_an_article_cut_from_two_lengths() -> None:
    said = buying(
        '[[buy.sold]]\nof = "pipe 50 mm"\nlengths = [{ length = "6 m", price = 10 }, { length = "3 m", price = 6 }]\n'
    )
    got = bought(need(PIPE, 3, length=2.9), buy=said)
    # two in a 6 m at 10 and one in a 3 m at 6; three of 3 m would be 18, two of 6 m 20
    assert sorted((one.length, one.buy) for one in got.rows) == [(3.0, 1), (6.0, 1)]
    assert got.cost == 16


def test_lists_say_in_which_lengths_it_is_sold_each_at_its_least_price() -> None:
    said = buying('[[buy.sold]]\nof = "pipe 50 mm"\nlengths = [{ length = "6 m", price = 1 }]\n')
    offers = (price(PIPE, "30", pack=5.0, length=4.0), price(PIPE, "7", "Far", length=4.0), price(ELBOW, "1"))
    one = row(bought(need(PIPE, 2, length=3.0), buy=said, offers=offers), PIPE)
    assert (one.length, one.buy, one.price) == (4.0, 2, 6.0)  # 30 for five is 6 each


def test_without_lengths_a_usual_one_is_taken_and_told() -> None:
    got = bought(need(PIPE, 1, length=3.0))
    assert row(got, PIPE).length == 4.0
    assert got.cuts[0].assumed
    assert codes(got) == ["PART-91"]
    assert got.findings[0].rests_on == ("buy.stick",)


def test_the_saw_cut_and_the_trim_of_the_plan_count() -> None:
    said = buying('[[buy.sold]]\nof = "pipe 50 mm"\nlengths = [{ length = "4 m" }]\n')
    wide = said.model_copy(update={"kerf": None, "trim": None})  # 3 mm and 1 cm, as assumed
    assert row(bought(need(PIPE, 2, length=2.0), buy=said), PIPE).buy == 1
    assert row(bought(need(PIPE, 2, length=2.0), buy=wide), PIPE).buy == 2


def test_a_piece_longer_than_every_stick_is_told_and_nothing_raised() -> None:
    said = buying('[[buy.sold]]\nof = "pipe 50 mm"\nlengths = [{ length = "2 m" }]\n')
    got = bought(need(PIPE, 1, length=3.0, mark="main 1"), buy=said)
    assert "CUT-01" in codes(got)


# --- cut from sheets ----------------------------------------------------------------------------------------------


def test_sheets_are_cut_with_pieces_on_hand_first() -> None:
    text = '[[buy.sold]]\nof = "plywood 18 mm"\nsheets = [{ size = ["2 m", "1 m"], price = 50 }]\n'
    needs = (need(BOARD, 2, size=(1.0, 1.0)), need(BOARD, 1, size=(0.9, 0.4)))
    assert row(bought(*needs, buy=buying(text)), BOARD).buy == 2
    got = bought(*needs, buy=buying(f'{text}sheet_offcuts = [["1 m", "50 cm"]]\n'))
    one = row(got, BOARD)  # the offcut is in no row: it is not bought
    assert (one.unit, one.size, one.buy, one.cost) == ("sheets", (2.0, 1.0), 1, 50)
    assert sum(sheet.stock.offcut for sheet in got.sheets[0].plan.sheets) == 1


# --- prices, and what the plan says ----------------------------------------------------------------------------------


def test_cost_is_of_what_has_a_price_and_the_rest_is_named() -> None:
    said = buying('currency = "EUR"\n[[buy.sold]]\nof = "elbow 50 mm"\nprice = 1.25\n')
    got = bought(need(ELBOW, 4), need(HOSE, 1, length=2.0), buy=said)
    assert (got.cost, got.currency, got.unpriced) == (5.0, "EUR", ("hose 13 mm",))
    offer = row(got, ELBOW).offer
    assert offer is not None
    assert (offer.shop, offer.price) == (OWN_PRICE, Decimal("1.25"))
    assert row(got, HOSE).offer is None


def test_two_rows_of_one_article_and_one_of_none_are_told() -> None:
    said = buying(
        '[[buy.sold]]\nof = "elbow 50 mm"\nprice = 1\n[[buy.sold]]\nof = "ELBOW 50 mm"\nprice = 2\n'
        '[[buy.sold]]\nof = "elbow 50"\nprice = 3\n'
    )
    got = bought(need(ELBOW, 1), buy=said)
    assert [(one.code, one.subject) for one in got.findings] == [
        ("PART-90", "ELBOW 50 mm"),
        ("PART-92", "elbow 50"),
    ]
    assert all(one.line is not None for one in got.findings)


def test_the_first_of_two_rows_counts() -> None:
    said = buying(
        '[[buy.sold]]\nof = "elbow 50 mm"\nprice = 1\n[[buy.sold]]\nof = "elbow 50 mm"\nprice = 2\n'
    )
    assert row(bought(need(ELBOW, 1), buy=said), ELBOW).price == 1


def test_progress_counts_the_articles_that_are_cut_and_may_stop_it() -> None:
    seen: list[tuple[int, int]] = []
    takeoff = Takeoff(articles=(PIPE, BOARD, ELBOW), needs=(
        need(PIPE, 1, length=1.0), need(BOARD, 1, size=(1.0, 0.5)), need(ELBOW, 1)))  # fmt: skip
    purchase(takeoff, progress=lambda done, of: seen.append((done, of)))
    assert seen == [(0, 2), (1, 2)]

    def stop(done: int, of: int) -> None:
        raise InterruptedError

    with pytest.raises(InterruptedError):
        purchase(takeoff, progress=stop)
