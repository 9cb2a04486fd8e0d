"""The water's page against the study, and its values against the plan."""

from __future__ import annotations

from pathlib import Path

import pytest

from tankwright.display import words
from tankwright.finding import Number
from tankwright.systems.water_model import WaterResult

from .reader import NO_TANKS, SMALL, Reader, example, plain

SOFT = ('general_hardness = ["6 °dH", "16 °dH"]', 'general_hardness = ["4 °dH", "8 °dH"]')


@pytest.fixture(scope="module")
def cellar(tmp_path_factory: pytest.TempPathFactory) -> Reader:
    return Reader(tmp_path_factory.mktemp("cellar"), example("cellar").replace(*SOFT))


def water_of(reader: Reader) -> WaterResult:
    study = reader.good.study
    assert study is not None
    assert study.water is not None
    return study.water


def said(value: float, dimension: str) -> str:
    return words(Number(value, dimension))


def test_each_water_stands_with_what_was_measured_and_what_it_settles_at(cellar: Reader) -> None:
    row = cellar.see("/water").row("waters", "tap")
    assert row[1:9] == ["6 °C", "17 °C", "7.7", "14 °dH", "10 °dH", "520 µS/cm", "12 mg/L", "0.6 mg/L"]
    standing = water_of(cellar).sources[0].standing_ph
    assert standing is not None
    assert row[9] == f"{said(standing[0], 'ph')} to {said(standing[1], 'ph')}"


def test_what_is_not_met_stands_first_with_how_far_it_is_off(cellar: Reader) -> None:
    text = plain(cellar.see("/water").part("wants"))
    assert text.index("not met") < text.index(" met ")
    assert "6 °dH" in text  # 14 against at most 8


def test_the_blend_says_shares_litres_and_what_it_costs(cellar: Reader) -> None:
    blend = water_of(cellar).blends[0]
    assert blend.cost_a_year is not None
    page = cellar.see("/water")
    text = plain(page.part("blends"))
    for name, share in blend.shares:
        assert page.row("blends", name)[1:] == [
            said(share, "share"),
            said(share * blend.volume_a_day, "volume"),
        ]
    assert f"A year of it costs {said(blend.cost_a_year, 'number')} EUR" in text


def test_a_drip_that_chills_is_marked_in_words_too(cellar: Reader) -> None:
    cold = cellar.see("/water").part("cold")
    worst = max(
        change.in_an_hour for fill in water_of(cellar).cold_fills for change in fill.changes
        if change.kind == "drip"
    )  # fmt: skip
    assert f"too fast {said(worst, 'temperature_difference')}" in plain(cold)


def test_fish_outside_what_they_are_said_to_keep_in_have_their_source_beside_them(cellar: Reader) -> None:
    text = plain(cellar.see("/water").part("fish"))
    assert "Aphyosemion australe general hardness" in text
    assert "FishBase" in text
    assert "not compared" in text  # the quarantine's fish have no name


@pytest.mark.parametrize(("text", "said_so"), [(SMALL, "names no water yet"), (NO_TANKS, "No tank stands")])
def test_without_water_or_tanks_the_page_says_what_will_be_here(
    tmp_path: Path, text: str, said_so: str
) -> None:
    assert said_so in plain(Reader(tmp_path, text).see("/water").markup)
