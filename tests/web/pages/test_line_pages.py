"""The pages of lines: nothing without a logbook, a set tried without a trace, made with one, refused with why."""

from __future__ import annotations

import html
import re
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Final

import pytest

from tankwright.husbandry.facts import Tally, came
from tankwright.husbandry.records import Draft, Plain
from tankwright.logbook.outcome import By, Recorded
from tankwright.workspace.log import RoomLog

from ..chrome import axe, none
from ..conftest import OpenPage, OpenRoom
from .reader import SMALL, Reader, Seen, plain

BEFORE: Final = datetime.now(UTC) - timedelta(days=200)
MARKUP: Final = "<b>Blue</b> & co"
TRIED: Final = "stock1=g1&sex1=male&stock2=g1&sex2=female&count2=2"


def opened(stock: str, line: str = "blue", **details: Plain) -> Draft:
    return Draft(
        kind="stock_opened", happened=BEFORE, stock=stock, line=line,
        details={"label": f"Stock {stock}", "kind": "brood", "line": line, **details},
    )  # fmt: skip


def fill(path: Path) -> RoomLog:
    """Two lines, a pair with a brood, a brood of that, a lone male of the other line."""
    log = RoomLog(path)
    members: tuple[Plain, ...] = (
        {"stock": "him", "count": 1, "sex": "male"}, {"stock": "her", "count": 1, "sex": "female"},
    )  # fmt: skip
    of = ({"breeding_set": "s0", "share": 1.0},)
    drafts = [
        Draft(kind="place_opened", happened=BEFORE, place="p", details={"label": "Vat", "kind": "vat"}),
        Draft(kind="line_opened", happened=BEFORE, line="blue",
              details={"name": MARKUP, "species": "Fish", "locality": "a ditch", "least_breeders": 6}),
        Draft(kind="line_opened", happened=BEFORE, line="gold", details={"name": "Gold", "species": "Fish"}),
        opened("him", kind="individual", sex="male"), opened("her", kind="individual", sex="female"),
        opened("lone", line="gold", kind="individual", sex="male"),
        Draft(kind="set_made", happened=BEFORE, details={"set": "s0", "members": members}),
        opened("g1", origin=of),
        *(came("arrived", one, "p", Tally(number=1), BEFORE) for one in ("him", "her", "lone")),
        came("born", "g1", "p", Tally(number=20), BEFORE),
    ]  # fmt: skip
    outcome = log.book.record(drafts, By(who="AB"))
    assert isinstance(outcome, Recorded), outcome
    return log


@pytest.fixture
def shed(tmp_path: Path) -> Reader:
    return Reader(tmp_path, SMALL)


def sets(reader: Reader) -> int:
    return len(RoomLog(reader.path).book.sets())


def put_together(reader: Reader, **fields: str) -> Seen:
    return reader.post("/lines/set", {"key": "k1", "back": "/lines/blue", **fields})


@pytest.mark.parametrize("address", ["/lines", "/lines/blue"])
def test_without_a_logbook_a_page_says_what_will_stand_there_and_makes_none(
    shed: Reader, address: str
) -> None:
    page = shed.see(address)
    assert page.status == 200
    assert "empty" in page.markup
    assert not (shed.path.parent / "plan.tankwright" / "logbook.sqlite").exists()


def test_every_line_is_listed_with_its_numbers(shed: Reader) -> None:
    fill(shed.path)
    page = shed.see("/lines")
    row = page.row("lines", MARKUP)
    assert row[1:6] == ["Fish", "22", "0 % – 11 %", "2.62", "1"]
    assert page.row("lines", "Gold")[3:6] == ["0 %", "not computed", "not computed"]
    assert "LINE-09" in page.part("findings")


def test_a_line_is_told_with_its_stocks_and_the_ancestry_asked_for(shed: Reader) -> None:
    fill(shed.path)
    page = shed.see("/lines/blue?stock=g1")
    assert page.status == 200
    assert "<b>Blue</b> & co" in page.text
    assert "22 fish in 3 stocks" in page.text
    assert page.row("stocks", "Stock g1")[1:4] == ["20", "Vat", "0 %"]
    ancestry = page.part("ancestry")
    assert "Ancestors of Stock g1" in ancestry
    assert "Stock him" in ancestry
    assert "kinship of two of them 25 %" in plain(ancestry)
    assert shed.see("/lines/Gold").text.count("Gold")


def test_mates_are_proposed_within_the_limit_and_lead_to_a_try(shed: Reader) -> None:
    fill(shed.path)
    page = shed.see("/lines/blue?limit=0")
    (address,) = re.findall(r'href="([^"]*#try)"', page.part("mates"))
    assert "Stock him × Stock her: 0 %" in plain(page.part("mates"))
    tried = shed.see(html.unescape(address).partition("#")[0])
    assert "inbreeding of the young 0 %" in plain(tried.part("tried"))


def test_trying_writes_nothing_and_putting_together_writes_once(shed: Reader) -> None:
    fill(shed.path)
    page = shed.see(f"/lines/blue?{TRIED}")
    assert "inbreeding of the young 25 %" in plain(page.part("tried"))
    assert sets(shed) == 1
    fields = dict(part.split("=") for part in TRIED.split("&"))
    made = put_together(shed, **fields, label="Back")
    assert (made.status, made.leads_to) == (303, "/lines/blue?made=1#made")
    assert put_together(shed, **fields, label="Back").status == 303
    assert sets(shed) == 2
    assert "it stands in the logbook" in shed.see("/lines/blue?made=1").text


def test_what_is_wrong_is_told_beside_the_form_and_nothing_is_kept(shed: Reader) -> None:
    fill(shed.path)
    tried = shed.see("/lines/blue?stock1=him&sex1=male&count1=2&stock2=nobody")
    assert "is a single fish" in plain(tried.part("set-error"))
    assert "is of no stock that is known" in plain(tried.part("set-error"))
    refused = put_together(shed, stock1="him", count1="2")
    assert refused.status == 422
    assert "is a single fish" in refused.text
    assert put_together(shed).status == 422
    assert sets(shed) == 1


def test_a_set_that_mixes_lines_is_told_so_before_it_is_made(shed: Reader) -> None:
    fill(shed.path)
    page = shed.see("/lines/blue?stock1=lone&sex1=male&stock2=her&sex2=female")
    assert "LINE-04" in page.part("tried")


def test_an_unknown_father_is_said(shed: Reader) -> None:
    fill(shed.path)
    assert "LINE-13" in shed.see("/lines/blue?stock2=her&sex2=female").part("tried")


@pytest.mark.parametrize(
    "address", ["/lines/nowhere", "/lines/%3Cb%3E", "/lines/blue?stock=nobody&limit=x&count1=%00"]
)
def test_an_address_nobody_made_is_answered(shed: Reader, address: str) -> None:
    fill(shed.path)
    assert shed.see(address).status == 200


@pytest.mark.parametrize("size", ["desktop", "phone"])
def test_the_pages_full_of_fish_are_sound(room: OpenRoom, page: OpenPage, size: str) -> None:
    served = room(SMALL)
    fill(served.plan_path)
    for address in ("/lines", f"/lines/blue?stock=g1&{TRIED}"):
        tab = page(served.url + address, size=size)
        none(axe(tab))
        assert not tab.evaluate("document.documentElement.scrollWidth > innerWidth")
