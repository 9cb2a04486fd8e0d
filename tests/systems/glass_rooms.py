"""Rooms with one kind of tank whose glass is said, for the tests of glass."""

from __future__ import annotations

from dataclasses import replace

from tankwright.origin import Known, Origin
from tankwright.plan.reading import read_plan_text
from tankwright.room.layout import lay_out
from tankwright.room.model import Pane, Room
from tankwright.systems.glass import solve_glass
from tankwright.systems.glass_model import GlassResult, PaneCase, PaneHole, PaneScreen, Strengths
from tankwright.systems.glass_panes import panes_of
from tankwright.systems.glass_strengths import strengths_of

PLAN = """
[room.cellar]
size = {{ length = "4 m", width = "3 m", height = "2.4 m" }}
floor = "slab"

[tank_kind.long]
outside = {outside}
{glass}
{hole}
{overflow}
{kind}

[rack_kind.plain]
length = "200 cm"
depth = "60 cm"
shelves = ["40 cm", "110 cm"]
uprights_at = {uprights}
upright_width = "45 mm"

[[rack]]
id = "A"
kind = "plain"
room = "cellar"
wall = "north"
from_west = "50 cm"
off_wall = "10 cm"
shelf.1 = [{{ kind = "long", ids = "{ids}", from_left = "10 cm"{standing} }}]
{more}
"""

USUAL = {
    "outside": '["60 cm", "40 cm", "38 cm"]',
    "glass": 'glass = { sides = "6 mm", base = "6 mm", temper = "annealed" }',
    "hole": 'hole = { pane = "back", diameter = "35 mm", from_left = "90 mm", below_rim = "70 mm", flange = "50 mm" }',
    "overflow": 'overflow = { elbow_reach = "34 mm", water_below_rim = "42 mm", bore = "16 mm" }',
    "kind": 'base_on = "bed"',
    "uprights": '["0 cm", "195.5 cm"]',
    "ids": "A1..A2",
    "standing": "",
    "more": "",
}
"""A room with nothing to say about its glass but that it is screened."""


def glass_room(**changes: str) -> Room:
    """The usual room with some of its text changed."""
    text = PLAN.format(**{**USUAL, **changes})
    read = read_plan_text(text, "test.toml")
    assert read.plan is not None, [finding.text for finding in read.findings]
    room = lay_out(read.plan).room
    assert room is not None
    return room


def solved(**changes: str) -> GlassResult:
    """Its glass."""
    return solve_glass(glass_room(**changes))


def screened(pane: Pane, **changes: str) -> PaneScreen:
    """One pane of it."""
    (one,) = solved(**changes).of("long", pane)
    return one


def case_of(pane: Pane, **changes: str) -> tuple[PaneCase, Strengths]:
    """One pane as it is loaded, and what it may bear."""
    room = glass_room(**changes)
    (case,) = (one for one in panes_of(room).cases if one.pane == pane)
    return case, strengths_of(room, case)


def moved(case: PaneCase, from_left: float, below_rim: float) -> PaneCase:
    """The case with its first hole drilled elsewhere."""
    x, y = case.in_frame(from_left, below_rim)
    return replace(case, holes=(replace(case.holes[0], x=x, y=y), *case.holes[1:]))


def hole_at(x: float, y: float, diameter: float = 0.035, flange: float | None = None) -> PaneHole:
    """A measured hole in the pane's own frame."""
    return PaneHole(
        x=x, y=y, diameter=Known(diameter, Origin.MEASURED),
        flange=None if flange is None else Known(flange, Origin.MEASURED), line=None,
    )  # fmt: skip
