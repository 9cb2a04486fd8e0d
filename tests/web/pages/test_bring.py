"""Tables brought in by the page: sent, looked at, told what a column is, recorded, taken back."""

from __future__ import annotations

import io
import re
import time
from dataclasses import replace
from pathlib import Path

import openpyxl
import pytest

from tankwright.logbook.exchange import export_book
from tankwright.workspace.bringing.bring import Brought, Looked, bring_in, look
from tankwright.workspace.bringing.shelf import Shelf
from tankwright.workspace.bringing.work import taken_in
from tankwright.workspace.log import RoomLog

from .reader import SMALL, Reader, Seen

TESTS = b"Date;Tank;pH;KH\n3/4/2026;A1;7,2;5\n4/4/2026;A1;7,1;soft\n"


@pytest.fixture
def shed(tmp_path: Path) -> Reader:
    return Reader(tmp_path, SMALL)


def sent(shed: Reader, content: bytes, name: str = "tests.csv") -> str:
    answer = shed.post("/bring", {}, (name, content))
    assert answer.status == 303
    return answer.leads_to


def looked(shed: Reader, address: str) -> Seen:
    return waited(shed, address, "figures")


def waited(shed: Reader, address: str, part: str) -> Seen:
    """The page once the work on it is done; the server works beside the pages."""
    end = time.monotonic() + 60
    page = shed.see(address)
    while f'id="{part}"' not in page.markup and time.monotonic() < end:
        time.sleep(0.05)
        page = shed.see(address)
    return page


def of(address: str) -> str:
    return address.partition("of=")[2]


def test_a_table_is_looked_at_told_of_and_recorded_only_when_that_is_asked_for(shed: Reader) -> None:
    address = sent(shed, TESTS)
    page = looked(shed, address)
    assert (
        "0 rows understood" in " ".join(reversed(page.part("figures").split("<div")))
        or "has a date" in page.text
    )
    said = shed.post("/bring/say", {"of": of(address), "order": "day first"}).leads_to
    page = looked(shed, said)
    assert "row 2" in page.text
    assert "A1: ph 7.2, kh 5 °dH" in page.text
    assert "kh: soft" in page.text
    book = RoomLog(shed.path).book
    assert book.readings() == ()
    assert shed.post("/bring/take", {"of": of(said)}).status == 303
    page = waited(shed, said, "brought")
    assert "1 event was recorded." in page.text
    assert [(one.quantity, one.value) for one in book.readings()] == [("ph", 7.2), ("kh", 5.0)]


def test_brought_in_twice_is_once_and_all_of_it_can_be_taken_back(shed: Reader) -> None:
    address = sent(shed, b"Date,Tank,pH\n2026-04-13,A1,7.2\n2026-04-14,A2,7.0\n")
    looked(shed, address)
    shed.post("/bring/take", {"of": of(address)})
    page = waited(shed, address, "brought")
    assert "2 events were recorded." in page.text
    again = sent(shed, b"Date,Tank,pH\n2026-04-13,A1,7.2\n2026-04-14,A2,7.0\n", "other name.csv")
    looked(shed, again)
    shed.post("/bring/take", {"of": of(again)})
    assert "not recorded twice" in waited(shed, again, "brought").text
    book = RoomLog(shed.path).book
    assert len(book.readings()) == 2
    mark = re.search(r'name="mark" value="(\w+)"', page.markup)
    assert mark is not None
    refused = shed.post("/bring/back", {"of": of(address), "mark": mark[1], "reason": " "})
    assert refused.status == 422
    assert len(book.readings()) == 2
    back = shed.post("/bring/back", {"of": of(address), "mark": mark[1], "reason": "the wrong year"})
    assert back.leads_to.endswith("&back=2")
    assert book.readings() == ()
    log = RoomLog(shed.path)
    fresh = look(log, "t.csv", b"Date,Tank,pH\n2026-04-13,A1,7.2\n2026-04-14,A2,7.0\n", {})
    assert isinstance(fresh, Looked)
    assert bring_in(log, fresh, who="Ada") == Brought(
        events=2, repeated=0
    )  # what was taken back may come again
    assert bring_in(log, fresh, who="Ada") == Brought(events=0, repeated=2)
    assert len(book.readings()) == 2


