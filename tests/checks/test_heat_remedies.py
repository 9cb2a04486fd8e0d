"""What a verdict on warmth and damp advises is written into the plan as it is read, and the verdict is gone."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tankwright.checks.heat import check_heat
from tankwright.display import sentence
from tankwright.finding import Finding, Severity
from tankwright.systems.heat import solve_heat
from tankwright.weather.model import WeatherYear

from ..systems.heat_rooms import shed, weather

Said = dict[str, str]
COLD = weather(-8.0, 22.0, swing=4.0)
HOT = weather(12.0, 31.0, swing=4.0, humidity=0.7)
MODEST: Said = {"wall": "0.3", "count": "2", "kind": 'lid = "glass"'}
HEATED = 'heat_to = "25 °C"\nheater = { power = "2500 W" }'


def found(said: Said, year: WeatherYear) -> list[Finding]:
    room = shed(**MODEST | said)
    return list(check_heat(room, solve_heat(room, year, {})))


def asks(finding: Finding, name: str) -> str:
    """A number of a finding as it is read."""
    return sentence(f"{{{name}}}", finding.numbers)


def heater_of(finding: Finding, power: str = "need", holds: str = "aim", *, count: int = 1) -> Said:
    one = f'power = "{asks(finding, power)}", holds = "{asks(finding, holds)}", count = {count}'
    return {"kind": f'lid = "glass"\nheater = {{ {one} }}'}


def room_of(finding: Finding, power: str, air: str) -> Said:
    return {"climate": f'heat_to = "{air}"\nheater = {{ power = "{asks(finding, power)}" }}'}


def cooled_by(finding: Finding, size: str, air: str) -> Said:
    return {"climate": f'cool_to = "{air}"\ncooler = {{ cooling = "{asks(finding, size)}" }}'}


Cure = tuple[str, str, Said, WeatherYear, Callable[[Finding], Said]]
TANKS_AT_20 = 'lid = "glass"\nheater = { power = "150 W", holds = "20 °C" }'
TANKS_TOO_WEAK = 'lid = "glass"\nheater = { power = "20 W", holds = "25 °C" }'

CURES: tuple[Cure, ...] = (
    ("nothing heats: heaters into the tanks", "HEAT-07", {}, COLD, lambda f: heater_of(f, "each", "set")),
    ("nothing heats: warm air", "HEAT-07", {}, COLD, lambda f: room_of(f, "room", asks(f, "air"))),
    (
        "a room's heater without a setting", "HEAT-23", {"climate": 'heater = { power = "2500 W" }'}, COLD,
        lambda f: {"climate": f'heat_to = "{asks(f, "set")}"\nheater = {{ power = "2500 W" }}'},
    ),
    (
        "a room's heater too small", "HEAT-04", {"climate": 'heat_to = "25 °C"\nheater = { power = "400 W" }'}, COLD,
        lambda f: room_of(f, "size", "25 °C"),
    ),
    (
        "rows cold by a room's heater too small", "HEAT-06",
        {"climate": 'heat_to = "26 °C"\nheater = { power = "400 W" }'}, COLD,
        lambda f: room_of(f, "heater", "26 °C"),
    ),
    (
        "a room set too low: warmer air", "HEAT-06", {"climate": 'heat_to = "20 °C"\nheater = { power = "1500 W" }'},
        COLD, lambda f: room_of(f, "heater", asks(f, "warmer")),
    ),
    (
        "a room set low at night: warmer air", "HEAT-06",
        {"climate": 'heat_to = "22 °C"\nnight_lower = "3 K"\nheater = { power = "1500 W" }'},
        COLD, lambda f: {"climate": room_of(f, "heater", asks(f, "warmer"))["climate"] + '\nnight_lower = "3 K"'},
    ),
    (
        "a room set too low: heaters in tanks", "HEAT-06",
        {"climate": 'heat_to = "20 °C"\nheater = { power = "1500 W" }'}, COLD, heater_of,
    ),
    (
        "a zone that says nothing: warmer air", "HEAT-06",
        {"climate": 'heat_to = "22 °C"\nheater = { power = "2000 W" }', "zone": ""},
        COLD, lambda f: room_of(f, "heater", asks(f, "warmer")),
    ),
    (
        "open tanks in a room set too low: warmer air", "HEAT-06",
        {"climate": 'heat_to = "22 °C"\nheater = { power = "2000 W" }', "kind": "", "count": "3"},
        COLD, lambda f: room_of(f, "heater", asks(f, "warmer")),
    ),
    (
        "tank heaters set too low", "HEAT-06", {"climate": HEATED.replace("25 °C", "15 °C"), "kind": TANKS_AT_20},
        COLD, heater_of,
    ),
    ("tank heaters too small for a cold room", "HEAT-06", {"kind": TANKS_TOO_WEAK}, COLD,
     lambda f: {"kind": heater_of(f)["kind"].replace(asks(f, "aim"), "25 °C")}),
    ("tank heaters too small for the design cold", "HEAT-05", {"kind": TANKS_TOO_WEAK}, COLD,
     lambda f: {"kind": f'lid = "glass"\nheater = {{ power = "{asks(f, "size")}", holds = "25 °C" }}'}),
    (
        "tank heaters set under what the room gives", "HEAT-12",
        {"climate": HEATED.replace("25 °C", "22 °C"), "kind": TANKS_AT_20, "gradient": "0.1"}, COLD,
        lambda f: {"kind": TANKS_AT_20.replace("20 °C", asks(f, "wanted"))},
    ),
    (
        "one large heater that sticks", "HEAT-08",
        {"kind": TANKS_AT_20.replace("150 W", "60 W").replace("20 °C", "25 °C")}, COLD,
        lambda _: {"kind": 'lid = "glass"\nheater = { power = "30 W", count = 2, holds = "25 °C" }'},
    ),
    ("hot rows and no cooler", "HEAT-09", {}, HOT, lambda f: cooled_by(f, "size", asks(f, "air"))),
    ("hot rows and a cooler too small", "HEAT-09", {"climate": 'cool_to = "26 °C"\ncooler = { cooling = "100 W" }'},
     HOT, lambda f: cooled_by(f, "size", asks(f, "air"))),
    ("hot rows and a cooler set too high", "HEAT-09",
     {"climate": 'cool_to = "29 °C"\ncooler = { cooling = "5 kW" }'}, HOT,
     lambda f: {"climate": f'cool_to = "{asks(f, "air")}"\ncooler = {{ cooling = "5 kW" }}'}),
    ("a room heated too far", "HEAT-09", {"climate": HEATED.replace("25 °C", "29 °C")}, weather(12.0, swing=2.0),
     lambda f: {"climate": HEATED.replace("25 °C", asks(f, "air"))}),
    ("tank heaters set too high", "HEAT-09", {"kind": TANKS_AT_20.replace("20 °C", "29 °C")},
     weather(12.0, swing=2.0), lambda f: {"kind": TANKS_AT_20.replace("20 °C", asks(f, "set"))}),
    ("a cooler too small", "HEAT-14", {"climate": 'cool_to = "26 °C"\ncooler = { cooling = "100 W" }'}, HOT,
     lambda f: cooled_by(f, "need", "26 °C")),
    ("a cooler that is not there", "HEAT-14", {"climate": 'cool_to = "26 °C"'}, HOT,
     lambda f: cooled_by(f, "need", "26 °C")),
    ("drops on walls", "HEAT-10", {"climate": HEATED, "wall": "2.5", "kind": "", "leak": "0.1", "count": "3"}, COLD,
     lambda f: {"wall": asks(f, "needed").split()[0]}),
    ("mould in corners", "HEAT-11", {"climate": HEATED, "wall": "1.2", "kind": "", "leak": "0.1", "count": "3"}, COLD,
     lambda f: {"wall": asks(f, "needed").split()[0]}),
    ("a dehumidifier too small", "HEAT-16",
     {"climate": HEATED.replace("25 °C", "20 °C")
      + '\ndehumidifier = { removes = "0.5 L/day", holds = "50 %" }', "kind": "", "count": "3"}, COLD,
     lambda f: {"climate": HEATED.replace("25 °C", "20 °C")
                + f'\ndehumidifier = {{ removes = "{asks(f, "rated").split()[0]} L/day", holds = "50 %" }}'}),
)  # fmt: skip


@pytest.mark.parametrize(("name", "code", "said", "year", "cure"), CURES, ids=[one[0] for one in CURES])
def test_what_a_finding_advises_cures_it(
    name: str, code: str, said: Said, year: WeatherYear, cure: Callable[[Finding], Said]
) -> None:
    told = [one for one in found(said, year) if one.code == code]
    assert told, name
    assert told[0].severity is not Severity.NOTE or code == "HEAT-16"
    after = found(said | cure(told[0]), year)
    left = [sentence(one.text, one.numbers) for one in after if one.code == code]
    assert left == []


def test_warmer_air_is_not_advised_where_the_top_row_would_be_too_warm() -> None:
    said = {
        "climate": 'heat_to = "25 °C"\nheater = { power = "4000 W" }',
        "gradient": "3.0",
        "kind": "",
        "count": "3",
    }
    cold = [one for one in found(said, COLD) if one.code == "HEAT-06"]
    assert len(cold) == 1
    assert "too warm for the top row" in cold[0].remedy
    assert [one for one in found(said | heater_of(cold[0], count=2), COLD) if one.code == "HEAT-06"] == []
