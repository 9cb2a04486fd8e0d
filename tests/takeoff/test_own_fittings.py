"""What a shop has, as its own table: added, restricting, priced, and every mistake in one pass."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.catalogue import threads
from tankwright.takeoff.chains import find_chains
from tankwright.takeoff.ends import read_end
from tankwright.takeoff.fittings import all_fittings, find_fitting
from tankwright.takeoff.own_fittings import OwnFittings, read_own_fittings, with_own

BUSH = b'key,kind,ends\nmy bush,reducing bush,"40 mm ISO plain end; 20 mm ISO socket"\n'


def test_a_fitting_of_the_shop_joins_what_nothing_else_did():
    own = read_own_fittings(BUSH)
    assert not own.findings
    start, goal = read_end("40 mm ISO socket"), read_end("20 mm ISO pipe")
    assert find_chains(all_fittings(), start, goal).best.fittings != ("my bush",)
    assert find_chains(with_own(own), start, goal).best.fittings == ("my bush",)
    assert "shop" in own.fittings[0].source


def test_what_a_line_does_not_say_is_a_rule_of_thumb():
    (bush,) = read_own_fittings(BUSH).fittings
    assert all(depth > 0 for depth in bush.depths)
    assert bush.bore is None
    assert bush.turn == 0


def test_the_shop_alone_restricts_what_can_be_bought():
    own = read_own_fittings(b"key\ncoupling 50 mm ISO\ntee 50 mm ISO\n")
    assert [one.key for one in with_own(own, only=True)] == ["coupling 50 mm ISO", "tee 50 mm ISO"]
    assert own.fittings[0] == find_fitting("coupling 50 mm ISO")
    found = find_chains(with_own(own, only=True), read_end("50 mm ISO pipe"), read_end("40 mm ISO pipe"))
    assert found.best is None


def test_a_line_of_the_shop_takes_the_place_of_the_open_tables():
    text = b'key,kind,ends,bore_mm\ncoupling 50 mm ISO,coupling,"50 mm ISO socket; 50 mm ISO socket",41\n'
    both = with_own(read_own_fittings(text))
    (one,) = [one for one in both if one.key == "coupling 50 mm ISO"]
    assert one.bore == pytest.approx(0.041)
    assert len(both) == len(all_fittings())


@pytest.mark.parametrize(
    ("text", "price"),
    [
        ("key,price\ncoupling 50 mm ISO,1.20\n", 1.2),
        ("key;price\ncoupling 50 mm ISO;1,20\n", 1.2),
        ("\ufeffKey\tPrice\r\ncoupling 50 mm ISO\tEUR 1.20\r\n", 1.2),
        ("# my shop\nkey,price\ncoupling 50 mm ISO,0\n", 0.0),
    ],
)
def test_prices_are_read_as_spreadsheets_write_them(text, price):
    own = read_own_fittings(text.encode())
    assert not own.findings
    assert own.prices == {"coupling 50 mm ISO": price}


def test_the_open_table_itself_is_a_table_of_a_shop():
    own = read_own_fittings(Path(threads.__file__).with_name("fittings.csv").read_bytes())
    assert not own.findings
    assert own.fittings == all_fittings()


def test_every_mistake_is_told_in_one_pass_with_its_line():
    text = (
        "key,kind,ends,price,colour\n"
        'a,gadget,"20 mm ISO socket; 20 mm ISO socket",1,red\n'
        'b,coupling,"20 mm; 20 mm ISO socket",1,red\n'
        "coupling 50 mm IS,,,1,red\n"
        "coupling 50 mm ISO,,,-2,red\n"
        "coupling 50 mm ISO,,,2,red\n"
        'c,coupling,"20 mm ISO socket; 20 mm ISO socket",dear,red\n'
        "d,coupling,,1,red,more,cells\n"
        ",,,1,red\n"
    )
    found = read_own_fittings(text.encode()).findings
    assert [(one.code, one.line) for one in found] == [
        ("FIT-10", 1), ("FIT-11", 2), ("FIT-11", 3), ("FIT-11", 4), ("FIT-11", 5), ("FIT-11", 6), ("FIT-11", 7),
        ("FIT-11", 8), ("FIT-11", 9),
    ]  # fmt: skip
    told = " | ".join(f"{one.text} {one.attempt}" for one in found)
    for part in (
        "colour", "no kind of fitting", "no standard", '"coupling 50 mm ISO"', "no price", "twice", "2 cells more",
    ):  # fmt: skip
        assert part in told, part


@pytest.mark.parametrize(
    ("raw", "says"),
    [
        (b"", "no column key"),
        (b"key\n", "names no fitting"),
        (b"name,price\nx,1\n", "no column key"),
        (b"%PDF-1.7", "a PDF"),
        (b"PK\x03\x04", "packed"),
        (b"\xff\xfe\x00", "no text"),
        (b"key\n\xe9\n", "UTF-8"),
        (b'key,kind\n"open,1\n', "cannot be read"),
        (b"key\n" + b"coupling 50 mm ISO\n" * 60_000, "larger than"),
    ],
)
def test_what_is_no_table_of_fittings_is_said_so(raw, says):
    own = read_own_fittings(raw)
    assert own.findings[0].code == "FIT-10"
    assert says in own.findings[0].text


@given(
    st.binary(max_size=200)
    | st.text(max_size=200).map(lambda text: ("key,kind,ends,price\n" + text).encode())
)
def test_reading_never_raises(raw):
    assert isinstance(read_own_fittings(raw), OwnFittings)
