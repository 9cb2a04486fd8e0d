"""The exact beam beside PyNite, a frame program that works another way: a stiffness matrix of pieces."""

from __future__ import annotations

import pytest
from Pynite import FEModel3D

from tankwright.physics.beam_solver import BeamAnswer, continuous_beam

STIFFNESS = 11e9  # Pa
SECOND_MOMENT = 3.215e-6  # m4, 45 x 95 mm

BEAMS: dict[
    str,
    tuple[float, tuple[float, ...], tuple[tuple[float, float, float], ...], tuple[tuple[float, float], ...]],
]
BEAMS = {
    "two tanks on one bay": (1.2, (0.0, 1.2), ((0.02, 0.62, 640.0), (0.64, 1.18, 910.0)), ()),
    "patches that overlap and a force": (
        1.6,
        (0.0, 1.6),
        ((0.1, 0.9, 400.0), (0.5, 1.3, 250.0)),
        ((0.33, 180.0), (1.5, 60.0)),
    ),
    "three uprights, one bay full": (1.9, (0.0, 0.95, 1.9), ((0.03, 0.93, 950.0),), ()),
    "four uprights and both ends past them": (
        2.6,
        (0.2, 0.9, 1.7, 2.4),
        ((0.0, 0.6, 700.0), (0.7, 1.6, 820.0), (1.75, 2.6, 300.0)),
        ((1.2, 150.0),),
    ),
}  # fmt: skip


def framed(name: str) -> FEModel3D:
    length, supports, patches, points = BEAMS[name]
    model = FEModel3D()
    model.add_material("timber", STIFFNESS, STIFFNESS / 16.0, 0.3, 4000.0)
    model.add_section("bearer", 4.275e-3, 7e-7, SECOND_MOMENT, 1e-6)
    places = sorted({0.0, length, *supports})
    for x in places:
        model.add_node(f"{x}", x, 0.0, 0.0)
        stands = x in supports
        model.def_support(f"{x}", x == supports[0], stands, stands, x == supports[0], False, False)
    model.add_member("beam", f"{places[0]}", f"{places[-1]}", "timber", "bearer")
    for start, end, load in patches:
        model.add_member_dist_load("beam", "Fy", -load, -load, start, end)
    for at, force in points:
        model.add_member_pt_load("beam", "Fy", -force, at)
    model.analyze(check_statics=False)
    return model


def solved(name: str) -> BeamAnswer:
    length, supports, patches, points = BEAMS[name]
    return continuous_beam(
        length=length, supports=supports, patches=patches, points=points,
        bending_stiffness=STIFFNESS * SECOND_MOMENT,
    )  # fmt: skip


@pytest.mark.parametrize("name", BEAMS)
def test_the_frame_program_finds_the_same_beam(name: str) -> None:
    length, supports, _, _ = BEAMS[name]
    model, answer = framed(name), solved(name)
    for x, reaction in zip(supports, answer.reactions, strict=True):
        assert model.nodes[f"{x}"].RxnFY["Combo 1"] == pytest.approx(reaction, rel=1e-6, abs=1e-6)
    beam = model.members["beam"]
    for x in [length * index / 23.0 for index in range(1, 23)]:
        assert beam.moment("Mz", x, "Combo 1") == pytest.approx(-answer.moment_here(x), rel=1e-6, abs=1e-6)
        assert beam.deflection("dy", x, "Combo 1") == pytest.approx(-answer.sag_here(x), rel=1e-6, abs=1e-11)
