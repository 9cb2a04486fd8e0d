"""Small rooms for the tests of what tanks, racks, power and shell take, laid out from short plans."""

from __future__ import annotations

from collections import Counter
from functools import cache
from pathlib import Path

from tankwright.plan.models import Plan
from tankwright.plan.reading import read_plan_file, read_plan_text
from tankwright.room.layout import lay_out
from tankwright.room.model import Room
from tankwright.takeoff.counted import Counted
from tankwright.takeoff.model import Need

EXAMPLES = Path(__file__).parents[2] / "examples"

PLAN = """
display = "{display}"
[room.cellar]
size = {{ length = "5 m", width = "4 m", height = "2.5 m" }}
floor = "{floor}"
doors = [{doors}]
windows = [{windows}]
{shell}

[tank_kind.long]
outside = ["90 cm", "38 cm", "38 cm"]
{glass}
{kind}

[rack_kind.frame]
length = "190 cm"
depth = "45 cm"
shelves = ["20 cm", "90 cm"]
height = "180 cm"
uprights_at = [{uprights}]
upright_width = "45 mm"
{rack_kind}

[[rack]]
id = "A"
kind = "frame"
room = "cellar"
{place}
shelf.1 = [{{ kind = "long", ids = "A1..A2", {standing} }}]
shelf.2 = [{{ kind = "long", ids = "A3", {standing} }}]
{more}
"""

USUAL = {
    "display": "metric",
    "floor": "slab",
    "doors": "",
    "windows": "",
    "shell": "",
    "glass": 'glass = { sides = "6 mm", base = "8 mm", temper = "annealed" }',
    "kind": "",
    "uprights": '"0 cm", "185.5 cm"',
    "rack_kind": "",
    "place": 'wall = "north"\nfrom_west = "50 cm"',
    "standing": 'state = "wished"',
    "more": "",
}


def small_room(**changes: str) -> tuple[Plan, Room]:
    """The usual room with some of its text changed."""
    read = read_plan_text(PLAN.format(**{**USUAL, **changes}), "test.toml")
    assert read.plan is not None, [finding.text for finding in read.findings]
    assert not read.findings, [finding.text for finding in read.findings]
    return read.plan, lay_out(read.plan).room


@cache
def example(name: str) -> tuple[Plan, Room]:
    """A plan of the examples, laid out."""
    plan = read_plan_file(EXAMPLES / f"{name}.toml").plan
    assert plan is not None
    return plan, lay_out(plan).room


def needs(counted: Counted, article: str) -> tuple[Need, ...]:
    """What is needed of an article; it must be one of those counted."""
    assert article in {one.key for one in counted.articles}, [one.key for one in counted.articles]
    return tuple(need for need in counted.needs if need.article == article)


def counts(counted: Counted) -> Counter[str]:
    """How many of each article."""
    total: Counter[str] = Counter()
    for need in counted.needs:
        total[need.article] += need.count
    return total


def codes(counted: Counted) -> set[str]:
    """What is said beside the list."""
    return {finding.code for finding in counted.findings}
