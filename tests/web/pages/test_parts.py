"""The pages Parts, Cuts and Basket: counted when asked, worked anew after an edit, every list as a file."""

from __future__ import annotations

import re
import time
from pathlib import Path
from typing import Final

import pytest

from tankwright.web import clock
from tankwright.workspace.parts_work import WorkedParts, known_parts, mark_of

from ..chrome import axe, none
from ..conftest import OpenPage, OpenRoom
from .reader import NO_TANKS, OUTFALL, SMALL, Reader, Seen, example, plain

HEAVIEST: Final = 150_000  # bytes before they are packed
DRAINED: Final = (
    SMALL
    + OUTFALL
    + """
[drain.main]
to = "gully"
behind = ["A"]
pipe = "40 mm ISO PN6"
fall = "1:60"
vented = true
hose = { bore = "13 mm" }
[buy]
currency = "EUR"
[[buy.sold]]
of = "pipe 40 mm ISO PN6"
lengths = [{ length = "3 m", price = 6 }]
"""
)


@pytest.fixture(scope="module")
def shed(tmp_path_factory: pytest.TempPathFactory) -> Reader:
    return Reader(tmp_path_factory.mktemp("shed"), DRAINED)


def counted(reader: Reader, address: str = "/parts") -> Seen:
    """A page once the parts of the plan as it is are counted."""
    if known_parts(mark_of(reader.good)) is None:
        reader.post("/work", {"do": "start", "kind": "parts", "back": "/parts"})
        worked_of(reader)
    return reader.see(address)


def worked_of(reader: Reader) -> WorkedParts:
    end = time.monotonic() + 60.0
    while (worked := known_parts(mark_of(reader.good))) is None:
        assert time.monotonic() < end
        time.sleep(0.02)
    return worked


def test_before_they_are_counted_each_page_holds_the_button(tmp_path: Path) -> None:
    reader = Reader(tmp_path, DRAINED.replace("Two tanks", "Two tanks, never counted"))
    for address in ("/parts", "/parts?by=place", "/cuts", "/basket"):
        page = reader.see(address)
        assert "Count the parts" in page.text
        assert "not counted yet" in page.text
    assert reader.see("/parts/parts.csv").leads_to == "/parts"


def test_on_top_stand_cost_count_and_joints(shed: Reader) -> None:
    page = counted(shed)
    bought = worked_of(shed).purchase
    figures = plain(page.part("figures"))
    assert f"{bought.cost:.2f} EUR" in figures
    assert f"without {len(bought.unpriced)} articles that have no price" in figures
    joints = bought.takeoff.joints
    assert f"{sum(one.made for one in joints)} of {len(joints)} joints have all their parts" in figures


def test_each_row_leads_to_its_pieces_and_one_without_a_price_to_its_field(shed: Reader) -> None:
    page = counted(shed)
    row = page.row("to-buy", "pipe 40 mm ISO PN6")
    (of,) = (one for one in worked_of(shed).purchase.rows if one.article == "pipe 40 mm ISO PN6")
    assert (row[5], row[6], row[7]) == (str(of.buy), "6.00", f"{of.cost:.2f}")
    pieces = shed.see("/parts?by=place&article=pipe+40+mm+ISO+PN6")
    assert pieces.text.count("pipe 40 mm ISO PN6") >= sum(
        one.article == "pipe 40 mm ISO PN6" for one in worked_of(shed).purchase.takeoff.needs
    )
    assert "by=sold&amp;of=" in page.part("to-buy")


def test_pieces_are_narrowed_to_a_system_a_rack_and_a_tank_and_light_it(shed: Reader) -> None:
    counted(shed)
    every = len(worked_of(shed).purchase.takeoff.needs)
    assert f"{every} lines" in shed.see("/parts?by=place").text
    drain = shed.see("/parts?by=place&system=drain").part("places")
    assert "Drain" in plain(drain)
    assert "Tanks" not in plain(drain)
    tank = shed.see("/parts?by=place&at=a2")  # capitals do not matter
    assert set(re.findall(r'<tr data-places="([^"]*)"', tank.markup)) <= {"A2", "A1|A2"}
    assert re.search(r'<tr data-places="A2"', tank.markup)
    assert 'data-place="A2"' in tank.part("drawing")
    rack = shed.see("/parts?by=place&at=A")
    assert len(re.findall("<tr data-places", rack.markup)) > len(re.findall("<tr data-places", tank.markup))
    assert 'There is no "Z9" in this room.' in shed.see("/parts?by=place&at=Z9").text


def test_every_list_is_a_file_with_a_name_of_its_own(shed: Reader) -> None:
    counted(shed)
    assert shed.see("/parts/parts.csv").markup.startswith("kind,article,sold as,")
    assert "drain main" in shed.see("/parts/parts-by-place.csv").markup
    assert shed.see("/parts/prices-to-fill-in.csv").markup.startswith("article,shop,")
    assert shed.see("/parts/parts.xlsx").status == 200
    assert shed.see("/parts/basket.csv").status == 404, "there is no price list"
    assert shed.see("/parts/nothing.csv").status == 404
    assert shed.see("/parts/..%2Fplan.toml").status == 404


