"""Pages as a printer gets them: nothing outside, no letter over another, true to scale, every code readable."""

from __future__ import annotations

import ctypes
import io
import json
import re
from collections import defaultdict
from collections.abc import Callable, Iterator
from typing import Final

import pypdf
import pypdfium2
import pytest
import zxingcpp
from hypothesis import example, given, settings
from hypothesis import strategies as st
from pypdfium2 import raw

from tankwright.documents.model import Banner, Column, Paragraph, Sheet, Table, columns
from tankwright.documents.pdf import faced, pdf_of
from tankwright.drawing.labels import tank_address
from tankwright.drawing.model import Drawing, Text
from tankwright.drawing.paper import PAPERS

from .conftest import ADDRESS, HALL, Made

EXAMPLES: Final = ("cellar_mended", "cellar", "garage", "hall")
POINT: Final = 25.4 / 72.0  # mm
Books = Callable[[str], Made]
Letter = tuple[str, float, float, float, float]
each_book = pytest.mark.parametrize("name", EXAMPLES)


def pages_of(pdf: bytes) -> Iterator[pypdfium2.PdfPage]:
    document = pypdfium2.PdfDocument(pdf)
    for number in range(len(document)):
        yield document[number]


def letters(page: pypdfium2.PdfPage) -> list[Letter]:
    """Every letter with left, bottom, right and top of its ink, in points."""
    text = page.get_textpage()
    sides = [ctypes.c_double() for _ in range(4)]
    found = []
    for number in range(text.count_chars()):
        sign = chr(raw.FPDFText_GetUnicode(text, number))
        if sign.isspace() or raw.FPDFText_IsGenerated(text, number) == 1:
            continue
        left, right, bottom, top = sides
        raw.FPDFText_GetCharBox(text, number, left, right, bottom, top)
        found.append((sign, left.value, bottom.value, right.value, top.value))
    return found


