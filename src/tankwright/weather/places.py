"""Where a weather file is from: read off its first line."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from tankwright.units import Metre, Radian, Second
from tankwright.weather.formats import split
from tankwright.weather.mistakes import Mistakes

_TMY2: Final = re.compile(
    r"\s*\d{5}\s+(.+?)\s+([A-Z]{2})\s+(-?\d+)\s+([NS])\s*(\d+)\s+(\d+)\s+([EW])\s*(\d+)\s+(\d+)\s+(-?\d+)\s*$"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A place as the heat of a room needs it."""

    name: str
    latitude: Radian
    longitude: Radian
    elevation: Metre
    utc_offset: Second


def read_place(kind: str, first_line: str, delimiter: str, mistakes: Mistakes) -> Place | None:
    """The place of a file of that kind; None, and mistakes, when its first line does not tell it."""
    if kind == "TMY2":
        return _checked(*_tmy2(first_line), mistakes)
    cells = split(first_line, delimiter)
    if kind == "EPW":
        name, numbers = _name(cells[1:4]), cells[6:10]
    else:
        name, numbers = _name(cells[1:3]), [*cells[4:6], *cells[3:4], *cells[6:7]]
    return _checked(name, numbers, mistakes)


def is_tmy2(first_line: str) -> bool:
    """Whether a first line is that of a TMY2 file: a station, a name, a state, degrees and minutes."""
    return _TMY2.match(first_line[:100]) is not None


def _name(parts: Sequence[str]) -> str:
    return ", ".join(part for part in parts if part and part != "-") or "an unnamed place"


def _tmy2(line: str) -> tuple[str, list[str]]:
    match = _TMY2.match(line[:100])
    if match is None:
        return "", []
    city, state, zone, north, lat, lat_minutes, east, lon, lon_minutes, elevation = match.groups()
    latitude = (int(lat) + int(lat_minutes) / 60) * (1 if north == "N" else -1)
    longitude = (int(lon) + int(lon_minutes) / 60) * (1 if east == "E" else -1)
    return f"{city}, {state}", [repr(latitude), repr(longitude), zone, elevation]


def _checked(name: str, numbers: Sequence[str], mistakes: Mistakes) -> Place | None:
    limits = (
        ("latitude", -90.0, 90.0, "degrees, north positive"),
        ("longitude", -180.0, 180.0, "degrees, east positive"),
        ("time zone", -12.0, 14.0, "hours from Greenwich, east positive"),
        ("elevation", -450.0, 6000.0, "m above the sea"),
    )
    read = []
    for number, (what, least, most, unit) in enumerate(limits):
        text = numbers[number] if number < len(numbers) else ""
        try:
            value = float(text.replace(",", "."))
        except ValueError:
            value = math.nan
        if not least <= value <= most:
            mistakes.add(
                "WEATHER-05",
                f"does not tell its {what}",
                line=1,
                found=text or "nothing",
                wanted=f"{what} from {least:g} to {most:g} {unit}",
                attempt="the file as it was downloaded, with its first line",
            )
        read.append(value)
    if mistakes.refuse:
        return None
    latitude, longitude, zone, elevation = read
    return Place(
        name=name,
        latitude=math.radians(latitude),
        longitude=math.radians(longitude),
        elevation=elevation,
        utc_offset=zone * 3600.0,
    )
