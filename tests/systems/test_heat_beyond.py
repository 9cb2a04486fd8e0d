"""What lies beyond a room: openings of a wall in the ground, and the damp of a house around it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tankwright.systems.heat import solve_heat
from tankwright.systems.heat_build import build_spaces, drive_of
from tankwright.systems.heat_gains import outside_humidity

from .heat_rooms import ICE, SHELL, shed, weather

HALF = 'transmittance = "0.5 W/(m2 K)"'
HEATED = 'heat_to = "20 °C"\nheater = { power = "3000 W" }'
ALL_INDOORS = "\n".join(
    f'{wall} = {{ to = "indoors", {HALF} }}' for wall in ("north", "east", "south", "west")
)


def test_a_window_in_a_wall_in_the_ground_looks_outdoors(monkeypatch: pytest.MonkeyPatch) -> None:
    pane = (
        'windows = [{{ wall = "west", from_south = "1 m", size = ["1 m", "1 m"], sill = "1 m",'
        ' kind = "double pane" }}]'
    )
    monkeypatch.setattr("tests.systems.heat_rooms.SHELL", SHELL.replace("doors = []", f"doors = []\n{pane}"))
    room = shed(tanks=False, climate=HEATED, shell=f'west = {{ to = "ground", {HALF} }}')
    assert room.climate is not None
    faces = {one.id: one.faces for one in room.climate.spaces[0].surfaces}
    assert faces["shed west wall"] == "ground"
    assert faces["shed west window 1"] == "outside"
    cold = solve_heat(room, weather(0.0, 16.0), {}).spaces[0].day("coldest")
    pane_loss = next(part.heat for part in cold.losses if part.name == "west window 1")
    transmittance = next(
        one.transmittance.value for one in room.climate.spaces[0].surfaces if one.kind == "window"
    )
    assert pane_loss == pytest.approx(
        transmittance * 20.0
    )  # over outdoors at 0 °C, not over the ground at 8 °C


def test_air_of_the_house_is_as_moist_as_the_month_not_as_the_hour() -> None:
    year = weather(10.0, 24.0, humidity=0.8)
    hour = np.arange(len(year.dry_bulb)) % 24
    year = replace(year, relative_humidity=np.where(hour < 12, 0.6, 1.0))
    room = shed(tanks=False, climate='indoors = "20 °C"', shell=ALL_INDOORS)
    assert room.climate is not None
    [space] = room.climate.spaces
    inner = tuple(replace(one, faces="indoors") for one in space.surfaces)
    room = replace(room, climate=replace(room.climate, spaces=(replace(space, surfaces=inner),)))
    [built] = build_spaces(room, year, {})
    assert not built.faces_outside
    moist = np.asarray(drive_of(built, np.arange(48)).outside_humidity)
    assert np.ptp(moist) == pytest.approx(0.0)
    assert moist[0] == pytest.approx(outside_humidity(year)[: 31 * 24].mean())
    assert year.dry_bulb[0] - ICE == pytest.approx(10.0)
