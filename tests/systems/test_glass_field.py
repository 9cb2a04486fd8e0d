"""The picture of a pane by the quick screening: the same left and right, more under more water, what one place says."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from tankwright.origin import Known, Origin
from tankwright.systems.glass import hole_screen, plate_of, screen_pane
from tankwright.systems.glass_field import hole_field, plain_field
from tankwright.systems.glass_full_model import HoleSurroundings
from tankwright.systems.glass_model import PaneScreen
from tankwright.workspace.opened import open_plan

EXAMPLES = Path(__file__).parents[2] / "examples"
CLEAR = HoleSurroundings()


@pytest.fixture(scope="module")
def back() -> PaneScreen:
    """The back pane of the cubes of an example."""
    study = open_plan(EXAMPLES / "cellar_mended.toml").study
    assert study is not None
    assert study.glass is not None
    return study.glass.of("cube30", "back")[0]


def test_what_a_cell_says_is_what_the_screening_of_its_middle_says(back: PaneScreen) -> None:
    case, hole = back.case, back.case.holes[0]
    plate = plate_of(case, case.head)
    for cell in hole_field(case, back.strengths, CLEAR, 0)[::37]:
        if cell.use is None:
            continue
        moved = replace(hole, x=sum(cell.x) / 2, y=sum(cell.y) / 2)
        one = hole_screen(moved, plate, back.strengths)
        assert cell.use == pytest.approx(one.use, rel=1e-6)


def test_it_is_the_same_from_left_and_right(back: PaneScreen) -> None:
    cells = hole_field(back.case, back.strengths, CLEAR, 0)
    by_place = {(round(sum(one.x) / 2, 6), round(sum(one.y) / 2, 6)): one.use for one in cells}
    for (x, y), use in by_place.items():
        mirror = by_place[round(back.case.length - x, 6), y]
        assert (use is None) == (mirror is None)
        if use is not None:
            assert use == pytest.approx(mirror, rel=1e-6)


def test_more_water_asks_more_of_every_place(back: PaneScreen) -> None:
    less = replace(back.case, head=0.6 * back.case.head)
    low, high = (plain_field(case, back.strengths) for case in (less, back.case))
    assert sum(one.use or 0.0 for one in low) < sum(one.use or 0.0 for one in high)
    assert max(one.use or 0.0 for one in low) < max(one.use or 0.0 for one in high)


def test_the_plain_field_peaks_where_and_as_high_as_the_screening_says(back: PaneScreen) -> None:
    screen = screen_pane(replace(back.case, holes=()), back.strengths)
    highest = max(plain_field(screen.case, screen.strengths), key=lambda one: one.use or 0.0)
    assert highest.use == pytest.approx(screen.plain / screen.strengths.working_surface.value, rel=0.1)


def test_a_hole_nobody_measured_has_no_colours_and_its_middle_may_not_be_at_the_edge(
    back: PaneScreen,
) -> None:
    guessed = Known(0.029, Origin.ASSUMED, key="hole.diameter", band=(0.02, 0.04), reason="a usual one")
    case = replace(back.case, holes=(replace(back.case.holes[0], diameter=guessed),))
    cells = hole_field(case, back.strengths, CLEAR, 0)
    assert all(one.use is None for one in cells)
    assert cells[0].kept_out
    assert not all(one.kept_out for one in cells)
