"""The year a plan names: one that comes with the program, or a file beside the plan."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from tankwright.finding import Finding
from tankwright.units import clip
from tankwright.weather.mistakes import Mistakes
from tankwright.weather.model import WeatherYear
from tankwright.weather.reading import read_weather
from tankwright.weather.shipped import DEFAULT, SHIPPED, shipped_year


def year_named(
    name: str, folder: Path, line: int | None = None
) -> tuple[WeatherYear | None, tuple[Finding, ...]]:
    """The year of that name, "" for the default; with problems there is none. `line` is where the plan names it.

    A file has to stand beside the plan or in a folder below it: who may edit a plan may not read the whole disk.

    >>> year_named("../secret.epw", Path("/plans"))[1][0].text
    'does not stand beside the plan or below it'
    """
    known = next((one for one in SHIPPED if one.casefold() == name.strip().casefold()), None)
    if not name.strip():
        known = DEFAULT
    if known is not None:
        return shipped_year(known)
    place = (folder / name).resolve()
    if not place.is_relative_to(folder.resolve()):
        mistakes = Mistakes(clip(name))
        mistakes.add(
            "WEATHER-21",
            "does not stand beside the plan or below it",
            line=line,
            found=f'weather = "{clip(name)}"',
            wanted="a file in the plan's own folder, or " + ", ".join(SHIPPED),
            attempt=f'weather = "{clip(place.name)}"',
        )
        return None, mistakes.all()
    year, findings = read_weather(place)
    if year is None and any(one.code == "WEATHER-01" for one in findings):
        wanted = "a file in the plan's own folder, or " + ", ".join(SHIPPED)
        findings = tuple(
            replace(one, line=line, found=f'weather = "{clip(name)}"', wanted=wanted) for one in findings
        )
    return year, findings
