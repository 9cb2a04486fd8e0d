"""The example plans: read without a mistake, found out or mended as they say, conserving every litre."""

from __future__ import annotations

import json
import re
from functools import cache
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from benchmarks.hall import hall_plan
from click.testing import CliRunner

from tankwright.cli.main import main
from tankwright.finding import Severity
from tankwright.workspace.opened import Opened, open_plan

ROOT = Path(__file__).parents[1]
EXAMPLES = sorted((ROOT / "examples").glob("*.toml"))
NAMES = [path.stem for path in EXAMPLES]
SCHEMA = json.loads((ROOT / "src/tankwright/report/check.schema.json").read_text(encoding="utf-8"))


@cache
def opened(name: str) -> Opened:
    return open_plan(ROOT / "examples" / f"{name}.toml")


@cache
def whole(name: str) -> Any:
    return json.loads(
        CliRunner().invoke(main, ["check", str(ROOT / "examples" / f"{name}.toml"), "--json"]).output
    )


def problems(name: str) -> list[str]:
    return [item.code for item in opened(name).findings if item.severity is Severity.PROBLEM]


def networks(name: str) -> list[dict[str, Any]]:
    """Every solved network in the JSON of an example, wherever it stands."""
    found: list[dict[str, Any]] = []

    def look(value: Any) -> None:
        if isinstance(value, dict):
            if {"nodes", "pipes", "outlets", "sources"} <= value.keys():
                found.append(value)
            for one in value.values():
                look(one)
        elif isinstance(value, list):
            for one in value:
                look(one)

    look(whole(name)["systems"])
    return found


def test_the_three_rooms_and_the_mended_one_are_there() -> None:
    assert set(NAMES) == {"cellar", "cellar_mended", "garage", "hall"}


@pytest.mark.parametrize("name", NAMES)
def test_an_example_reads_without_mistakes_and_every_system_is_worked_out(name: str) -> None:
    assert opened(name).mistakes == ()
    study = opened(name).study
    assert study is not None
    assert study.not_computed == ()
    for system in ("layout", "load", "air", "feed", "drain", "power"):
        assert getattr(study, system) is not None


def test_the_first_cellar_has_real_problems_in_layout_air_feed_drain_and_power() -> None:
    assert {code.split("-")[0] for code in problems("cellar")} >= {"LAYOUT", "AIR", "FEED", "DRAIN", "POWER"}


@pytest.mark.parametrize("name", ["cellar_mended", "garage", "hall"])
def test_the_other_examples_hold(name: str) -> None:
    assert problems(name) == []
    assert not opened(name).has_problems


def test_the_mended_cellar_is_the_same_room_with_the_same_tanks() -> None:
    first, mended = opened("cellar").room, opened("cellar_mended").room
    assert first is not None
    assert mended is not None
    assert [tank.id for tank in first.tanks] == [tank.id for tank in mended.tanks]
    assert [tank.kind for tank in first.tanks] == [tank.kind for tank in mended.tanks]
    assert [space.box for space in first.spaces] == [space.box for space in mended.spaces]


def test_the_garage_is_answered_in_feet_pounds_and_gallons() -> None:
    shown = CliRunner().invoke(main, ["check", str(ROOT / "examples/garage.toml"), "--no-assumptions"]).output
    assert " lb in all" in shown
    assert "US gal/min" in shown
    assert re.search(r"\d ft", shown)
    assert not re.search(r"\d (cm|mm|kPa|L/h|kg)\b", shown)


def test_the_hall_has_six_hundred_tanks_and_is_the_one_the_benchmark_makes() -> None:
    text = (ROOT / "examples/hall.toml").read_text(encoding="utf-8")
    assert len(whole("hall")["tanks"]) == 600
    kept = [line for line in text.splitlines() if line and not line.startswith("#")]
    assert kept == [line for line in hall_plan(600).splitlines() if line and not line.startswith("#")]


@pytest.mark.parametrize("name", NAMES)
def test_the_json_of_an_example_is_as_the_schema_describes_it(name: str) -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    errors = list(jsonschema.Draft202012Validator(SCHEMA).iter_errors(whole(name)))
    said = [f"{'/'.join(map(str, error.absolute_path))}: {error.message[:200]}" for error in errors[:5]]
    assert not said, f"describe it in report/check.schema.json: {said}"


