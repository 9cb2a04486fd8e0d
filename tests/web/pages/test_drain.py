"""The drain's page against the study, and its forms against the plan."""

from __future__ import annotations

from pathlib import Path
from urllib.parse import quote

import pytest

from tankwright.display import words, words_in_column
from tankwright.finding import Number
from tankwright.study import Study
from tankwright.systems.drain_model import DrainCase, DrainRunResult

from .reader import OUTFALL, SMALL, Reader, example, plain


@pytest.fixture(scope="module")
def cellar(tmp_path_factory: pytest.TempPathFactory) -> Reader:
    return Reader(tmp_path_factory.mktemp("cellar"), example("cellar"))


@pytest.fixture
def own(tmp_path: Path) -> Reader:
    return Reader(tmp_path, example("cellar"))


def run_of(reader: Reader, name: str) -> DrainRunResult:
    study: Study | None = reader.good.study
    assert study is not None
    assert study.drain is not None
    return next(one for one in study.drain.runs if one.run == name)


def case_of(reader: Reader, run: str, name: str) -> DrainCase:
    return next(one for one in run_of(reader, run).cases if one.name == name)


def said(value: float, dimension: str) -> str:
    return words(Number(value, dimension))


HOSE = "filling hose left in B6"
FEED = "feed at full flow"


def test_the_first_run_is_shown_in_the_case_that_fills_it_most(cellar: Reader) -> None:
    page = cellar.see("/drain")
    worst = max(run_of(cellar, "main").cases, key=lambda one: one.greatest_share)
    assert page.status == 200
    assert f"{said(worst.greatest_share, 'share')} full" in plain(page.part("figures"))
    assert worst.name in plain(page.part("figures"))
    assert said(worst.spilled, "flow") in plain(page.part("figures"))


def test_the_case_in_the_address_changes_the_water_in_the_section(cellar: Reader) -> None:
    feed = cellar.see(f"/drain?run=main&case={quote(FEED)}")
    dump = cellar.see(f"/drain?run=main&case={quote(HOSE)}")
    assert f"{said(case_of(cellar, 'main', FEED).greatest_share, 'share')} full" in plain(
        feed.part("section")
    )
    assert f"{said(case_of(cellar, 'main', HOSE).greatest_share, 'share')} full" in plain(
        dump.part("section")
    )
    assert feed.part("section") != dump.part("section")


def test_the_table_of_points_says_what_the_study_says(cellar: Reader) -> None:
    page = cellar.see(f"/drain?run=main&case={quote(HOSE)}")
    room = cellar.good.room
    assert room is not None
    run = next(one for one in room.drains if one.id == "main")
    node = next(one for one in run.nodes if one.tanks == ("C1",))
    state = next(one for one in case_of(cellar, "main", HOSE).segments if one.start == node.id)
    assert state.depth is not None
    assert state.share is not None
    assert state.velocity is not None
    segments = case_of(cellar, "main", HOSE).segments
    speeds = [one.velocity for one in segments if one.velocity is not None]

    def in_column(value: float, others: list[float], dimension: str) -> str:
        return words_in_column(Number(value, dimension), max(others, key=abs), "metric")

    assert page.row("nodes", "C1") == [
        "C1", in_column(node.chainage, [one.chainage for one in run.nodes], "length"),
        in_column(node.place[2], [one.place[2] for one in run.nodes], "length"),
        in_column(state.flow, [one.flow for one in segments], "flow"),
        said(state.depth, "length"), said(state.share, "share"), in_column(state.velocity, speeds, "speed"),
    ]  # fmt: skip


def test_a_column_along_the_pipe_is_in_one_unit(cellar: Reader) -> None:
    page = cellar.see(f"/drain?run=main&case={quote(HOSE)}")
    rows = [page.row("nodes", name) for name in ("A1", "A3", "B1", "C1")]
    for column in (1, 2, 3, 6):
        assert len({row[column].split(" ", 1)[1] for row in rows}) == 1


def test_every_tank_of_the_run_says_what_it_passes_and_when_it_runs_over(cellar: Reader) -> None:
    study = cellar.good.study
    assert study is not None
    assert study.drain is not None
    one = next(tank for tank in study.drain.tanks if tank.tank == "A3")
    assert one.head is not None
    assert one.capacity is not None
    assert one.seconds_to_spill is not None
    assert one.seconds_to_spill_by_program is not None
    row = cellar.see("/drain?run=main").row("tanks", "A3")
    assert row[1:6] == [
        said(one.head, "length"), said(one.capacity, "flow"), said(one.freeboard, "length"),
        f"{said(one.seconds_to_spill, 'duration')} of feed", said(one.seconds_to_spill_by_program, "duration"),
    ]  # fmt: skip
    assert row[6].endswith(said(one.freeboard_volume / one.fill_between_looks, "share"))
    tanks = cellar.see("/drain?run=main").part("tanks")
    assert 'data-figure="A3.overflow_head"' in tanks
    assert 'data-figure="A3.overflow_capacity"' in tanks
    assert 'data-figure="A3.spill"' in tanks


def test_tanks_of_other_drains_are_not_in_the_table(cellar: Reader) -> None:
    tanks = cellar.see("/drain?run=quarantine").part("tanks")
    assert 'data-place="Q1"' in tanks
    assert 'data-place="A1"' not in tanks


def test_the_section_links_each_tank_by_its_name(cellar: Reader) -> None:
    section = cellar.see("/drain?run=south").part("section")
    for tank in run_of(cellar, "south").tanks:
        assert f'data-place="{tank}"' in section
        assert f'aria-label="{tank}, ' in section


