"""What a drill sheet says of the stress at its hole: screened, in full, where less is asked, never more than known."""

from __future__ import annotations

import importlib.util
import sys
from dataclasses import replace
from pathlib import Path
from types import ModuleType

import pytest

from tankwright.display import words
from tankwright.drawing.drill_sheet import drill_sheet
from tankwright.drawing.drill_stress import (
    NOT_COMPUTED,
    TOO_MUCH,
    DrillStress,
    drill_stresses,
    stress_rows,
)
from tankwright.drawing.measured import measured_off
from tankwright.finding import Number
from tankwright.origin import Known, Origin
from tankwright.systems.glass_full_model import FullPane, HoleMap
from tankwright.systems.glass_model import GlassResult, PaneScreen
from tankwright.takeoff.panes import PaneHole, TankPane


def _beside(name: str) -> ModuleType:
    """A file beside this one; the tests are imported by path, so they are no package."""
    called = f"tests_drawing_{name}"
    if called not in sys.modules:
        spec = importlib.util.spec_from_file_location(called, Path(__file__).parent / f"{name}.py")
        assert spec is not None
        assert spec.loader is not None
        sys.modules[called] = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(sys.modules[called])
    return sys.modules[called]


cases, checks = _beside("strength_cases"), _beside("sheet_checks")
FULL: FullPane = cases.full(cases.pane())
MAP: HoleMap = cases.hole_map(cases.pane())
assert FULL.screen is not None
SCREEN: PaneScreen = FULL.screen


def _rows(stress: DrillStress | None, display: str = "metric") -> str:
    return " ".join(row.text for row in stress_rows(stress, display))


def test_what_was_not_computed_is_said_so() -> None:
    assert _rows(None) == NOT_COMPUTED
    assert _rows(DrillStress(screen=replace(SCREEN, holes=()))) == NOT_COMPUTED


def test_the_screening_and_the_full_check_stand_side_by_side() -> None:
    quick, whole = SCREEN.holes[0], FULL.holes[0]
    alone = _rows(DrillStress(screen=SCREEN))
    assert f"quick {words(Number(quick.stress, 'stress'))}, {words(Number(quick.use, 'share'))}" in alone
    assert "in full not worked out" in alone
    both = _rows(DrillStress(screen=SCREEN, full=FULL))
    assert (
        f"in full {words(Number(whole.stress, 'stress'))}, {words(Number(whole.use, 'share'))}; quick" in both
    )
    assert "of 3.6 MPa worked with there" in both


def test_too_much_is_told_by_the_full_check_where_there_is_one() -> None:
    assert SCREEN.use > 1.0
    assert TOO_MUCH in _rows(DrillStress(screen=SCREEN))
    assert TOO_MUCH not in _rows(DrillStress(screen=SCREEN, full=replace(FULL, use=0.9)))
    assert TOO_MUCH in _rows(DrillStress(screen=replace(SCREEN, use=0.9), full=replace(FULL, use=1.01)))


def test_where_less_is_asked_is_told_as_a_plan_says_it() -> None:
    best = MAP.best
    assert best is not None
    told = _rows(DrillStress(screen=SCREEN, found=MAP))
    assert f"{measured_off(best.below_rim)} mm below the rim" in told
    assert "from the tank's left" in told
    assert best.use is not None
    assert f"{words(Number(best.use, 'share'))} of the strength in full" in told
    here = _rows(DrillStress(screen=SCREEN, found=replace(MAP, present=best)))
    assert "Of all places that were tried the least is asked of the glass here." in here
    assert '1 5/8"' in _rows(
        DrillStress(screen=SCREEN, found=replace(MAP, best=replace(best, below_rim=0.041275))), "US"
    )


def test_of_several_fillings_the_worst_is_told_and_only_what_was_solved() -> None:
    mild = replace(SCREEN, case=replace(SCREEN.case, tanks=("A2",)), use=0.2)
    result = GlassResult(panes=(SCREEN, mild))
    found = drill_stresses(result, (FULL,), (MAP,))
    assert found == {("long90", "back"): DrillStress(screen=SCREEN, full=FULL, found=MAP)}
    failed = drill_stresses(result, (replace(FULL, status="not meshed"),), (replace(MAP, status="singular"),))
    assert failed == {("long90", "back"): DrillStress(screen=SCREEN)}
    plain = replace(SCREEN, case=replace(SCREEN.case, holes=()))
    assert drill_stresses(GlassResult(panes=(plain,))) == {}


@pytest.mark.parametrize("paper", ["A4", "A3", "Letter"])
def test_the_sheet_has_room_for_it_and_for_its_whole_pane(paper: str) -> None:
    known = Known(0.029, Origin.GIVEN)
    pane = TankPane(
        kind="long90", pane="back", width=0.9, height=0.38, thickness=Known(0.006, Origin.GIVEN), toughened=False,
        temper="unknown", finished=True,
        hole=PaneHole(across=0.825, up=0.31, diameter=known, flange=Known(0.045, Origin.GIVEN), guessed=True),
    )  # fmt: skip
    stress = DrillStress(screen=SCREEN, full=FULL, found=MAP)
    sheet = drill_sheet(pane, 7, "metric", "A room", paper, stress=stress)  # type: ignore[arg-type] # a paper
    assert checks.faults(sheet) == []
    said = checks.said(sheet)
    whole = next(one for one in said if one.startswith("the whole pane, 1:"))
    assert float(whole.partition("1:")[2]) <= 50.0
    assert "Stress at the hole's rim" in " ".join(said)