def overlapping(found: list[Letter]) -> list[tuple[Letter, Letter]]:
    """Pairs of letters of which one covers much of the other; neighbours may touch and lean over each other."""
    cells: dict[tuple[int, int], list[Letter]] = defaultdict(list)
    pairs = set()
    for one in found:
        _, x0, y0, x1, y1 = one
        for across in range(int(x0 // 12), int(x1 // 12) + 1):
            for up in range(int(y0 // 12), int(y1 // 12) + 1):
                for other in cells[across, up]:
                    _, u0, v0, u1, v1 = other
                    wide, tall = min(x1, u1) - max(x0, u0), min(y1, v1) - max(y0, v0)
                    least = min((x1 - x0) * (y1 - y0), (u1 - u0) * (v1 - v0))
                    joined = one[1:] == other[1:] and {one[0], other[0]} <= {
                        "f",
                        "i",
                        "l",
                    }  # "fi" is one glyph
                    if not joined and wide > 0.0 and tall > 0.0 and wide * tall > 0.35 * least:
                        pairs.add((one, other))
                cells[across, up].append(one)
    return sorted(pairs)


@each_book
def test_nothing_lies_outside_its_page(name: str, book_of: Books) -> None:
    for number, page in enumerate(pages_of(book_of(name).pdf), 1):
        wide, tall = page.get_size()
        for sign, x0, y0, x1, y1 in letters(page):
            inside = x0 >= 0.0 and y0 >= 0.0 and x1 <= wide and y1 <= tall
            assert inside, (number, sign, x0, y0, x1, y1)
        for thing in page.get_objects(max_depth=4):
            x0, y0, x1, y1 = thing.get_bounds()
            assert x0 >= -0.05, (number, thing.type)
            assert y0 >= -0.05, (number, thing.type)
            assert x1 <= wide + 0.05, (number, thing.type)
            assert y1 <= tall + 0.05, (number, thing.type)


@each_book
def test_no_letter_lies_over_another(name: str, book_of: Books) -> None:
    for number, page in enumerate(pages_of(book_of(name).pdf), 1):
        assert overlapping(letters(page)) == [], number


@each_book
def test_every_page_says_which_plan_in_which_state_and_which_page_of_how_many(
    name: str, book_of: Books
) -> None:
    made = book_of(name)
    pages = list(pages_of(made.pdf))
    for number, page in enumerate(pages, 1):
        said = " ".join(page.get_textpage().get_text_range().split())
        assert f"page {number} of {len(pages)}" in said
        assert f"{name}.toml, plan 41 · made 2027-02-01" in said
        assert said.count(" of ") >= 1
        assert len(re.findall(r"page \d+ of \d+", said)) == 1, number


@each_book
def test_every_face_is_in_the_file(name: str, book_of: Books) -> None:
    faces = set()
    for page in pypdf.PdfReader(io.BytesIO(book_of(name).pdf)).pages:
        for font in page["/Resources"]["/Font"].values():
            described = font.get_object()
            descendant = described.get("/DescendantFonts", [described])[0].get_object()
            descriptor = descendant["/FontDescriptor"].get_object()
            assert any(key in descriptor for key in ("/FontFile", "/FontFile2", "/FontFile3"))
            faces.add(described["/BaseFont"].split("+")[-1])
    assert faces
    assert {face.split("-")[0] for face in faces} <= {"AtkinsonHyperlegible", "DejaVuSansMono"}


@each_book
def test_a_page_is_as_large_as_a_sheet_of_the_readers_paper(name: str, book_of: Books) -> None:
    made = book_of(name)
    papers = (made.book.small, made.book.large)
    sizes = {tuple(sorted(PAPERS[paper])) for paper in papers}
    assert ("Letter" in papers) == (name == "garage")
    for page in pages_of(made.pdf):
        size = sorted(side * POINT for side in page.get_size())
        assert any(size == pytest.approx(of, abs=0.1) for of in sizes)


@each_book
def test_the_bar_of_100_mm_measures_100_mm(name: str, book_of: Books) -> None:
    made = book_of(name)
    drawn = [block for sheet in made.sheets for block in sheet.blocks if isinstance(block, Drawing)]
    barred = sum("100 mm on paper" in block_text for block_text in map(_texts, drawn))
    found = 0
    for page in pages_of(made.pdf):
        for thing in page.get_objects(filter=[raw.FPDF_PAGEOBJ_PATH], max_depth=4):
            x0, y0, x1, y1 = thing.get_bounds()
            wide, tall = (x1 - x0) * POINT, (y1 - y0) * POINT
            if abs(wide - 100.0) < 0.2 and abs(tall - 1.2) < 0.06:
                assert wide == pytest.approx(100.0, abs=0.01)
                found += 1
    assert found == barred > 0


def _texts(drawing: Drawing) -> str:
    return json.dumps(
        drawing.parts, default=lambda one: getattr(one, "text", None) or getattr(one, "parts", "")
    )


def test_a_bar_of_100_mm_is_a_thousand_dots_at_254_dots_an_inch(book_of: Books) -> None:
    page = next(page for page in pages_of(book_of("cellar_mended").pdf) if page.get_size()[0] > 1000.0)
    picture = page.render(scale=254.0 / 72.0, grayscale=True).to_numpy()
    strip = picture[-95:-78, :1112].min(axis=0)  # its height on the paper, up to what is said beside it
    dark = [place for place, ink in enumerate(strip) if ink < 160]
    assert max(dark) - min(dark) + 1 == pytest.approx(1000, abs=2)


@pytest.mark.parametrize("name", ["cellar_mended", "garage"])
def test_every_code_on_labels_and_cards_leads_to_its_tank(name: str, book_of: Books) -> None:
    made = book_of(name)
    sheets = [sheet for sheet in made.sheets if sheet.name in ("labels", "cards")]
    pdf = pdf_of(sheets, title="", foot="", paper=made.book.small)
    read: list[str] = []
    for page in pages_of(pdf):
        picture = page.render(scale=300 / 72, grayscale=True).to_numpy()
        read += [found.text for found in zxingcpp.read_barcodes(picture)]
    assert sorted(read) == sorted(2 * [tank_address(ADDRESS, tank.id) for tank in made.book.room.tanks])


def test_the_first_labels_of_the_hall_can_be_read(book_of: Books) -> None:
    made = book_of("hall")
    (sheet,) = (one for one in made.sheets if one.name == "labels")
    pdf = pdf_of([Sheet(name="", title="", part="", blocks=sheet.blocks[:1])], title="", foot="")
    (page,) = pages_of(pdf)
    picture = page.render(scale=300 / 72, grayscale=True).to_numpy()
    read = {found.text for found in zxingcpp.read_barcodes(picture)}
    assert "labels" in HALL
    assert len(read) > 10
    assert read <= {tank_address(ADDRESS, tank.id) for tank in made.book.room.tanks}


# --- texts of an owner stay texts -----------------------------------------------------------------------------


HOSTILE: Final = (
    '#eval("1")', "$x^2$", "*bold* _it_ `raw`", "<b>&amp;</b>", "</text><rect/>", '"quoted" \'so\'', "\\u{41} \\",
    "@ref <lab>", "= heading", "- item", "// no comment", "/* nor this */", "[content]", "{code}", "~", "😀 🐟", "日本",
    "a" * 300,
)  # fmt: skip


def one_page(text: str) -> str:
    """What is read off a book whose every text is this one."""
    table = Table(title=text, note=text, columns=columns(f"{text}*", "b*"), rows=((text, text),))
    drawing = Drawing(
        width=210, height=297, scale=1, title=text, description=text,
        parts=(Text(at=(10, 20), text=text, size=3, colour="#000000"),),
    )  # fmt: skip
    blocks = (Banner(over=text, text=text, under=text), Paragraph(text=text, caution=True), table, drawing)
    sheets = [
        Sheet(name="x", title=text, part="x", blocks=blocks),
        Sheet(name="y", title=text, part="x", blocks=blocks[1:]),
    ]
    pdf = pdf_of(sheets, title=text, foot=text, contents=True)
    return "".join(page.get_textpage().get_text_range() for page in pages_of(pdf))


@pytest.mark.parametrize("text", HOSTILE)
def test_markup_and_strange_signs_come_out_as_they_are(text: str) -> None:
    said = re.sub(r"\s|\ufffe|\u0002", "", one_page(text))
    wanted = re.sub(r"\s", "", text)
    if text.isascii():
        assert wanted in said


@settings(max_examples=8, deadline=None)
@given(text=st.text(min_size=1, max_size=40))
@example(text="\x00\x01\ufffe\ud7ff")
@example(text="\u202eback\u202c")
def test_no_text_breaks_a_book(text: str) -> None:
    assert "page 1 of" in one_page(text).replace("\r\n", " ")


def test_a_drawing_is_in_the_face_of_the_book() -> None:
    assert faced("<text x='1'>⌀ 29 &lt;</text>") == "<text x='1'>Ø 29 &lt;</text>"


def test_a_column_to_write_in_is_an_empty_box_with_its_unit() -> None:
    table = Table(
        title="t",
        columns=(*columns("point"), Column(name="read", write=30.0)),
        rows=(("A1", "mm"), ("A2", None)),
    )
    pdf = pdf_of([Sheet(name="x", title="T", part="x", blocks=(table,))], title="", foot="")
    (page,) = pages_of(pdf)
    said = page.get_textpage().get_text_range()
    assert "mm" in said
    assert "–" not in said


def test_a_book_of_nothing_is_a_page_that_can_be_read() -> None:
    pdf = pdf_of([], title="", foot="foot")
    assert "foot" in next(iter(pages_of(pdf))).get_textpage().get_text_range()


def test_progress_tells_sheets_and_then_the_whole() -> None:
    told: list[tuple[int, int]] = []
    sheet = Sheet(name="x", title="T", part="x", blocks=(Paragraph(text="x"),))
    pdf_of([sheet, sheet], title="", foot="", progress=lambda done, of: told.append((done, of)))
    assert told == [(0, 3), (1, 3), (3, 3)]