def test_a_run_or_a_case_that_is_not_there_is_said(cellar: Reader) -> None:
    assert 'There is no drain "<nix>" in this room.' in cellar.see("/drain?run=%3Cnix%3E").text
    page = cellar.see("/drain?run=main&case=%3Cflood%3E")
    assert 'There is no event "<flood>" here; shown is the worst.' in page.text
    assert "35 % full" in plain(page.part("figures"))


def test_a_filling_hose_tried_is_written_and_worked_out(own: Reader) -> None:
    answer = own.send(
        "/drain?run=south", change="dump", drain="south", kind="hose", tank="E1", typed="4,5 L/min"
    )
    assert (answer.status, answer.leads_to) == (303, "/drain?run=south")
    assert '{ name = "filling hose left in E1", hose_in = "E1", flow = "4.5 L/min" }' in own.plan_text
    case = case_of(own, "south", "filling hose left in E1")
    row = own.see("/drain?run=south").row("cases", "filling hose left in E1")
    assert row[1] == said(case.greatest_share, "share")
    assert row[2] == said(case.outfall_flow, "flow")


def test_standpipes_pulled_are_written_and_their_emptying_is_told(own: Reader) -> None:
    own.send("/drain?run=main", change="dump", drain="main", kind="pulled", typed="A1..A2")
    assert 'standpipes_pulled = "A1..A2"' in own.plan_text
    emptying = case_of(own, "main", "standpipes pulled of A1..A2").emptying
    row = own.see("/drain?run=main").row("cases", "standpipes pulled of A1..A2")
    for one in emptying:
        assert f"{one.tank}: {said(one.peak, 'flow')} at first" in row[3]


def test_an_event_is_taken_out_again(own: Reader) -> None:
    page = own.see("/drain?run=main")
    assert HOSE in plain(page.part("cases"))
    answer = own.send("/drain?run=main", change="remove", path="/drain/main/dump", index="0")
    assert answer.status == 303
    assert HOSE not in own.plan_text
    assert HOSE not in plain(own.see("/drain?run=main").part("cases"))


@pytest.mark.parametrize(
    ("typed", "said_of_it"),
    [
        ("13", '"13" has no unit'),
        ("13 kg", '"13 kg" is a mass, not a flow'),
        ("", "flow must be given"),
        ("-3 L/min", '"-3 L/min" must not be negative'),
        ("0 L/min", 'flow "0 L/min" must be more than zero'),
        ("<b>much</b>", "<b>much</b>"),
    ],
)
def test_a_flow_that_will_not_do_is_said_beside_it_and_kept(own: Reader, typed: str, said_of_it: str) -> None:
    before = own.plan_text
    answer = own.send("/drain?run=main", change="dump", drain="main", kind="hose", tank="C4", typed=typed)
    form = answer.part("try-hose")
    assert answer.status == 422
    assert own.plan_text == before
    assert said_of_it in plain(form)
    assert 'aria-invalid="true"' in form
    assert "<option selected>C4</option>" in form
    assert "<b>much" not in form
    assert f'value="{typed}"' in form or "<" in typed


@pytest.mark.parametrize("typed", ["", "Z1..Z2", "A1..", "A1, A1"])
def test_tanks_that_are_not_there_are_said_beside_their_field(own: Reader, typed: str) -> None:
    before = own.plan_text
    answer = own.send("/drain?run=main", change="dump", drain="main", kind="pulled", typed=typed)
    assert answer.status == 422
    assert own.plan_text == before
    form = answer.part("try-pulled")
    assert f'value="{typed}"' in form
    assert 'class="error"' in form


def test_values_of_the_drain_are_changed_beside_it(own: Reader) -> None:
    assert 'value="1:150"' in own.see("/drain?run=main").field("/drain/main/fall")
    own.send("/drain?run=main", change="value", path="/drain/main/fall", typed="1:60")
    assert "1:60" in plain(own.see("/drain?run=main").part("section"))
    own.send("/drain?run=main", change="value", path="/outfall/floor_drain/height", typed="-5 cm")
    assert 'height = "-5 cm"' in own.plan_text


def test_without_a_drain_one_button_starts_it(tmp_path: Path) -> None:
    reader = Reader(tmp_path, SMALL + OUTFALL)
    page = reader.see("/drain")
    assert "Start a drain behind A to gully" in page.text
    typed = '{ to = "gully", behind = ["A"] }'
    assert page.part("start-drain").count("<button") == 1
    answer = reader.send("/drain", change="raw", path="/drain/main", typed=typed)
    assert answer.status == 303
    assert run_of(reader, "main").tanks == ("A1", "A2")
    assert "main at its fullest" in reader.see("/drain").text


def test_without_an_outfall_the_page_says_what_to_write(tmp_path: Path) -> None:
    assert "no outfall to lead one to" in Reader(tmp_path, SMALL).see("/drain").text


def test_tanks_without_a_feed_say_so_instead_of_a_time(tmp_path: Path) -> None:
    drain = '\n[drain.main]\nto = "gully"\nbehind = ["A"]\n'
    row = Reader(tmp_path, SMALL + OUTFALL + drain).see("/drain").row("tanks", "A1")
    assert row[4] == "nothing runs in"


def test_us_units_are_shown_where_the_plan_asks_for_them(tmp_path: Path) -> None:
    page = Reader(tmp_path, example("garage")).see("/drain")
    assert "US gal/min" in page.text
    assert " in per ft" in plain(page.part("section"))
    assert "L/min" not in plain(page.part("nodes"))
