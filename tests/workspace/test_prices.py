"""Price lists: judged by what they hold, mistakes by line, kept under names made here."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.finding import Finding
from tankwright.workspace.prices import LARGEST, MOST_LISTS, Price, PriceBook, PriceList, read_prices

from .rooms import Clock

GOOD = b"item,price,unit,currency\nelbow 25 mm,1.20,each,EUR\npipe 25 mm,2.35,m,EUR\n"


def book(folder: Path) -> PriceBook:
    return PriceBook(folder / "plan.toml", now=Clock())


def said(raw: bytes) -> list[tuple[int | None, str]]:
    return [(one.line, one.text) for one in read_prices(raw) if isinstance(one, Finding)]


def test_a_list_is_kept_under_a_name_made_here(tmp_path: Path) -> None:
    of = book(tmp_path)
    kept = of.add(GOOD, title="../../etc/passwd\x1b.csv", who="Ada")
    assert isinstance(kept, PriceList)
    assert kept.title == "passwd\\x1b.csv"
    assert kept.prices[1] == Price(item="pipe 25 mm", price=Decimal("2.35"), unit="m", currency="EUR")
    assert sorted(one.name for one in of.folder.iterdir()) == [f"{kept.id}.csv", f"{kept.id}.json"]
    assert book(tmp_path).lists() == (kept,)
    assert of.get("../" + kept.id) is None
    assert not of.remove("../../plan")
    assert of.remove(kept.id)
    assert not of.remove(kept.id)
    assert list(of.folder.iterdir()) == []


@pytest.mark.parametrize(
    "raw",
    [b"item;price\nelbow;1,20\n", b"item\tprice\r\nelbow\t1.20\r\n", b'\xef\xbb\xbfItem , Price\nelbow,"1,20"\n',
     b"price,item\n1.20,elbow", b"\n\nitem,price\n\n elbow , 1.20 \n\n"],
)  # fmt: skip
def test_lists_are_read_as_spreadsheets_write_them(raw: bytes) -> None:
    assert read_prices(raw) == (Price(item="elbow", price=Decimal("1.20")),)


@pytest.mark.parametrize(
    ("raw", "text"),
    [
        (b"%PDF-1.7 ...", "is a PDF, not a table in CSV"),
        (b"\x89PNG\r\n\x1a\n", "is a picture, not a table in CSV"),
        (b"PK\x03\x04rest", "is a packed file, such as a spreadsheet, not a table in CSV"),
        (b"<html>", "is a web page or an XML file, not a table in CSV"),
        (b"item,price\n\x00", "is no text, not a table in CSV"),
        (b"x" * (LARGEST + 1), "is larger than 1 MB"),
        (b"", "holds no prices"),
        (b"item,price\n", "holds no prices"),
    ],
)
def test_what_is_no_list_is_named(raw: bytes, text: str) -> None:
    assert [told for _, told in said(raw)] == [text]


def test_all_mistakes_are_told_by_their_line_and_nothing_is_kept(tmp_path: Path) -> None:
    raw = (
        b"item,price,currency\nelbow,1.20,EUR\npipe,dear,EUR\n,3,EUR\ntee,-1,EUR\ntap,2,euro\nx,1,EUR,9\n"
        b'"a\nb",nan,EUR\n'
    )
    assert [line for line, _ in said(raw)] == [3, 4, 5, 6, 7, 9]
    outcome = book(tmp_path).add(raw, title="list", who="Ada")
    assert isinstance(outcome, tuple)
    assert len(outcome) == 6
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("raw", "line"),
    [
        (b"item,cost\na,1\n", 1),
        (b"a,1\nb,2\n", 1),
        (b"item,item,price\n", 1),
        (b"item,price\n\xe4,1\n", 2),
        (b'item,price\n"a,1\n', 2),
    ],
)
def test_a_list_that_cannot_be_read_says_where(raw: bytes, line: int) -> None:
    assert said(raw)[0][0] == line


@given(
    st.binary(max_size=200)
    | st.text(max_size=60).map(lambda text: b"item,price\n" + text.encode("utf-8", "replace"))
)
def test_nothing_a_file_holds_raises(raw: bytes) -> None:
    read = read_prices(raw)
    assert read
    assert len({type(one) for one in read}) == 1


def test_there_is_an_end_to_lists(tmp_path: Path) -> None:
    of = book(tmp_path)
    for number in range(MOST_LISTS):
        assert isinstance(of.add(GOOD, title=str(number), who=""), PriceList)
    assert isinstance(of.add(GOOD, title="one more", who=""), tuple)
    assert of.lists()[0].title == str(MOST_LISTS - 1)


def test_a_list_that_was_damaged_since_is_left_out(tmp_path: Path) -> None:
    of = book(tmp_path)
    kept = of.add(GOOD, title="a", who="")
    assert isinstance(kept, PriceList)
    (of.folder / f"{kept.id}.json").write_text("[]", "utf-8")
    assert of.lists() == ()
    assert isinstance(PriceBook(tmp_path / "nowhere" / "p.toml").add(GOOD, title="a", who=""), tuple)
