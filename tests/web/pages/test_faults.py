"""The page of faults: asked for by a form, the worst of each kind first, narrowed by kind and tank, stale after an
edit, stopped half-way and gone on with."""

from __future__ import annotations

import re
import time
from dataclasses import replace
from pathlib import Path
from typing import Final

import pytest

from tankwright.faults.judging import SCREENING
from tankwright.web.pages.faults import MOST, fault_path
from tankwright.workspace.fault_work import WorkedFaults, known_faults, mark_of

from ..chrome import axe, none
from ..conftest import OpenPage, OpenRoom
from .reader import NO_TANKS, OUTFALL, SMALL, Reader, Seen, plain

HEAVIEST: Final = 150_000  # bytes before they are packed

FED: Final = (
    SMALL
    + OUTFALL
    + """
[people]
looks = ["07:00", "19:00"]
longest_absence = "48 h"
[drain.main]
to = "gully"
behind = ["A"]
bore = "40 mm"
fall = "1:60"
vented = true
hose = { bore = "13 mm" }
[water_point.tap]
room = "shed"
at = ["0.1 m", "1.9 m"]
pressure = "3 bar"
flow = "12 L/min"
[feed.drip]
from = "tap"
bore = "13 mm"
outlet = { kind = "tap", rate = "12 L/h", at_pressure = "1 bar", bore = "4 mm" }
program = [{ start = "09:00", minutes = 60 }]
tanks = "A1..A2"
"""
)
"""Two tanks that are fed, and somebody who looks twice a day."""


@pytest.fixture(autouse=True)
def _one_process(monkeypatch: pytest.MonkeyPatch) -> None:
    """A few tanks are worked out sooner than further processes start."""
    monkeypatch.setattr("tankwright.workspace.fault_work.os.cpu_count", lambda: 1)


@pytest.fixture(scope="module")
def shed(tmp_path_factory: pytest.TempPathFactory) -> Reader:
    return Reader(tmp_path_factory.mktemp("shed"), FED)


def asked(reader: Reader) -> Seen:
    """The page once everything was broken."""
    page = reader.see("/faults")
    if "Break everything" in page.text:
        reader.post("/work", {"do": "start", "kind": "faults", "back": "/faults"})
        worked_of(reader)
        page = reader.see("/faults")
    return page


def worked_of(reader: Reader) -> WorkedFaults:
    """What was found, once it is."""
    end = time.monotonic() + 120.0
    while (worked := known_faults(mark_of(reader.good))) is None:
        assert time.monotonic() < end
        time.sleep(0.05)
    return worked


def names(page: Seen) -> list[str]:
    """The faults a page ranks, in its order."""
    return [
        plain(found) for found in re.findall(r'<th scope="row"><a href="/fault/[^>]*>(.*?)</a>', page.markup)
    ]


def test_before_anything_was_broken_the_page_says_so_and_holds_the_button(tmp_path: Path) -> None:
    page = Reader(
        tmp_path, FED.replace("Two tanks", "Two tanks, never broken").replace("12 L/h", "11 L/h")
    ).see("/faults")
    assert "Break everything" in page.text
    assert "nothing was broken yet" in page.text
    assert names(page) == []


def test_the_worst_of_each_kind_stand_in_the_order_of_the_work_with_its_caution(shed: Reader) -> None:
    page = asked(shed)
    outcomes = worked_of(shed).faults.outcomes
    worst = list({one.group: one.fault for one in reversed(outcomes)}.values())[::-1]
    assert sorted(names(page)) == sorted(worst)
    order = [one.fault for one in outcomes]
    assert [order.index(name) for name in names(page)] == sorted(order.index(name) for name in names(page))
    assert SCREENING[1:] in plain(page.part("caution"))
    assert f"{len(outcomes)} faults tried" in plain(page.part("summed"))


def test_a_row_says_what_comes_when_it_is_noticed_and_what_helps(shed: Reader) -> None:
    asked(shed)
    page = shed.see("/faults?group=overflow+blocked")
    row = page.row("ranked", "overflow of A1 blocked")
    one = next(each for each in worked_of(shed).faults.outcomes if each.fault == "overflow of A1 blocked")
    assert "water on the floor" in row[1]
    assert ("before anybody notices" in row[1]) == one.before_look
    assert row[-1] not in ("", "–")


