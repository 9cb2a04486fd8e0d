"""The year of a room: sums, measures that save what they must, costs, and what it says when it cannot be worked out."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from functools import cache
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner

from tankwright.checks.heat_year import check_year
from tankwright.cli.main import main
from tankwright.display import render_working
from tankwright.drawing.chart import chart_table, draw_chart
from tankwright.drawing.model import Group, walk
from tankwright.drawing.year_charts import energy_chart, ranked_savings, year_charts
from tankwright.explain.year import workings_year
from tankwright.origin import derived
from tankwright.report.year import json_year, summary_year
from tankwright.room.model import Room
from tankwright.study import Study
from tankwright.systems.heat_energy import Use
from tankwright.systems.heat_measure import combined
from tankwright.systems.heat_measures import all_measures
from tankwright.systems.heat_year import RoomYear, Strain, room_year, strain
from tankwright.systems.heat_year_model import KWH, YearResult
from tankwright.weather.model import WeatherYear
from tankwright.workspace.opened import open_plan, open_text
from tankwright.year import daily_inflow, fingerprint, work_out_year, year_of

ROOT = Path(__file__).parent.parent
SCHEMA = json.loads((ROOT / "src/tankwright/report/year.schema.json").read_text(encoding="utf-8"))
CLIMATE = """\
[climate]
weather = "Greensboro"
currency = "EUR"
energy_price = 0.34
water_price = 4.1

[climate.room.cellar]
heat_to = "24 °C"
cool_to = "28 °C"
heater = { power = "750 W", count = 2 }
cooler = { cooling = "2 kW", per_power = 3.2 }
ventilation = { flow = "30 m3/h", recovery = "70 %" }
dehumidifier = { removes = "12 L/day", holds = "60 %", power = "240 W" }
indoors = "19 °C"

[climate.room.laundry]
indoors = "19 °C"
"""
"""Cool enough in summer for nobody: the cellar of these tests, so that an example may be kept otherwise."""

TEXT = re.sub(
    r"\[climate\]\n.*?(?=\n# --- )", lambda _: CLIMATE,
    (ROOT / "examples/cellar_mended.toml").read_text(encoding="utf-8"), flags=re.DOTALL,
)  # fmt: skip


@cache
def study() -> Study:
    opened = open_text(ROOT / "examples/cellar_mended.toml", TEXT)
    assert opened.study is not None
    return opened.study


@cache
def whole() -> YearResult:
    return year_of(study(), fine=True)


def weather() -> WeatherYear:
    found = study().weather
    assert found is not None
    return found


def base() -> RoomYear:
    found = whole().base
    assert found is not None
    return found


def changed(key: str) -> RoomYear:
    """The year with one measure."""
    [measure] = [one for one in all_measures(study().room, watered=True) if one.key == key]
    return room_year(measure.change(study().room), weather(), daily_inflow(study().feed))


def test_months_uses_and_rooms_add_up_to_the_year() -> None:
    year = base()
    assert year.settled
    assert sum(year.months) == pytest.approx(year.total, rel=1e-12)
    assert sum(year.of(use) for use in Use) == pytest.approx(year.total, rel=1e-12)
    for use in (Use.ROOM, Use.TANKS, Use.COOLING, Use.DRYING):
        by_room = sum(sum(months) for one in year.spaces for name, months in one.uses if name is use)
        assert year.of(use) == pytest.approx(by_room, rel=1e-12)


def test_the_balance_of_heat_and_moisture_closes_in_every_step() -> None:
    for one in base().spaces:
        assert one.heat_off < 1e-3  # W, of kilowatts
        assert one.moisture_off < 1e-9


def test_a_year_with_switching_thermostats_takes_the_same() -> None:
    opened = open_plan(ROOT / "examples/garage.toml")
    assert opened.study is not None
    assert opened.study.weather is not None
    room, inflow = opened.study.room, daily_inflow(opened.study.feed)
    hourly, fine = (room_year(room, opened.study.weather, inflow, fine=one) for one in (False, True))
    assert fine.total == pytest.approx(hourly.total, rel=0.02)  # overshoot of a degree
    assert fine.evaporated == pytest.approx(hourly.evaporated, rel=0.03)
    year = YearResult(base=hourly, fine=fine)
    assert "HEAT-57" not in [one.code for one in check_year(room, year)]


def test_a_heater_and_a_cooler_that_fight_are_told() -> None:
    """A cooler of 2 kW that is set to what the heater holds calls it in; one a kelvin higher does not, as a room's air
    does not warm by kelvins in five minutes: shelves, hoses and the skin of its walls warm with it."""
    apart, mild = with_cooler_at("25 °C")
    assert mild.fine is not None
    assert mild.base is not None
    assert mild.fine.of(Use.COOLING) < 1.1 * mild.base.of(Use.COOLING)
    room, year = with_cooler_at("24 °C")
    assert year.fine is not None
    assert year.base is not None
    assert year.fine.of(Use.COOLING) > 1.2 * year.base.of(Use.COOLING)
    assert "HEAT-57" in [one.code for one in check_year(room, year)]
    assert "HEAT-57" not in [one.code for one in check_year(apart, mild)]


def with_cooler_at(cool_to: str) -> tuple[Room, YearResult]:
    opened = open_text(ROOT / "a.toml", TEXT.replace('cool_to = "28 °C"', f'cool_to = "{cool_to}"'))
    assert opened.study is not None
    room, inflow = opened.study.room, daily_inflow(opened.study.feed)
    return room, work_out_year(room, inflow, weather(), fine=True, measures=False)


@pytest.mark.parametrize("key", ["insulate_wall", "insulate_floor", "windows"])
def test_more_insulation_never_heats_more(key: str) -> None:
    after = changed(key)
    assert after.of(Use.ROOM) + after.of(Use.TANKS) <= base().of(Use.ROOM) + base().of(Use.TANKS)


def test_better_lids_take_less_heat_and_less_drying() -> None:
    after = changed("tight_lids")
    assert after.evaporated < base().evaporated
    assert after.of(Use.TANKS) < base().of(Use.TANKS)
    assert after.of(Use.DRYING) < base().of(Use.DRYING)


def test_a_room_one_keeps_cooler_takes_less() -> None:
    assert changed("lower").total < base().total


def test_what_nobody_heats_for_costs_nothing() -> None:
    """Half the light takes half the light's energy, and more heating by less than that."""
    after = changed("lights")
    saved = base().of(Use.LIGHTS) - after.of(Use.LIGHTS)
    assert saved == pytest.approx(base().of(Use.LIGHTS) / 2.0, rel=1e-9)
    assert base().total - after.total < saved


