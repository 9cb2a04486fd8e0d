"""What cannot be cut is said: all of it at once, with the piece, its line and what would do."""

from __future__ import annotations

import pytest

from tankwright.finding import Finding
from tankwright.takeoff.cutting import cut
from tankwright.takeoff.cutting_mistakes import MOST_PIECES
from tankwright.takeoff.cutting_model import CutPlan, Piece, Stock
from tankwright.takeoff.cutting_reading import read_offcut, read_pieces, read_stock, read_width

STOCK = [Stock(length=6.0)]


def codes(plan: CutPlan) -> list[str]:
    return [one.code for one in plan.findings]


def test_a_piece_longer_than_any_stick_is_named_with_a_joint_that_would_do() -> None:
    plan = cut([Piece(length=7.0, label="main", line=4), Piece(length=1.0)], STOCK, kerf=0.003)
    assert (plan.patterns, codes(plan)) == ((), ["CUT-01"])
    found = plan.findings[0]
    assert (found.subject, found.line) == ("piece main", 4)
    assert dict(found.numbers)["part"].value == 3.5
    assert "a coupling in the middle" in found.remedy
    three = cut([Piece(length=13.0)], STOCK, kerf=0.003).findings[0]
    assert "join 3 pieces" in three.remedy
    assert "2 couplings" in three.remedy


def test_the_trim_makes_a_stick_shorter_for_that() -> None:
    assert codes(cut([Piece(length=6.0)], STOCK, kerf=0.0)) == []
    assert codes(cut([Piece(length=6.0)], STOCK, kerf=0.0, trim=0.001)) == ["CUT-01"]


@pytest.mark.parametrize(
    ("pieces", "stocks", "kerf", "trim", "wanted"),
    [
        ([], STOCK, 0.0, 0.0, ["CUT-02"]),
        ([Piece(length=-1.0), Piece(length=0.0), Piece(length=float("nan"))], STOCK, 0.0, 0.0, ["CUT-03"] * 3),
        ([Piece(length=1.0, count=0)], STOCK, 0.0, 0.0, ["CUT-04"]),
        ([Piece(length=1.0, count=MOST_PIECES + 1)], STOCK, 0.0, 0.0, ["CUT-05"]),
        ([Piece(length=1.0 + place / 1e4) for place in range(2001)], STOCK, 0.0, 0.0, ["CUT-05"]),
        ([Piece(length=1.0)], [], 0.0, 0.0, ["CUT-06"]),
        ([Piece(length=1.0)], STOCK, -0.001, float("inf"), ["CUT-06", "CUT-06"]),
        ([Piece(length=1.0)], [Stock(length=0.0), Stock(length=2.0, price=-1.0)], 0.0, 0.0,
         ["CUT-06", "CUT-06", "CUT-07"]),
        ([Piece(length=1.0)], [Stock(length=6.0, price=8.0), Stock(length=4.0)], 0.0, 0.0, ["CUT-07"]),
        ([Piece(length=5.0, count=3)], [Stock(length=6.0, count=2, offcut=True)], 0.0, 0.0, ["CUT-08"]),
        ([Piece(length=1.0)], [Stock(length=0.5, count=-1)], 0.0, 0.6, ["CUT-06", "CUT-06"]),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused(
    pieces: list[Piece], stocks: list[Stock], kerf: float, trim: float, wanted: list[str]
) -> None:
    plan = cut(pieces, stocks, kerf=kerf, trim=trim)
    assert plan.patterns == ()
    assert not plan.proved_optimal
    assert codes(plan)[: len(wanted)] == wanted


def test_a_slice_no_wider_than_the_saw_cut_is_cut_and_warned_of() -> None:
    plan = cut([Piece(length=0.003, count=2)], STOCK, kerf=0.004)
    assert codes(plan) == ["CUT-12"]
    assert plan.sticks == 1


def test_what_is_short_on_hand_is_said_with_what_would_do() -> None:
    told = cut([Piece(length=5.0, count=4)], [Stock(length=6.0, count=1, offcut=True)], kerf=0.0).findings[0]
    assert "3 more" in told.text


# --- what is typed ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text",
    [
        "length,count,label\n1.2 m,3,main\n0.4 m,1,",
        "label;count;length\nmain;3;1,2 m\n;1;400 mm",
        "count\tlength\tlabel\n3\t120 cm\tmain\n1\t0.4 m\t",
        "1.2 m,3,main\n0.4 m",
        '\ufeffLength, Qty ,Mark\r\n"1,2 m",3,main\r\n\r\n0.4 m,,\r\n',
    ],
)
def test_a_table_is_read_with_or_without_its_heading_in_any_order(text: str) -> None:
    read = read_pieces(text.encode("utf-8"), "p.csv")
    assert read.findings == ()
    assert [(one.length, one.count, one.label) for one in read.pieces] == [(1.2, 3, "main"), (0.4, 1, "")]


def test_feet_and_inches_are_read_as_they_are_written() -> None:
    read = read_pieces(b'3\' 4 1/2",2,top\n40",1,side', "p.csv")
    assert [one.length for one in read.pieces] == [1.0287, 1.016]


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("", [("CUT-02", None)]),
        ("length,count\n", [("CUT-02", None)]),
        ("%PDF-1.4", [("CUT-02", None)]),
        ("1200,4,main", [("CUT-03", 1)]),
        ("length,count\n1.2 m,4\n-3 m,1\n0 mm,1\n5 kg,1\nfoo,1", [("CUT-03", line) for line in (3, 4, 5, 6)]),
        ("length,count\n1 m,many\n1 m,2.5\n1 m,-1\n1 m,0", [("CUT-04", line) for line in (2, 3, 4, 5)]),
        ("1 m,1000000000", [("CUT-05", 1)]),
        ("length,count\n1,2 m,4", [("CUT-09", 2)]),
        ("count,label\n4,main", [("CUT-09", 1)]),
        ("length,cut,count\n1 m,2 m,4", [("CUT-09", 1)]),
        ('length,count\n"1 m,4', [("CUT-02", 2)]),
        ("1 m,1," + "x" * 400, [("CUT-09", 1)]),
        ("1 m,x,a\n2,1,b", [("CUT-04", 1), ("CUT-03", 2)]),
    ],
)
def test_every_mistake_of_a_table_is_told_with_its_line(
    text: str, wanted: list[tuple[str, int | None]]
) -> None:
    read = read_pieces(text.encode("utf-8"), "p.csv")
    assert [(one.code, one.line) for one in read.findings] == wanted


