"""A pane under standing water: against print, against the plate's own equation, against two other ways to solve it."""

from __future__ import annotations

import csv
import math
import pickle
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from Pynite import FEModel3D

from tankwright.physics.constants import STANDARD_GRAVITY, WATER_DENSITY
from tankwright.physics.hole_stress import hole_stress
from tankwright.physics.plates_levy import LevyPlate, levy_plate
from tankwright.physics.ranges import OutsideValidRange
from tankwright.plates.model import Plate, RoundHole
from tankwright.plates.solver import solve_plate

Floats = NDArray[np.float64]

PUBLISHED = Path(__file__).parent.parent / "published"
GRADIENT = WATER_DENSITY * STANDARD_GRAVITY
STEEL = {"stiffness": 200e9, "poisson": 0.3, "thickness": 0.01}
GLASS = {"stiffness": 70e9, "poisson": 0.23, "thickness": 0.006}

lengths = st.floats(0.2, 2.0)
heights = st.floats(0.2, 0.9)
levels = st.floats(0.05, 1.0)
shares = st.floats(0.0, 1.0)
tops = st.sampled_from(["free", "held"])


def published(name: str) -> list[dict[str, str]]:
    return list(csv.DictReader((PUBLISHED / name).read_text(encoding="utf-8").splitlines()[1:]))


def pane(length: float, height: float, **said: Any) -> LevyPlate:
    return levy_plate(**(GLASS | {"length": length, "height": height, "head": height, "top": "free"} | said))


def shape_ok(length: float, height: float) -> bool:
    return 0.26 < length / height < 7.9


def rigidity(said: dict[str, float]) -> float:
    return said["stiffness"] * said["thickness"] ** 3 / (12 * (1 - said["poisson"] ** 2))


def betas(plate: LevyPlate, load: float, said: dict[str, float]) -> tuple[float, float]:
    """Stress and deflection without their sizes, as handbooks print them, for a short or free side of 1 m."""
    thickness = said["thickness"]
    return plate.worst * thickness**2 / load, plate.deflection * said["stiffness"] * thickness**3 / load


# ---- print


@pytest.mark.parametrize("row", published("plate_four_edges_roark.csv"), ids=str)
@pytest.mark.parametrize("lying", [True, False])
def test_four_held_edges_are_as_roark_prints_them(row: dict[str, str], lying: bool) -> None:
    long = float(row["long_over_short"])
    if not lying and long > 4.0:
        with pytest.raises(OutsideValidRange):
            pane(1.0, long, **STEEL, head=0.0, pressure=1000.0, top="held")
        return
    length, height = (long, 1.0) if lying else (1.0, long)
    plate = pane(length, height, **STEEL, head=0.0, pressure=1000.0, top="held")
    beta, alpha = betas(plate, 1000.0, STEEL)
    assert beta == pytest.approx(float(row["beta"]), abs=(int(row["beta_gap"]) + 0.5) * 1e-4)
    assert alpha == pytest.approx(float(row["alpha"]), abs=(int(row["alpha_gap"]) + 0.5) * 1e-4)
    assert plate.worst_at == pytest.approx((length / 2, height / 2), abs=2e-3 * height)


@pytest.mark.parametrize("row", published("plate_four_edges_roark.csv"), ids=str)
def test_the_push_of_a_long_edge_is_as_roark_prints_it(row: dict[str, str]) -> None:
    plate = pane(float(row["long_over_short"]), 1.0, **STEEL, head=0.0, pressure=1000.0, top="held")
    pushed = 0.0
    for order in range(1, 80, 2):
        wave = order * math.pi / plate.length
        _, slope, _, third, _ = up_the_height(plate, order, 0.0, min(2.0 / wave, 0.5)).at(0.0)
        shear = -rigidity(STEEL) * (third - 1.7 * wave**2 * slope)
        pushed += shear * math.sin(order * math.pi / 2)
    assert pushed / 1000.0 == pytest.approx(float(row["gamma"]), abs=0.0011)


