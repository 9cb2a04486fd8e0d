"""The page of the air against the study, and its forms against the plan."""

from __future__ import annotations

import html
import re
import tomllib
from pathlib import Path

import pytest

from tankwright.display import words
from tankwright.finding import Number
from tankwright.systems.air_model import AirResult, TapAir
from tankwright.web.pages.air import MOST_ROWS

from .reader import NO_TANKS, SMALL, Reader, example, plain


@pytest.fixture(scope="module")
def cellar(tmp_path_factory: pytest.TempPathFactory) -> Reader:
    return Reader(tmp_path_factory.mktemp("cellar"), example("cellar"))


@pytest.fixture
def own(tmp_path: Path) -> Reader:
    return Reader(tmp_path, example("cellar"))


def air_of(reader: Reader) -> AirResult:
    assert reader.good.study is not None
    assert reader.good.study.air is not None
    return reader.good.study.air


def tap_of(reader: Reader, tank: str) -> TapAir:
    return next(tap for run in air_of(reader).runs for tap in run.taps if tap.tank == tank)


def said(value: float | None, dimension: str) -> str:
    assert value is not None
    return words(Number(value, dimension))


def sent_by(markup: str) -> dict[str, str]:
    """The hidden fields of a form but those every form has."""
    pairs = re.findall(r'name="(\w+)" value="([^"]*)"', markup)
    return {name: html.unescape(value) for name, value in pairs if name not in ("base", "key", "back")}


def opening_in(reader: Reader, tank: str) -> object:
    return tomllib.loads(reader.plan_text).get("tank", {}).get(tank, {}).get("air_opening")


# --- what is shown ---


def test_every_tap_says_what_the_study_says(cellar: Reader) -> None:
    page = cellar.see("/air")
    assert page.status == 200
    assert cellar.good.room is not None
    places = {tap.tank: tap for tap in cellar.good.room.airs[0].taps if tap.tank}
    for tank in ("A1", "A6", "Q2"):
        tap = tap_of(cellar, tank)
        row = page.row("run-1", tank)
        assert row[1] == said(tap.share, "share")
        assert row[3] == said(tap.opening, "share")
        assert row[4] == said(tap.flow, "air_flow")
        assert row[5] == said(tap.wanted, "air_flow")
        assert row[6] == said(tap.ring_pressure, "pressure")
        assert row[7] == said(places[tank].water_depth, "length")


def test_the_share_of_a_tank_stands_on_its_colour(cellar: Reader) -> None:
    row = cellar.see("/air").part("tap-A1.air")
    assert 'class="chip step-plum"' in row
    assert "step-plenty" in cellar.see("/air").part("tap-A6.air")


def test_numbers_open_their_workings(cellar: Reader) -> None:
    page = cellar.see("/air?why=A3.air.setting")
    assert 'href="/air?why=A3.air.setting#why"' in page.markup
    assert "share of tap" in plain(page.part("why"))


def test_the_chart_shows_both_curves_and_where_they_meet(cellar: Reader) -> None:
    chart = cellar.see("/air").part("chart-of-1")
    work = air_of(cellar).runs[0].pumps[0]
    told = plain(chart)
    assert "<svg" in chart
    assert "piston80 gives" in told
    assert "the room takes" in told
    assert f"works here, {said(work.pressure, 'pressure')}" in told


def test_what_runs_back_is_listed_with_its_litres(cellar: Reader) -> None:
    page = cellar.see("/air")
    back = [one for one in air_of(cellar).runs[0].run_back if one.certain]
    assert back
    for one in back:
        assert f"{one.tank} {said(one.volume, 'volume')} {said(one.head, 'length')}" in page.text


def test_rows_come_in_the_order_the_address_asks_for(cellar: Reader) -> None:
    def order(address: str) -> list[str]:
        return re.findall(r'id="tap-(\w+)\.air"', cellar.see(address).markup)

    shares = {tap.tank: tap.share or 0.0 for run in air_of(cellar).runs for tap in run.taps if tap.tank}
    asked = [shares[tank] for tank in order("/air?order=share")]
    assert asked == sorted(asked)
    assert cellar.good.room is not None
    assert order("/air?order=nonsense") == [tank.id for tank in cellar.good.room.tanks if tank.id in shares]


def test_a_hall_is_shown_in_parts(tmp_path: Path) -> None:
    hall = Reader(tmp_path, example("hall"))
    first, last = hall.see("/air"), hall.see("/air?from=541")
    assert len(re.findall(r'id="tap-', first.markup)) == MOST_ROWS
    assert "541–600" in plain(first.markup)
    assert len(first.markup.encode()) < 150_000
    assert set(re.findall(r'id="tap-[^"]+"', first.markup)).isdisjoint(
        re.findall(r'id="tap-[^"]+"', last.markup)
    )
    for odd in ("-1", "x", "99999999999", "9" * 40):
        assert hall.see(f"/air?from={odd}").status == 200


def test_a_second_run_has_a_section_of_its_own(tmp_path: Path) -> None:
    mended = Reader(tmp_path, example("cellar_mended"))
    runs = [run.run for run in air_of(mended).runs]
    assert len(runs) == 2
    for number, run in enumerate(runs, 1):
        assert f">{run}</h2>" in mended.see("/air").part(f"run-{number}")


# --- one tap ---


def test_a_tap_is_set_by_a_bare_number_a_comma_or_a_unit(own: Reader) -> None:
    for typed, stands in (("40", "40 %"), ("12,5", "12.5 %"), ("33 %", "33 %"), ("", None)):
        before = tap_of(own, "A7").flow
        answer = own.send("/air", change="tap", tank="A6", typed=typed)
        assert (answer.status, answer.leads_to) == (303, "/air")
        assert opening_in(own, "A6") == stands
        assert tap_of(own, "A7").flow != before  # the others move


