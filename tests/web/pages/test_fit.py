"""The page of what fits: a wish typed, a search asked for, a proposal looked at, taken as the plan, and undone."""

from __future__ import annotations

import re
import time
from pathlib import Path
from typing import Final

import pytest

from tankwright.arranging.model import Arrangements
from tankwright.report.fit import SCREENING
from tankwright.web.pages.fit import KIND
from tankwright.workspace.arrange_work import known_arrangements, mark_of

from ..chrome import axe, none
from ..conftest import OpenPage, OpenRoom
from .reader import SMALL, Reader, Seen, example, plain

HEAVIEST: Final = 150_000  # bytes before they are packed

WISHED: Final = (
    SMALL
    + """
[wish]
best = "tanks"
"""
)


def searched(reader: Reader) -> tuple[Seen, Arrangements]:
    """The page once the search is at its end, and what it found."""
    if known_arrangements(mark_of(reader.good)) is None:
        reader.post("/work", {"do": "start", "kind": KIND, "back": "/fit"})
    end = time.monotonic() + 120.0
    while (found := known_arrangements(mark_of(reader.good))) is None:
        assert time.monotonic() < end
        time.sleep(0.05)
    return reader.see("/fit"), found


def taking(reader: Reader, page: Seen, number: int, **other: str) -> Seen:
    """What comes of taking a proposal."""
    mark = re.search(r'name="mark" value="([^"]*)"', page.markup)
    assert mark
    fields = {"change": "arrangement", "path": "arrangement", "mark": mark[1], "number": str(number)}
    return reader.send("/fit", **(fields | other))


@pytest.fixture
def shed(tmp_path: Path) -> Reader:
    return Reader(tmp_path, WISHED)


def test_before_a_search_the_page_says_what_it_does_and_holds_the_button(shed: Reader) -> None:
    page = shed.see("/fit")
    assert "nothing is changed before you take a proposal" in page.text
    assert "Search" in page.part("work")
    assert "Proposal 1" not in page.text


def test_a_plan_without_kinds_is_told_what_it_needs(tmp_path: Path) -> None:
    page = Reader(tmp_path, 'title = "Shed"\n').see("/fit")
    assert "needs a room, a kind of tank and a kind of rack" in page.text


def test_every_proposal_has_its_numbers_its_drawing_and_what_is_found_in_it(shed: Reader) -> None:
    page, found = searched(shed)
    assert found.proposals
    assert SCREENING in plain(page.part("caution"))
    for one in found.proposals:
        seen = shed.see(f"/fit?proposal={one.number}")
        assert f"Proposal {one.number}" in seen.text
        assert f"{one.tanks} tanks" in plain(seen.part("proposal"))
        assert "<svg" in seen.part("proposal")
        for rack in one.racks:
            assert f"{rack.id} ({rack.kind})" in seen.text
    assert ("proved" in plain(page.part("summed"))) == found.proved


def test_a_proposal_that_is_taken_is_the_plan_and_undo_takes_it_back(shed: Reader) -> None:
    page, found = searched(shed)
    before = shed.plan_text
    first = found.proposals[0]
    assert taking(shed, page, first.number).status == 303
    assert shed.plan_text == first.text
    assert shed.good.room is not None
    assert len(shed.good.room.tanks) == first.tanks
    shed.send("/fit", change="undo")
    assert shed.plan_text == before


def test_a_proposal_nobody_knows_any_more_is_refused_in_words_and_nothing_is_written(shed: Reader) -> None:
    page, _ = searched(shed)
    before = shed.plan_text
    answer = taking(shed, page, 1, mark="of another day")
    assert "not known any more" in answer.text
    assert shed.plan_text == before


def test_another_wish_makes_what_is_shown_old_and_not_to_be_taken(tmp_path: Path) -> None:
    shed = Reader(tmp_path, WISHED + "# searched here for the first time\n")
    shed.post("/work", {"do": "start", "kind": KIND, "back": "/fit"})
    end = time.monotonic() + 120.0
    while "Proposal 1" not in shed.see("/fit").text or 'id="work-progress"' in shed.see("/fit").markup:
        assert time.monotonic() < end
        time.sleep(0.05)
    shed.send("/fit", change="value", path="/wish/best", typed="walking")
    assert 'best = "walking"' in shed.plan_text
    assert known_arrangements(mark_of(shed.good)) is None
    end = time.monotonic() + 20.0
    while (
        "as it was before" not in (page := shed.see("/fit")).text
    ):  # the work hands its answer over a moment later
        assert time.monotonic() < end
    assert "Proposal 1" in page.text
    assert "Take this as the plan" not in page.text


def test_a_kind_is_wished_for_and_taken_off_again(shed: Reader) -> None:
    page = shed.see("/fit")
    kind = next(iter(shed.good.plan.tank_kind)) if shed.good.plan else ""
    assert f"Wish for {kind}" in page.text
    shed.send("/fit", change="add", path="/wish/tanks", typed=f'{{ kind = "{kind}", at_least = 1 }}')
    page = shed.see("/fit")
    assert f"{kind} at least" in page.text
    assert f"Wish for {kind}" not in page.text


def test_a_wish_that_cannot_be_met_says_why(tmp_path: Path) -> None:
    reader = Reader(tmp_path, WISHED + 'litres = "90000 L"\n')
    page, found = searched(reader)
    assert any(one.code == "WISH-04" for one in found.findings)
    assert "WISH-04" in page.part("findings")


def test_the_page_of_the_first_plan_stays_small(tmp_path: Path) -> None:
    page, found = searched(Reader(tmp_path, example("cellar")))
    assert len(found.proposals) > 1
    assert len(page.markup.encode()) < HEAVIEST


def test_a_search_is_watched_and_axe_finds_nothing_in_its_proposals(rooms: OpenRoom, page: OpenPage) -> None:
    tab = page(rooms(WISHED + "# searched in the browser\n").url + "/fit")
    tab.get_by_role("button", name="Search", exact=True).click()
    tab.wait_for_selector("#proposal", timeout=60_000)
    for width in (1440, 1024, 390):
        tab.set_viewport_size({"width": width, "height": 844})
        assert tab.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
    none(axe(tab))
    tab.emulate_media(color_scheme="dark")
    none(axe(tab, "color-contrast"))