@pytest.mark.parametrize("row", published("plate_four_edges_timoshenko.csv"), ids=str)
def test_four_held_edges_are_as_timoshenko_prints_them(row: dict[str, str]) -> None:
    long = float(row["long_over_short"])
    plate = pane(long, 1.0, **STEEL, head=0.0, pressure=1000.0, top="held")
    both = sorted(plate.stresses_at(long / 2, 0.5), reverse=True)
    moments = [stress * STEEL["thickness"] ** 2 / 6 / 1000.0 for stress in both]
    assert moments[0] == pytest.approx(float(row["m_short"]), abs=1.5e-4)
    assert moments[1] == pytest.approx(float(row["m_long"]), abs=1.5e-4 if long < 5 else 2.5e-4)
    # the printed deflection at 1.4 is three last digits below the exact one, all others within two
    assert plate.deflection * rigidity(STEEL) / 1000.0 == pytest.approx(float(row["w"]), abs=3.5e-5)


@pytest.mark.parametrize("row", published("plate_three_edges_roark.csv"), ids=str)
def test_a_free_edge_is_as_roark_prints_it_but_for_one_row(row: dict[str, str]) -> None:
    plate = pane(1.0, float(row["across_over_free"]), **STEEL, head=0.0, pressure=1000.0)
    beta, alpha = betas(plate, 1000.0, STEEL)
    assert beta == pytest.approx(float(row["beta"]) + int(row["beta_gap"]) * 0.01, abs=0.0051)
    assert alpha == pytest.approx(float(row["alpha"]) + int(row["alpha_gap"]) * 0.001, abs=0.00055)
    assert plate.worst_at == pytest.approx((0.5, plate.height))
    assert plate.top_edge == pytest.approx(plate.worst, rel=1e-9)


def test_the_example_of_the_handbook_interpolates_below_the_exact_answer() -> None:
    inch, psi = 0.0254, 6894.757
    plate = levy_plate(
        length=12 * inch, height=15 * inch, thickness=0.25 * inch, stiffness=30e6 * psi, poisson=0.3,
        head=0.0, pressure=100 * psi, top="free",
    )  # fmt: skip
    assert plate.worst / psi == pytest.approx(1.659e5, rel=0.02)
    assert plate.worst / psi > 1.659e5
    assert plate.deflection / inch == pytest.approx(0.664, rel=0.02)


# Worked out beforehand with another program: full water, Poisson 0.23, beta q0 H^2/t^2 and alpha q0 H^4/(E t^3)
DESIGN = [
    (0.5, 0.0840, 0.0040, 0.0824, 0.0039), (0.75, 0.1388, 0.0146, 0.1212, 0.0122),
    (1.0, 0.1977, 0.0400, 0.1548, 0.0233), (1.25, 0.2781, 0.0900, 0.2078, 0.0345),
    (1.5, 0.3516, 0.165, 0.2522, 0.0441), (2.0, 0.4599, 0.390, 0.3136, 0.0577),
    (2.5, 0.5535, 0.710, 0.3478, 0.0655), (3.0, 0.6791, 1.118, 0.3659, 0.0697),
    (4.0, 0.9292, 2.181, 0.3801, 0.0730),
]  # fmt: skip


@pytest.mark.parametrize(("ratio", "free", "free_bent", "held", "held_bent"), DESIGN)
def test_the_table_that_tanks_are_designed_by(
    ratio: float, free: float, free_bent: float, held: float, held_bent: float
) -> None:
    for top, beta, alpha in (("free", free, free_bent), ("held", held, held_bent)):
        got = betas(pane(ratio, 1.0, top=top), GRADIENT, GLASS)
        assert got[0] == pytest.approx(beta, abs=2.5e-4)
        assert got[1] == pytest.approx(alpha, abs=6e-5 if alpha < 0.1 else 6e-4)


@pytest.mark.parametrize(
    ("ratio", "beta", "alpha"),
    [(0.5, 0.1183, 0.0250), (0.667, 0.1591, 0.0332), (1.0, 0.2014, 0.0402), (1.5, 0.2763, 0.0487),
     (2.0, 0.3416, 0.0610), (2.5, 0.3937, 0.0712), (3.0, 0.4345, 0.0793), (4.0, 0.4923, 0.0909)],
)  # fmt: skip
def test_a_tall_pane_bears_more_than_the_remembered_table_says(
    ratio: float, beta: float, alpha: float
) -> None:
    got = betas(pane(1.0, ratio, **STEEL), GRADIENT * ratio, STEEL)
    assert got == (pytest.approx(beta, abs=1e-4), pytest.approx(alpha, abs=1e-4))