@pytest.mark.parametrize("typed", ["forty", "140", "-3", "1 m", "nan", "1e400", "<b>"])
def test_an_opening_that_cannot_be_stays_in_its_field_with_the_reason(own: Reader, typed: str) -> None:
    text = own.plan_text
    answer = own.send("/air", change="tap", tank="A6", typed=typed)
    form = answer.part("form-opening-A6")
    assert answer.status == 422
    assert f'value="{html.escape(typed)}"' in form
    assert 'aria-invalid="true"' in form
    assert "Wanted" in plain(form)
    assert own.plan_text == text


# --- all taps ---


def test_all_taps_are_set_in_one_step_and_come_to_what_was_foretold(own: Reader) -> None:
    before = own.plan_text
    page = own.see("/air")
    form = page.part("balance-1")
    foretold = next(row for row in re.findall(r"<tr>.*?</tr>", form, re.DOTALL) if "with all taps set" in row)
    answer = own.send("/air", **sent_by(form))
    assert answer.status == 303
    run = air_of(own).runs[0]
    shares = [tap.share or 0.0 for tap in run.taps if tap.tank]
    assert len(shares) == 38
    assert said(min(shares), "share") in plain(foretold)
    assert said(max(shares), "share") in plain(foretold)
    assert said(run.pumps[0].pressure, "pressure") in plain(foretold)
    assert min(shares) > 0.99  # from 0 %
    assert run.spare_flow == 0.0
    after = own.see("/air")
    assert "Every tap stands at its balancing setting" in after.text
    assert 'id="balance-1"' not in after.markup
    own.send("/air", change="undo")
    assert own.plan_text == before


def test_a_tap_that_is_shut_stays_shut_when_all_are_set(own: Reader) -> None:
    own.send("/air", change="tap", tank="A6", typed="0")
    form = own.see("/air").part("balance-1")
    assert "A6=" not in sent_by(form)["openings"]
    own.send("/air", **sent_by(form))
    assert opening_in(own, "A6") == "0 %"


@pytest.mark.parametrize("openings", ["Z1=20", "A1=900", ""])
def test_taps_that_cannot_be_set_are_said_beside_the_button(own: Reader, openings: str) -> None:
    text = own.plan_text
    answer = own.send("/air", change="taps", openings=openings, shut="")
    assert answer.status == 422
    assert 'class="error"' in answer.part("balance-1")
    assert own.plan_text == text


def test_a_form_that_is_none_of_ours_is_refused(own: Reader) -> None:
    assert own.send("/air", change="taps", openings="A1=x").status == 400
    assert own.send("/air", change="begin", system="lava").status == 400


# --- values of the plan ---


def test_a_point_of_the_curve_is_added_changed_and_taken_out(own: Reader) -> None:
    def curve() -> list[list[str]]:
        found: list[list[str]] = tomllib.loads(own.plan_text)["pump"]["piston80"]["curve"]
        return found

    own.send("/air", change="point", path="/pump/piston80/curve", pressure="24 kPa", flow="1 L/min")
    assert curve()[-1] == ["24 kPa", "1 L/min"]
    own.send("/air", change="value", path="/pump/piston80/curve/3/1", typed="2")
    assert curve()[-1] == ["24 kPa", "2 L/min"]
    own.send("/air", change="remove", path="/pump/piston80/curve", index="3")
    assert len(curve()) == 3


def test_a_point_that_cannot_be_keeps_both_its_fields(own: Reader) -> None:
    answer = own.send(
        "/air", change="point", path="/pump/piston80/curve", pressure="24 litres", flow="1 L/min"
    )
    assert answer.status == 422
    form = answer.part("add/pump/piston80/curve-3")
    assert 'value="24 litres"' in form
    assert 'value="1 L/min"' in form
    assert 'class="error"' in form


def test_values_of_the_ring_can_be_changed_and_assumed_ones_look_so(own: Reader) -> None:
    page = own.see("/air")
    assert 'class="assumed"' in page.field("/air/ring/diffuser/loss")
    assert 'value="1.75 m"' in page.field("/air/ring/height")
    assert "assumed" not in page.field("/air/ring/relief")
    own.send("/air", change="value", path="/air/ring/height", typed="2,05")
    assert tomllib.loads(own.plan_text)["air"]["ring"]["height"] == "2.05 m"


# --- nothing yet, or nothing any more ---


def test_a_plan_without_air_offers_to_begin_in_one_step(tmp_path: Path) -> None:
    reader = Reader(tmp_path, SMALL)
    page = reader.see("/air")
    assert "nothing bubbles yet" in page.text
    assert reader.send("/air", **sent_by(page.part("begin"))).status == 303
    assert reader.plan_text.startswith(SMALL)
    assert {tank.tank for tank in air_of(reader).tanks} == {"A1", "A2"}
    assert reader.see("/air").row("run-1", "A1")[1].endswith("%")
    reader.send("/air", change="undo")
    assert reader.plan_text == SMALL


def test_a_room_without_tanks_has_a_page_too(tmp_path: Path) -> None:
    assert Reader(tmp_path, NO_TANKS).see("/air").status == 200


def test_a_run_that_cannot_be_worked_out_says_why(tmp_path: Path) -> None:
    reader = Reader(tmp_path, SMALL + '\n[air.ring]\naround = "shed"\n')
    page = reader.see("/air")
    assert page.status == 200
    assert "not computed: no running pump is named" in page.text


def test_a_plan_that_broke_shows_the_last_good_air(own: Reader) -> None:
    own.send("/text", change="text", typed=own.plan_text + "\nthis = is = broken")
    page = own.see("/air")
    assert page.status == 200
    assert page.row("run-1", "A6")[1] == said(tap_of(own, "A6").share, "share")
