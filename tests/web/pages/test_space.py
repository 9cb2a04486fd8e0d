"""The page of fry space: nothing without a logbook, the forecast with one, rules kept whole or not at all."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from pathlib import Path

import pytest

from tankwright.workspace.demo_life import live_in
from tankwright.workspace.fry_rules import FryKept, read_rules

from ..chrome import axe, none
from ..conftest import OpenPage, OpenRoom
from .reader import Reader, example, plain

RULES = {
    "up_to_0": "1 cm", "per_litre_0": "8", "per_litre_1": "0,5", "gone_days": "100", "lead_days": "10", "limit": "2",
    "apart": "line", "offered": "9", "tank": ["A5", "B3"], "set": ["x"], "raise": [],
}  # fmt: skip


@pytest.fixture(scope="module")
def lived(tmp_path_factory: pytest.TempPathFactory) -> Reader:
    """The demo's room with its thirteen invented months."""
    reader = Reader(tmp_path_factory.mktemp("lived"), example("cellar"))
    assert reader.good.room is not None
    live_in(reader.path, reader.good.room, datetime.now(UTC).replace(microsecond=0))
    return reader


def test_without_a_logbook_it_says_what_will_stand_there_and_makes_none(tmp_path: Path) -> None:
    reader = Reader(tmp_path, example("cellar"))
    page = reader.see("/space")
    assert page.status == 200
    assert "how many tanks your fry need" in page.text
    assert not (tmp_path / "plan.tankwright" / "logbook.sqlite").exists()


def test_the_weeks_the_sets_and_what_it_rests_on_are_told(lived: Reader) -> None:
    page = lived.see("/space")
    assert page.status == 200
    assert len(re.findall(r"<tr", page.part("weeks"))) == 14
    assert "not what will come" in page.text
    assert "Pepper, B6" in page.part("sets")
    assert "gone quiet" in plain(page.part("sets"))
    assert "own broods and the default" in plain(page.part("rates"))
    assert 'class="chart' in page.markup or "chart" in page.part("chart-fry")
    assert "FRY-09" in page.part("findings")
    assert len(page.markup.encode()) < 150_000


def test_past_weeks_are_held_against_what_came_when_asked(lived: Reader) -> None:
    assert "Hold the forecasts of past weeks" in lived.see("/space").text
    page = lived.see("/space?past=1")
    assert "of 12 past weeks, each forecast 6 weeks before" in page.text
    assert len(re.findall(r"<tr", page.part("past"))) == 13


def test_rules_are_kept_and_shown_and_change_the_forecast(tmp_path: Path, lived: Reader) -> None:
    before = plain(lived.see("/space").part("weeks"))
    answer = lived.post("/space/rules", RULES)
    assert (answer.status, answer.leads_to) == (303, "/space?kept=1#rules")
    kept, wrong = read_rules(lived.live.folder)
    assert wrong is None
    assert kept.rules.limit == pytest.approx(0.2)
    assert kept.tanks == ("A5", "B3")
    assert kept.left_out == ("x",)
    page = lived.see("/space?kept=1")
    assert "Kept." in page.text
    assert plain(page.part("weeks")) != before
    assert 'value="0.5"' in page.part("rules")
    assert "run out" in page.text
    assert "Better not raised" in page.text or "What makes the difference" in page.text
    assert lived.post("/space/rules", {"offered": "0"}).status == 303
    assert read_rules(lived.live.folder)[0].rules == FryKept().rules


def test_what_is_wrong_stands_beside_every_field_and_nothing_is_kept(lived: Reader) -> None:
    before = read_rules(lived.live.folder)
    page = lived.post("/space/rules", RULES | {"up_to_0": "eight", "limit": "40", "gone_days": "1"})
    assert page.status == 422
    assert page.markup.count('aria-invalid="true"') == 3
    assert 'value="eight"' in page.markup
    assert "0 to 10 in ten" in page.text
    assert read_rules(lived.live.folder) == before


def test_no_tank_marked_is_no_tank(lived: Reader) -> None:
    lived.post("/space/rules", {"offered": "9"})
    assert read_rules(lived.live.folder)[0].tanks == ()
    page = lived.see("/space")
    assert "FRY-04" in page.part("findings")
    assert "not computed" in page.part("figures")
    lived.post("/space/rules", {"offered": "0"})


def test_the_lived_page_fits_every_width_and_axe_finds_nothing(rooms: OpenRoom, page: OpenPage) -> None:
    served = rooms(example="cellar")
    room = served.live.snapshot.good.room if served.live.snapshot.good else None
    assert room is not None
    live_in(served.live.path, room, datetime.now(UTC).replace(microsecond=0))
    tab = page(served.url + "/space?past=1", expect=("answer 422", "status of 422"))
    tab.wait_for_selector("#past table")
    for width in (1440, 1024, 390):
        tab.set_viewport_size({"width": width, "height": 844})
        assert tab.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
    none(axe(tab))
    tab.emulate_media(color_scheme="dark")
    none(axe(tab, "color-contrast"))
    tab.get_by_label("Row 1: up to").fill("nothing")
    tab.get_by_role("button", name="Keep these rules").click()
    assert tab.get_by_label("Row 1: up to").get_attribute("aria-invalid") == "true"


def test_the_card_of_a_brood_tells_its_life(lived: Reader) -> None:
    from tankwright.workspace.log import RoomLog  # noqa: PLC0415 - only here

    broods = [one for one in RoomLog(lived.path).book.stocks() if one.kind == "brood"]
    page = lived.see(f"/fish/{min(broods, key=lambda one: one.opened).id}")
    assert page.status == 200
    part = plain(page.part("brood"))
    assert "At 30 days" in part
    assert "of this brood, not of broods like it" in part
    assert "the brood as the unit" in part
    assert page.markup.count("<figure") == 2
