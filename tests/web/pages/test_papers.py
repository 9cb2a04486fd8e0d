"""The page of papers: nothing without entries, choices of each, files out of it, long ones watched, refusals told."""

from __future__ import annotations

import html
import io
import re
import zipfile
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Final

import httpx
import pytest

from tankwright.documents.papers import kept as kept_papers
from tankwright.documents.papers.all import PAPERS
from tankwright.husbandry.facts import Tally, came, died, left
from tankwright.husbandry.records import Draft, Plain
from tankwright.logbook.outcome import By, Recorded
from tankwright.web.access import Access
from tankwright.web.app import create_app
from tankwright.web.serving import shielded
from tankwright.workspace.live import LivePlan
from tankwright.workspace.log import RoomLog

from ..apart import apart
from ..chrome import axe, none
from ..conftest import OpenPage, OpenRoom
from .reader import SMALL, Reader, plain

BEFORE: Final = datetime.now(UTC) - timedelta(days=100)
MARKUP: Final = "<b>Blue</b> & co"
HOST: Final = "http://127.0.0.1:9400"


def fill(path: Path) -> None:
    """A line with a pair and its brood, of which some died, some were sold."""
    members: tuple[Plain, ...] = (
        {"stock": "him", "count": 1, "sex": "male"}, {"stock": "her", "count": 1, "sex": "female"},
    )  # fmt: skip

    def opened(stock: str, **details: Plain) -> Draft:
        return Draft(kind="stock_opened", happened=BEFORE, stock=stock, line="blue",
                     details={"label": f"Blue {stock}", "line": "blue", **details})  # fmt: skip

    drafts = [
        Draft(kind="place_opened", happened=BEFORE, place="p", details={"label": "Vat", "kind": "vat"}),
        Draft(kind="line_opened", happened=BEFORE, line="blue", details={"name": MARKUP, "species": "Fish"}),
        opened("him", kind="individual", sex="male"), opened("her", kind="individual", sex="female"),
        Draft(kind="set_made", happened=BEFORE, details={"set": "s0", "label": "pair", "members": members}),
        opened("g1", kind="brood", born=BEFORE.date().isoformat(), origin=({"breeding_set": "s0", "share": 1.0},)),
        *(came("arrived", one, "p", Tally(number=1), BEFORE) for one in ("him", "her")),
        came("born", "g1", "p", Tally(number=20), BEFORE, details={"set": "s0"}),
        died("g1", "p", 3, BEFORE + timedelta(days=9), cause="cold"),
        left("g1", "p", 4, BEFORE + timedelta(days=70), "sold", details={"to": "a buyer"}),
    ]  # fmt: skip
    outcome = RoomLog(path).book.record(drafts, By(who="AB"))
    assert isinstance(outcome, Recorded), outcome


@pytest.fixture
def shed(tmp_path: Path) -> Reader:
    return Reader(tmp_path, SMALL)


def answer(path: Path, address: str) -> httpx.Response:
    app = shielded(create_app(LivePlan(path)), Access(), frozenset({"127.0.0.1:9400"}))

    async def ask() -> httpx.Response:
        async with httpx.AsyncClient(transport=httpx.ASGITransport(app=app), base_url=HOST) as client:
            return await client.get(address, headers={"origin": HOST})

    return apart(ask())


def test_without_entries_it_says_what_will_be_here_and_makes_no_book(shed: Reader) -> None:
    seen = shed.see("/papers")
    assert seen.status == 200
    assert "Nothing was entered yet" in seen.text
    assert not RoomLog(shed.path).is_there
    refused = answer(shed.path, "/papers/census.pdf")
    assert refused.status_code == 422
    assert not RoomLog(shed.path).is_there


