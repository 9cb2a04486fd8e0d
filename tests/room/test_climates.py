"""What a space loses its warmth through, laid out from the plan."""

import pytest

from tankwright.origin import Origin

WARM = """
[climate]
[climate.room.cellar]
heat_to = "24 °C"
"""


def shell(lay, said: str, more: str = ""):
    text = f"[room.cellar.shell]\n{said}\n" + WARM + more
    laid = lay(text)
    return {one.id.removeprefix("cellar "): one for one in laid.room.climate.space("cellar").surfaces}, laid


def test_a_plan_without_climate_has_none_and_assumes_nothing_about_it(lay):
    room = lay("").room
    assert room.climate is None
    assert not {one.key for one in room.assumed if one.key.startswith(("climate", "shell"))}


def test_every_face_of_a_box_is_there_once_with_its_area(lay):
    surfaces, laid = shell(lay, "")
    box = laid.room.spaces[0].box
    x, y, z = box.x1 - box.x0, box.y1 - box.y0, box.z1 - box.z0
    openings = [one for one in surfaces.values() if one.kind in ("door", "window")]
    walls = [one for one in surfaces.values() if one.kind == "wall"]
    assert sum(one.area for one in walls + openings) == pytest.approx(2 * (x + y) * z)
    assert surfaces["roof"].area == surfaces["floor"].area == pytest.approx(x * y)


def test_a_wall_of_layers_is_worked_out_by_the_standard(lay):
    # 0.13 + 0.0125/0.25 + 0.05/0.0355 + 0.04 m2K/W
    layers = (
        '[{ material = "plasterboard", thickness = "12.5 mm" }, { material = "EPS", thickness = "5 cm" }]'
    )
    surfaces, _ = shell(lay, f"walls = {{ layers = {layers} }}")
    assert surfaces["north wall"].transmittance.value == pytest.approx(
        1 / (0.13 + 0.05 + 1.4085 + 0.04), rel=1e-4
    )
    assert surfaces["north wall"].transmittance.origin is Origin.DERIVED


def test_a_named_wall_beats_what_is_said_of_all_walls(lay):
    surfaces, _ = shell(
        lay,
        'walls = { transmittance = "0.3 W/(m2 K)" }\nnorth = { to = "indoors", transmittance = "1.5 W/(m2 K)" }',
    )
    assert (surfaces["north wall"].faces, surfaces["north wall"].transmittance.value) == ("indoors", 1.5)
    assert (surfaces["south wall"].faces, surfaces["south wall"].transmittance.value) == ("outside", 0.3)


def test_a_wall_that_is_not_said_is_assumed_and_listed(lay):
    surfaces, laid = shell(lay, "")
    assert surfaces["east wall"].transmittance.is_assumed
    assert "shell.wall" in {one.key for one in laid.room.assumed}


def test_insulation_under_a_slab_lets_less_through_and_an_inner_wall_shortens_its_edge(lay):
    bare, _ = shell(lay, "")
    foam = '[{ material = "XPS", thickness = "5 cm" }]'
    lined, _ = shell(lay, f"floor = {{ layers = {foam} }}")
    inner, _ = shell(lay, 'north = { to = "indoors" }')
    assert lined["floor"].transmittance.value < bare["floor"].transmittance.value
    assert inner["floor"].perimeter < bare["floor"].perimeter
    assert inner["floor"].transmittance.value < bare["floor"].transmittance.value


def test_a_wall_in_the_ground_loses_less_than_the_same_wall_outside(lay):
    layers = '[{ material = "concrete", thickness = "30 cm" }]'
    outside, _ = shell(lay, f"walls = {{ layers = {layers} }}")
    below, _ = shell(lay, f'walls = {{ to = "ground", layers = {layers} }}')
    assert below["west wall"].transmittance.value < outside["west wall"].transmittance.value


def test_an_unknown_material_is_told_with_the_nearest_known_one(lay):
    surfaces, laid = shell(lay, 'walls = { layers = [{ material = "plasterbord", thickness = "12 mm" }] }')
    found = [one for one in laid.findings if one.code == "LAYOUT-143"]
    assert [(one.found, one.attempt) for one in found][:1] == [('"plasterbord"', '"plasterboard"')]
    assert surfaces["north wall"].transmittance.is_assumed


def test_a_material_of_ones_own_is_taken_with_its_conductivity(lay):
    own = '[{ material = "straw bale", thickness = "35 cm", conductivity = "0.06 W/(m K)" }]'
    surfaces, laid = shell(lay, f"walls = {{ layers = {own} }}")
    assert surfaces["north wall"].transmittance.value == pytest.approx(1 / (0.17 + 0.35 / 0.06))
    assert not [one for one in laid.findings if one.code == "LAYOUT-143"]
