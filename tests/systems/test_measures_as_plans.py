"""What a measure promises is what the plan saves with the measure written into its text."""

from __future__ import annotations

from functools import cache

import pytest

from tankwright.finding import Severity
from tankwright.plan.reading import read_plan_text
from tankwright.room.layout import lay_out
from tankwright.room.model import Room
from tankwright.systems.heat_measures import all_measures
from tankwright.systems.heat_year import room_year

from .heat_rooms import SHELL, TANKS, USUAL, weather

YEAR = weather(2.0, 18.0, swing=4.0, sun=200.0)
Swap = tuple[str, str]

BOARD = '{ material = "expanded polystyrene", thickness = "5 cm" }'
BRICK = 'layers = [{ material = "brick", thickness = "24 cm" }]'
TIMBER = (
    'layers = [{ material = "OSB", thickness = "22 mm" }, { material = "mineral wool", thickness = "8 cm" }]'
)
ROOF = 'roof = { to = "outside", transmittance = "0.25 W/(m2 K)" }'
FLOOR = 'floor = { to = "outside", transmittance = "0.3 W/(m2 K)" }'
WALLS = 'walls = { to = "outside", transmittance = "0.5 W/(m2 K)" }'
PANE = 'windows = [{ wall = "west", from_south = "1 m", size = ["1 m", "1 m"], sill = "1 m", kind = "single pane" }]'
HEAT = 'heat_to = "22 °C"\nheater = { power = "4 kW" }\n'
FAN = 'ventilation = { flow = "60 m3/h" }\n'
DRYER = 'dehumidifier = { removes = "20 L/day", holds = "60 %" }\n'
LIGHT = """
[power]
voltage = "230 V"
[power.circuits]
general = { breaker = "16 A", rcd = "30 mA" }
[[power.boards]]
id = "north"
circuit = "general"
outlets = 2
rack = "R"
loads = [{ name = "light", power = "200 W", does = "light", hours = 10 }]
"""


def lay(swaps: tuple[Swap, ...], **said: str) -> Room:
    text = (SHELL + TANKS).format(**USUAL | {"climate": HEAT + FAN} | said) + LIGHT
    for old, new in swaps:
        assert old in text, old
        text = text.replace(old, new)
    read = read_plan_text(text, "shed.toml")
    assert [one for one in read.findings if one.severity is Severity.PROBLEM] == []
    assert read.plan is not None
    room = lay_out(read.plan).room
    assert room is not None
    return room


@cache
def energy(swaps: tuple[Swap, ...], said: tuple[Swap, ...]) -> float:
    return room_year(lay(swaps, **dict(said)), YEAR, {}).total


def with_layers(part: str, layers: str) -> Swap:
    return part, f'{part.split("=", 1)[0]}= {{ to = "outside", {layers} }}'


def boarded(layers: str) -> Swap:
    return layers, layers.removesuffix("]") + f", {BOARD}]"


ON_GROUND = (FLOOR, 'floor = { layers = [{ material = "concrete", thickness = "15 cm" }] }')
IN_GROUND = (WALLS, f'walls = {{ to = "ground", {BRICK} }}')
HEATED: dict[str, str] = {"kind": 'heater = { power = "900 W", holds = "25 °C" }'}
GLASS = (
    ("doors = []", f"doors = []\n{PANE}"),
)  # fmt: skip

Case = tuple[str, tuple[Swap, ...], dict[str, str], tuple[Swap, ...], float]
"""A measure's key, how the room is before, what the plan then says instead, and how near the two must be."""

CASES: tuple[Case, ...] = (
    ("insulate_wall", (with_layers(WALLS, BRICK),), {}, (boarded(BRICK),), 1e-6),
    ("insulate_roof", (with_layers(ROOF, TIMBER),), {}, (boarded(TIMBER),), 1e-6),
    ("insulate_floor", (with_layers(FLOOR, TIMBER),), {}, (boarded(TIMBER),), 1e-6),
    # on and in the ground EN ISO 13370 works the ground anew: a board in series promises less than it gives
    ("insulate_floor", (ON_GROUND,), {}, (boarded(ON_GROUND[1].split("{ ", 1)[1].removesuffix(" }")),), 0.25),
    ("insulate_wall", (IN_GROUND,), {}, (boarded(BRICK),), 0.2),
    ("windows", GLASS, {}, (("single pane", "coated double pane"),), 1e-6),
    ("lids", (), {}, (("outside = [", 'lid = "glass"\noutside = ['),), 1e-6),
    (
        "tight_lids",
        (),
        {"kind": 'lid = "glass"'},
        (("[assume]", '[assume]\n"climate.covered" = "0.075"'),),
        1e-6,
    ),
    ("night", (), {}, (("heat_to", 'night_lower = "2 K"\nheat_to'),), 1e-6),
    ("lower", (), HEATED, (("22 °C", "21 °C"), ('holds = "25 °C"', 'holds = "24 °C"')), 1e-6),
    ("heat_room", (), HEATED, ((HEATED["kind"], ""), ('heat_to = "22 °C"', 'heat_to = "25 °C"')), 1e-6),
    ("heat_tanks", (), HEATED, ((HEAT, ""),), 1e-6),
    ("seal", (), {}, (('air_change = "0.5 1/h"', 'air_change = "0.25 1/h"'),), 1e-6),
    ("recovery", (), {}, (("60 m3/h", '60 m3/h", recovery = "70 %'),), 1e-6),
    (
        "fan_for_dryer",
        (),
        {"climate": HEAT + DRYER},
        ((DRYER, 'ventilation = { flow = "50 m3/h" }\n'),),
        1e-6,
    ),
    ("dryer_for_fan", (), {}, ((FAN, DRYER),), 1e-6),
    ("lights", (), {}, (("200 W", "100 W"),), 1e-6),
)


@pytest.mark.parametrize(
    ("key", "room", "said", "instead", "near"), CASES, ids=[f"{n}-{c[0]}" for n, c in enumerate(CASES)]
)
def test_a_measure_saves_what_the_plan_saves_that_has_it_written(
    key: str, room: tuple[Swap, ...], said: dict[str, str], instead: tuple[Swap, ...], near: float
) -> None:
    fixed = tuple(said.items())
    before = energy(room, fixed)
    laid = lay(room, **said)
    [measure] = [one for one in all_measures(laid, watered=False) if one.key == key]
    promised = before - room_year(measure.change(laid), YEAR, {}).total
    written = before - energy((*room, *instead), fixed)
    assert abs(written) > 3.6e6  # a kilowatt-hour at least, so that there is something to compare
    assert promised == pytest.approx(written, rel=near)