def test_the_twist_near_the_sides_governs_a_long_pane() -> None:
    """The larger of both axis stresses would be a third too low: they are not what the glass feels."""
    plate = pane(4.0, 1.0)
    middle_foot = max(abs(one) for y in np.linspace(0, 1, 41) for one in plate.stresses_at(2.0, float(y)))
    assert plate.worst / middle_foot > 1.5
    assert plate.worst_at[0] < 0.5
    assert plate.top_edge == pytest.approx(0.599 * GRADIENT / GLASS["thickness"] ** 2, rel=0.002)


# ---- the plate's own equation


class Heights:
    """One sine of a deflection up a stretch of the height, and its first four derivatives."""

    def __init__(self, y: Floats, values: Floats) -> None:
        fit = np.polynomial.Chebyshev.fit(y, values, deg=y.size - 1, domain=[y[-1], y[0]])
        self.rows = [fit.deriv(n) if n else fit for n in range(5)]
        self.places = y

    def at(self, y: float) -> tuple[float, ...]:
        return tuple(float(row(y)) for row in self.rows)

    def size(self, derivative: int) -> float:
        return float(np.abs(self.rows[derivative](self.places)).max())


def up_the_height(plate: LevyPlate, order: int, low: float, high: float) -> Heights:
    """What a deflection holds of one sine along the length: sums over even places pick it out exactly."""
    count = 512
    places = np.arange(1, count) / count
    # enough points for how fast it dies away, and no more: each costs digits of the derivatives
    points = 11 + int(0.6 * order * math.pi / plate.length * (high - low))
    y = low + (high - low) * 0.5 * (1.0 + np.cos(np.linspace(0.0, math.pi, points)))
    sines = np.sin(order * math.pi * places)
    return Heights(y, 2.0 / count * plate.bent(places * plate.length, y) @ sines)


@pytest.mark.parametrize("top", ["free", "held"])
@pytest.mark.parametrize("ratio", [0.3, 1.0, 2.2, 6.0])
@pytest.mark.parametrize("level", [0.4, 0.6, 1.0])
@pytest.mark.parametrize("order", [1, 3])
def test_the_plate_equation_and_every_edge_are_kept(top: str, ratio: float, level: float, order: int) -> None:
    plate = pane(ratio, 1.0, head=level, pressure=500.0, top=top)
    wave, nu = order * math.pi / ratio, GLASS["poisson"]
    stretches = [(0.0, level, 1.0), (level, 1.0, 0.0)] if level < 1.0 else [(0.0, 1.0, 1.0)]
    parts = [up_the_height(plate, order, low, high) for low, high, _ in stretches]
    sizes = [max(part.size(n) for part in parts) for n in range(5)]
    for part, (low, high, wet) in zip(parts, stretches, strict=True):
        for y in np.linspace(low, high, 5)[1:-1]:
            value, _, second, _, fourth = part.at(float(y))
            load = 4.0 / (order * math.pi) * (500.0 + wet * GRADIENT * (level - y)) / rigidity(GLASS)
            kept = fourth - 2 * wave**2 * second + wave**4 * value
            assert kept == pytest.approx(load, abs=1e-4 * (sizes[4] + wave**4 * sizes[0]))
    value, _, second, _, _ = parts[0].at(0.0)
    assert (value, second) == (pytest.approx(0, abs=1e-9 * sizes[0]), pytest.approx(0, abs=1e-4 * sizes[2]))
    value, slope, second, third, _ = parts[-1].at(1.0)
    if top == "held":
        assert (value, second) == (
            pytest.approx(0, abs=1e-9 * sizes[0]),
            pytest.approx(0, abs=1e-4 * sizes[2]),
        )
    else:
        moment, push = second - nu * wave**2 * value, third - (2 - nu) * wave**2 * slope
        assert moment == pytest.approx(0, abs=1e-4 * (sizes[2] + wave**2 * sizes[0]))
        assert push == pytest.approx(0, abs=1e-4 * (sizes[3] + wave**2 * sizes[1]))
    if len(parts) == 2:  # nothing jumps at the water line, not even the load
        for below, above, size in zip(parts[0].at(level), parts[1].at(level), sizes, strict=True):
            assert below == pytest.approx(above, abs=1e-3 * size)


