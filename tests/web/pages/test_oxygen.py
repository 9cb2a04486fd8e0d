"""The oxygen page against the study: worst first, the chosen tank, a measured surface that takes the band away."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tankwright.display import words
from tankwright.finding import Number
from tankwright.systems.oxygen_model import OxygenResult

from .reader import SMALL, Reader, example, plain


@pytest.fixture(scope="module")
def cellar(tmp_path_factory: pytest.TempPathFactory) -> Reader:
    return Reader(tmp_path_factory.mktemp("cellar"), example("cellar"))


def oxygen_of(reader: Reader) -> OxygenResult:
    study = reader.good.study
    assert study is not None
    assert study.oxygen is not None
    return study.oxygen


def said(value: float, dimension: str) -> str:
    return words(Number(value, dimension))


def test_the_tanks_stand_in_the_order_in_which_they_are_in_trouble(cellar: Reader) -> None:
    shown = re.findall(r'<tr data-place="(\w+)"', cellar.see("/oxygen").part("order"))
    assert shown == [one.tank for one in oxygen_of(cellar).in_order]


def test_a_row_says_time_band_level_and_what_it_could_hold(cellar: Reader) -> None:
    result = oxygen_of(cellar)
    first = next(one for one in result.in_order if one.stirring > 0.0)
    row = cellar.see("/oxygen").row("order", first.tank)
    held = first.held("between looks")
    assert first.trouble is not None
    assert first.steady is not None
    assert held is not None
    assert row[1] == said(first.trouble.value, "duration")
    assert row[2] == f"{said(first.trouble.low, 'duration')} – never"
    assert row[3] == said(first.steady.value, "concentration")
    assert row[-1].startswith(said(held.value, "mass"))


def test_the_address_chooses_the_tank_and_one_that_is_not_there_is_said(cellar: Reader) -> None:
    assert "D1 when its air stops" in cellar.see("/oxygen?tank=D1").text
    lost = cellar.see("/oxygen?tank=Z9")
    assert lost.status == 200
    assert 'There is no tank "Z9"' in lost.text


def test_what_it_stands_on_is_shown_with_its_band_and_no_stocking_number_is_promised(cellar: Reader) -> None:
    page = cellar.see("/oxygen")
    taken = plain(page.part("taken"))
    assert "0.6 m/day 0.3 m/day – 1.2 m/day" in taken
    assert "not a stocking number" in plain(page.part("caution"))
    assert "oxygen drop test" in plain(page.part("measure"))


def test_a_measured_surface_takes_the_band_away(tmp_path: Path) -> None:
    reader = Reader(tmp_path, example("cellar_mended"))
    answer = reader.send("/oxygen", change="value", path="/assume/oxygen.still", typed="0.5 m/day")
    assert answer.status in (200, 303)
    result = oxygen_of(reader)
    assert all(one.still.low == one.still.high for one in result.tanks)
    assert "as given" in plain(reader.see("/oxygen").part("order"))


def test_a_plan_without_fish_is_told_what_to_write(tmp_path: Path) -> None:
    page = Reader(tmp_path, SMALL).see("/oxygen")
    assert "[[stock]]" in page.text
    assert "not computed" in page.text