def test_every_paper_is_listed_with_its_choices(shed: Reader) -> None:
    fill(shed.path)
    for one in PAPERS:
        seen = shed.see(f"/papers?what={one.what}")
        assert html.escape(one.title, quote=False).replace("’", "’") in seen.markup
        form = seen.part("choices")
        assert f'action="/papers/{one.what}.pdf"' in form
        assert set(re.findall(r'name="(line|brood|from|until|by|to)"', form)) == set(one.choices)
        assert set(re.findall(r'value="([a-z-]+)" formaction', form)) == set(one.tables)
    assert "&lt;b&gt;Blue&lt;/b&gt;" in shed.see("/papers?what=strain").part("choices")


def test_files_come_as_what_they_are(shed: Reader) -> None:
    fill(shed.path)
    pdf = answer(shed.path, "/papers/strain.pdf?line=blue")
    assert pdf.headers["content-type"] == "application/pdf"
    assert pdf.content.startswith(b"%PDF")
    table = answer(shed.path, "/papers/census.csv?table=census-balance")
    assert table.headers["content-type"].startswith("text/csv")
    assert table.text.splitlines()[-1].startswith("all,0,20,2,")
    packed = zipfile.ZipFile(io.BytesIO(answer(shed.path, "/papers/losses.zip").content))
    assert packed.namelist() == ["losses.pdf", "loss-causes.csv", "losses.csv"]
    assert b"cold" in packed.read("loss-causes.csv")
    assert answer(shed.path, "/papers/census.csv?table=plan").status_code == 404
    assert answer(shed.path, "/papers/nothing.pdf").status_code == 404


def test_what_cannot_be_made_is_told_with_all_that_is_wrong_and_keeps_what_was_chosen(shed: Reader) -> None:
    fill(shed.path)
    seen = shed.see("/papers/census.pdf?line=Bleu&from=2026-02-01&until=2026-01-01&by=line")
    assert seen.status == 422
    wrong = plain(seen.part("wrong"))
    assert "PAPER-05" in wrong
    assert "PAPER-02" in wrong
    assert 'value="2026-02-01"' in seen.part("choices")
    assert re.search(r'value="line" selected', seen.part("by"))


def test_a_long_one_is_slow_work_that_is_asked_for_and_then_opened(
    shed: Reader, monkeypatch: pytest.MonkeyPatch
) -> None:
    fill(shed.path)
    monkeypatch.setattr(kept_papers, "QUICK", 0)
    away = shed.see("/papers/strain.pdf?line=blue")
    assert (away.status, away.leads_to) == (303, "/papers?what=strain&line=blue&asked=1")
    page = shed.see(away.leads_to)
    assert "Make this paper" in page.text
    (kind,) = re.findall(r'name="kind" value="([^"]+)"', page.markup)
    assert kind == "paper:strain?line=blue"
    sent = shed.post("/work", {"do": "start", "kind": kind, "back": away.leads_to})
    assert sent.leads_to == away.leads_to
    jobs = shed.see("/api/v1/jobs")
    assert jobs.status == 200
    for _ in range(200):
        page = shed.see(away.leads_to)
        if 'id="made"' in page.markup:
            break
    assert 'href="/papers/strain.pdf?line=blue"' in page.part("made")
    assert "Make this paper" not in page.text


def test_a_new_entry_makes_a_new_paper(shed: Reader) -> None:
    fill(shed.path)
    first = answer(shed.path, "/papers/census.csv?table=census").text
    more = died("g1", "p", 1, datetime.now(UTC) - timedelta(days=1))
    assert isinstance(RoomLog(shed.path).book.record([more], By(who="AB")), Recorded)
    assert answer(shed.path, "/papers/census.csv?table=census").text != first


@pytest.mark.parametrize("size", ["desktop", "phone"])
@pytest.mark.parametrize("theme", ["light", "dark"])
def test_a_paper_can_be_chosen_by_everyone(room: OpenRoom, page: OpenPage, size: str, theme: str) -> None:
    served = room()
    fill(served.plan_path)
    for what in ("breeding", "census", "seller"):
        tab = page(f"{served.url}/papers?what={what}", size=size, theme=theme)
        none(axe(tab))
        assert tab.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