def test_a_kind_shows_all_of_it_and_every_fault_can_be_asked_for(shed: Reader) -> None:
    asked(shed)
    assert sorted(names(shed.see("/faults?group=pane+fails"))) == ["pane of A1 fails", "pane of A2 fails"]
    every = [one.fault for one in worked_of(shed).faults.outcomes]
    assert names(shed.see("/faults?group=every")) == every[:MOST]
    assert "No fault like this." in shed.see("/faults?group=nothing").text


def test_a_tank_shows_what_touches_it_the_soonest_first(shed: Reader) -> None:
    asked(shed)
    touched = names(shed.see("/faults?tank=A1"))
    times = {one.fault: dict(one.tank_times).get("A1") for one in worked_of(shed).faults.outcomes}
    assert touched
    assert "pane of A2 fails" not in touched
    assert [times[name] for name in touched] == sorted(time for time in times.values() if time is not None)[
        : len(touched)
    ]


def test_the_page_of_a_hall_with_thousands_of_faults_stays_small(
    shed: Reader, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked(shed)
    worked = worked_of(shed)
    one = next(each for each in worked.faults.outcomes if each.group == "overflow blocked")
    many = tuple(replace(one, fault=f"overflow of H{number} blocked") for number in range(5000))
    hall = replace(worked, faults=replace(worked.faults, outcomes=many))
    monkeypatch.setattr("tankwright.web.pages.faults.known_faults", lambda _: hall)
    for address in ("/faults", "/faults?group=every", "/faults?group=every&from=4901"):
        page = shed.see(address)
        assert page.status == 200
        assert len(page.markup) < HEAVIEST
    assert names(page) == [each.fault for each in many[-MOST:]]


def test_a_plan_with_mistakes_shows_the_faults_of_the_last_good_one(tmp_path: Path) -> None:
    reader = Reader(tmp_path, FED)
    asked(reader)
    reader.path.write_text(FED + "[nonsense\n", "utf-8")
    reader.live.reread()
    page = reader.see("/faults")
    assert page.status == 200
    assert names(page)


def test_an_edit_says_of_which_plan_the_faults_are_and_work_that_was_stopped_goes_on(shed: Reader) -> None:
    reader = shed  # the last test that uses it
    asked(reader)
    reader.send("/faults", change="value", path="/feed/drip/outlet/rate", typed="14 L/h")
    page = reader.see("/faults")
    assert "Shown are the faults of plan" in page.text
    assert names(page)
    reader.post("/work", {"do": "start", "kind": "faults", "back": "/faults"})
    form = re.search(r'name="job" value="([^"]+)"', reader.see("/faults").markup)
    if form is not None:  # it may have been quicker than this
        assert "Faults tried" in reader.see("/faults").text
        reader.post("/work", {"do": "cancel", "job": form[1], "back": "/faults"})
        assert (
            known_faults(mark_of(reader.good)) is not None or "Break everything" in reader.see("/faults").text
        )
    assert names(asked(reader))


def test_a_room_without_tanks_is_told_what_will_be_here(tmp_path: Path) -> None:
    page = Reader(tmp_path, NO_TANKS).see("/faults")
    assert page.status == 200
    assert "No tank stands in it yet" in page.text
    assert "Break everything" not in page.text


def test_a_fault_has_an_address_whatever_its_name() -> None:
    assert fault_path("board Büro/2 dead") == "/fault/board%20B%C3%BCro%252F2%20dead"


def test_the_table_can_be_read_by_everyone_and_its_button_works(rooms: OpenRoom, page: OpenPage) -> None:
    tab = page(rooms(FED).url + "/faults")
    if tab.get_by_role("button", name="Break everything").count():
        tab.get_by_role("button", name="Break everything").click()
    tab.wait_for_selector("#ranked", timeout=120_000)
    for chosen in ("", "every"):
        tab.get_by_label("shown").select_option(chosen)
        tab.get_by_role("button", name="Show").click()
        tab.wait_for_selector("#ranked")
        for width in (1440, 1024, 390):
            tab.set_viewport_size({"width": width, "height": 844})
            assert tab.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
        none(axe(tab))
    tab.emulate_media(color_scheme="dark")
    none(axe(tab, "color-contrast"))
