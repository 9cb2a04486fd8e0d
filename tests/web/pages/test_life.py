"""What the plan says of water, fish and warmth, said and changed on its page."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from .reader import SMALL, Reader, example, plain

TAP = '[water_point.tap]\nroom = "shed"\n'


@pytest.fixture(scope="module")
def cellar(tmp_path_factory: pytest.TempPathFactory) -> Reader:
    return Reader(tmp_path_factory.mktemp("cellar"), example("cellar"))


@pytest.fixture
def own(tmp_path: Path) -> Reader:
    return Reader(tmp_path, example("cellar"))


@pytest.fixture
def small(tmp_path: Path) -> Reader:
    return Reader(tmp_path, SMALL + TAP)


def plan(reader: Reader) -> dict[str, Any]:
    return tomllib.loads(reader.plan_text)


def typed(reader: Reader, pointer: str, text: str, part: str = "water") -> int:
    return reader.send(f"/life?part={part}", change="value", path=pointer, typed=text).status


# --- what is shown ---


def test_every_water_shows_its_values_as_they_are_written(cellar: Reader) -> None:
    page = cellar.see("/life")
    assert 'value="14 °dH"' in page.field("/water/tap/general_hardness")
    assert 'value="7.7"' in page.field("/water/tap/ph")
    assert 'placeholder="not said"' in page.field("/water/pure/ammonia")


def test_what_is_assumed_of_a_water_is_shown_as_assumed(small: Reader) -> None:
    typed(small, "/water/tap/ph", "7,4")
    assert 'placeholder="assumed ' in small.see("/life").field("/water/tap/general_hardness")


def test_every_zone_and_every_row_of_stock_has_its_fields(cellar: Reader) -> None:
    assert 'value="22 °C, 26 °C"' in cellar.see("/life").field("/zone/main/wants/temperature")
    fish = cellar.see("/life?part=fish")
    for number, row in enumerate(plan(cellar)["stock"]):
        assert f'value="{row["count"]}"' in fish.field(f"/stock/{number}/count")
    assert "Melanotaenia boesemani" in fish.part("species")


def test_every_room_shows_its_shell_and_how_it_is_kept(cellar: Reader) -> None:
    page = cellar.see("/life?part=warmth")
    assert "by its layers: plaster 15 mm, brick 36 cm" in plain(page.part("room-cellar"))
    assert 'value="24 °C"' in page.field("/climate/room/cellar/heat_to")
    assert 'value="1.1 W/(m2 K)"' in page.field("/room/laundry/shell/roof/transmittance")


def test_an_unknown_part_is_the_first_one(cellar: Reader) -> None:
    assert "Waters you have" in cellar.see("/life?part=nothing").text


def test_a_plan_that_says_none_of_it_has_empty_fields_and_says_what_is_missing(small: Reader) -> None:
    assert "The plan says no water yet" in small.see("/life").text
    assert "No tank is stocked yet" in small.see("/life?part=fish").text
    assert 'placeholder="not heated"' in small.see("/life?part=warmth").field("/climate/room/shed/heat_to")


# --- waters ---


def test_a_water_is_added_changed_and_taken_out_and_undone(small: Reader) -> None:
    before = small.plan_text
    answer = small.send("/life", change="water", path="/water", name="tap", comes_from="tap")
    assert (answer.status, answer.leads_to) == (303, "/life")
    assert plan(small)["water"] == {"tap": {"comes_from": ["tap"]}}
    assert typed(small, "/water/tap/general_hardness", "14 °dH") == 303
    assert plan(small)["water"]["tap"]["general_hardness"] == "14 °dH"
    assert small.send("/life", change="raw", path="/water/tap", typed="").status == 303
    assert "water" not in plan(small)
    for _ in range(3):
        small.send("/life", change="undo")
    assert small.plan_text == before


def test_a_water_of_a_name_that_is_taken_is_refused_and_nothing_is_lost(own: Reader) -> None:
    before = own.plan_text
    page = own.send("/life", change="water", path="/water", name="tap", comes_from="tap")
    assert page.status == 422
    assert "name &#34;tap&#34; is already taken" in page.part("add-water")
    assert own.plan_text == before


def test_a_mix_is_added_and_mixed_anew_in_one_step(own: Reader) -> None:
    sent = {"change": "mix", "path": "/water//mix", "name": "soft", "of:tap": "60", "of:pure": "40 %"}
    assert own.send("/life", **sent).status == 303
    assert plan(own)["water"]["soft"] == {"mix": {"tap": "60 %", "pure": "40 %"}}
    again = {"change": "mix", "path": "/water/soft/mix", "name": "soft", "of:tap": "25", "of:pure": "75"}
    assert own.send("/life", **again).status == 303
    assert plan(own)["water"]["soft"] == {"mix": {"tap": "25 %", "pure": "75 %"}}
    assert "25 % tap, 75 % pure" in own.see("/life").text


def test_a_mix_that_makes_no_whole_is_refused_beside_its_form_with_what_was_typed(own: Reader) -> None:
    sent = {"change": "mix", "path": "/water//mix", "name": "soft", "of:tap": "60", "of:pure": "30"}
    page = own.send("/life", **sent)
    assert page.status == 422
    form = page.part("mix-1")
    assert "shares that make 90 %, not 100 %" in form
    assert 'value="30"' in form
    assert "soft" not in plan(own)["water"]


def test_a_water_that_a_mix_needs_is_not_taken_out(own: Reader) -> None:
    own.send(
        "/life", **{"change": "mix", "path": "/water//mix", "name": "soft", "of:tap": "60", "of:pure": "40"}
    )
    page = own.send("/life", change="raw", path="/water/pure", typed="")
    assert page.status == 422
    assert "water soft: mix names &#34;pure&#34;, which is no water of this plan" in page.markup
    assert "pure" in plan(own)["water"]


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("23 °C, 25 °C", ["23 °C", "25 °C"]),
        ("23 to 25 °C", ["23 °C", "25 °C"]),
        ("23-25 °C", ["23 °C", "25 °C"]),
        ("23 °C – 25 °C", ["23 °C", "25 °C"]),
        ("73 °F to 77 °F", ["73 °F", "77 °F"]),
    ],
)
def test_a_range_is_typed_as_people_write_one(own: Reader, text: str, written: list[str]) -> None:
    assert typed(own, "/zone/quarantine/wants/temperature", text) == 303
    assert plan(own)["zone"]["quarantine"]["wants"] == {"temperature": written}


def test_a_range_of_ph_is_two_plain_numbers(own: Reader) -> None:
    assert typed(own, "/zone/quarantine/wants/ph", "6,5 to 7,2") == 303
    assert plan(own)["zone"]["quarantine"]["wants"] == {"ph": [6.5, 7.2]}


@pytest.mark.parametrize(
    ("pointer", "text", "why"),
    [
        ("/water/tap/ph", "15", "more than 14, where the scale ends"),
        ("/water/tap/summer", "60 °C", "no temperature of water fish live in"),
        ("/water/tap/general_hardness", "-3 °dH", "must not be negative"),
        ("/water/tap/chlorine", "some", "is not a number with a unit"),
        ("/zone/main/wants/ph", "8.2, 6.8", "higher end first"),
        ("/zone/main/wants/ph", "6.8", "has 1 value, not 2 values"),
    ],
)
def test_what_cannot_be_is_refused_beside_its_field_and_kept_there(
    own: Reader, pointer: str, text: str, why: str
) -> None:
    before = own.plan_text
    page = own.send("/life", change="value", path=pointer, typed=text)
    assert page.status == 422
    field = page.field(pointer)
    assert why in field
    assert f'value="{text}"' in field
    assert own.plan_text == before


# --- fish ---


def test_a_row_of_stock_is_added_and_taken_out(small: Reader) -> None:
    row = {"tanks": "A1..A2", "species": "Danio rerio", "count": "12", "each": "0,5 g"}
    assert small.send("/life?part=fish", change="stock", path="/stock", **row).status == 303
    assert "[[stock]]" in small.plan_text
    assert plan(small)["stock"] == [
        {"tanks": "A1..A2", "species": "Danio rerio", "count": 12, "each": "0.5 g"}
    ]
    assert small.send("/life?part=fish", change="remove", path="/stock", index="0").status == 303
    assert "stock" not in plan(small)


@pytest.mark.parametrize(
    ("row", "why"),
    [
        ({"tanks": "Z1..Z3"}, "tanks Z1, Z2 and Z3 are no tanks of this plan"),
        ({"tanks": "A4..A1"}, "counts backwards"),
        ({"tanks": ""}, "tanks"),
        ({"count": "a dozen"}, "is not a whole number"),
        ({"each": "heavy"}, "is not a number with a unit"),
    ],
)
def test_a_row_that_cannot_be_is_refused_and_what_was_typed_stays(
    own: Reader, row: dict[str, str], why: str
) -> None:
    before = own.plan_text
    sent = {"tanks": "A1", "species": "Danio rerio", "count": "3", "each": "0.5 g"} | row
    page = own.send("/life?part=fish", change="stock", path="/stock", **sent)
    assert page.status == 422
    form = page.part("add-stock")
    assert why in plain(form)
    assert 'value="Danio rerio"' in form
    assert own.plan_text == before


def test_the_mass_of_the_fish_is_not_said_twice(own: Reader) -> None:
    page = own.send("/life?part=fish", change="value", path="/stock/1/mass", typed="24 g")
    assert page.status == 422
    assert "the mass of all its fish is said twice" in page.field("/stock/1/mass")


def test_a_kind_of_tank_gets_a_heater(own: Reader) -> None:
    assert typed(own, "/tank_kind/mid60/heater/power", "50 W", "fish") == 303
    assert typed(own, "/tank_kind/mid60/heater/count", "2", "fish") == 303
    assert plan(own)["tank_kind"]["mid60"]["heater"] == {"power": "50 W", "count": 2}


def test_a_heater_without_power_is_refused_with_what_to_say_first(own: Reader) -> None:
    page = own.send("/life?part=fish", change="value", path="/tank_kind/mid60/heater/count", typed="2")
    assert page.status == 422
    assert "heater has no &#34;power&#34;" in page.field("/tank_kind/mid60/heater/count")


# --- warmth ---


def test_weather_prices_and_how_a_room_is_kept_are_said(small: Reader) -> None:
    for pointer, text in (
        ("/climate/weather", "Miami"), ("/climate/energy_price", "0,30"), ("/climate/room/shed/heat_to", "24 °C"),
        ("/climate/room/shed/cool_to", "28 °C"), ("/climate/room/shed/heater/power", "1500 W"),
        ("/climate/room/shed/ventilation/flow", "60 m3/h"), ("/climate/room/shed/dehumidifier/removes", "12 L/day"),
        ("/room/shed/shell/air_change", "0.5 1/h"), ("/room/shed/shell/walls/transmittance", "0.3 W/(m2 K)"),
    ):  # fmt: skip
        assert typed(small, pointer, text, "warmth") == 303, pointer
    said = plan(small)
    assert said["climate"]["energy_price"] == 0.3
    assert said["climate"]["room"]["shed"]["heater"] == {"power": "1500 W"}
    assert said["room"]["shed"]["shell"] == {
        "air_change": "0.5 1/h",
        "walls": {"transmittance": "0.3 W/(m2 K)"},
    }
    assert small.good.room is not None
    climate = small.good.room.climate
    assert climate is not None
    assert climate.weather == "Miami"


def test_a_price_with_its_unit_is_refused_with_the_number_to_try(small: Reader) -> None:
    page = small.send("/life?part=warmth", change="value", path="/climate/energy_price", typed="0.30 EUR/kWh")
    assert page.status == 422
    assert "Try 0.30" in plain(page.field("/climate/energy_price"))


def test_layers_give_way_to_a_transmittance_and_what_is_beyond_stays(own: Reader) -> None:
    here = {"change": "transmittance", "path": "/room/cellar/shell/south", "room": "cellar", "part": "south"}
    assert own.send("/life?part=warmth", **here, typed="0.35 W/(m2 K)").status == 303
    assert plan(own)["room"]["cellar"]["shell"]["south"] == {
        "to": "outside",
        "transmittance": "0.35 W/(m2 K)",
    }
    page = own.send(
        "/life?part=warmth", **(here | {"path": "/room/cellar/shell/walls", "part": "walls"}), typed="warm"
    )
    assert page.status == 422
    assert "is not a number with a unit" in plain(page.part("room-cellar"))


def test_heating_above_cooling_is_refused_beside_the_field(own: Reader) -> None:
    page = own.send("/life?part=warmth", change="value", path="/climate/room/cellar/cool_to", typed="20 °C")
    assert page.status == 422
    assert "heater and cooler would work against each other" in page.field("/climate/room/cellar/cool_to")


# --- what hangs on what ---


def test_a_rack_whose_tanks_are_stocked_is_not_taken_out_and_it_says_which_row_names_them(
    own: Reader,
) -> None:
    number = [rack["id"] for rack in plan(own)["rack"]].index("Q")
    before = own.plan_text
    page = own.send("/life", change="remove", path="/rack", index=str(number))
    assert page.status == 422
    assert "tanks Q1, Q2, Q3 and Q4 are no tanks of this plan" in plain(page.markup)
    assert own.plan_text == before


def test_tanks_that_are_stocked_stay_until_the_row_no_longer_names_them(own: Reader) -> None:
    number = [rack["id"] for rack in plan(own)["rack"]].index("Q")
    ids = f"/rack/{number}/shelf/2/0/ids"
    assert own.send("/life", change="value", path=ids, typed="Q3").status == 422
    row = next(at for at, one in enumerate(plan(own)["stock"]) if one["tanks"] == "Q1..Q4")
    assert own.send("/life", change="value", path=f"/stock/{row}/tanks", typed="Q1..Q3").status == 303
    assert own.send("/life", change="value", path=ids, typed="Q3").status == 303
    assert own.good.room is not None
    assert [tank.id for tank in own.good.room.tanks if tank.rack == "Q"] == ["Q1", "Q2", "Q3"]
