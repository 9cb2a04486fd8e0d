"""All sheets to build by, by name: what a command or a book asks for, without knowing how each is drawn."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final, Literal

from tankwright.drawing.air_schematic import air_schematics
from tankwright.drawing.drain_heights import drain_heights
from tankwright.drawing.drill_sheet import drill_sheets
from tankwright.drawing.drill_stress import drill_stresses
from tankwright.drawing.dxf import drill_dxf, fronts_dxf, plan_dxf
from tankwright.drawing.feed_schematic import feed_schematics
from tankwright.drawing.fronts_dimensioned import dimensioned_fronts
from tankwright.drawing.glass_order import glass_order
from tankwright.drawing.labels import tank_cards, tank_labels
from tankwright.drawing.model import Drawing
from tankwright.drawing.page import NO_NOTES, Notes
from tankwright.drawing.paper import Paper
from tankwright.drawing.plan_dimensioned import dimensioned_plans
from tankwright.drawing.strength_sheets import floor_sheets, pane_sheets, rack_sheets
from tankwright.drawing.valve_map import valve_map
from tankwright.room.model import Room
from tankwright.study import Study

SheetName = Literal[
    "plan", "fronts", "drill", "glass", "panes", "racks", "feet", "drain", "air", "feed", "valves", "labels", "cards"
]  # fmt: skip
SHEETS: Final[tuple[SheetName, ...]] = (
    "plan", "fronts", "drill", "glass", "panes", "racks", "feet", "drain", "air", "feed", "valves", "labels", "cards",
)  # fmt: skip
"""In the order of a book."""

DXF: Final[dict[str, Callable[[Room], str]]] = {"plan": plan_dxf, "fronts": fronts_dxf, "drill": drill_dxf}
"""What can be had as DXF too."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """How the sheets are wanted. `glued_here` are kinds of tank glued from ordered panes, `base_url` a name of this
    computer in the house's network; without one, labels have no code."""

    paper: Paper = "A3"
    plan_name: str = ""
    notes: Notes = NO_NOTES
    glued_here: frozenset[str] = frozenset()
    base_url: str = ""


def working_sheets(study: Study, name: SheetName, wanted: Wanted) -> tuple[Drawing, ...]:
    """The sheets of one name; none where the room has nothing of it."""
    room, paper, plan_name, notes = study.room, wanted.paper, wanted.plan_name, wanted.notes
    drawn: dict[SheetName, Callable[[], tuple[Drawing, ...]]] = {
        "plan": lambda: dimensioned_plans(study, paper=paper, plan_name=plan_name, notes=notes),
        "fronts": lambda: dimensioned_fronts(room, paper=paper, plan_name=plan_name, notes=notes),
        "drill": lambda: drill_sheets(
            room, paper=paper, plan_name=plan_name, notes=notes, stresses=drill_stresses(study.glass)
        ),
        "glass": lambda: glass_order(room, wanted.glued_here, paper=paper, notes=notes),
        "panes": lambda: pane_sheets(study, paper=paper, plan_name=plan_name, notes=notes),
        "racks": lambda: rack_sheets(study, paper=paper, plan_name=plan_name, notes=notes),
        "feet": lambda: floor_sheets(study, paper=paper, plan_name=plan_name, notes=notes),
        "drain": lambda: drain_heights(study, paper=paper, plan_name=plan_name, notes=notes),
        "air": lambda: air_schematics(study, paper=paper, plan_name=plan_name, notes=notes),
        "feed": lambda: feed_schematics(study, paper=paper, plan_name=plan_name, notes=notes),
        "valves": lambda: valve_map(room, paper=paper, plan_name=plan_name, notes=notes),
        "labels": lambda: tank_labels(room, paper=paper, base_url=wanted.base_url, notes=notes),
        "cards": lambda: tank_cards(room, paper=paper, base_url=wanted.base_url, notes=notes),
    }
    return drawn[name]()
