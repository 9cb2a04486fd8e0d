"""Small plans as text, read and laid out as the program does it."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import pytest

from tankwright.finding import Severity
from tankwright.plan.reading import read_plan_text
from tankwright.room.layout import LaidOut, lay_out

Lay = Callable[..., LaidOut]

KINDS = """
[tank_kind.cube]
outside = ["40 cm", "30 cm", "32 cm"]
glass = { sides = "5 mm", base = "6 mm", temper = "annealed" }
hole = { pane = "back", diameter = "29 mm", from_left = "75 mm", below_rim = "70 mm" }
overflow = { elbow_reach = "34 mm", water_below_rim = "42 mm", bore = "16 mm" }

[rack_kind.two]
length = "130 cm"
depth = "40 cm"
shelves = ["30 cm", "90 cm"]
uprights_at = ["0 cm", "126 cm"]
upright_width = "40 mm"
"""

ROOM = """
[room.cellar]
size = { length = "5 m", width = "4 m", height = "2.2 m" }
"""


@pytest.fixture
def lay() -> Lay:
    """Lay out a plan given as text; the text itself must read without a problem unless told otherwise."""

    def lay_text(
        text: str,
        *,
        with_kinds: bool = True,
        with_room: bool = True,
        trial: Mapping[str, float] | None = None,
    ) -> LaidOut:
        whole = (ROOM if with_room else "") + (KINDS if with_kinds else "") + text
        read = read_plan_text(whole, "test.toml")
        assert [one for one in read.findings if one.severity is Severity.PROBLEM] == []
        assert read.plan is not None
        return lay_out(read.plan, trial)

    return lay_text