def test_cost_is_the_price_times_the_energy() -> None:
    year = whole()
    assert year.energy_price == 0.34
    assert year.energy_cost == pytest.approx(base().total / KWH * 0.34)
    assert year.water_cost == pytest.approx(base().fresh_water * 4.1)
    for one in year.savings:
        assert one.worth == pytest.approx(one.saved / KWH * 0.34 + one.water * 4.1)


def test_measures_stand_in_the_order_of_what_they_save_and_lie_in_their_bands() -> None:
    year = whole()
    saved = [one.saved for one in year.savings]
    assert saved == sorted(saved, reverse=True)
    assert len({one.measure.key for one in year.savings}) == len(saved) > 10
    banded = [one for one in year.savings if one.low is not None and one.high is not None]
    assert len(banded) == 6
    for one in banded:
        assert one.low is not None
        assert one.high is not None
        assert one.low <= one.saved <= one.high
    low, high = year.band or (0.0, 0.0)
    assert low < base().total < high


def test_what_several_measures_save_is_not_the_sum() -> None:
    year = whole()
    assert year.together is not None
    parts = {one.measure.name: one.saved for one in year.savings}
    names = year.together.measure.words.split("; ")
    assert len(names) > 2
    assert year.together.saved > max(parts[name] for name in names)
    assert year.together.saved != pytest.approx(sum(parts[name] for name in names), rel=0.01)


def test_what_makes_fish_cold_is_not_worth_it() -> None:
    year = whole()
    [first] = [one for one in year.savings if one.measure.key == "lights"]
    assert not first.spoils
    assert year.is_worth_it(first)
    assert not year.is_worth_it(
        replace(first, strain=Strain(row="top row of main", below=500.0, kelvin_hours=400.0))
    )
    assert not year.is_worth_it(replace(first, saved=0.001 * base().total))


def test_the_row_that_suffers_most_is_told_and_else_the_one_that_gains_most() -> None:
    def year(bottom: tuple[float, float], top: tuple[float, float]) -> RoomYear:
        [first] = [one for one in base().spaces if one.space == "cellar"]
        rows = tuple(
            replace(row, water=replace(row.water, hours_below=hours, degree_hours_below=depth,
                                       hours_above=0.0, degree_hours_above=0.0))
            for row, (hours, depth) in zip(first.rows, (bottom, top), strict=True)
        )  # fmt: skip
        return replace(base(), spaces=(replace(first, rows=rows),))

    before = year((500.0, 100.0), (500.0, 100.0))
    mixed = strain(before, year((100.0, 20.0), (900.0, 300.0)))
    assert (mixed.row, mixed.below, mixed.kelvin_hours) == ("top row of main", 400.0, 200.0)
    better = strain(before, year((100.0, 20.0), (500.0, 100.0)))
    assert (better.row, better.below) == ("bottom row of main", -400.0)
    assert strain(RoomYear(spaces=(), uses=(), fresh_water=0.0), before).row == ""