UNITS = (
    "m", "m2", "m3", "mm", "l", "kg", "kpa", "l_per_min", "l_per_h", "m_per_s", "min", "share", "a", "w", "n",
    "k", "g", "h", "mg_per_l", "mg_per_h", "g_per_day", "kwh_per_day", "kg_per_m3", "m2_per_s", "l_a_week", "l_a_day",
    "m3_per_s_per_pa_to_exponent", "c", "w_per_k", "kwh_per_k", "w_per_m2_k", "kg_per_day", "g_per_kg", "kj_per_k",
    "k_per_h", "s",
    "days", "us_per_cm", "mg_n_per_l", "mg_n_per_day", "mg_n_per_l_a_day", "mg_per_l_a_week", "l_per_day",
    "l_per_week", "litres", "litres_a_day", "minutes_a_day", "mpa",
)  # fmt: skip
PURE_NUMBERS = {
    "exponent", "format", "froude", "hose_froude", "high", "iterations", "least_share_of_wanted", "least_slope",
    "legs", "limit", "line", "litres_over_litres_a_week", "low", "minor_loss", "minutes_a_day",
    "minutes_a_week", "more_taps", "more_taps_as_open_as_now", "plugs", "share_of_rating",
    "share_of_rating_weighted_for_hours", "share_of_wanted", "shelf", "slope", "spill_run", "tanks", "taps",
    "top_shelf_height_over_depth", "value", "weight",
    "by", "cost_rank", "ph", "settled_ph", "settled_ph_band", "standing_ph", "turnovers",
    "for_a_week_times", "raiser", "raiser_of_the_edge",
    "cost_a_year", "cost_a_year_now", "cost_of_a_m3", "price_of_a_m3",
    "bay", "index", "service_class", "upright",
}  # fmt: skip


def number_keys(schema: dict[str, Any], name: str = "") -> set[str]:
    kinds = schema.get("type", [])
    found = {name} if "number" in ([kinds] if isinstance(kinds, str) else kinds) else set()
    for key, inner in {**schema.get("properties", {}), **schema.get("$defs", {})}.items():
        found |= number_keys(inner, key)
    for part in ("items", "additionalProperties"):
        if isinstance(schema.get(part), dict):
            found |= number_keys(schema[part], name)
    return found


def test_every_number_of_the_json_has_its_unit_in_its_key_or_needs_none() -> None:
    for key in number_keys(SCHEMA) - PURE_NUMBERS - {"band"}:
        assert any(key == unit or key.endswith(f"_{unit}") for unit in UNITS), key


@pytest.mark.parametrize("name", NAMES)
def test_what_enters_a_node_leaves_it(name: str) -> None:
    assert networks(name)
    for network in networks(name):
        assert network["status"] == "converged"
        sums = {node["id"]: 0.0 for node in network["nodes"]}
        for pipe in network["pipes"]:
            sums[pipe["from"]] -= pipe["flow_l_per_min"] or 0.0
            sums[pipe["to"]] += pipe["flow_l_per_min"] or 0.0
        for outlet in network["outlets"]:
            sums[outlet["node"]] -= outlet["flow_l_per_min"] or 0.0
        for source in network["sources"]:
            sums[source["node"]] += source["flow_l_per_min"] or 0.0
        assert max(map(abs, sums.values())) < 1e-7


@pytest.mark.parametrize("name", NAMES)
def test_what_the_sources_give_is_what_the_outlets_take(name: str) -> None:
    for network in networks(name):
        given = sum(source["flow_l_per_min"] for source in network["sources"])
        taken = sum(outlet["flow_l_per_min"] or 0.0 for outlet in network["outlets"])
        assert given == pytest.approx(taken, rel=1e-9)
        assert all((outlet["flow_l_per_min"] or 0.0) >= 0.0 for outlet in network["outlets"])


@pytest.mark.parametrize("name", NAMES)
def test_drain_flow_adds_up_towards_the_outfall(name: str) -> None:
    joins = {tank["id"]: tank["drain_node"].split("/")[1] for tank in whole(name)["tanks"]}
    for run in whole(name)["systems"]["drain"]["runs"].values():
        for case in run["cases"]:
            reaching, flow = case["reaching_l_per_min"], 0.0
            for segment in case["segments"]:
                node = segment["start"]
                flow += sum(reaching.get(tank, 0.0) for tank, at in joins.items() if at == node)
                assert segment["flow_l_per_min"] == pytest.approx(flow, rel=1e-9, abs=1e-12)
            assert case["outfall_flow_l_per_min"] == pytest.approx(
                sum(reaching.values()), rel=1e-9, abs=1e-12
            )


@pytest.mark.parametrize("name", NAMES)
def test_what_the_feed_brings_is_what_the_drains_carry_away(name: str) -> None:
    systems = whole(name)["systems"]
    fed = sum(run["total_flow_l_per_min"] for run in systems["feed"]["runs"])
    drained = sum(
        case["outfall_flow_l_per_min"]
        for run in systems["drain"]["runs"].values()
        for case in run["cases"]
        if case["kind"] == "feed"
    )
    assert drained == pytest.approx(fed, rel=1e-6)  # the solver's own tolerance of flow


@pytest.mark.parametrize("name", NAMES)
def test_the_mass_of_tanks_racks_and_rooms_adds_up(name: str) -> None:
    load = whole(name)["systems"]["load"]
    tanks = sum(tank["mass_kg"] for tank in load["tanks"])
    empty = sum(rack["empty_kg"] or 0.0 for rack in load["racks"])
    assert load["total_kg"] == pytest.approx(tanks + empty, rel=1e-9)
    assert sum(room["mass_kg"] for room in load["rooms"]) == pytest.approx(load["total_kg"], rel=1e-9)
