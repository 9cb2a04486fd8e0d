"""The year page: asked for by a form, known again after an edit, stale after another, its figures opening."""

from __future__ import annotations

import re
import time
from pathlib import Path

import pytest

from tankwright.display import words
from tankwright.finding import Number
from tankwright.systems.heat_year_model import YearResult
from tankwright.workspace.years import known_year, mark_of

from .reader import SMALL, Reader, Seen, example, plain


@pytest.fixture(scope="module")
def garage(tmp_path_factory: pytest.TempPathFactory) -> Reader:
    return Reader(tmp_path_factory.mktemp("garage"), example("garage"))


def asked(reader: Reader) -> Seen:
    """The page once the year was asked for and worked out."""
    page = reader.see("/year")
    if "Work the year out" in page.text:
        assert reader.post("/work", {"do": "start", "kind": "year", "back": "/year"}).leads_to == "/year"
        end = time.monotonic() + 60.0
        while known_year(mark_of(reader.good)) is None:
            assert time.monotonic() < end
            time.sleep(0.05)
        page = reader.see("/year")
    return page


def year_of(reader: Reader) -> YearResult:
    year = known_year(mark_of(reader.good))
    assert year is not None
    return year


def test_a_year_is_worked_out_when_it_is_asked_for_and_names_its_weather(garage: Reader) -> None:
    page = asked(garage)
    year = year_of(garage)
    assert year.base is not None
    assert words(Number(year.base.total, "energy")) in page.text
    assert "Greensboro" in page.text
    assert "EN ISO 13790" in page.text
    assert "does not add up" in page.text


def test_measures_stand_with_the_most_first_and_say_what_else_they_do(garage: Reader) -> None:
    rows = re.findall(r"<tr\b.*?</tr>", asked(garage).part("measures"), re.DOTALL)[1:]
    year = year_of(garage)
    for row, one in zip(rows, year.savings, strict=False):
        assert plain(row).startswith(one.measure.name)
        assert words(Number(one.saved, "energy")) in plain(row)
    costs = next(row for row in rows if "heat the tanks instead" in row)
    assert "costs energy" in costs


def test_every_figure_of_the_year_opens(garage: Reader) -> None:
    links = set(re.findall(r'data-figure="(year\.[^"]+)"', asked(garage).markup))
    assert {"year.energy", "year.fresh-water", "year.evaporated"} <= links
    for name in links:
        opened = garage.see(f"/year?why={name}").part("why")
        assert "not computed" not in plain(opened)


def test_an_edit_that_warmth_does_not_feel_leaves_the_year_there(tmp_path: Path) -> None:
    reader = Reader(tmp_path, example("garage"))
    asked(reader)
    reader.path.write_text(example("garage").replace('title = "', 'title = "Another ', 1), "utf-8")
    reader.live.reread()
    assert "Another" in reader.see("/year").text
    assert "Work the year out" not in reader.see("/year").text


def test_an_edit_that_warmth_feels_says_of_which_plan_the_year_is(tmp_path: Path) -> None:
    reader = Reader(tmp_path, example("garage").replace('heat_to = "74 °F"', 'heat_to = "73 °F"'))
    asked(reader)
    reader.path.write_text(example("garage").replace('heat_to = "74 °F"', 'heat_to = "71.5 °F"'), "utf-8")
    reader.live.reread()
    page = reader.see("/year")
    assert "Work the year out" in page.text
    assert "Shown is the year of plan" in page.text


def test_a_plan_without_climate_says_what_to_write(tmp_path: Path) -> None:
    page = Reader(tmp_path, SMALL).see("/year")
    assert page.status == 200
    assert "[climate]" in page.text
    assert "not computed" in page.text
    assert "Work the year out" not in page.text


def test_no_price_is_said_and_not_shown_as_nothing(tmp_path: Path) -> None:
    text = "\n".join(line for line in example("garage").splitlines() if not line.startswith("energy_price"))
    page = asked(Reader(tmp_path, text))
    assert "say energy_price" in page.text
    assert "no price" in plain(page.part("measures"))
