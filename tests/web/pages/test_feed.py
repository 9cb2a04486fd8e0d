"""The page of the feed against the study, and its forms against the plan."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

import pytest

from tankwright.display import words
from tankwright.finding import Number
from tankwright.systems.feed import run_time_for_share
from tankwright.systems.feed_model import FeedResult

from .reader import NO_TANKS, SMALL, Reader, example, plain

PROGRAM = "/feed/drip/program"


@pytest.fixture(scope="module")
def cellar(tmp_path_factory: pytest.TempPathFactory) -> Reader:
    return Reader(tmp_path_factory.mktemp("cellar"), example("cellar"))


@pytest.fixture
def own(tmp_path: Path) -> Reader:
    return Reader(tmp_path, example("cellar"))


def feed_of(reader: Reader) -> FeedResult:
    assert reader.good.study is not None
    assert reader.good.study.feed is not None
    return reader.good.study.feed


def said(value: float | None, dimension: str) -> str:
    assert value is not None
    return words(Number(value, dimension))


def programs(reader: Reader) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = tomllib.loads(reader.plan_text)["feed"]["drip"]["program"]
    return found


# --- what is shown ---


def test_every_tank_says_what_the_study_says(cellar: Reader) -> None:
    page = cellar.see("/feed")
    assert page.status == 200
    assert cellar.good.room is not None
    for name in ("A1", "A6", "D3"):
        fed, tank = feed_of(cellar).tank(name), cellar.good.room.tank(name)
        assert fed is not None
        seconds = run_time_for_share(weekly_share=0.5, tank_volume=tank.water_volume, inflow=fed.inflow)
        row = page.row("tanks", name)
        assert row[1] == said(fed.replaced_a_week, "share")
        assert row[3] == said(fed.volume_a_day, "volume")
        assert row[4] == said(seconds, "duration")
        assert row[5] == said(fed.inflow, "flow")
        assert row[7] == said(fed.between_looks, "volume")


def test_bars_are_as_long_as_the_share_that_is_new(cellar: Reader) -> None:
    fed = feed_of(cellar).tank("A1")
    assert fed is not None
    width = re.search(r'<rect[^>]* width="([\d.]+)"', cellar.see("/feed").part("fed-A1"))
    assert width is not None
    # 60 mm is all of it; written to the hundredth
    assert float(width[1]) == pytest.approx(60 * (fed.replaced_a_week or 0.0), abs=0.006)


def test_the_pressure_falls_from_the_tap_to_the_outlets_as_solved(cellar: Reader) -> None:
    page, run = cellar.see("/feed"), feed_of(cellar).runs[0]
    told = page.text
    least = min((one.pressure or 0.0, one.tank) for one in run.outlets)
    assert page.row("run-1", "tap, nothing running")[1] == "2.8 bar"
    assert page.row("run-1", "tap at this flow")[1] == said(run.source_pressure, "pressure")
    assert page.row("run-1", "behind timer valve")[1] == said(run.upstream_pressure, "pressure")
    assert page.row("run-1", "behind the regulator")[1] == "1.5 bar"
    assert f"at the outlet with the least, {least[1]} {said(least[0], 'pressure')}" in told


def test_the_peak_stands_against_what_the_source_gives(cellar: Reader) -> None:
    peak = feed_of(cellar).peaks[0]
    assert peak.most is not None
    row = cellar.see("/feed").row("peaks", "tap")
    assert row[1:4] == [said(peak.flow, "flow"), "13 L/min", said(peak.flow / peak.most, "share")]
    assert row[4] == said(peak.volume_a_day, "volume")


def test_the_strip_is_told_to_those_who_do_not_see_it(cellar: Reader) -> None:
    markup = cellar.see("/feed").part("run-1")
    assert "runs at 02:00, 60 min; look at 06:45; look at 18:30" in markup


def test_tanks_without_a_feed_are_named(cellar: Reader) -> None:
    assert "Without feed: Q1 Q2 Q3 Q4" in cellar.see("/feed").text


def test_numbers_open_their_workings(cellar: Reader) -> None:
    page = cellar.see("/feed?why=A3.feed.week")
    assert "new after a week" in plain(page.part("why"))


# --- programs ---


def test_a_program_is_added_changed_and_taken_out_and_the_water_follows(own: Reader) -> None:
    def litres() -> float:
        return feed_of(own).runs[0].volume_a_week

    once = litres()
    answer = own.send("/feed", change="program", path=PROGRAM, start="9:30", minutes="30,5", days="weekends")
    assert (answer.status, answer.leads_to) == (303, "/feed")
    assert programs(own)[1] == {"start": "09:30", "minutes": 30.5, "days": "weekends"}
    # 61 minutes a week more than 420
    assert litres() == pytest.approx(once * (420 + 61) / 420)
    own.send("/feed", change="value", path=f"{PROGRAM}/1/minutes", typed="60")
    own.send("/feed", change="value", path=f"{PROGRAM}/1/days", typed="daily")
    assert litres() == pytest.approx(2 * once)
    own.send("/feed", change="remove", path=PROGRAM, index="0")
    assert programs(own) == [{"start": "09:30", "minutes": 60, "days": "daily"}]
    assert litres() == pytest.approx(once)
    for _ in range(4):
        own.send("/feed", change="undo")
    assert own.plan_text == example("cellar")


@pytest.mark.parametrize(
    ("start", "minutes", "days"),
    [
        ("25:00", "60", "daily"), ("noon", "60", "daily"), ("", "60", "daily"), ("02:00", "long", "daily"),
        ("02:00", "0", "daily"), ("02:00", "1441", "daily"), ("02:00", "", "daily"), ("02:00", "60", "mondays"),
        ('"], x = ["', "60", "daily"), ("02:00", "60 }, { a = 1", "daily"),
    ],
)  # fmt: skip
def test_a_program_that_cannot_be_keeps_what_was_typed(
    own: Reader, start: str, minutes: str, days: str
) -> None:
    text = own.plan_text
    answer = own.send("/feed", change="program", path=PROGRAM, start=start, minutes=minutes, days=days)
    assert answer.status == 422
    form = answer.part(f"add{PROGRAM}-1")
    assert 'class="error"' in form
    typed = re.findall(r'name="(start|minutes)"[^>]*?value="([^"]*)"', form)
    assert [name for name, _ in typed] == ["start", "minutes"]
    assert own.plan_text == text


def test_a_change_of_a_program_that_cannot_be_is_said_in_its_cell(own: Reader) -> None:
    answer = own.send("/feed", change="value", path=f"{PROGRAM}/0/minutes", typed="all day")
    cell = answer.field(f"{PROGRAM}/0/minutes")
    assert answer.status == 422
    assert 'value="all day"' in cell
    assert 'aria-invalid="true"' in cell


def test_a_feed_without_a_program_says_that_it_never_runs(own: Reader) -> None:
    own.send("/feed", change="remove", path=PROGRAM, index="0")
    assert "it never runs by itself" in own.see("/feed").text
    own.send("/feed", change="program", path=PROGRAM, start="03:00", minutes="45", days="daily")
    assert programs(own) == [{"start": "03:00", "minutes": 45, "days": "daily"}]


# --- values of the plan ---


def test_filters_stand_in_a_table_one_can_change(own: Reader) -> None:
    page = own.see("/feed")
    assert 'value="0.2 bar"' in page.field("/feed/drip/filters/1/loss")
    before = feed_of(own).runs[0].filter_loss
    own.send("/feed", change="value", path="/feed/drip/filters/1/loss", typed="0.4")
    assert feed_of(own).runs[0].filter_loss > before
    own.send("/feed", change="remove", path="/feed/drip/filters", index="1")
    assert len(tomllib.loads(own.plan_text)["feed"]["drip"]["filters"]) == 1
    assert feed_of(own).runs[0].filter_loss < before


def test_values_that_are_assumed_look_so_and_plain_defaults_do_not(own: Reader) -> None:
    page = own.see("/feed")
    assert 'class="assumed"' in page.field("/feed/drip/air_gap")
    assert "assumed" not in page.field("/feed/drip/check_valve")
    assert 'value="13 L/min"' in page.field("/water_point/tap/flow")


# --- nothing yet, or nothing any more ---


def test_a_plan_without_a_feed_offers_to_begin_in_one_step(tmp_path: Path) -> None:
    reader = Reader(tmp_path, SMALL)
    page = reader.see("/feed")
    assert "nothing automatic yet" in page.text
    assert 'name="system" value="feed"' in page.part("begin")
    assert reader.send("/feed", change="begin", system="feed").status == 303
    assert reader.plan_text.startswith(SMALL)
    assert [tank.tank for tank in feed_of(reader).tanks] == ["A1", "A2"]
    assert reader.see("/feed").row("tanks", "A1")[1].endswith("%")
    reader.send("/feed", change="undo")
    assert reader.plan_text == SMALL


def test_a_room_without_tanks_has_a_page_too(tmp_path: Path) -> None:
    assert Reader(tmp_path, NO_TANKS).see("/feed").status == 200


def test_a_feed_that_cannot_be_worked_out_says_why(tmp_path: Path) -> None:
    feed = '[water_point.tap]\nroom = "shed"\n[feed.drip]\nfrom = "tap"\noutlet = { kind = "dripper" }\n'
    page = Reader(tmp_path, NO_TANKS + feed).see("/feed")
    assert page.status == 200
    assert "not computed: it has no outlets" in page.text


def test_a_small_page_for_a_hall(tmp_path: Path) -> None:
    page = Reader(tmp_path, example("hall")).see("/feed?from=61")
    assert len(re.findall(r'id="fed-', page.markup)) == 60
    assert "61–120" in page.text
