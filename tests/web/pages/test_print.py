"""Sheets on paper: what is asked for, at the scale it says, one a page, true to the tenth of a millimetre."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from typing import Final

import httpx
import pypdf
import pytest
from playwright.sync_api import Page as Tab
from playwright.sync_api import expect

from tankwright.drawing.colour import tokens_css
from tankwright.drawing.legend import FOOT
from tankwright.drawing.model import Drawing, Text, bounds, walk
from tankwright.drawing.paper import HUNDRED, PAPERS
from tankwright.drawing.results import LAYERS
from tankwright.drawing.table_sheet import Column, PrintTable, draw_tables
from tankwright.web.pages.printing import asked_by, printed
from tankwright.web.paper_routes import margins
from tankwright.web.print_tables import tables_of
from tankwright.web.rendering import STATIC
from tankwright.workspace.opened import open_plan

from ..chrome import Desk, axe
from ..conftest import OpenDesk, OpenPage, OpenRoom
from ..rooms import EXAMPLE, EXAMPLES, Room

MM: Final = 72 / 25.4  # points of a PDF in a millimetre
DOT: Final = 25.4 / 96  # mm; the browser puts a page's edges on whole dots, 96 to the inch
ALL: Final = "set=1&layout=1&air=1&feed=1&drain=1&load=1&power=1&sections=1&tables=1&findings=1"


@pytest.fixture(scope="module")
def served(rooms: OpenRoom) -> Room:
    return rooms()


@pytest.fixture(scope="module")
def in_feet(rooms: OpenRoom) -> Room:
    return rooms(example="garage")


def seen(served: Room, query: str) -> str:
    answer = httpx.get(f"{served.url}/print?{query}")
    assert answer.status_code == 200
    return answer.text


def captions(page: str) -> list[str]:
    return re.findall(r'<figcaption class="quiet">([^<]+)<', page)


# --- what is asked for -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("scale", ["", "0", "-1", "1:0", "1e3", "20.5", "99999", "<b>", "1:2000", "²"])
def test_a_scale_that_is_none_means_the_largest_that_fits(scale: str) -> None:
    assert asked_by({"scale": scale}, "metric", "air").scale is None


def test_every_sheet_says_its_scale_and_its_place_and_all_of_the_room_have_the_same(served: Room) -> None:
    told = captions(seen(served, ALL))
    assert [one.partition(":")[0] for one in told] == [
        f"page {number} of {len(told)}" for number in range(1, len(told) + 1)
    ]
    room = [one for one in told if "long-section" not in one and "1:" in one]
    assert len({one.rpartition(", ")[2] for one in room}) == 1
    assert len(room) >= len(LAYERS)
    assert sum("long-section" in one for one in told) == 3  # the example has three drains


def test_a_scale_that_does_not_fit_is_said_and_the_next_is_drawn(served: Room) -> None:
    page = seen(served, "set=1&layout=1&paper=A4&scale=10")
    assert "At 1:10 the room does not fit A4: drawn at 1:" in page
    assert captions(page)[0].endswith(", 1:50")
    fitting = seen(served, "set=1&layout=1&paper=A1&scale=25")
    assert "does not fit" not in fitting
    assert captions(fitting) == ["page 1 of 1: Cellar fish room: Layout, 1:25"]


def test_on_a_small_paper_plan_and_fronts_get_a_sheet_each_rather_than_a_smaller_scale(served: Room) -> None:
    told = captions(seen(served, "set=1&air=1&paper=A4"))
    assert told == [
        "page 1 of 2: Cellar fish room: Air, plan, 1:50",
        "page 2 of 2: Cellar fish room: Air, rack fronts, 1:50",
    ]


def test_nothing_chosen_is_said(served: Room) -> None:
    assert "Nothing is chosen to be printed." in seen(served, "set=1")


def test_the_tables_say_what_the_study_says() -> None:
    study = open_plan(EXAMPLES / f"{EXAMPLE}.toml").study
    assert study is not None
    assert study.feed is not None
    assert study.load is not None
    assert study.air is not None
    tanks = tables_of(study, "layout")[0]
    assert [row[0] for row in tanks.rows] == [tank.id for tank in study.room.tanks]
    fed = tables_of(study, "feed")[0]
    assert [row[0] for row in fed.rows] == [tank.tank for tank in study.feed.tanks]
    assert [row[0] for row in tables_of(study, "load")[0].rows] == [rack.rack for rack in study.load.racks]
    taps = [row for table in tables_of(study, "air") for row in table.rows]
    assert len(taps) == sum(len(run.taps) for run in study.air.runs)
    assert all(len(row) == len(table.columns) for layer in LAYERS for table in tables_of(study, layer)
               for row in table.rows)  # fmt: skip


def test_each_sheet_bears_date_plan_and_page(served: Room) -> None:
    page = seen(served, "set=1&load=1&paper=A3&scale=50")
    at = served.live.snapshot.at
    assert f">plan.toml, plan 1 of {at:%Y-%m-%d %H:%M} UTC<" in page
    assert re.search(r">printed \d{4}-\d\d-\d\d<", page)
    assert ">page 1 of 1<" in page


# --- nothing outside -------------------------------------------------------------------------------------------


def every_drawing(monkeypatch: pytest.MonkeyPatch, example: str, query: dict[str, str]) -> list[Drawing]:
    """The sheets as drawings, before they are written."""
    caught: list[Drawing] = []

    def keep(drawing: Drawing, **_: object) -> str:
        caught.append(drawing)
        return ""

    monkeypatch.setattr("tankwright.web.pages.printing.to_screen_svg", keep)
    opened = open_plan(EXAMPLES / f"{example}.toml")
    assert opened.room is not None
    asked = asked_by({"set": "1", **query}, opened.room.display, "air")
    printed(opened, asked, ("printed 2026-11-25", "plan 41"))
    return caught


@pytest.mark.parametrize("paper", list(PAPERS))
@pytest.mark.parametrize("example", ["cellar", "garage"])
def test_nothing_lies_outside_a_sheet_and_the_sheet_is_the_paper(
    monkeypatch: pytest.MonkeyPatch, example: str, paper: str
) -> None:
    query = {**dict.fromkeys(LAYERS, "1"), "sections": "1", "tables": "1", "findings": "1", "paper": paper}
    drawings = every_drawing(monkeypatch, example, query)
    assert len(drawings) > len(LAYERS)
    for drawing in drawings:
        size = (drawing.width, drawing.height)
        assert size in (PAPERS[paper], PAPERS[paper][::-1])  # type: ignore[index] # one of the papers
        for shape in walk(drawing.parts):
            left, top, right, bottom = bounds(shape)
            assert left >= 0, (drawing.title, shape)
            assert top >= 0, (drawing.title, shape)
            assert right <= drawing.width + 1e-6, (drawing.title, shape)
            assert bottom <= drawing.height + 1e-6, (drawing.title, shape)


def test_a_long_table_goes_over_to_the_next_page_whole() -> None:
    rows = tuple((f"T{number}", "a sentence that is long enough to wrap " * 3) for number in range(500))
    table = PrintTable(title="Long", columns=(Column(name="tank"), Column(name="said", wrap=60.0)), rows=rows)
    pages = draw_tables([table, table], title="Shed", size=PAPERS["A4"])
    written = [one.text for page in pages for one in walk(page.parts) if isinstance(one, Text)]
    assert [one for one in written if re.fullmatch(r"T\d+", one)] == 2 * [row[0] for row in rows]
    assert len(pages) > 10


def test_a_word_without_end_and_a_text_without_end_stay_on_the_page() -> None:
    rows = (("x" * 400, "y" * 4000, "word " * 4000),)
    table = PrintTable(
        title="Z" * 300, rows=rows,
        columns=(Column(name="a"), Column(name="b", wrap=50.0), Column(name="c", wrap=50.0)),
    )  # fmt: skip
    for page in draw_tables([table], title="Shed", size=PAPERS["A4"]):
        for shape in walk(page.parts):
            left, top, right, bottom = bounds(shape)
            assert left >= 0
            assert top >= 0
            assert right <= page.width + 1e-6
            assert bottom <= page.height + 1e-6


# --- on paper, by the browser ----------------------------------------------------------------------------------


def pdf_of(tab: Tab) -> pypdf.PdfReader:
    tab.evaluate("document.fonts.ready.then(() => true)")
    return pypdf.PdfReader(io.BytesIO(tab.pdf(prefer_css_page_size=True)))


def size_of(page: pypdf.PageObject) -> tuple[float, float]:
    """Width and height of a page of a PDF in mm."""
    box = page.mediabox
    return float(box.width) / MM, float(box.height) / MM


Matrix = tuple[float, float, float, float, float, float]


def blocks(page: pypdf.PageObject) -> Iterator[tuple[float, float, float, float]]:
    """Left, top, right, bottom in mm of every filled path of a page, measured in its content stream."""
    now: Matrix = (1, 0, 0, 1, 0, 0)
    kept: list[Matrix] = []
    points: list[tuple[float, float]] = []
    tall = float(page.mediabox.height)

    def at(x: float, y: float) -> tuple[float, float]:
        a, b, c, d, e, f = now
        return (a * x + c * y + e) / MM, (tall - (b * x + d * y + f)) / MM

    written = page.get_contents()
    assert written is not None
    for line in written.get_data().split(b"\n"):  # Chromium writes one step a line
        *operands, operator = line.split() or [b""]
        number = [float(one) for one in operands] if operator in (b"cm", b"m", b"l", b"re") else []
        if operator == b"q":
            kept.append(now)
        elif operator == b"Q":
            now = kept.pop()
        elif operator == b"cm":
            a, b, c, d, e, f = number
            ga, gb, gc, gd, ge, gf = now
            now = (a * ga + b * gc, a * gb + b * gd, c * ga + d * gc, c * gb + d * gd,
                   e * ga + f * gc + ge, e * gb + f * gd + gf)  # fmt: skip
        elif operator in (b"m", b"l"):
            points.append(at(number[0], number[1]))
        elif operator == b"re":
            x, y, wide, high = number
            points += [at(x, y), at(x + wide, y + high)]
        elif operator in (b"f", b"f*", b"F", b"B", b"B*"):
            if points:
                xs, ys = [x for x, _ in points], [y for _, y in points]
                yield min(xs), min(ys), max(xs), max(ys)
            points = []
        elif operator in (b"n", b"S", b"s"):
            points = []


@pytest.mark.parametrize("paper", ["A4", "A3", "Letter"])
def test_a_print_has_one_page_of_that_paper_for_each_sheet_and_the_bar_measures_100_mm(
    served: Room, page: OpenPage, paper: str
) -> None:
    tab = page(f"{served.url}/print?{ALL}&paper={paper}")
    told = tab.locator("figcaption").all_inner_texts()
    upright = [("upright" in (one or "")) for one in
               (tab.locator("figure.paper").nth(n).get_attribute("class") for n in range(len(told)))]  # fmt: skip
    pdf = pdf_of(tab)
    assert len(pdf.pages) == len(told)
    lying = PAPERS[paper]  # type: ignore[index] # one of the papers
    for sheet, words, turned in zip(pdf.pages, told, upright, strict=True):
        wanted = lying[::-1] if turned else lying
        assert size_of(sheet) == pytest.approx(wanted, abs=DOT), words
        assert words.partition(":")[0] in sheet.extract_text()
        found = list(blocks(sheet))
        assert max(right for _, _, right, _ in found) <= wanted[0] + 1, words
        if "1:" not in words:
            continue
        # the bar: five black fields of 10 mm, 20 mm apart, along the foot
        foot = [one for one in found if one[1] > wanted[1] - 10 and 0.5 < one[3] - one[1] < 2]
        left, right = min(one[0] for one in foot), max(one[2] for one in foot)
        assert left == pytest.approx(10.0, abs=0.05), words
        assert right - left == pytest.approx(HUNDRED, abs=0.05), words


@pytest.mark.parametrize("which", ["served", "in_feet"])
def test_a_metre_of_the_room_is_a_metre_at_the_scale_on_paper(
    which: str, page: OpenPage, request: pytest.FixtureRequest
) -> None:
    room: Room = request.getfixturevalue(which)
    tab = page(f"{room.url}/print?set=1&load=1&paper=A2")
    words = tab.locator("figcaption").first.inner_text()
    scale = float(words.rpartition("1:")[2])
    sheet = pdf_of(tab).pages[0]
    long = (3 * FOOT if which == "in_feet" else 1.0) * 1000 / scale
    bars = [one for one in blocks(sheet) if one[2] - one[0] == pytest.approx(long, abs=0.05)
            and 1.4 < one[3] - one[1] < 1.8]  # fmt: skip
    assert bars, f"no scale bar of {long} mm"
    assert f"1:{scale:g} when printed at full size" in sheet.extract_text()


def test_a_print_from_a_dark_screen_is_on_white(served: Room, page: OpenPage) -> None:
    tab = page(f"{served.url}/print?set=1&air=1&paper=A3", theme="dark")
    ground = tab.locator("figure.paper svg > rect").first
    expect(ground).to_have_css("fill", "rgb(251, 251, 248)")
    tab.emulate_media(media="print")
    expect(ground).to_have_css("fill", "rgb(255, 255, 255)")
    ink = tab.locator("figure.paper svg text").first
    expect(ink).to_have_css("fill", "rgb(20, 36, 31)")


def test_the_papers_tokens_are_the_light_ones_of_the_table() -> None:
    light = tokens_css().splitlines()[0]
    assert f".paper{light[light.index('{') :]}" in (STATIC / "print.css").read_text("utf-8")


@pytest.mark.parametrize("paper", list(PAPERS))
def test_the_style_sheet_knows_every_paper(paper: str) -> None:
    wide, tall = PAPERS[paper]  # type: ignore[index] # one of the papers
    name = paper.lower().replace(" ", "-")
    css = (STATIC / "print.css").read_text("utf-8")
    assert f"@page {name}-lying {{ size: {wide:g}mm {tall:g}mm; margin: 0;" in css
    assert f"@page {name}-upright {{ size: {tall:g}mm {wide:g}mm; margin: 0;" in css
    assert f".{name}-lying {{ page: {name}-lying;" in css
    assert f".{name}-upright {{ page: {name}-upright;" in css


def test_a_choice_is_shown_at_once_and_the_button_prints(served: Room, context: OpenDesk) -> None:
    desk: Desk = context()
    desk.context.add_init_script("window.print = () => (document.title = 'printed')")
    tab = desk.open(f"{served.url}/print")
    tab.wait_for_selector("html[data-live]")
    tab.get_by_label("Paper").select_option("A2")
    tab.wait_for_url("**paper=A2**")
    tab.wait_for_selector("figure.paper.a2-lying, figure.paper.a2-upright")
    assert axe(tab) == []
    sheets = tab.locator("figure.paper").count()
    tab.get_by_role("button", name=f"Print {sheets}").click()
    expect(tab).to_have_title("printed")


# --- any page on paper -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "path", ["/?layer=air", "/air", "/feed", "/drain", "/load", "/power", "/look", "/history"]
)
def test_any_page_prints_whole_with_its_plan_in_the_margin(served: Room, page: OpenPage, path: str) -> None:
    tab = page(served.url + path)
    tab.wait_for_selector("html[data-live]")
    tab.emulate_media(media="print")
    expect(tab.locator("header.bar")).to_be_hidden()
    expect(tab.locator(".paper-only").last).to_be_visible()
    cut = """() => [...document.querySelectorAll("table, svg.drawing")].filter((one) => {
        const box = one.getBoundingClientRect();
        return box.width && box.right > document.documentElement.clientWidth + 1;
    }).map((one) => one.outerHTML.slice(0, 120))"""
    tab.set_viewport_size({"width": 688, "height": 1000})  # 182 mm: an upright A4 without its margins
    assert tab.evaluate(cut) == []
    tab.emulate_media(media="null")
    expect(tab.locator(".paper-only").last).to_be_hidden()
    pdf = pypdf.PdfReader(io.BytesIO(tab.pdf(format="A4")))
    number = served.live.snapshot.number
    for index, sheet in enumerate(pdf.pages, start=1):
        text = " ".join(sheet.extract_text().split())
        assert f"plan {number} of" in text
        assert f"{index} / {len(pdf.pages)}" in text


def test_a_name_cannot_break_out_of_the_margin(room: OpenRoom) -> None:
    text = (EXAMPLES / f"{EXAMPLE}.toml").read_text("utf-8")
    mine = room(
        re.sub(r"^title = .*$", "title = 'a\"; } } * { display: none } \\\\ <b>'", text, count=1, flags=re.M)
    )
    css = margins(mine.live.snapshot)
    assert css.count("{") == css.count("}") == 4
    assert "\\22 \\3b  \\7d " in css or "\\22 ; \\7d " in css
    answer = httpx.get(f"{mine.url}/paper.css?plan=1")
    assert answer.headers["content-type"].startswith("text/css")
    assert answer.text == css