def test_a_cut_says_whether_it_is_proved_and_lists_its_pieces(shed: Reader) -> None:
    page = counted(shed, "/cuts")
    row = page.row("lines", "pipe 40 mm ISO PN6")
    assert "× 3000 mm" in row[1]
    assert "proved" in row[2]
    (plan,) = (one.plan for one in worked_of(shed).purchase.cuts if one.article == "pipe 40 mm ISO PN6")
    chosen = shed.see("/cuts?article=pipe+40+mm+ISO+PN6")
    assert chosen.markup.count('<svg class="drawing"') >= len(plan.patterns)
    assert plan.patterns[0].pieces[0].label in plain(chosen.part("chosen"))
    assert shed.see("/cuts?article=nothing").status == 200


def test_how_an_article_is_sold_is_typed_into_fields_and_a_mistake_stays_beside_them(tmp_path: Path) -> None:
    reader = Reader(tmp_path, DRAINED.replace("Two tanks", "Two tanks, sold"))
    counted(reader)
    back = "/parts?by=sold&of=sponge"
    fields = {"change": "sold", "path": "/buy/sold", "article": "sponge", "sold_in": "", "pack": "4",
              "price": "9,60", "have": "", "offcuts": ""}  # fmt: skip
    assert reader.send(back, **fields).status == 303
    assert 'of = "sponge"\npack = 4\nprice = 9.6\n' in reader.plan_text
    assert 'value="9.6"' in reader.see(back).part("add-sold")
    wrong = reader.send(back, **fields | {"price": "dear"})
    assert wrong.status == 422
    assert "is no number" in plain(wrong.part("add-sold"))
    assert 'value="dear"' in wrong.part("add-sold")
    assert "price = 9.6" in reader.plan_text


def test_after_an_edit_the_parts_are_counted_anew_by_themselves(tmp_path: Path) -> None:
    reader = Reader(tmp_path, DRAINED.replace("Two tanks", "Two tanks, edited"))
    counted(reader)
    reader.send("/parts", change="value", path="/buy/kerf", typed="5 mm")
    page = reader.see("/parts")
    assert plain(page.part("figures"))
    worked_of(reader)  # nobody pressed the button
    assert "since then something changed" not in reader.see("/parts").text


def test_lists_brought_along_fill_the_basket_and_old_prices_are_marked(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    reader = Reader(tmp_path, DRAINED.replace("Two tanks", "Two tanks, basket"))
    assert "No shop's prices are known yet" in counted(reader, "/basket").text
    rows = worked_of(reader).purchase.rows
    names = [row.article for row in rows if row.buy and row.unit == "pieces"][:3]
    for shop, prices in (("Near", (2, 2, 9)), ("Far", (3, 1, 1))):
        lines = "".join(f'"{name}";{price};2026-01-02\n' for name, price in zip(names, prices, strict=True))
        text = f"item;price;date\n{lines}".encode()
        assert reader.post("/settings/prices", {}, (f"{shop}.csv", text)).status == 303
    reader.see("/basket")
    basket = worked_of(reader).basket
    assert basket is not None
    today = clock.today()
    page = reader.see("/basket")
    figures = plain(page.part("figures"))
    assert f"{basket.total:.2f} EUR proved the cheapest" in figures
    assert "2 shops" in figures
    for shop in ("Near", "Far"):
        assert shop in plain(page.part("alone"))
    assert "price in the plan" not in page.part("alone")
    assert "price in the plan" in page.text, "the pipe has its price from there"
    assert plain(page.part("missing"))
    monkeypatch.setattr(clock, "today", lambda: today.replace(year=2028, month=1, day=1))
    assert "old prices" in plain(reader.see("/basket").part("dates"))
    monkeypatch.setattr(clock, "today", lambda: today.replace(year=2026, month=6, day=1))
    assert "old prices" not in plain(reader.see("/basket").part("dates"))
    assert reader.see("/parts/basket.csv").markup.startswith("shop,article,")


def test_a_room_without_racks_is_told_what_will_be_here(tmp_path: Path) -> None:
    reader = Reader(tmp_path, NO_TANKS)
    for address in ("/parts", "/cuts", "/basket"):
        page = reader.see(address)
        assert page.status == 200
        assert "Here will be" in page.text
        assert "Count the parts" not in page.text


@pytest.mark.parametrize("name", ["cellar_mended", "hall"])
def test_the_pages_stay_small(tmp_path: Path, name: str) -> None:
    reader = Reader(tmp_path, example(name))
    counted(reader)
    for address in (
        "/parts",
        "/parts?by=place",
        "/parts?by=place&system=drain",
        "/parts?by=sold",
        "/cuts",
        "/basket",
    ):
        page = reader.see(address)
        assert page.status == 200
        assert len(page.markup) < HEAVIEST, address


def test_the_pages_can_be_read_by_everyone(rooms: OpenRoom, page: OpenPage) -> None:
    tab = page(rooms(DRAINED).url + "/parts")
    if tab.get_by_role("button", name="Count the parts").count():
        tab.get_by_role("button", name="Count the parts").click()
    tab.wait_for_selector("#to-buy", timeout=60_000)
    base = tab.url.partition("/parts")[0]
    for address, there in (("/parts", "#to-buy"), ("/parts?by=place", "#places"), ("/parts?by=sold", "#said"),
                           ("/cuts", "#chosen")):  # fmt: skip
        tab.goto(base + address)
        tab.wait_for_selector(there)
        for width in (1440, 1024, 390):
            tab.set_viewport_size({"width": width, "height": 844})
            assert tab.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
            none(axe(tab))
        tab.emulate_media(color_scheme="dark")
        none(axe(tab, "color-contrast"))
        tab.emulate_media(color_scheme="light")