def test_two_measures_at_once_are_both_done() -> None:
    room = study().room
    two = [one for one in all_measures(room, watered=True) if one.key in ("seal", "half_drip")]
    both = combined(two, "both", "both")
    after = both.change(room)
    assert both.inflow == 0.5
    assert room.climate is not None
    assert after.climate is not None
    for before, then in zip(room.climate.spaces, after.climate.spaces, strict=True):
        assert then.air_change.value == before.air_change.value / 2.0


def test_fresh_water_takes_heat_and_half_of_it_half_the_heat() -> None:
    half = {tank: volume / 2 for tank, volume in daily_inflow(study().feed).items()}
    after = room_year(study().room, weather(), half)
    assert base().new_water > 0.0
    assert after.new_water == pytest.approx(
        base().new_water / 2.0, rel=0.03
    )  # tanks no heater holds end warmer
    assert after.total < base().total


def test_the_work_tells_how_far_it_is_and_can_be_stopped() -> None:
    told: list[tuple[int, int]] = []

    def progress(done: int, of: int) -> None:
        told.append((done, of))
        if done > 2:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        year_of(study(), progress=progress)
    assert [done for done, _ in told] == [0, 1, 2, 3]
    assert len({of for _, of in told}) == 1


# --- what cannot be worked out ---------------------------------------------------------------------------


def without(text: str, *begins: str) -> str:
    """The plan without the lines that begin so."""
    return "\n".join(line for line in text.splitlines() if not line.startswith(begins))


def quick(text: str) -> YearResult:
    opened = open_text(Path("cellar.toml"), text)
    assert opened.study is not None
    room = opened.study.room
    return work_out_year(room, daily_inflow(opened.study.feed), opened.study.weather, measures=False)


def test_no_price_is_no_cost_and_says_what_to_write() -> None:
    year = quick(without(TEXT, "energy_price", "water_price"))
    assert year.base is not None
    assert year.energy_cost is None
    assert year.water_cost is None
    found = {one.code: one for one in check_year(study().room, year)}
    assert "energy_price" in found["HEAT-51"].remedy
    assert "water_price" in found["HEAT-52"].remedy
    told = json_year(study().room, year, ())
    assert told["energy_cost"] is None
    assert told["energy_kwh"] == pytest.approx(year.base.total / KWH)
    assert "cost not computed" in summary_year(year)[0].text


def test_a_room_without_boards_has_no_lights_counted_and_says_so() -> None:
    room = replace(study().room, power=None)
    year = work_out_year(room, {}, weather(), measures=False)
    assert year.base is not None
    assert Use.LIGHTS not in dict(year.base.uses)
    assert "HEAT-53" in [one.code for one in check_year(room, year)]


def test_a_plan_without_climate_says_what_to_write() -> None:
    shown = CliRunner().invoke(main, ["year", str(ROOT / "examples/hall.toml")])
    assert shown.exit_code == 1
    assert "HEAT-50" in shown.output
    assert "[climate]" in shown.output


def test_weather_that_cannot_be_read_is_told() -> None:
    year = work_out_year(study().room, {}, None)
    assert year.base is None
    [finding] = check_year(study().room, year)
    assert finding.code == "HEAT-50"
    assert "Greensboro" in finding.remedy


def test_no_tanks_no_year() -> None:
    room = Room(title="", display="metric", spaces=(), racks=(), tanks=(), climate=study().room.climate)
    assert work_out_year(room, {}, weather()).base is None


# --- findings --------------------------------------------------------------------------------------------


def test_a_top_row_that_is_too_warm_for_a_season_is_told_with_its_tanks() -> None:
    found = [one for one in check_year(study().room, whole()) if one.code == "HEAT-54"]
    [top] = [one for one in found if one.subject == "top row of main"]
    assert {"A6", "B6"} <= set(top.places)
    assert top.value is not None
    assert top.limit is not None
    assert top.value.value > top.limit.value


def test_a_room_held_within_what_is_wanted_is_not_told() -> None:
    room = study().room
    assert room.climate is not None
    cooled = replace(room.climate, spaces=tuple(
        replace(one, cool_to=derived(295.15), cooler=replace(one.heater, rating=derived(1e4)) if one.heater else None)
        for one in room.climate.spaces
    ))  # fmt: skip
    year = work_out_year(replace(room, climate=cooled), {}, weather(), measures=False)
    assert not [one for one in check_year(room, year) if one.code == "HEAT-54"]


