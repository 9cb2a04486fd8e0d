"""The parts of a plan: files beside it, lists brought along in the app, kept by what they rest on."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path
from typing import Final

import pytest

from tankwright.takeoff.purchase_model import OWN_PRICE
from tankwright.workspace.opened import Opened, open_plan
from tankwright.workspace.parts_work import (
    LARGEST,
    WorkedParts,
    files_beside,
    known_parts,
    mark_of,
    worked_out_parts,
)
from tankwright.workspace.prices import PriceBook, PriceList

SHED: Final = """
title = "Shed"
[room.shed]
size = { length = "3 m", width = "2 m", height = "2.2 m" }
floor = "slab"
[tank_kind.cube]
outside = ["30 cm", "30 cm", "30 cm"]
[rack_kind.low]
length = "100 cm"
depth = "40 cm"
shelves = ["60 cm"]
[[rack]]
id = "A"
kind = "low"
room = "shed"
wall = "north"
from_west = "50 cm"
shelf.1 = [{ kind = "cube", ids = "A1..A2", state = "wished" }]
"""


def plan(folder: Path, buy: str = "", title: str = "Shed") -> Opened:
    place = folder / "plan.toml"
    place.write_text(SHED.replace('"Shed"', f'"{title}"') + buy, "utf-8")
    return open_plan(place)


def parts(opened: Opened) -> WorkedParts:
    worked = worked_out_parts(opened)
    assert worked is not None
    return worked


def tank(of: WorkedParts) -> str:
    """The name of the tank among the articles."""
    return next(one.key for one in of.purchase.takeoff.articles if one.kind == "tank")


def told(opened: Opened) -> list[str]:
    return [one.text for one in files_beside(opened).findings]


def test_lists_and_fittings_beside_the_plan_are_read(tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text("article,shop,price\ntee,A,1\n", "utf-8")
    (tmp_path / "own.csv").write_text("key\n", "utf-8")
    beside = files_beside(plan(tmp_path, '[buy]\nprices = ["a.csv"]\nfittings = ["own.csv"]\n'))
    assert [(one.name, one.shop) for one in beside.prices] == [("a.csv", "")]
    assert beside.fittings == (("own.csv", b"key\n"),)
    assert beside.findings == ()


def test_what_cannot_be_read_is_told_and_the_rest_is_taken(tmp_path: Path) -> None:
    (tmp_path / "large.csv").write_bytes(b"x" * (LARGEST + 1))
    (tmp_path / "good.csv").write_text("article,shop,price\ntee,A,1\n", "utf-8")
    home = tmp_path / "home"
    home.mkdir()
    (tmp_path / "secret.csv").write_text("article,shop,price\ntee,B,1\n", "utf-8")
    opened = plan(tmp_path, '[buy]\nprices = ["none.csv", "large.csv", "good.csv"]\n')
    beside = files_beside(opened)
    assert [one.name for one in beside.prices] == ["good.csv"]
    assert [one.code for one in beside.findings] == ["PART-93", "PART-93"]
    assert ["none.csv" in told(opened)[0], "larger than 1 MB" in told(opened)[1]] == [True, True]
    assert all(one.line for one in beside.findings)
    for name in ("../secret.csv", "/etc/passwd", "../../etc/passwd"):
        outside = plan(home, f'[buy]\nprices = ["{name}"]\n')
        assert files_beside(outside).prices == ()
        assert "outside the folder of the plan" in told(outside)[0]


def test_a_link_out_of_the_folder_is_not_followed(tmp_path: Path) -> None:
    (tmp_path / "secret.csv").write_text("article,shop,price\ntee,B,1\n", "utf-8")
    home = tmp_path / "home"
    home.mkdir()
    (home / "list.csv").symlink_to(tmp_path / "secret.csv")
    assert files_beside(plan(home, '[buy]\nprices = ["list.csv"]\n')).prices == ()


def test_parts_are_kept_by_the_text_and_the_files_they_rest_on(tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text("article,shop,price\ntee,A,1\n", "utf-8")
    opened = plan(tmp_path, '[buy]\nprices = ["a.csv"]\n', title="kept")
    mark = mark_of(opened)
    assert known_parts(mark) is None
    worked = parts(opened)
    assert known_parts(mark) is worked
    assert worked_out_parts(open_plan(opened.path)) is worked
    (tmp_path / "a.csv").write_text("article,shop,price\ntee,A,2\n", "utf-8")
    assert mark_of(opened) != mark
    assert known_parts(mark_of(opened)) is None
    assert mark_of(plan(tmp_path, '[buy]\nprices = ["a.csv"]\nkerf = "2 mm"\n')) != mark


def test_a_plan_that_is_not_laid_out_has_no_parts(tmp_path: Path) -> None:
    place = tmp_path / "plan.toml"
    place.write_text("a = = 1\n", "utf-8")
    assert mark_of(open_plan(place)) == ""
    assert worked_out_parts(open_plan(place)) is None


def test_without_a_list_there_is_no_basket_and_with_one_the_plans_own_prices_fill_it_up(
    tmp_path: Path,
) -> None:
    bare = parts(plan(tmp_path, title="no lists"))
    assert bare.basket is None
    name = tank(bare)
    (tmp_path / "a.csv").write_text(f'article,shop,price\n"{name}",Corner,20\nfreight,Corner,5\n', "utf-8")
    foam = next(one.article for one in bare.purchase.rows if one.unit == "sheets")
    sold = f'[[buy.sold]]\nof = "{foam}"\nsheets = [{{ size = ["2 m", "1 m"], price = 7 }}]\n'
    said = f'[buy]\nprices = ["a.csv"]\n{sold}'
    basket = parts(plan(tmp_path, said)).basket
    assert basket is not None
    count = next(one.packs for one in basket.lines if one.article == name)
    shops = {one.shop: one.total for one in basket.shops}
    assert shops["Corner"] == 20 * count + 5
    assert shops[OWN_PRICE] > 0
    assert [one.shop for one in basket.one_shop] == ["Corner"], "the plan's own prices are no shop"
    lacks = basket.one_shop[0].lacks
    assert not any(foam in one for one in lacks), "what the plan prices goes with every shop"


def test_lists_brought_along_in_the_app_count_when_the_plan_names_none(tmp_path: Path) -> None:
    opened = plan(tmp_path, title="brought along")
    before, name = mark_of(opened), tank(parts(opened))
    book = PriceBook(opened.path)
    kept = book.add(
        f'item;price;date\n"{name}";19,50;2026-01-02\ntee;;\n'.encode(), title="Valley.csv", who="Ada"
    )
    assert isinstance(kept, PriceList)
    assert mark_of(opened) != before
    basket = parts(opened).basket
    assert basket is not None
    (line,) = basket.lines
    assert (line.article, line.offer.shop, line.offer.price, line.offer.date) == (
        name, "Valley", Decimal("19.50"), "2026-01-02")  # fmt: skip
    (tmp_path / "a.csv").write_text(f'article,shop,price\n"{name}",Corner,20\n', "utf-8")
    named = parts(plan(tmp_path, '[buy]\nprices = ["a.csv"]\n')).basket
    assert named is not None
    assert {one.offer.shop for one in named.lines} == {"Corner"}
    book.remove(kept.id)
    assert mark_of(plan(tmp_path, title="brought along")) == before


@pytest.mark.parametrize("row", ["tap;1;mile stone;", "tap;1;box;", "tap;1;;31.2.2026"])
def test_a_list_no_basket_could_be_filled_by_is_not_kept(tmp_path: Path, row: str) -> None:
    made = PriceBook(tmp_path / "plan.toml").add(f"item;price;unit;date\n{row}\n".encode(), title="a", who="")
    assert isinstance(made, tuple)
    assert [(one.code, one.line) for one in made] == [("PRICE-03", 2)]


def test_lists_that_must_be_mended_fill_no_basket_and_say_so(tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text("article,shop,price\ntee,A,EUR 1\ntap,A,GBP 1\n", "utf-8")
    worked = parts(plan(tmp_path, '[buy]\nprices = ["a.csv"]\n'))
    assert worked.basket is None
    assert "BASKET-03" in [one.code for one in worked.findings]
