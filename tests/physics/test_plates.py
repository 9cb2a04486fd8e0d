"""The shelf's four formulas of a pane: the series they stand on, and a table of handbooks as another library has it."""

from __future__ import annotations

import pytest
from structuralglass import Q_
from structuralglass.helpers import Roarks4side

from tankwright.physics.plates import (
    GLASS_POISSON,
    GLASS_STIFFNESS,
    plate_deflection_four_edges,
    plate_deflection_top_free,
    plate_stress_four_edges,
    plate_stress_top_free,
)
from tankwright.physics.plates_levy import levy_plate
from tankwright.physics.ranges import OutsideValidRange

PANE = {"length": 0.9, "height": 0.45, "thickness": 0.008}


@pytest.mark.parametrize(
    "loads", [{"head": 0.45}, {"head": 0.3}, {"pressure": 4000.0}, {"head": 0.4, "pressure": 1e3}]
)
def test_they_are_the_series_with_glass_in_it(loads: dict[str, float]) -> None:
    glass = {"stiffness": GLASS_STIFFNESS, "poisson": GLASS_POISSON}
    free, held = (levy_plate(**PANE, **glass, top=top, **({"head": 0.0} | loads)) for top in ("free", "held"))
    assert plate_stress_top_free(**PANE, **loads) == free.worst
    assert plate_deflection_top_free(**PANE, **loads) == free.deflection
    assert plate_stress_four_edges(**PANE, **loads) == held.worst
    assert plate_deflection_four_edges(**PANE, **loads) == held.deflection


# Worked out beforehand with another program, full water: MPa and mm with an open top, then with a rim all along it
@pytest.mark.parametrize(
    ("length", "height", "thickness", "open_top", "rimmed"),
    [
        (0.6, 0.38, 0.005, (8.01, 1.72), (5.69, 0.41)), (0.6, 0.38, 0.006, (5.56, 1.00), (3.95, 0.24)),
        (0.9, 0.45, 0.006, (11.42, 4.67), (7.79, 0.69)), (0.9, 0.45, 0.008, (6.42, 1.97), (4.38, 0.29)),
        (1.2, 0.5, 0.008, (10.12, 5.46), (6.56, 0.55)), (1.2, 0.5, 0.010, (6.48, 2.80), (4.20, 0.28)),
    ],
)  # fmt: skip
def test_panes_of_common_tanks(
    length: float, height: float, thickness: float, open_top: tuple[float, float], rimmed: tuple[float, float]
) -> None:
    pane = {"length": length, "height": height, "thickness": thickness, "head": height}
    # water there weighs 1000 kg/m3, here that of 20 °C: a fifth of a per cent
    assert plate_stress_top_free(**pane) / 1e6 == pytest.approx(open_top[0], rel=0.003)
    assert plate_deflection_top_free(**pane) * 1000 == pytest.approx(open_top[1], rel=0.005)
    assert plate_stress_four_edges(**pane) / 1e6 == pytest.approx(rimmed[0], rel=0.003)
    assert plate_deflection_four_edges(**pane) * 1000 == pytest.approx(rimmed[1], abs=0.006)


@pytest.mark.parametrize("ratio", [1.0, 1.2, 1.4, 1.6, 1.8, 2.0, 3.0, 4.0, 5.0])
def test_a_base_on_its_edges_is_as_a_library_of_structural_glass_has_it(ratio: float) -> None:
    theirs = Roarks4side(Q_(70e9, "Pa"), Q_(ratio, "m"), Q_(1.0, "m"), t=Q_(0.01, "m"))
    load, pane = 3000.0, {"length": ratio, "height": 1.0, "thickness": 0.01, "poisson": 0.3}
    stress = abs(theirs.stress_max(Q_(load, "Pa")).to("Pa").magnitude)
    deflection = abs(theirs.deflection_max(Q_(load, "Pa")).to("m").magnitude)
    assert plate_stress_four_edges(**pane, pressure=load) == pytest.approx(stress, rel=0.001)
    # the table it carries has 0.044 for a square where the handbook prints 0.0444
    assert plate_deflection_four_edges(**pane, pressure=load) == pytest.approx(
        deflection, rel=0.011 if ratio == 1.0 else 0.006
    )


def test_a_stiffer_pane_bends_less_and_bears_the_same() -> None:
    soft = plate_deflection_top_free(**PANE, head=0.45)
    assert plate_deflection_top_free(**PANE, head=0.45, stiffness=140e9) == pytest.approx(soft / 2)


@pytest.mark.parametrize(
    "formula",
    [plate_stress_top_free, plate_deflection_top_free, plate_stress_four_edges, plate_deflection_four_edges],
)
def test_water_over_the_top_is_refused(formula: object) -> None:
    with pytest.raises(OutsideValidRange) as caught:
        formula(**PANE, head=0.46)  # type: ignore[operator]
    assert (caught.value.quantity, caught.value.high) == ("head", 0.45)