# ---- another way to solve it


def navier(length: float, height: float, head: float, at: tuple[float, float]) -> tuple[float, float, float]:
    """Deflection and both moments of a plate on four edges by Navier's double series, water up to `head`."""
    m, n = np.arange(1, 240, 2)[:, None], np.arange(1, 400)[None, :]
    alpha, beta = m * math.pi / length, n * math.pi / height
    # 2/height times the integral of gradient (head - y) sin(beta y) from 0 to head
    up = 2.0 / height * GRADIENT * (head / beta - np.sin(beta * head) / beta**2)
    load = 4.0 / (m * math.pi) * up
    w = load / rigidity(GLASS) / (alpha**2 + beta**2) ** 2 * np.sin(alpha * at[0]) * np.sin(beta * at[1])
    nu = GLASS["poisson"]
    along = rigidity(GLASS) * ((alpha**2 + nu * beta**2) * w).sum()
    across = rigidity(GLASS) * ((beta**2 + nu * alpha**2) * w).sum()
    return float(w.sum()), float(along), float(across)


@settings(max_examples=40)
@given(length=lengths, height=heights, level=st.floats(0.1, 1.0), up=st.floats(0.1, 0.9))
def test_four_held_edges_agree_with_naviers_series_at_any_level(
    length: float, height: float, level: float, up: float
) -> None:
    assume(shape_ok(length, height))
    plate = pane(length, height, head=level * height, top="held")
    at = (length / 2, up * height)
    bent, along, across = navier(length, height, level * height, at)
    to_stress = 6.0 / GLASS["thickness"] ** 2
    ours = sorted(plate.stresses_at(*at))
    theirs = sorted((along * to_stress, across * to_stress))
    assert float(plate.bent(np.array([at[0]]), np.array([at[1]]))[0, 0]) == pytest.approx(bent, rel=2e-4)
    assert ours == pytest.approx(theirs, abs=3e-4 * plate.worst)


def finite_elements(length: float, height: float, head: float, top: str) -> tuple[float, float]:
    """The largest deflection and what the supports push back, by PyNite's plates."""
    model, size = FEModel3D(), 0.05
    model.add_material("glass", GLASS["stiffness"], GLASS["stiffness"] / 2 / 1.23, GLASS["poisson"], 2500.0)
    model.add_rectangle_mesh("pane", size, length, height, GLASS["thickness"], "glass", element_type="Rect")
    model.meshes["pane"].generate()
    for node in model.nodes.values():
        edge = node.X < 1e-9 or length - 1e-9 < node.X or node.Y < 1e-9 or (
            top == "held" and height - 1e-9 < node.Y
        )  # fmt: skip
        model.def_support(node.name, True, True, edge, False, False, True)
    for name, plate in model.plates.items():
        middle = (plate.i_node.Y + plate.n_node.Y) / 2
        model.add_plate_surface_pressure(name, GRADIENT * max(head - middle, 0.0), "Case 1")
    model.add_load_combo("water", {"Case 1": 1.0})
    model.analyze_linear()
    bent = max(abs(node.DZ["water"]) for node in model.nodes.values())
    reaction = sum(node.RxnFZ["water"] for node in model.nodes.values())
    return bent, abs(reaction)


@pytest.mark.parametrize(("top", "head"), [("free", 0.5), ("free", 0.4), ("held", 0.4)])
def test_finite_elements_of_another_program_bend_alike(top: str, head: float) -> None:
    plate = pane(1.0, 0.5, head=head, top=top)
    bent, reaction = finite_elements(1.0, 0.5, head, top)
    assert plate.deflection == pytest.approx(bent, rel=0.015)
    assert plate.load == pytest.approx(reaction, rel=0.01)


