"""A power cut from the command line."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from .conftest import Run

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture(scope="module")
def mended() -> str:
    return str(EXAMPLES / "cellar_mended.toml")


def test_a_cut_names_what_to_keep_on_and_whom_to_serve_first_with_its_caution(run: Run, mended: str) -> None:
    result = run("outage", mended)
    assert "12 h without power" in result.output
    assert "Never back-feed" in result.output
    assert "air: " in result.output
    assert "the battery of the plan lasts" in result.output
    assert "Serve first" in result.output


def test_a_longer_cut_takes_a_larger_battery_and_more_fuel(run: Run, mended: str) -> None:
    short, long = (
        json.loads(run("outage", mended, "--hours", hours, "--json").output) for hours in ("4", "24")
    )
    for key in ("battery_Ah", "fuel_L"):
        assert long["choices"][0][key]["value"] > short["choices"][0][key]["value"]
    assert long["choices"][0]["generator_W"] == short["choices"][0]["generator_W"]
    times = [one["trouble_after_s"] for one in long["serve_first"] if one["trouble_after_s"] is not None]
    assert times == sorted(times)


def test_hours_that_cannot_be_and_a_plan_that_cannot_be_read_are_told(
    run: Run, mended: str, tmp_path: Path
) -> None:
    assert run("outage", mended, "--hours", "0").exit_code == 2
    (tmp_path / "broken.toml").write_text("title =", "utf-8")
    result = run("outage", "broken.toml")
    assert result.exit_code == 2
    assert "broken.toml" in result.output
