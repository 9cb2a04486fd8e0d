"""Further holes of a tank are counted, drawn, ordered, judged and put into the build's tasks as the first one is."""

from __future__ import annotations

from pathlib import Path
from typing import Final

import pytest

from tankwright.drawing.drill_sheet import drill_sheets
from tankwright.drawing.dxf import drill_dxf
from tankwright.drawing.glass_order import glass_table
from tankwright.takeoff.counting_tanks import count_tanks
from tankwright.workspace.opened import Opened, open_text

CELLAR: Final = (Path(__file__).parent.parent.parent / "examples" / "cellar_mended.toml").read_text("utf-8")
HEAD: Final = "[tank_kind.cube30]\n"
CUBES: Final = 8


def cellar(hole: str = "") -> Opened:
    """The mended cellar, its cubes with a further hole."""
    more = f"more_holes = [{{ {hole} }}]\n" if hole else ""
    return open_text(Path("plan.toml"), CELLAR.replace(HEAD, HEAD + more))


GOOD: Final = 'pane = "back", diameter = "20 mm", from_left = "15 cm", below_rim = "50 mm"'


def bulkheads(opened: Opened) -> dict[str, int]:
    assert opened.plan is not None
    assert opened.room is not None
    found: dict[str, int] = {}
    for need in count_tanks(opened.plan, opened.room).needs:
        if need.article.startswith("bulkhead"):
            found[need.article] = found.get(need.article, 0) + need.count
    return found


def test_each_has_its_bulkhead_with_the_fitting_that_is_named():
    assert bulkheads(cellar(GOOD + ', fitting = "1/2 in BSP female"')) == bulkheads(cellar()) | {
        "bulkhead for a 20 mm hole, 1/2 in BSP female": CUBES
    }


def test_each_has_a_drill_sheet_of_its_own_that_says_which_it_is():
    room = cellar(GOOD).room
    assert room is not None
    titles = [one.title for one in drill_sheets(room)]
    assert [one for one in titles if "cube30" in one] == [
        "Cellar fish room: drill sheet, cube30, back pane, hole 1 of 2",
        "Cellar fish room: drill sheet, cube30, back pane, hole 2 of 2",
    ]
    assert not any("of 2" in one for one in titles if "cube30" not in one)
    before = cellar().room
    assert before is not None
    assert drill_dxf(room).count("\nCIRCLE\n") > drill_dxf(before).count("\nCIRCLE\n")


@pytest.mark.parametrize("glued", [frozenset(), frozenset({"cube30"})], ids=["bought", "glued"])
def test_one_the_seller_drills_is_ordered_in_the_same_pane(glued):
    room = cellar(GOOD + ', drilled = "to order"').room
    assert room is not None
    rows = [row for row in glass_table(room, glued).rows if row[0].startswith("cube30")]
    (row,) = [one for one in rows if "20" in one[7:]]
    assert row[1:3] == (("back, in the same pane", "") if glued else ("back", "4"))
    assert row[7:10] == ("20", "150", "250" if not glued else "245")
    assert "hole 2 of 2" not in " ".join(one.title for one in drill_sheets(room))


@pytest.mark.parametrize(
    ("hole", "code"),
    [
        ('pane = "back", diameter = "20 mm", from_left = "15 cm", below_rim = "16 mm"', "LAYOUT-15"),
        ('pane = "back", diameter = "4 mm", from_left = "15 cm", below_rim = "50 mm"', "LAYOUT-16"),
    ],
)
def test_a_further_hole_is_judged_as_the_first_one_is(hole, code):
    assert code not in {one.code for one in cellar().findings}
    found = next(one for one in cellar(hole).findings if one.code == code)
    assert "A6" in found.places
    assert len(found.places) == CUBES