def test_a_column_that_is_not_read_is_told_and_the_rest_is_read() -> None:
    read = read_pieces(b"length,colour\n1 m,red", "p.csv")
    assert [(one.code, one.severity.value) for one in read.findings] == [("CUT-09", "note")]
    assert [one.length for one in read.pieces] == [1.0]


def test_a_table_full_of_mistakes_ends_the_telling() -> None:
    read = read_pieces(b"1,1\n" * 5000, "p.csv")
    assert len(read.findings) == 101
    assert "more mistakes" in read.findings[-1].text


@pytest.mark.parametrize(
    "typed", ["6", "", "6 kg", "-1 m", "0 m", "4 m@", "4 m@dear", "4 m@-2", "4 m@0", "@8", "9 km"]
)
def test_a_stock_that_cannot_be_is_refused(typed: str) -> None:
    read = read_stock(typed)
    assert isinstance(read, Finding)
    assert read.code == "CUT-06"


@pytest.mark.parametrize("typed", ["1.2", "1.2 m x 0", "1.2 m x many", "1.2 m x 999999"])
def test_an_offcut_that_cannot_be_is_refused(typed: str) -> None:
    assert isinstance(read_offcut(typed), Finding)


@pytest.mark.parametrize("typed", ["3", "-3 mm", "thin", ""])
def test_a_width_that_cannot_be_is_refused(typed: str) -> None:
    assert isinstance(read_width(typed, "saw cut"), Finding)


def test_a_price_may_have_a_decimal_comma() -> None:
    read = read_stock("4 m @ 8,20")
    assert isinstance(read, Stock)
    assert read.price == 8.2


def test_a_saw_cut_wider_than_any_saw_is_a_slip_of_the_unit() -> None:
    read = read_width("3 m", "saw cut")
    assert isinstance(read, Finding)
    assert read.text == '"3 m" is less than nothing, or more than any saw cuts'
    assert read_width("3 m", "trim") == 3.0
