"""The power's page against the study, and what stops when something goes off."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tankwright.display import words
from tankwright.finding import Number
from tankwright.systems.power import PowerResult

from .reader import SMALL, Reader, example, plain


@pytest.fixture(scope="module")
def cellar(tmp_path_factory: pytest.TempPathFactory) -> Reader:
    return Reader(tmp_path_factory.mktemp("cellar"), example("cellar"))


def power_of(reader: Reader) -> PowerResult:
    study = reader.good.study
    assert study is not None
    assert study.power is not None
    return study.power


def said(value: float, dimension: str) -> str:
    return words(Number(value, dimension))


def lost_row(page_row: list[str]) -> list[str]:
    return page_row[1].split()


def test_the_tree_goes_from_the_device_to_the_loads(cellar: Reader) -> None:
    tree = plain(cellar.see("/power").part("tree"))
    order = [
        "one RCD",
        "life circuit",
        "air board",
        "1 × air pump",
        "light circuit",
        "A lights board",
        "6 × 18 W light",
    ]
    places = [tree.index(name) for name in order]
    assert places == sorted(places)


def test_boards_and_circuits_say_their_current_share_and_energy(cellar: Reader) -> None:
    page = cellar.see("/power")
    power = power_of(cellar)
    circuit = next(one for one in power.circuits if one.circuit == "heat")
    assert circuit.draw.share is not None
    assert circuit.draw.weighted_share is not None
    row = page.row("tree", "heat circuit, residual current 30 mA")
    assert row[1:] == [
        "16 A", f"{said(circuit.draw.share, 'share')} weighted {said(circuit.draw.weighted_share, 'share')}",
        said(circuit.draw.current, "current"), said(circuit.draw.power, "power"),
        said(circuit.draw.energy_a_day, "energy"), said(30 * circuit.draw.energy_a_day, "energy"),
    ]  # fmt: skip
    for board in power.boards:
        assert f'data-figure="power.{board.board}.current"' in page.part("tree")
        assert f'data-figure="power.{board.board}.energy"' in page.part("tree")


def test_the_cost_is_not_computed_and_says_why(cellar: Reader) -> None:
    assert "Cost of energy: not computed, the plan knows no price" in cellar.see("/power").text


@pytest.mark.parametrize("name", ["life", "light", "one RCD", "A lights", "room heat"])
def test_what_stops_is_what_the_study_says(cellar: Reader, name: str) -> None:
    page = cellar.see(f"/power?trips={name.replace(' ', '%20')}")
    stop = next(one for one in power_of(cellar).stops if one.id == name)
    for what, tanks in stop.does:
        row = page.row("lost", what)
        if tanks:
            assert lost_row(row) == list(tanks)
        else:
            assert "not known where" in row[1]
    shown = re.findall(r"<tr><th scope=.row.>(\w+)", page.part("lost"))
    assert sorted(shown) == sorted(what for what, _ in stop.does)


def test_the_room_is_drawn_with_what_each_tank_loses(cellar: Reader) -> None:
    life = cellar.see("/power?trips=life").part("drawing")
    light = cellar.see("/power?trips=A%20lights").part("drawing")
    assert 'aria-label="A1, loses air"' in life
    assert 'aria-label="A1, loses light"' in light
    assert 'aria-label="B1, loses nothing that is described"' in light
    assert "var(--d-plum)" in life
    assert "var(--d-plum)" not in light.split("<figcaption")[0]


def test_air_that_another_board_still_gives_is_lost_in_part_only(tmp_path: Path) -> None:
    text = example("cellar").replace(
        "[[power.boards]]\nid = \"A lights\"",
        '[[power.boards]]\nid = "second air"\ncircuit = "heat"\noutlets = 1\n'
        'loads = [{ name = "small pump", power = "5 W", does = "air", serves = "A1..A2" }]\n\n'
        '[[power.boards]]\nid = "A lights"',
    )  # fmt: skip
    page = Reader(tmp_path, text).see("/power?trips=life")
    row = page.row("lost", "air")
    assert row[1].endswith("in part, another board still serves: A1 A2")
    assert 'aria-label="A1, loses part of air"' in page.part("drawing")
    assert 'aria-label="A3, loses air"' in page.part("drawing")


def test_a_name_that_two_things_share_can_be_told_apart(tmp_path: Path) -> None:
    text = example("cellar").replace('id = "air"\ncircuit', 'id = "life"\ncircuit')
    page = Reader(tmp_path, text).see("/power")
    assert 'href="/power?trips=life#trips"' in page.markup
    assert 'href="/power?trips=board%3Alife#trips"' in page.markup


def test_a_thing_that_is_not_there_is_said(cellar: Reader) -> None:
    page = cellar.see("/power?trips=%3Cb%3E")
    assert page.status == 200
    assert 'There is no "<b>" here.' in page.text


def test_sockets_are_told_against_the_water_of_their_rack(cellar: Reader) -> None:
    board = next(one for one in power_of(cellar).boards if one.board == "A lights")
    assert board.highest_wet is not None
    row = cellar.see("/power").row("sockets", "A lights")
    assert row[2:6] == [
        said(board.height, "length"), f"{said(board.highest_wet, 'length')} {board.wettest}",
        said(board.height - board.highest_wet, "length"), "yes",
    ]  # fmt: skip
    loose = cellar.see("/power").row("sockets", "air")
    assert loose[3:6] == ["not known", "not known", "no"]


def test_sockets_under_the_water_are_called_below_it(tmp_path: Path) -> None:
    text = example("cellar").replace('height = "1.98 m"\ndrip_loop = true', 'height = "1 m"', 1)
    row = Reader(tmp_path, text).see("/power").row("sockets", "A lights")
    assert row[4].endswith(" below")
    assert row[5] == "not said"


def test_the_caution_comes_first_and_names_the_electrician(cellar: Reader) -> None:
    page = cellar.see("/power")
    assert page.markup.index('id="caution"') < page.markup.index('id="tree"')
    assert "licensed electrician" in plain(page.part("caution"))


def test_a_breaker_typed_changes_the_share_of_it(tmp_path: Path) -> None:
    reader = Reader(tmp_path, example("cellar"))
    reader.send("/power", change="value", path="/power/circuits/heat/breaker", typed="13")
    assert 'heat = { breaker = "13 A"' in reader.plan_text
    circuit = next(one for one in power_of(reader).circuits if one.circuit == "heat")
    assert circuit.draw.share == pytest.approx(1500 / 230 / 13)
    row = reader.see("/power").row("tree", "heat circuit, residual current 30 mA")
    assert row[1] == "13 A"


def test_without_power_one_field_starts_it(tmp_path: Path) -> None:
    reader = Reader(tmp_path, SMALL)
    page = reader.see("/power")
    assert "licensed electrician" in page.text
    assert page.part("start").count("<button") == 1
    wrong = reader.send("/power", change="value", path="/power/circuits/life/breaker", typed="ten")
    assert wrong.status == 422
    assert 'value="ten"' in wrong.part("start")
    answer = reader.send("/power", change="value", path="/power/circuits/life/breaker", typed="10 A")
    assert answer.status == 303
    assert [one.circuit for one in power_of(reader).circuits] == ["life"]
    assert "no board hangs on it" in reader.see("/power").text


def test_pumps_on_no_board_are_named(tmp_path: Path) -> None:
    text = example("cellar").replace(', pump = "piston80" }]', " }]")
    assert "On no board, so counted nowhere: piston80." in Reader(tmp_path, text).see("/power").text
