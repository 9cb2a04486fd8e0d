"""How an article is sold, from fields: written as TOML, changed in its place, refused in words."""

from __future__ import annotations

import pytest

from tankwright.plan.changes_buy import AddSold, sold_rows
from tankwright.plan.reading import read_plan_text

ROOM = '[room.r]\nsize = { length = "3 m", width = "2 m", height = "2.4 m" }\n'
SAID = (
    ROOM
    + '\n[buy]\n\n[[buy.sold]]\nof = "pipe 50 mm"  # of the corner shop\nlengths = [{ length = "6 m", price = 14.4 }]\n'
    + 'offcuts = ["1.4 m"]\n\n[build]\nhands = 2\n'
)


def changed(text: str, **fields: str) -> str:
    made = AddSold(**fields).apply(text)  # type: ignore[arg-type] # texts all
    assert made.text is not None, [one.text for one in made.findings]
    assert read_plan_text(made.text, "plan.toml").findings == ()
    return made.text


def test_an_article_is_added_and_read_back_as_it_was_typed() -> None:
    text = changed(ROOM, article="plywood 18 mm", sold_in="2500 x 1250 mm @ 62; 2 x 1 m", have="2",
                   offcuts="60 x 40 cm, 1.4 m")  # fmt: skip
    plan = read_plan_text(text, "plan.toml").plan
    assert plan is not None
    assert plan.buy is not None
    (sold,) = plan.buy.sold
    assert [(one.size[0].value, one.size[1].value, one.price) for one in sold.sheets] == [
        (2.5, 1.25, 62),
        (2, 1, None),
    ]
    assert [(one[0].value, one[1].value) for one in sold.sheet_offcuts] == [(0.6, 0.4)]
    assert [one.value for one in sold.offcuts] == [1.4]
    assert sold_rows(text)[0].sold_in == "2500 mm x 1250 mm @ 62, 2 m x 1 m"
    assert changed(text, **{name: getattr(sold_rows(text)[0], name) for name in AddSold.__slots__}) == text


def test_what_the_plan_says_already_is_changed_where_it_stands() -> None:
    text = changed(SAID, article="PIPE 50 mm", sold_in="4 m @ 9,50", price="", have="1")
    assert text == SAID.replace('"6 m", price = 14.4', '"4 m", price = 9.5').replace(
        'offcuts = ["1.4 m"]\n', "have = 1\n"
    )


def test_a_second_article_stands_after_the_first() -> None:
    text = changed(SAID, article="tee", pack="10", price="4,20")
    assert 'of = "tee"\npack = 10\nprice = 4.2\n' in text
    assert text.index("tee") < text.index("[build]")
    assert [one.article for one in sold_rows(text)] == ["pipe 50 mm", "tee"]


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"article": " "}, "is no name of an article"),
        ({"article": "x"}, "has nothing said of it"),
        ({"article": "x", "sold_in": "6"}, "has no unit"),
        ({"article": "x", "sold_in": "six"}, "is not a number"),
        ({"article": "x", "sold_in": "6 m @ dear"}, 'price "dear" is no number'),
        ({"article": "x", "sold_in": "0 m"}, "must be more than zero"),
        ({"article": "x", "sold_in": "6 kg"}, "kg"),
        ({"article": "x", "sold_in": "1 x 1 x 1 m"}, "is no length"),
        ({"article": "x", "sold_in": ", ".join(["6 m"] * 41)}, "too many at once"),
        ({"article": "x", "offcuts": "1 m @ 3"}, "has a price for an offcut"),
        ({"article": "x", "pack": "0"}, 'pack "0" is no whole number'),
        ({"article": "x", "have": "-1"}, 'on hand "-1" is no whole number'),
        ({"article": "x", "price": "-2"}, 'price "-2" is no number'),
    ],
)
def test_what_cannot_be_is_refused_in_words(fields: dict[str, str], said: str) -> None:
    made = AddSold(**fields).apply(SAID)
    assert made.text is None
    assert said in made.findings[0].text
    assert len(AddSold(**fields).says(SAID)) <= 120


def test_a_broken_text_is_left_as_it_is() -> None:
    assert AddSold(article="x", price="1").apply("a = = 1").text is None


def test_quotes_in_a_name_stay_a_name() -> None:
    text = changed(ROOM, article='1/2" tap \\ "soft"', price="3")
    assert sold_rows(text)[0].article == '1/2" tap \\ "soft"'
