"""The weather a plan names, read through an open plan: what cannot be used is said, and the room is worked out all the
same."""

from __future__ import annotations

from pathlib import Path

import pytest

from tankwright.finding import Finding, Severity
from tankwright.weather.model import WeatherYear
from tankwright.weather.named import year_named
from tankwright.workspace.opened import open_plan

ROOM = '[room.shed]\nsize = { length = "3 m", width = "3 m", height = "2.2 m" }\n'


def opened(
    folder: Path, weather: str, content: str | bytes | None = None
) -> tuple[WeatherYear | None, list[Finding]]:
    """A plan that names a weather, with such a file beside it: the year the study has, and what is said of it."""
    if content is not None:
        (folder / "town.epw").write_bytes(content if isinstance(content, bytes) else content.encode())
    (folder / "plan.toml").write_text(f'{ROOM}[climate]\nweather = "{weather}"\n', encoding="utf-8")
    plan = open_plan(folder / "plan.toml")
    assert plan.mistakes == ()
    assert plan.study is not None
    return plan.study.weather, [one for one in plan.findings if one.code.startswith("WEATHER-")]


def rows(epw: str) -> tuple[str, list[str]]:
    lines = epw.splitlines()
    return "\n".join(lines[:8]) + "\n", lines[8:]


def test_a_file_beside_the_plan_is_the_year_of_the_study(tmp_path: Path, epw: str) -> None:
    year, said = opened(tmp_path, "town.epw", epw)
    assert said == []
    assert year is not None
    assert year.place == "Greensboro, NC, USA"


def test_a_shipped_year_is_named_in_any_case(tmp_path: Path) -> None:
    year, said = opened(tmp_path, "greensboro")
    assert (year is None, said) == (False, [])


def test_a_file_elsewhere_on_the_disk_is_not_read(tmp_path: Path) -> None:
    (tmp_path / "x.epw").write_text("secret", encoding="utf-8")
    folder = tmp_path / "plans"
    folder.mkdir()
    year, (told,) = opened(folder, "../x.epw")
    assert year is None
    assert (told.code, told.text) == ("WEATHER-21", "does not stand beside the plan or below it")
    assert (told.line, told.found, told.attempt) == (3, 'weather = "../x.epw"', 'weather = "x.epw"')
    assert "secret" not in repr(told)


def test_a_file_that_is_not_there_is_told_at_its_line_with_the_years_there_are(tmp_path: Path) -> None:
    year, (told,) = opened(tmp_path, "twon.epw")
    assert year is None
    assert (told.code, told.line, told.found) == ("WEATHER-01", 3, 'weather = "twon.epw"')
    assert told.wanted == "a file in the plan's own folder, or Greensboro, Sand Point, Miami"
    assert told.severity is Severity.PROBLEM


def test_a_folder_of_that_name_is_no_year(tmp_path: Path) -> None:
    (tmp_path / "town.epw").mkdir()
    year, said = opened(tmp_path, "town.epw")
    assert year is None
    assert [one.severity for one in said] == [Severity.PROBLEM]


@pytest.mark.parametrize(
    ("spoil", "code"),
    [
        (lambda epw: "\n".join(epw.splitlines()[: 8 + 4380]) + "\n", "WEATHER-11"),
        (lambda epw: epw.replace(",60,?9?9,", ",60,"), "WEATHER-17"),
        (lambda _: "month;temperature\n1;4,5\n", "WEATHER-04"),
        (lambda _: "", "WEATHER-03"),
    ],
    ids=["half a year", "its columns shifted by one", "another table", "an empty file"],
)
def test_a_file_that_is_no_whole_year_leaves_no_year_and_says_why(
    tmp_path: Path, epw: str, spoil, code: str
) -> None:
    year, said = opened(tmp_path, "town.epw", spoil(epw))
    assert year is None
    assert code in {one.code for one in said}
    assert all(one.wanted and one.attempt for one in said if one.severity is Severity.PROBLEM)


def test_another_encoding_is_read_and_noted(tmp_path: Path, epw: str) -> None:
    year, (told,) = opened(tmp_path, "town.epw", epw.replace("Greensboro", "Göteborg").encode("latin-1"))
    assert year is not None
    assert year.place.startswith("Göteborg")
    assert (told.code, told.severity) == ("WEATHER-15", Severity.NOTE)


def test_no_weather_named_is_the_year_that_is_assumed() -> None:
    year, said = year_named("", Path())
    assert (year is None, said) == (False, ())
