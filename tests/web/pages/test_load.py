"""The load's page against the study, and its values against the plan."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tankwright.display import words
from tankwright.finding import Number
from tankwright.systems.load import LoadResult

from .reader import NO_TANKS, SMALL, Reader, example, plain


@pytest.fixture(scope="module")
def cellar(tmp_path_factory: pytest.TempPathFactory) -> Reader:
    return Reader(tmp_path_factory.mktemp("cellar"), example("cellar"))


def load_of(reader: Reader) -> LoadResult:
    study = reader.good.study
    assert study is not None
    assert study.load is not None
    return study.load


def said(value: float, dimension: str) -> str:
    return words(Number(value, dimension))


def test_every_rack_says_its_mass_its_pressure_and_its_heaviest_foot(cellar: Reader) -> None:
    page = cellar.see("/load")
    for rack in load_of(cellar).racks:
        assert rack.worst_leg is not None
        row = page.row("racks", rack.rack)
        assert row[1:6] == [
            said(rack.total, "mass"), said(rack.own.value, "mass"), said(rack.brim, "mass"),
            said(rack.pressure, "floor_load"), said(rack.worst_leg, "mass"),
        ]  # fmt: skip
        for figure in ("mass", "pressure", "foot"):
            assert f'data-figure="load.{rack.rack}.{figure}"' in page.part("racks")


def test_a_shelf_says_what_it_carries_and_that_it_is_not_judged_without_a_rating(cellar: Reader) -> None:
    shelf = next(one for one in load_of(cellar).shelves if (one.rack, one.shelf) == ("A", 2))
    text = plain(cellar.see("/load").part("shelves"))
    assert f"Shelf 2 at 92 cm: {said(shelf.total, 'mass')}, {said(shelf.brim, 'mass')} brim-full" in text
    assert "no rating is said; its bearers use" in text, "it is worked out by what it is built of"
    assert "not judged, no rating is said" in text, "and where that is not said either, nothing is"
    assert "Shelf 3 at 154 cm: empty" in text


def test_every_tank_stands_once_with_its_parts(cellar: Reader) -> None:
    page = cellar.see("/load")
    shelves = page.part("shelves")
    for one in load_of(cellar).tanks:
        assert shelves.count(f'data-place="{one.tank}">{one.tank}</a>') == 1
    tank = next(one for one in load_of(cellar).tanks if one.tank == "A1")
    row = page.row("shelves", "A1 A2")
    assert [row[1], *row[3:]] == [
        said(tank.total, "mass"), said(tank.glass.value, "mass"), said(tank.water, "mass"),
        said(tank.substrate, "mass"), said(tank.fittings.value, "mass"),
    ]  # fmt: skip


def test_a_bar_is_as_long_as_its_tank_is_heavy(cellar: Reader) -> None:
    bars = re.findall(r'<svg class="drawing stack".*?</svg>', cellar.see("/load").part("shelves"))
    loads = {one.tank: one for one in load_of(cellar).tanks}
    most = max(one.total for one in loads.values())
    assert len(bars) > 10
    for bar in bars:
        label = re.search(r'aria-label="([^,:]+)', bar)
        assert label is not None
        pieces = re.findall(r"M[\d.]+ [\d.]+h([\d.]+)v", bar) + re.findall(
            r'<rect[^>]* width="([\d.]+)"', bar
        )
        long = sum(float(piece) for piece in pieces)
        assert long == pytest.approx(
            60 * loads[label[1]].total / most, abs=0.03
        )  # coordinates have two places


def test_floors_are_listed_with_what_lies_on_them(cellar: Reader) -> None:
    page = cellar.see("/load")
    for space in load_of(cellar).spaces:
        row = page.row("floors", space.space)
        assert row[1] == space.floor
        assert row[3:] == [
            said(space.total, "mass"), said(space.pressure, "floor_load"), said(space.brim_pressure, "floor_load"),
        ]  # fmt: skip


def test_the_caution_stands_before_the_tables(cellar: Reader) -> None:
    page = cellar.see("/load")
    assert page.markup.index('id="caution"') < page.markup.index('id="racks"')
    caution = plain(page.part("caution"))
    assert "structural engineer" in caution
    assert "local code" in caution


def test_a_shelf_rating_typed_is_written_and_judged(tmp_path: Path) -> None:
    reader = Reader(tmp_path, example("cellar"))
    answer = reader.send("/load", change="value", path="/rack_kind/three_high/shelf_rating", typed="200 kg")
    assert answer.status == 303
    assert 'shelf_rating = "200 kg"' in reader.plan_text
    shelf = next(one for one in load_of(reader).shelves if (one.rack, one.shelf) == ("A", 1))
    assert f"{said(shelf.total / 200, 'share')} of its rating" in plain(reader.see("/load").part("shelves"))


def test_a_rating_that_is_no_mass_is_said_beside_it(tmp_path: Path) -> None:
    reader = Reader(tmp_path, example("cellar"))
    answer = reader.send("/load", change="value", path="/rack_kind/three_high/shelf_rating", typed="200 L")
    form = answer.field("/rack_kind/three_high/shelf_rating")
    assert answer.status == 422
    assert 'value="200 L"' in form
    assert "not a mass" in plain(form)


def test_a_mean_foot_is_called_mean(tmp_path: Path) -> None:
    three_feet = SMALL.replace("shelves = [", "legs = 3\nshelves = [")
    row = Reader(tmp_path, three_feet).see("/load").row("racks", "A")
    assert row[5].endswith(" mean")


def test_a_weighed_tank_shows_its_glass_by_its_own_working(tmp_path: Path) -> None:
    weighed = SMALL.replace("hole = {", 'empty_mass = "6 kg"\nhole = {')
    page = Reader(tmp_path, weighed).see("/load")
    assert page.row("shelves", "A1 A2")[3] == "6 kg"


def test_without_tanks_the_page_says_what_will_be_here(tmp_path: Path) -> None:
    page = Reader(tmp_path, NO_TANKS).see("/load")
    assert page.status == 200
    assert "No tank stands in the room yet" in page.text
    assert page.markup.count('class="button"') == 1


def test_a_hall_shows_one_rack_at_a_time(tmp_path: Path) -> None:
    reader = Reader(tmp_path, example("hall"))
    racks = [one.rack for one in load_of(reader).racks]
    page = reader.see(f"/load?rack={racks[3]}")
    assert re.findall(r'id="shelves-([^"]+)"', page.part("shelves")) == ["title", racks[3]]
    assert len(page.markup) < 150_000
