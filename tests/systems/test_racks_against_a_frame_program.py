"""A whole shelf beside PyNite: bearers hinged on pieces from front to back, those hinged on uprights."""

from __future__ import annotations

import pytest
from Pynite import FEModel3D

from tankwright.systems.racks_loads import Grid, Standing, patches_of, upright_loads
from tankwright.systems.racks_model import BeamResult

from .rack_rooms import TIMBER, rack_room, solved

THREE = TIMBER.replace("board =", "bearers_under = 3, board =")
GRID = Grid(uprights=(0.025, 1.025, 2.025), bearers=(0.025, 0.2, 0.375))
STANDING = (
    Standing(tank="A1", weight=900.0, along=(0.1, 0.9), deep=(0.02, 0.32)),
    Standing(tank="A2", weight=650.0, along=(0.95, 1.75), deep=(0.08, 0.38)),
)
E, G, AREA, STRONG, WEAK, TORSION = 11e9, 0.69e9, 5e-3, 4.1667e-6, 1.0417e-6, 2.9e-6


def frame() -> FEModel3D:
    """x along the front, z behind it, y up; beams are members whose ends turn freely, supports are points."""
    model = FEModel3D()
    model.add_material("timber", E, G, 0.3, 420.0)
    model.add_section("bar", AREA, WEAK, STRONG, TORSION)
    for upright, x in enumerate(GRID.uprights):
        for bearer, z in enumerate(GRID.bearers):
            model.add_node(f"n{upright}{bearer}", x, 0.0, z)
        for bearer in (0, len(GRID.bearers) - 1):
            model.def_support(f"n{upright}{bearer}", True, True, True, False, True, True)
        model.add_member(f"end{upright}", f"n{upright}0", f"n{upright}2", "timber", "bar")
    for bay in range(len(GRID.spans)):
        for bearer in range(len(GRID.bearers)):
            name = f"b{bay}{bearer}"
            model.add_member(name, f"n{bay}{bearer}", f"n{bay + 1}{bearer}", "timber", "bar")
            model.def_releases(
                name, False, False, False, False, True, True, False, False, False, False, True, True
            )
            for patch in patches_of(GRID, bay, bearer, STANDING, "soft board"):
                model.add_member_dist_load(name, "Fy", -patch.load, -patch.load, patch.start, patch.end)
    model.analyze(check_stability=False)
    return model


def test_what_comes_to_each_upright_is_what_a_frame_program_finds() -> None:
    model = frame()
    come = upright_loads(GRID, STANDING)
    for upright in range(len(GRID.uprights)):
        for side, bearer in (("front", 0), ("back", 2)):
            found = model.nodes[f"n{upright}{bearer}"].RxnFY["Combo 1"]
            assert come[upright, side] == pytest.approx(found, rel=1e-4)
    assert sum(come.values()) == pytest.approx(1550.0)


def test_bearers_and_end_pieces_of_a_laid_out_rack_bend_as_in_a_frame_program() -> None:
    """The shelf of the usual room with three bearers: each bearer is loaded as it was judged."""
    room = rack_room(built=THREE)
    strength = solved(room).racks[0]
    bearers = [one for one in strength.beams if one.part == "bearer" and one.shelf == 1]
    model = FEModel3D()
    model.add_material("timber", E, G, 0.3, 420.0)
    model.add_section("bar", AREA, WEAK, STRONG, TORSION)
    for upright in (0, 1):
        for index, z in enumerate((0.025, 0.2, 0.375)):
            model.add_node(f"n{upright}{index}", 2.0 * upright, 0.0, z)
        for index in (0, 2):
            model.def_support(f"n{upright}{index}", True, True, True, False, True, True)
        model.add_member(f"end{upright}", f"n{upright}0", f"n{upright}2", "timber", "bar")
    for one in bearers:
        name = f"b{one.index}"
        model.add_member(name, f"n0{one.index}", f"n1{one.index}", "timber", "bar")
        model.def_releases(
            name, False, False, False, False, True, True, False, False, False, False, True, True
        )
        for patch in one.patches:
            model.add_member_dist_load(name, "Fy", -patch.load, -patch.load, patch.start, patch.end)
    model.analyze(check_stability=False)
    for one in bearers:
        assert _moment(model, f"b{one.index}") == pytest.approx(one.moment, rel=1e-3)
    end: BeamResult = next(one for one in strength.beams if one.part == "end piece" and one.shelf == 1)
    assert _moment(model, "end0") == pytest.approx(end.moment, rel=1e-3)


def _moment(model: FEModel3D, name: str) -> float:
    member = model.members[name]
    return max(abs(member.max_moment("Mz")), abs(member.min_moment("Mz")))
