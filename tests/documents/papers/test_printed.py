"""Papers as a printer gets them: nothing outside, no letter over another, grey enough, dated, numbered; photos in."""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from pathlib import Path
from typing import Final

import pypdfium2
import pytest
from PIL import Image

from tankwright.documents.model import Inset, Picture, Sheet
from tankwright.documents.papers.all import PAPERS
from tankwright.documents.papers.breeding import breeding_sheets
from tankwright.documents.pdf import can_be_printed, pdf_of
from tankwright.husbandry.records import Draft
from tankwright.logbook.outcome import By, Recorded

from ..test_pdf import letters, overlapping, pages_of
from .conftest import LAST, Lived
from .test_values import CHOICES

Life = Callable[[], Lived]
each_paper = pytest.mark.parametrize("what", [one.what for one in PAPERS])
LIGHTEST: Final = 140  # of 255: what a letter's darkest dot must be below in grey


@each_paper
def test_nothing_lies_outside_its_page_and_no_letter_over_another(what: str, lived: Life) -> None:
    for number, page in enumerate(pages_of(lived().made(what, **CHOICES[what]).pdf), 1):
        wide, tall = page.get_size()
        found = letters(page)
        for sign, x0, y0, x1, y1 in found:
            assert x0 >= 0.0 and y0 >= 0.0 and x1 <= wide and y1 <= tall, (number, sign)  # noqa: PT018 - one box
        for thing in page.get_objects(max_depth=4):
            x0, y0, x1, y1 = thing.get_bounds()
            assert min(x0, y0) >= -0.05, (number, thing.type)
            assert x1 <= wide + 0.05, (number, thing.type)
            assert y1 <= tall + 0.05, (number, thing.type)
        assert overlapping(found) == [], number


@each_paper
def test_every_page_has_the_day_the_state_of_the_plan_and_its_number(what: str, lived: Life) -> None:
    pages = list(pages_of(lived().made(what, **CHOICES[what]).pdf))
    for number, page in enumerate(pages, 1):
        said = " ".join(page.get_textpage().get_text_range().split())
        assert f"cellar.toml, plan 41 · made {LAST:%Y-%m-%d}" in said
        assert f"page {number} of {len(pages)}" in said
        assert len(re.findall(r"page \d+ of \d+", said)) == 1


@each_paper
def test_a_page_can_be_read_in_grey(what: str, lived: Life) -> None:
    page = next(iter(pages_of(lived().made(what, **CHOICES[what]).pdf)))
    scale = 200 / 72
    picture = page.render(scale=scale, grayscale=True).to_numpy().squeeze()
    _, tall = page.get_size()
    for sign, x0, y0, x1, y1 in letters(page)[:400]:
        box = picture[
            int((tall - y1) * scale) : int((tall - y0) * scale) + 1, int(x0 * scale) : int(x1 * scale) + 1
        ]
        assert box.min() < LIGHTEST, sign


def a_photo(ending: str) -> bytes:
    kept = io.BytesIO()
    Image.new("RGB", (640, 480), (40, 90, 60)).save(
        kept, {"jpg": "JPEG", "png": "PNG", "webp": "WEBP"}[ending]
    )
    return kept.getvalue()


@pytest.mark.parametrize("ending", ["jpg", "png", "webp"])
def test_a_photo_is_set_and_a_broken_one_is_known_before(ending: str) -> None:
    content = a_photo(ending)
    assert can_be_printed(content, ending)
    assert not can_be_printed(content[:40], ending)
    block = Picture(under="day 30", wide=60, high=45, content=content, ending=ending)
    pdf = pdf_of([Sheet(name="x", title="T", part="x", blocks=(block,))], title="", foot="")
    (page,) = pages_of(pdf)
    kinds = [thing.type for thing in page.get_objects(max_depth=4)]
    assert pypdfium2.raw.FPDF_PAGEOBJ_IMAGE in kinds
    assert "day 30" in page.get_textpage().get_text_range()


def test_the_photo_kept_of_a_brood_stands_on_its_report_and_a_lost_one_leaves_an_empty_place(
    lived: Life, tmp_path: Path
) -> None:
    own = lived().copied(tmp_path)
    book, log = own.log.book, own.log
    stock = next(one for one in book.stocks(closed=True) if one.label == "Amber 20")
    name = log.pictures.keep(a_photo("png"))
    assert isinstance(name, str)
    for photo in ("0" * 64 + ".png", name):
        noted = Draft(
            kind="noted", happened=LAST, stock=stock.id, note="all orange", details={"photo": photo}
        )
        outcome = book.record([noted], By(who="Ada"))
        assert isinstance(outcome, Recorded)
        blocks = breeding_sheets(own.source("breeding", brood=stock.id))[0].blocks
        (picture,) = [one for one in blocks if isinstance(one, Picture)]
        assert (picture.content is None) is (photo != name)
    assert "all orange" in picture.under


def test_a_strain_sheet_has_its_ancestors_drawn(lived: Life) -> None:
    (sheet,) = lived().sheets("strain", line="Amber")
    (drawn,) = [one for one in sheet.blocks if isinstance(one, Inset)]
    assert "parents" in str(drawn.drawing.parts)