def test_a_mended_file_adds_only_the_rows_that_were_mended(shed: Reader) -> None:
    log = RoomLog(shed.path, room=lambda: shed.good.room)
    first = look(
        log, "t.csv", b"Date,Tank,pH\n2026-04-13,A1,7.2\n2026-04-13,A1,7.2\n2026-04-14,A2,soft\n", {}
    )
    assert isinstance(first, Looked)
    assert bring_in(log, first, who="Ada") == Brought(
        events=2, repeated=0
    )  # the same twice was measured twice
    mended = look(
        log, "t2.csv", b"Date,Tank,pH\n2026-04-13,A1,7.2\n2026-04-13,A1,7.2\n2026-04-14,A2,6.9\n", {}
    )
    assert isinstance(mended, Looked)
    assert bring_in(log, mended, who="Ada") == Brought(events=1, repeated=2)


def test_a_workbook_is_looked_at_sheet_by_sheet(shed: Reader) -> None:
    book = openpyxl.Workbook()
    book.active.title = "Tests"
    book.active.append(["Date", "Tank", "pH"])
    book.active.append(["2026-04-13", "A1", 7.2])
    fish = book.create_sheet("Fish")
    fish.append(["Tank", "Species", "Count"])
    fish.append(["A2", "Danio rerio", 12])
    held = io.BytesIO()
    book.save(held)
    address = sent(shed, held.getvalue(), "room.xlsx")
    assert "A1: ph 7.2" in looked(shed, address).text
    other = shed.post("/bring/say", {"of": of(address), "sheet": "Fish"}).leads_to
    assert "A2: 12 there" in looked(shed, other).text


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "No file was chosen"),
        (b"\x00\x01", "is no text"),
        (b"PK\x03\x04cut", "cannot be read as a workbook"),
    ],
)
def test_what_is_no_table_is_said_on_the_page(shed: Reader, content: bytes, says: str) -> None:
    answer = shed.post("/bring", {}, ("x.csv", content))
    page = answer if answer.status == 422 else shed.see(answer.leads_to)
    assert says in page.text


def test_a_table_that_is_gone_is_said_and_looking_makes_no_files(shed: Reader) -> None:
    assert "not here any more" in shed.see("/bring?of=" + "0" * 24).text
    assert "not here any more" in shed.see("/bring?of=../../plan").text
    assert shed.see("/bring").status == 200
    assert not RoomLog(shed.path).path.exists()


def test_the_whole_book_is_taken_out_as_one_file_that_comes_in_again(shed: Reader, tmp_path: Path) -> None:
    assert shed.see("/bring/logbook.zip").status == 404
    log = RoomLog(shed.path, room=lambda: shed.good.room)
    looked_at = look(log, "t.csv", b"Date,Tank,pH\n2026-04-13,A1,7.2\n", {})
    assert isinstance(looked_at, Looked)
    bring_in(log, looked_at, who="Ada")
    assert 'href="/bring/logbook.zip"' in shed.see("/bring").markup
    place = tmp_path / "here.zip"
    export_book(log.book, log.pictures, place)
    assert shed.raw("/bring/logbook.zip") == place.read_bytes()


def test_who_had_a_table_brought_in_stands_in_the_book(shed: Reader) -> None:
    address = sent(shed, b"Date,Tank,pH\n2026-04-13,A1,7.2\n")
    looked(shed, address)
    log = RoomLog(shed.path)
    shelf = Shelf(log)
    kept = shelf.get(of(address))
    assert kept is not None
    shelf.taken_by(kept, "Ben")
    outcome = taken_in(shed.good, kept.id, lambda *_: None)
    assert isinstance(outcome, Brought)
    assert [one.who for one in log.book.events(kinds=("tested",))] == ["Ben"]
    assert Shelf(log).taker(replace(kept, id="0" * 24)) == "keeper"
