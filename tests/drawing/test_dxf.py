"""DXF: read back by its own library without an error, its dimensions the room's, in millimetres."""

from __future__ import annotations

import io
from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from ezdxf.filemanagement import read

from tankwright.drawing.dxf import LAYERS, drill_dxf, fronts_dxf, plan_dxf
from tankwright.drawing.measures import front_measures, plan_measures
from tankwright.origin import Known, Origin
from tankwright.room.model import Room
from tankwright.takeoff.panes import finished_pane, kinds_of
from tankwright.workspace.opened import open_plan

EXAMPLES = Path(__file__).parents[2] / "examples"


def _room(name: str) -> Room:
    room = open_plan(EXAMPLES / f"{name}.toml").room
    assert room is not None
    return room


ROOMS = {name: _room(name) for name in ("cellar_mended", "garage")}
each_room = pytest.mark.parametrize("room", list(ROOMS.values()), ids=list(ROOMS))


def _read(text: str) -> Any:
    return read(io.StringIO(text))


def _measured(doc: Any) -> Counter[float]:
    return Counter(round(one.get_measurement(), 3) for one in doc.modelspace().query("DIMENSION"))


def _mm(lengths: object) -> Counter[float]:
    assert hasattr(lengths, "__iter__")
    return Counter(round(length * 1000, 3) for length in lengths)


@each_room
@pytest.mark.parametrize("write", [plan_dxf, fronts_dxf, drill_dxf])
def test_a_file_is_without_errors_in_millimetres_and_on_its_layers(room: Room, write: Any) -> None:
    doc = _read(write(room))
    audit = doc.audit()
    assert (audit.errors, audit.fixes) == ([], [])
    assert doc.units == 4
    used = {one.dxf.layer for one in doc.modelspace()}
    assert used <= set(LAYERS)
    assert {one.dxf.style for one in doc.modelspace().query("TEXT")} == {"tankwright"}


@each_room
def test_the_dimensions_of_the_plan_are_the_rooms(room: Room) -> None:
    wanted = _mm(
        length for space in room.spaces for one in plan_measures(room, space) for length in one.lengths
    )
    assert _measured(_read(plan_dxf(room))) == wanted


@each_room
def test_the_dimensions_of_the_fronts_hold_those_of_every_rack(room: Room) -> None:
    found = _measured(_read(fronts_dxf(room)))
    wanted = _mm(length for rack in room.racks for one in front_measures(rack) for length in one.lengths)
    assert not wanted - found
    assert found[round(room.tanks[0].length * 1000, 3)] >= 1


@each_room
def test_a_hole_is_dimensioned_from_the_lower_left_corner_as_seen_from_outside(room: Room) -> None:
    found = _measured(_read(drill_dxf(room)))
    for tank in kinds_of(room):
        assert tank.hole is not None
        pane = finished_pane(tank, tank.hole.pane)
        assert pane.hole is not None
        for metres in (pane.hole.across, pane.hole.up, pane.width, pane.height, pane.hole.diameter.value):
            assert any(abs(one - metres * 1000) < 0.001 for one in found), metres


def test_racks_are_as_large_as_they_are() -> None:
    room = ROOMS["cellar_mended"]
    sizes = []
    for one in _read(plan_dxf(room)).modelspace().query('LWPOLYLINE[layer=="racks"]'):
        points = [*one.get_points("xy")]
        sizes.append((round(points[2][0] - points[0][0], 3), round(points[2][1] - points[0][1], 3)))
    assert Counter(sizes) == Counter(
        (round((rack.box.x1 - rack.box.x0) * 1000, 3), round((rack.box.y1 - rack.box.y0) * 1000, 3))
        for rack in room.racks
    )


def test_a_hole_nobody_measured_has_no_diameter_dimension() -> None:
    tank = ROOMS["cellar_mended"].tanks[0]
    assert tank.hole is not None
    hole = replace(tank.hole, diameter=Known(0.029, Origin.ASSUMED, key="hole.diameter", band=(0.024, 0.038)))
    doc = _read(drill_dxf(replace(ROOMS["cellar_mended"], tanks=(replace(tank, hole=hole),))))
    assert 29.0 not in _measured(doc)
    assert any("measure your fitting" in one.dxf.text for one in doc.modelspace().query("TEXT"))


def test_a_toughened_pane_is_marked() -> None:
    room = ROOMS["cellar_mended"]
    doc = _read(drill_dxf(replace(room, tanks=(replace(room.tanks[0], toughened=("back",)),))))
    assert any("DO NOT DRILL" in one.dxf.text for one in doc.modelspace().query("TEXT"))