# ---- what must hold for every pane


@given(length=lengths, height=heights, level=levels, pressure=st.floats(0.0, 5000.0), top=tops)
def test_the_supports_push_back_what_the_water_pushes(
    length: float, height: float, level: float, pressure: float, top: str
) -> None:
    assume(shape_ok(length, height))
    head = level * height
    plate = pane(length, height, head=head, pressure=pressure, top=top)
    depths = np.linspace(0.0, head, 2001)
    by_hand = length * (pressure * height + np.trapezoid(GRADIENT * (head - depths), depths))
    assert plate.load == pytest.approx(float(by_hand), rel=1e-9)
    pushed = plate.bottom + plate.top + 2 * plate.side + plate.corners
    assert pushed == pytest.approx(plate.load, rel=1e-9)
    assert plate.top == pytest.approx(0.0, abs=1e-9 * plate.load) or top == "held"


@given(length=lengths, height=heights, low=levels, high=levels, top=tops)
def test_more_water_bends_more_and_pulls_more(
    length: float, height: float, low: float, high: float, top: str
) -> None:
    assume(shape_ok(length, height))
    low, high = sorted((low, high))
    less, more = (pane(length, height, head=level * height, top=top) for level in (low, high))
    assert less.deflection <= more.deflection * (1 + 1e-9)
    assert less.worst <= more.worst * (1 + 2e-3)  # the peak is looked for, at little water to three digits


@pytest.mark.parametrize("top", ["free", "held"])
@pytest.mark.parametrize("ratio", [0.4, 1.0, 3.0])
def test_a_water_line_just_under_the_top_is_a_full_pane(top: str, ratio: float) -> None:
    full = pane(ratio, 1.0, top=top)
    for short in (1e-3, 1e-5):
        near = pane(ratio, 1.0, head=1.0 - short, top=top)
        assert near.worst == pytest.approx(full.worst, rel=4 * short)
        assert near.deflection == pytest.approx(full.deflection, rel=4 * short)


@given(length=lengths, height=heights, level=levels, pressure=st.floats(10.0, 5000.0), x=shares, y=shares)
def test_water_and_pressure_add_up(
    length: float, height: float, level: float, pressure: float, x: float, y: float
) -> None:
    assume(shape_ok(length, height))
    places = np.array([x * length]), np.array([y * height])
    head = level * height
    both = pane(length, height, head=head, pressure=pressure)
    water, alone = pane(length, height, head=head), pane(length, height, head=0.0, pressure=pressure)
    together = water.bent(*places) + alone.bent(*places)
    assert float(both.bent(*places)[0, 0]) == pytest.approx(float(together[0, 0]), abs=1e-4 * both.deflection)
    sums = [sum(one.stresses_at(*(float(p[0]) for p in places))) for one in (both, water, alone)]
    assert sums[0] == pytest.approx(sums[1] + sums[2], abs=2e-4 * both.worst)


@given(length=lengths, height=heights, level=levels, x=shares, y=shares, top=tops)
def test_left_is_as_right_and_nothing_passes_the_worst(
    length: float, height: float, level: float, x: float, y: float, top: str
) -> None:
    assume(shape_ok(length, height))
    plate = pane(length, height, head=level * height, top=top)
    here = plate.stresses_at(x * length, y * height)
    there = plate.stresses_at(length - x * length, y * height)
    assert sorted(here) == pytest.approx(sorted(there), abs=1e-6 * plate.worst)
    assert abs(here[0]) >= abs(here[1])
    assert abs(here[0]) <= plate.worst * (1 + 3e-3)
    assert max(abs(one) for one in plate.stresses_at(*plate.worst_at)) == pytest.approx(plate.worst)
    assert float(plate.tension(np.array([x * length]), np.array([y * height]))[0, 0]) == pytest.approx(
        abs(here[0]), abs=1e-9 * plate.worst
    )


