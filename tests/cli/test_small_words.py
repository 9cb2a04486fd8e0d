"""One of a thing is told as one, and a folder given where a file goes is refused before any work."""

from __future__ import annotations

from pathlib import Path

import pytest

from .conftest import Run

MENDED = Path(__file__).parents[2] / "examples" / "cellar_mended.toml"


@pytest.mark.parametrize(
    "words",
    [
        ("build", "plan.toml", "--csv", "."),
        ("build", "plan.toml", "--ics", "."),
        ("build", "plan.toml", "--svg", "."),
        ("parts", "plan.toml", "--csv", "."),
        ("parts", "plan.toml", "--xlsx", "."),
        ("expected", "plan.toml", "--csv", "."),
        ("basket", "plan.toml", "--out", "."),
    ],
)
def test_a_folder_where_a_file_goes_is_refused(run: Run, tmp_path: Path, words: tuple[str, ...]) -> None:
    (tmp_path / "plan.toml").write_bytes(MENDED.read_bytes())
    told = run(*words)
    assert told.exit_code == 2
    assert "is a directory" in told.output


def test_one_length_is_told_as_one(run: Run, tmp_path: Path) -> None:
    (tmp_path / "plan.toml").write_bytes(MENDED.read_bytes())
    told = run("parts", "plan.toml").output
    assert "pipe 20 mm ISO PN10: 1 length, proved least" in told
    assert "1 lengths" not in told


def test_a_feed_with_two_filters_and_a_valve_is_told_so(run: Run, tmp_path: Path) -> None:
    (tmp_path / "plan.toml").write_bytes(MENDED.read_bytes())
    told = run("build", "plan.toml", "--today", "2026-12-05").output
    assert "Feed drip: valve, 2 filters and what parts it from the house" in told


def test_days_of_the_same_work_are_told_as_one(run: Run, tmp_path: Path) -> None:
    text = MENDED.read_text("utf-8").replace('evening = "2 h"', 'evening = "10 min"')
    (tmp_path / "plan.toml").write_text(text.replace('weekend = "6 h"', 'weekend = "10 min"'), "utf-8")
    lines = run("build", "plan.toml", "--today", "2026-12-05").output.splitlines()
    heads = [one for one in lines if " days, " in one and " to " in one]
    assert heads
    assert "3 days, 60 min of work" in " ".join(heads)  # two people, ten minutes a day


def test_a_heater_tried_without_its_thermostat_is_stopped_before_the_room_is_hot(
    run: Run, tmp_path: Path
) -> None:
    (tmp_path / "plan.toml").write_bytes(MENDED.read_bytes())
    assert "Stop before the room has 30 °C" in " ".join(run("expected", "plan.toml").output.split())
