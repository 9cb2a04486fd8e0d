"""Plain rooms and plain weather for the tests of warmth: every number of them can be followed by hand."""

from __future__ import annotations

import numpy as np

from tankwright.finding import Severity
from tankwright.plan.reading import read_plan_text
from tankwright.room.layout import lay_out
from tankwright.room.model import Room
from tankwright.weather.model import HOURS, WeatherYear

ICE = 273.15

SHELL = """
[room.shed]
size = {{ length = "5 m", width = "4 m", height = "2.5 m" }}
doors = []

[room.shed.shell]
walls = {{ to = "outside", transmittance = "{wall} W/(m2 K)" }}
roof = {{ to = "outside", transmittance = "0.25 W/(m2 K)" }}
floor = {{ to = "outside", transmittance = "0.3 W/(m2 K)" }}
air_change = "{leak} 1/h"
{shell}

[climate]

[climate.room.shed]
hours_with_people = 0
{climate}

[assume]
"shell.absorptance" = "{absorptance}"
"climate.gradient" = "{gradient} K"
{assume}
"""

TANKS = """
[tank_kind.sixty]
outside = ["60 cm", "30 cm", "35 cm"]
glass = {{ sides = "6 mm", base = "6 mm", temper = "annealed" }}
{kind}

[rack_kind.two]
length = "190 cm"
depth = "40 cm"
shelves = ["20 cm", "170 cm"]
uprights_at = ["0 cm", "186 cm"]
upright_width = "40 mm"
height = "200 cm"

[[rack]]
id = "R"
kind = "two"
room = "shed"
wall = "north"
from_west = "50 cm"
zone = "main"
shelf.1 = [{{ kind = "sixty", ids = "L1..L{count}", from_left = "2 cm" }}]
shelf.2 = [{{ kind = "sixty", ids = "H1..H{count}", from_left = "2 cm" }}]

[zone.main]
{zone}
"""

USUAL = {
    "wall": "0.5", "leak": "0.5", "shell": "", "climate": "", "absorptance": "0.6", "gradient": "1.5", "assume": "",
    "kind": "", "count": "3", "zone": 'wants = { temperature = ["23 °C", "27 °C"] }',
}  # fmt: skip


def shed(*, tanks: bool = True, more: str = "", **said: str) -> Room:
    """A shed of 5 x 4 x 2.5 m with a rack of two shelves, or without; `said` fills the gaps of the plan."""
    words = {**USUAL, **said}
    text = (SHELL + (TANKS if tanks else "")).format(**words) + more
    read = read_plan_text(text, "shed.toml")
    assert [one for one in read.findings if one.severity is Severity.PROBLEM] == []
    assert read.plan is not None
    room = lay_out(read.plan).room
    assert room is not None
    return room


def weather(
    winter: float, summer: float | None = None, humidity: float = 0.6, *, swing: float = 0.0, sun: float = 0.0
) -> WeatherYear:
    """A year that is `winter` °C through its first half and `summer` through its second, or the same all along.

    `swing` is how far a day goes to either side, `sun` W/m2 that fall level from 6 to 18 h.
    """
    hours = np.arange(HOURS)
    base = np.where(hours < HOURS // 2, winter, winter if summer is None else summer)
    day = (hours % 24 >= 6) & (hours % 24 < 18)
    shine = np.where(day, sun, 0.0)
    nothing = np.zeros(HOURS)
    return WeatherYear(
        place="a plain of our own", file="plain.epw", kind="EPW", source="weather made up for a test",
        latitude=0.6, longitude=0.0, elevation=0.0, utc_offset=0.0,
        dry_bulb=base + ICE - swing * np.cos(2 * np.pi * (hours % 24 + 0.5) / 24.0),
        relative_humidity=np.full(HOURS, humidity), pressure=np.full(HOURS, 101325.0),
        global_horizontal=shine, direct_normal=nothing, diffuse_horizontal=shine, wind_speed=nothing,
        sun_zenith=np.where(day, 1.0, 2.0), sun_azimuth=np.full(HOURS, np.pi), circumsolar=nothing, horizon=nothing,
    )  # fmt: skip