def test_a_damp_room_is_told_and_names_lids_first() -> None:
    room = study().room
    open_room = replace(room, tanks=tuple(replace(one, lid=None) for one in room.tanks))
    assert open_room.climate is not None
    shut = tuple(
        replace(one, dehumidifier=None, ventilation=None, air_change=derived(0.1 / 3600))
        for one in open_room.climate.spaces
    )  # fmt: skip
    year = work_out_year(
        replace(open_room, climate=replace(open_room.climate, spaces=shut)), {}, weather(), measures=False
    )
    [first, *_] = [one for one in check_year(room, year) if one.code == "HEAT-56"]
    assert first.remedy.startswith("lids first")


# --- outside ---------------------------------------------------------------------------------------------


def test_the_json_is_as_its_schema_describes_it() -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    told = json.loads(json.dumps(json_year(study().room, whole(), check_year(study().room, whole()))))
    assert list(jsonschema.Draft202012Validator(SCHEMA).iter_errors(told)) == []
    empty = json.loads(json.dumps(json_year(study().room, YearResult(), ())))
    assert list(jsonschema.Draft202012Validator(SCHEMA).iter_errors(empty)) == []


def test_the_command_names_the_weather_and_the_way() -> None:
    shown = CliRunner().invoke(main, ["year", str(ROOT / "examples/garage.toml")])
    assert shown.exit_code == 0
    assert "Greensboro" in shown.output
    assert "EN ISO 13790" in shown.output
    assert "°F" in shown.output
    assert "seal the leaks" in shown.output
    assert "does not add up" in shown.output


def test_a_year_is_known_again_after_an_edit_that_has_nothing_to_do_with_warmth() -> None:
    room, inflow, year = study().room, daily_inflow(study().feed), weather()
    mark = fingerprint(room, inflow, year)
    moved = open_text(ROOT / "examples/cellar_mended.toml", "# a line more\n" + TEXT).study
    assert moved is not None
    assert fingerprint(moved.room, daily_inflow(moved.feed), moved.weather) == mark
    assert fingerprint(replace(room, title="Another"), inflow, year) == mark
    assert room.climate is not None
    dearer = replace(room, climate=replace(room.climate, energy_price=0.5))
    assert fingerprint(dearer, inflow, year) != mark
    assert fingerprint(room, {**inflow, "A1": 0.5}, year) != mark


def test_every_figure_of_the_year_opens_with_formula_and_source() -> None:
    room = study().room
    known = {one.name: one for one in workings_year(room, whole())}
    assert {"year.energy", "year.cost", "year.tank-heating", "year.lights", "year.saves.seal"} <= set(known)
    for name, working in known.items():
        shown = render_working(working, "metric")
        assert working.name == name
        assert working.source
        assert "nan" not in shown.lower().split()
        assert "{" not in shown
        assert all(given.see in known for given in working.inputs if given.see)
    assert known["year.energy"].number.value == base().total


def test_the_charts_add_up_to_the_year_and_say_so_in_words() -> None:
    bars = energy_chart(whole())
    for bar, months in zip(bars.bars, base().months, strict=True):
        assert sum(bar.parts) == pytest.approx(months)
        assert bar.value == pytest.approx(months)
    heads, rows = chart_table(bars)
    assert heads == ("month", *bars.parts, "all")
    assert len(rows) == 12
    assert all(len(row) == len(heads) for row in rows)
    drawn = draw_chart(bars)
    titles = [shape.title for shape in walk(drawn.parts) if isinstance(shape, Group)]
    assert any(title.startswith("Jan, tank heating: ") for title in titles)
    assert len(ranked_savings(whole())) == len(whole().savings)
    assert {"year_energy", "year_water_cellar_main"} <= set(year_charts(whole()))
    assert year_charts(YearResult()) == {}


def test_a_verdict_that_hangs_on_how_the_air_lies_says_what_to_measure() -> None:
    year = whole()
    assert len(year.layered) == 2
    [top] = [one for one in check_year(study().room, year) if one.subject == "top row of main"]
    assert not top.remedy.startswith("first measure")  # it is too warm at either end
    row = base().row("cellar", "main", "top")
    assert row is not None
    mild = replace(row, water=replace(row.water, hours_above=10.0))
    elsewhere = replace(base(), spaces=tuple(replace(one, rows=(mild,)) for one in base().spaces))
    hanging = check_year(study().room, replace(year, layered=(elsewhere, base())))
    [top] = [one for one in hanging if one.subject == "top row of main"]
    assert top.remedy.startswith("first measure")
    assert "thermometers" in top.remedy


def test_the_command_gives_json_that_fits_its_schema() -> None:
    shown = CliRunner().invoke(main, ["year", str(ROOT / "examples/hall.toml"), "--json"])
    told = json.loads(shown.output)
    assert list(jsonschema.Draft202012Validator(SCHEMA).iter_errors(told)) == []
    assert told["energy_kwh"] is None
