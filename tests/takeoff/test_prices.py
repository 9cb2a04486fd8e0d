"""Price lists of shops: what they offer, and all that is wrong with them in one pass."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.finding import Severity
from tankwright.takeoff.offers import Form, Offer
from tankwright.takeoff.prices import PriceLists, read_date, read_offers, together


def offers(text: str) -> tuple[Offer, ...]:
    read = read_offers(text)
    assert read.findings == ()
    return read.offers


def told(text: str | bytes, today: str = "") -> list[tuple[int | None, str]]:
    return [(one.line, one.code) for one in read_offers(text, today=today).findings]


@pytest.mark.parametrize(
    "raw",
    [
        b"article,shop,price\nelbow,Corner,1.20\n",
        b"\xef\xbb\xbfArticle;Shop;Price\r\nelbow;Corner;1,20\r\n",
        b"item\tshop\tprice\nelbow\tCorner\t1,20\n",
        b'article,shop,price\nelbow,Corner,"1,20"\n',
        b"\n\nprice,shop,article\n\n1.20 , Corner , elbow\n\n",
    ],
)
def test_lists_are_read_as_spreadsheets_write_them(raw: bytes) -> None:
    read = read_offers(raw)
    assert read.findings == ()
    (one,) = read.offers
    assert (one.article, one.shop, one.price, one.pack, one.form) == (
        "elbow", "Corner", Decimal("1.20"), 1.0, Form(),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("price", "currency"),
    [
        ("£1.20", "GBP"),
        ("1.20 €", "EUR"),
        ("EUR 1.20", "EUR"),
        ("1.20 AUD", "AUD"),
        ("$1.20", "$"),
        ("1.20", ""),
    ],
)
def test_a_currency_may_stand_with_the_price(price: str, currency: str) -> None:
    read = read_offers(f"article,shop,price\nelbow,Corner,{price}\n")
    assert read.findings == ()
    assert (read.offers[0].price, read.offers[0].currency, read.currency) == (
        Decimal("1.20"), currency, currency,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("unit", "pack", "form", "holds"),
    [
        ("", "", Form(), 1.0),
        ("piece", "10", Form(), 10.0),
        ("bag", "10", Form(), 10.0),
        ("m", "", Form(unit="m"), 1.0),
        ("m", "25", Form(unit="m"), 25.0),
        ("roll", "25", Form(unit="m"), 25.0),
        ("", "25 m", Form(unit="m"), 25.0),
        ("ft", "100", Form(unit="m"), 30.48),
        ("L", "", Form(unit="L"), 1.0),
        ("", "310 ml", Form(unit="L"), 0.31),
        ("m2", "2.88", Form(unit="m2"), 2.88),
        ("6 m", "", Form(length=6.0), 1.0),
        ("8 ft", "6", Form(length=2.4384), 6.0),
        ("2400 x 1200 mm", "", Form(size=(2.4, 1.2)), 1.0),
        ("4 ft x 8 ft", "", Form(size=(1.2192, 2.4384)), 1.0),
    ],
)
def test_how_a_thing_is_sold_is_read_from_unit_and_pack(
    unit: str, pack: str, form: Form, holds: float
) -> None:
    (one,) = offers(f"article,shop,price,unit,pack\nx,Corner,1,{unit},{pack}\n")
    assert (one.form, one.pack) == (form, holds)


def test_a_line_of_freight_says_what_a_shop_asks_and_from_where_on_nothing() -> None:
    read = read_offers("article,shop,price,free from\nelbow,Far,1,\nFreight,Far,6.90,75\n")
    (one,) = read.freights
    assert (one.shop, one.price, one.free_from) == ("Far", Decimal("6.90"), Decimal(75))
    assert len(read.offers) == 1


def test_all_mistakes_come_in_one_pass_by_their_line_and_good_lines_are_kept() -> None:
    text = (
        "article;shop;price;pack;unit;currency;date\n"
        "good;Corner;1,20;;;EUR;2026-05-01\n"  # 2
        "dear;Corner;dear;;;EUR;\n"
        "below;Corner;-1;;;EUR;\n"  # 4
        ";Corner;1;;;EUR;\n"
        "nobody's;;1;;;EUR;\n"  # 6
        "bag;Corner;1;;bag;EUR;\n"
        "pounds;Corner;1;;;GBP;\n"  # 8
        "euro;Corner;1;;;euro;\n"
        "two ways;Corner;4,00;;;EUR;4/5/2026\n"  # 10
        "to come;Corner;4,00;;;EUR;2027-01-01\n"
        "odd;Corner;4,00;0;;EUR;\n"  # 12
        "odd;Corner;4,00;;furlong;EUR;\n"
        "many;Corner;4,00;;;EUR;;9\n"  # 14
    )
    read = read_offers(text, name="list.csv", today="2026-11-28")
    assert sorted((one.line or 0, one.code) for one in read.findings) == [
        (3, "BASKET-02"), (4, "BASKET-02"), (5, "BASKET-02"), (6, "BASKET-08"), (7, "BASKET-04"), (8, "BASKET-03"),
        (9, "BASKET-02"), (10, "BASKET-07"), (11, "BASKET-07"), (12, "BASKET-02"), (13, "BASKET-02"), (14, "BASKET-02"),
    ]  # fmt: skip
    assert read.refused
    assert {one.article for one in read.offers} == {"good", "pounds"}
    assert "less than nothing" in next(one.text for one in read.findings if one.line == 4)


@pytest.mark.parametrize(
    ("text", "code"),
    [
        (b"%PDF-1.7", "BASKET-01"),
        (b"", "BASKET-01"),
        (b"article,shop,price\n", "BASKET-01"),
        (b"article,shop,cost\nx,Corner,1\n", "BASKET-01"),
        (b"article,shop,price,colour\nx,Corner,1,red\n", "BASKET-01"),
        (b"article,shop,price,price\nx,Corner,1,1\n", "BASKET-01"),
        (b"article,shop,price\nx,Corner,\xe4\n", "BASKET-01"),
    ],
)
def test_what_is_no_list_is_said(text: bytes, code: str) -> None:
    assert {one for _, one in told(text)} == {code}


def test_an_unknown_column_is_told_with_the_one_it_looks_like_and_the_lines_are_read_too() -> None:
    read = read_offers("article,shop,price,curency\nx,Corner,-1,EUR\n")
    assert [(one.code, one.attempt) for one in read.findings] == [
        ("BASKET-01", "currency"),
        ("BASKET-02", ""),
    ]


def test_two_prices_for_the_same_are_told_and_the_later_counts() -> None:
    text = "article,shop,price,date\ntee,Corner,3.00,2026-01-01\nTee ,corner,2.50,2026-06-01\n"
    read = read_offers(text)
    assert [(one.line, one.code, one.severity) for one in read.findings] == [
        (3, "BASKET-06", Severity.WARNING)
    ]
    assert [one.price for one in read.offers] == [Decimal("2.50")]
    undated = read_offers("article,shop,price\ntee,Corner,3.00\ntee,Corner,2.50\n")
    assert [one.price for one in undated.offers] == [Decimal("3.00")]
    assert not undated.refused


def test_two_freights_of_a_shop_are_a_mistake() -> None:
    assert told("article,shop,price\nfreight,Far,5\nfreight,Far,6\n") == [(3, "BASKET-06")]


def test_lists_of_several_shops_are_held_to_the_currency_of_the_job() -> None:
    first = read_offers("article,shop,price\nx,Corner,£1\n", name="a.csv")
    second = read_offers("article,shop,price\nx,Far,€1\n", name="b.csv")
    both = together([first, second], currency="GBP")
    assert [(one.code, one.subject, one.line) for one in both.findings] == [("BASKET-03", "b.csv", 2)]
    assert not together([first], currency="£").refused
    assert not together([read_offers("article,shop,price\nx,Far,$1\n")], currency="AUD").refused


def test_a_name_that_is_almost_one_of_the_job_is_told_with_it() -> None:
    read = read_offers("article,shop,price\npipe 50 mm ISO PN 6,A,1\nelbow 50 mm 90,A,1\ncandle,A,1\n")
    both = together([read], articles=["pipe 50 mm ISO PN6", "elbow 50 mm 90°"])
    assert [(one.code, one.found, one.attempt) for one in both.findings] == [
        ("BASKET-05", "elbow 50 mm 90", "elbow 50 mm 90°")
    ]
    assert not both.refused


@pytest.mark.parametrize(
    ("typed", "iso"),
    [
        ("2026-05-31", "2026-05-31"), ("31.5.2026", "2026-05-31"), ("13/5/2026", "2026-05-13"),
        ("5/13/2026", "2026-05-13"),
        ("4/5/2026", None), ("5/5/2026", "2026-05-05"), ("2026-02-30", None), ("31.13.2026", None), ("May", None),
        ("2024-02-29", "2024-02-29"),
    ],
)  # fmt: skip
def test_a_date_is_one_day_or_none(typed: str, iso: str | None) -> None:
    assert read_date(typed) == iso


@given(
    st.binary(max_size=200)
    | st.text(max_size=60).map(lambda text: b"article,shop,price,pack,unit,date\n" + text.encode("utf-8", "replace"))
)  # fmt: skip
def test_nothing_a_list_holds_raises(raw: bytes) -> None:
    read = read_offers(raw)
    assert isinstance(read, PriceLists)
    assert read.offers or read.freights or read.findings