@given(length=lengths, height=heights, thickness=st.floats(0.003, 0.02), larger=st.floats(1.1, 2.0))
def test_stress_falls_with_the_square_of_the_thickness_and_grows_with_the_size(
    length: float, height: float, thickness: float, larger: float
) -> None:
    assume(shape_ok(length, height))
    thin = pane(length, height, thickness=thickness)
    thick = pane(length, height, thickness=thickness * larger)
    assert thin.worst / thick.worst == pytest.approx(larger**2)
    assert thin.deflection / thick.deflection == pytest.approx(larger**3)
    # all sizes but the thickness grow: the water deepens as well, so the load grows with them
    grown = pane(length * larger, height * larger, thickness=thickness)
    assert grown.worst / thin.worst == pytest.approx(larger**3, rel=1e-4)
    assert grown.deflection / thin.deflection == pytest.approx(larger**5)


@given(length=lengths, height=heights, level=levels, pressure=st.floats(0.0, 3000.0))
def test_a_held_top_stiffens_and_relieves_a_full_pane(
    length: float, height: float, level: float, pressure: float
) -> None:
    """Only bending is less at any level: with little water a held top draws a little more tension to the foot."""
    assume(shape_ok(length, height))
    for head in (level * height, height):
        free, held = (pane(length, height, head=head, pressure=pressure, top=top) for top in ("free", "held"))
        assert held.deflection <= free.deflection * (1 + 1e-9)
        assert held.top_edge == 0.0
        assert 0.0 < free.top_edge <= free.worst * (1 + 1e-9)
    assert held.worst <= free.worst * (1 + 1e-6)


def test_a_dry_pane_bears_nothing() -> None:
    plate = pane(0.6, 0.38, head=0.0)
    assert (plate.worst, plate.deflection, plate.load) == (0.0, 0.0, 0.0)


def test_very_long_plates_come_to_a_strip() -> None:
    strip = pane(8.0, 1.0, head=0.0, pressure=1000.0, top="held")
    assert strip.worst == pytest.approx(6 / GLASS["thickness"] ** 2 * 1000.0 / 8, rel=2e-3)


# ---- holes


# 35 mm holes by finite elements of another program: length, height, thickness, place from the left and up, MPa
HOLES = [
    (0.6, 0.38, 0.006, 0.3, 0.335, 10.15), (0.6, 0.38, 0.006, 0.15, 0.335, 8.34),
    (0.6, 0.38, 0.006, 0.06, 0.335, 5.40), (0.6, 0.38, 0.006, 0.3, 0.38 / 3, 7.13),
    (0.9, 0.45, 0.008, 0.45, 0.405, 11.74), (0.9, 0.45, 0.008, 0.225, 0.405, 10.40),
    (0.9, 0.45, 0.008, 0.06, 0.405, 6.59), (0.9, 0.45, 0.008, 0.45, 0.15, 7.75),
]  # fmt: skip


@pytest.mark.parametrize(("length", "height", "thickness", "x", "y", "rim"), HOLES)
def test_a_hole_is_screened_near_what_finite_elements_find(
    length: float, height: float, thickness: float, x: float, y: float, rim: float
) -> None:
    """Those elements are of a thin plate: they do not know that a thicker pane raises a little more."""
    hole = pane(length, height, thickness=thickness).hole_tension(x, y, diameter=0.035)
    thin = (5 + 3 * GLASS["poisson"]) / (3 + GLASS["poisson"])
    as_thin = hole.edge_factor * hole_stress(first_stress=hole.first, second_stress=hole.second, factor=thin)
    assert -0.01 < as_thin / (rim * 1e6) - 1 < 0.07
    assert hole.stress > rim * 1e6
    assert math.hypot(hole.at[0] - x, hole.at[1] - y) == pytest.approx(0.0175)


def test_a_hole_belongs_in_a_corner_and_not_at_mid_length() -> None:
    plate = pane(0.6, 0.38)
    corner, middle = (plate.hole_tension(x, 0.335, diameter=0.035).stress for x in (0.06, 0.3))
    assert middle > 1.7 * plate.worst
    assert corner < 1.1 * plate.worst


def test_a_held_top_takes_the_free_edge_away() -> None:
    free, held = (
        pane(0.6, 0.38, top=top).hole_tension(0.3, 0.35, diameter=0.035) for top in ("free", "held")
    )
    assert free.edge_factor > 1.2
    assert held.edge_factor == 1.0


