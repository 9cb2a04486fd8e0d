"""The tables of the parts: by shop, by place, and a price list to fill in that can be read again."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from tankwright.documents.data_files import csv_of
from tankwright.documents.model import Number, Paragraph, Table
from tankwright.documents.parts import ORDER, parts_sheets, place_tables, shop_table, sold_as
from tankwright.documents.price_form import price_form
from tankwright.takeoff.model import Article, Need, Takeoff
from tankwright.takeoff.prices import read_offers
from tankwright.takeoff.purchase import purchase
from tankwright.takeoff.purchase_model import Purchase
from tankwright.workspace.opened import open_plan
from tankwright.workspace.parts_work import worked_out_parts

EXAMPLES = Path(__file__).parents[2] / "examples"


@cache
def bought(name: str = "cellar_mended") -> Purchase:
    worked = worked_out_parts(open_plan(EXAMPLES / f"{name}.toml"))
    assert worked is not None
    return worked.purchase


def test_the_list_walks_through_the_shop_and_has_every_row_once() -> None:
    table = shop_table(bought(), "metric")
    kinds = [str(row[0]) for row in table.rows]
    assert kinds == sorted(kinds, key=ORDER.index)
    assert len(set(table.rows)) == len(table.rows)
    wanted = {row.article for row in bought().rows if row.needed or row.spare}
    assert {str(row[1]) for row in table.rows} == wanted


def test_what_it_is_sold_as_is_told_in_the_readers_units() -> None:
    rows = {row.article: row for row in bought().rows}
    assert sold_as(rows["pipe 20 mm ISO PN10"], "metric") == "3000 mm"
    assert sold_as(rows["plywood 18 mm"], "metric") == "2500 × 1250 mm"
    assert sold_as(rows["angle bracket"], "metric") == "pack of 25"
    assert sold_as(rows["13 mm hose"], "metric") == "by the metre, m"


def test_every_need_stands_in_one_table_of_its_system() -> None:
    tables = list(place_tables(bought().takeoff))
    assert sum(len(table.rows) for table in tables) == len(bought().takeoff.needs)
    assert len({table.title for table in tables}) == len(tables)


def test_a_column_of_lengths_and_volumes_can_be_written_as_csv() -> None:
    articles = (
        Article(key="pipe", kind="pipe", sold_by="length"),
        Article(key="glue", kind="glue", sold_by="volume"),
    )
    needs = (
        Need(article="pipe", count=1, system="drain", where="here", length=0.9),
        Need(article="glue", count=1, system="drain", where="there", volume=0.002),
    )
    (table,) = place_tables(Takeoff(articles=articles, needs=needs))
    assert csv_of(table, "metric").splitlines()[1:] == [",pipe,1,900,here,", ",glue,1,2 L,there,"]
    assert any(isinstance(cell, Number) for row in table.rows for cell in row)


def test_what_has_no_price_is_named_under_the_list() -> None:
    blocks = parts_sheets(bought(), "metric")[0].blocks
    said = next(one.text for one in blocks if isinstance(one, Paragraph))
    assert said.startswith(f"{bought().cost:.2f} EUR for what has a price")
    assert bought().unpriced[0] in said
    bare = parts_sheets(purchase(Takeoff()), "metric")[0].blocks
    assert [one.text for one in bare if isinstance(one, Paragraph)] == [
        "No price is known: what it costs is not computed."
    ]
    assert any(isinstance(one, Table) and one.title.startswith("Spares") for one in blocks)


def test_a_list_to_fill_in_is_read_again_and_lines_left_empty_are_passed_over() -> None:
    text = csv_of(price_form(bought()), "metric")
    lines = text.splitlines()
    assert len(lines) == 1 + sum(row.buy > 0 for row in bought().rows)
    place = lines[0].split(",").index("price")
    filled = []
    for line in lines[1:]:
        cells = line.rsplit(",", 7)  # a name may have a comma within its quotes
        cells[place] = "1.50" if "pipe 25 mm" in line or "plywood 18" in line else ""
        filled.append(",".join(cells))
    got = read_offers("\n".join([lines[0], *filled]), shop="Corner")
    assert got.findings == ()
    wanted = {row.wanted.key for row in bought().rows}
    assert got.offers
    assert {offer.key for offer in got.offers} <= wanted, "each is called as the parts list calls it"
