"""The page of the build book: sheets by part, the whole made by slow work, kept by plan, build and paper, as files."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Final

import httpx
import pytest

from tankwright.building.marks import Mark
from tankwright.documents.kept import PAPERS, SLOW, Books, kind_of
from tankwright.web.access import Access
from tankwright.web.app import create_app
from tankwright.web.pages.book import papers_of
from tankwright.web.serving import shielded
from tankwright.workspace.build_marks import BuildMarks
from tankwright.workspace.jobs import KINDS, Jobs
from tankwright.workspace.live import LivePlan

from ..apart import apart
from .reader import NO_TANKS, OUTFALL, SMALL, Reader

TODAY: Final = date(2027, 2, 1)
NAMED: Final = "http://fishroom.local:9400"


@pytest.fixture
def reader(tmp_path: Path) -> Reader:
    return Reader(tmp_path, SMALL + OUTFALL)


def books_of(live: LivePlan, base_url: Callable[[], str] = str) -> Books:
    return Books(live, BuildMarks(live.path), base_url=base_url, today=lambda: TODAY)


def answer(live: LivePlan, address: str, base_url: Callable[[], str] = str, **headers: str) -> httpx.Response:
    """An answer with its bytes, of an app of its own."""
    app = shielded(create_app(live, base_url), Access(), frozenset({"127.0.0.1:9400"}))

    async def ask() -> httpx.Response:
        host = "http://127.0.0.1:9400"
        async with httpx.AsyncClient(transport=httpx.ASGITransport(app=app), base_url=host) as client:
            return await client.get(address, headers={"origin": host, **headers})

    return apart(ask())


def test_the_page_tells_what_each_sheet_is_for_and_opens_what_is_quick(reader: Reader) -> None:
    seen = reader.see("/book")
    assert seen.status == 200
    assert "to lay on the pane" in seen.text
    assert 'href="/book/drill.pdf?papers=A4"' in seen.markup
    assert 'href="/book/parts.pdf' not in seen.markup
    assert "comes with the whole book" in seen.text
    assert "Make the whole book" in seen.text
    assert 'href="/print"' in seen.markup
    assert 'href="/book"' in reader.see("/print").markup


def test_the_whole_is_made_once_for_a_state_and_then_opened_at_once(reader: Reader) -> None:
    live = reader.live
    books = books_of(live)
    jobs = Jobs(live, {**KINDS, **books.kinds()})
    number = live.snapshot.good_number
    assert number is not None
    job = jobs.wait(jobs.start(kind_of("A4"), number).id, 60.0)
    jobs.close()
    assert job is not None
    assert job.state == "done"
    assert job.of > 10
    state = books.state(live.snapshot.good, "A4")
    known = books.known(state)
    assert known is not None
    assert known.pdf.startswith(b"%PDF")
    assert known.has("drill")
    assert not known.has("circuits")
    assert known.sheet("drill") is known.sheet("drill")
    assert books.known(books.state(live.snapshot.good, "Letter")) is None
    files = zipfile.ZipFile(io.BytesIO(known.packed())).namelist()
    assert {"book.pdf", "sheets/drill.pdf", "tables.xlsx", "plan.dxf", "tables/parts-by-shop.csv"} <= set(
        files
    )
    assert "sheets/circuits.pdf" not in files


def test_a_mark_of_the_build_another_paper_and_another_day_are_other_states(reader: Reader) -> None:
    live = reader.live
    books = books_of(live)
    good = live.snapshot.good

    def mark() -> str:
        state = books.state(good, "A4")
        assert state is not None
        return state.mark

    first = mark()
    assert mark() == first
    other = books.state(good, "Letter")
    assert other is not None
    assert other.mark != first
    made = Mark(task="order tanks", done_on=TODAY, key="k1", who="Ann")
    assert isinstance(BuildMarks(live.path).add([made]), tuple)
    assert mark() != first
    tomorrow = Books(live, BuildMarks(live.path), base_url=str, today=lambda: date(2027, 2, 2))
    assert tomorrow.state(good, "A4") != books.state(good, "A4")


def test_a_sheet_opens_in_the_browser_and_is_not_sent_twice(reader: Reader) -> None:
    first = answer(reader.live, "/book/drill.pdf")
    assert first.status_code == 200
    assert first.headers["content-type"] == "application/pdf"
    assert first.headers["content-disposition"] == 'inline; filename="Two-tanks-drill-plan-1.pdf"'
    assert first.content.startswith(b"%PDF")
    again = answer(reader.live, "/book/drill.pdf", **{"if-none-match": first.headers["etag"]})
    assert again.status_code == 304
    assert again.content == b""
    reader.path.write_text(reader.plan_text.replace("Two tanks", "Both tanks"), "utf-8")
    assert reader.live.reread()
    other = answer(reader.live, "/book/drill.pdf", **{"if-none-match": first.headers["etag"]})
    assert other.status_code == 200
    assert "Both-tanks-drill-plan-2" in other.headers["content-disposition"]


@pytest.mark.parametrize("name", [*sorted(SLOW), "book"])
def test_what_is_not_made_yet_leads_to_the_page(name: str, reader: Reader) -> None:
    seen = reader.see(f"/book/{name}.pdf")
    assert (seen.status, seen.leads_to) == (303, "/book?papers=A4")


@pytest.mark.parametrize(
    "path", ["/book/nope.pdf", "/book/drill.zip", "/book/..%2Fplan.pdf", "/book/%00.pdf"]
)
def test_what_is_no_sheet_is_not_found(path: str, reader: Reader) -> None:
    assert reader.see(path).status in (404, 422)


def test_labels_have_codes_once_the_house_has_a_name_for_the_app(reader: Reader) -> None:
    bare = answer(reader.live, "/book/labels.pdf")
    named = answer(reader.live, "/book/labels.pdf", lambda: NAMED)
    assert bare.headers["etag"] != named.headers["etag"]
    assert len(named.content) > len(bare.content)
    assert "Labels carry no codes" in reader.see("/book").text
    assert f"They lead to {NAMED}" in answer(reader.live, "/book", lambda: NAMED).text


def test_paper_is_that_of_the_readers_units_or_the_one_chosen(reader: Reader) -> None:
    assert papers_of("", "US") == "Letter"
    assert set(PAPERS) == {"A4", "Letter"}
    assert 'href="/book/drill.pdf?papers=Letter"' in reader.see("/book?papers=Letter").markup
    letter = answer(reader.live, "/book/drill.pdf?papers=Letter").content
    assert letter != answer(reader.live, "/book/drill.pdf?papers=A4").content


def test_a_plan_without_tanks_has_its_cover_and_plan(tmp_path: Path) -> None:
    reader = Reader(tmp_path, NO_TANKS)
    seen = reader.see("/book")
    assert 'href="/book/plan.pdf?papers=A4"' in seen.markup
    assert "Drill sheets" not in seen.text
    assert answer(reader.live, "/book/cover.pdf").content.startswith(b"%PDF")


def test_a_plan_with_mistakes_says_what_will_be_here(tmp_path: Path) -> None:
    reader = Reader(tmp_path, 'title = "x"\nroom = 3\n')
    assert "as soon as the plan can be read" in reader.see("/book").text
    assert reader.see("/book/plan.pdf").leads_to == "/book"