@given(x=st.floats(0.02, 0.58), y=st.floats(0.02, 0.36), diameter=st.floats(0.01, 0.036))
def test_a_hole_is_never_better_than_no_hole(x: float, y: float, diameter: float) -> None:
    plate = pane(0.6, 0.38)
    hole = plate.hole_tension(x, y, diameter=diameter)
    assert hole.stress >= max(abs(one) for one in plate.stresses_at(*hole.at))
    assert hole.stress == pytest.approx(plate.hole_tension(0.6 - x, y, diameter=diameter).stress, rel=1e-6)


@pytest.mark.parametrize(("x", "y"), [(0.01, 0.2), (0.59, 0.2), (0.3, 0.01), (0.3, 0.37), (math.nan, 0.2)])
def test_a_rim_that_leaves_the_pane_is_refused(x: float, y: float) -> None:
    with pytest.raises(OutsideValidRange):
        pane(0.6, 0.38).hole_tension(x, y, diameter=0.035)


# ---- refusals and handling


@pytest.mark.parametrize(
    ("said", "quantity"),
    [({"length": 3.1}, "length"), ({"length": 0.09}, "length"), ({"head": 0.381}, "head"), ({"head": -0.1}, "head"),
     ({"thickness": 0.0}, "thickness"), ({"thickness": 0.096}, "thickness"), ({"poisson": 0.5}, "poisson"),
     ({"stiffness": 1e7}, "stiffness"), ({"pressure": -1.0}, "pressure"), ({"height": math.nan}, "height")],
)  # fmt: skip
def test_what_the_series_is_not_for_is_refused(said: dict[str, float], quantity: str) -> None:
    with pytest.raises(OutsideValidRange) as caught:
        pane(**({"length": 0.6, "height": 0.38} | said))
    assert caught.value.quantity == quantity


@pytest.mark.parametrize(
    ("x", "y"), [(-0.001, 0.1), (0.601, 0.1), (0.3, 0.381), (0.3, -0.1), (math.nan, 0.1)]
)
def test_a_place_beside_the_pane_is_refused(x: float, y: float) -> None:
    with pytest.raises(OutsideValidRange):
        pane(0.6, 0.38).stresses_at(x, y)


def test_the_same_pane_is_worked_out_once_and_travels_between_processes() -> None:
    plate = pane(0.6, 0.38)
    assert pane(0.6, 0.38) is plate
    again = pickle.loads(pickle.dumps(plate))
    assert again.stresses_at(0.2, 0.3) == plate.stresses_at(0.2, 0.3)


@pytest.mark.parametrize("top", ["free", "held"])
@pytest.mark.parametrize(("length", "height"), [(0.6, 0.38), (1.2, 0.45), (0.4, 0.4)])
@pytest.mark.parametrize("wet", [1.0, 0.85])
def test_a_screened_hole_is_nowhere_far_from_our_own_finite_elements(
    top: Any, length: float, height: float, wet: float
) -> None:
    """Both for a thin plate: near a held edge the screening is up to a fifth too high, nowhere 6 % too low."""
    thin, choose = (5 + 3 * GLASS["poisson"]) / (3 + GLASS["poisson"]), np.random.default_rng(5)
    plate = pane(length, height, head=wet * height, top=top)
    for _ in range(3):
        diameter = float(choose.choice([0.02, 0.035, 0.05]))
        x, y = (float(choose.uniform(diameter, side - diameter)) for side in (length, height))
        shape = Plate(
            length=length, height=height, head=wet * height, top=top, **GLASS,
            holes=(RoundHole(x=x, y=y, diameter=diameter),),
        )  # fmt: skip
        found = solve_plate(shape).holes[0].stress
        hole = plate.hole_tension(x, y, diameter=diameter)
        raised = hole_stress(first_stress=hole.first, second_stress=hole.second, factor=thin)
        assert -0.06 < hole.edge_factor * raised / found - 1 < 0.2, (x, y, diameter)
        assert hole.stress > 0.975 * found
