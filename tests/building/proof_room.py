"""A small room to prove wet, with what it hides from its owner, and readings of it with noise of a stated size."""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import cache
from random import Random

from tankwright.building.measurable import measurable
from tankwright.building.point import Reading, TestPoint
from tankwright.building.points import expected_points
from tankwright.catalogue.assumptions import ASSUMPTIONS
from tankwright.plan.models import Plan
from tankwright.plan.reading import read_plan_text
from tankwright.room.layout import lay_out
from tankwright.study import Study, work_out

TEXT = """title = "Shed"  # drawn in one evening
[room.shed]
size = { length = "4 m", width = "3 m", height = "2.3 m" }
[water_point.tap]
room = "shed"
at = ["0.2 m", "0.2 m"]
pressure = "3 bar"
height = "1 m"
flow = "10 L/min"
[outfall.gully]
room = "shed"
at = ["3.9 m", "0.2 m"]
height = "-3 cm"
[tank_kind.k]
outside = ["40 cm", "30 cm", "32 cm"]
glass = { sides = "5 mm", base = "6 mm" }
hole = { pane = "back", diameter = "29 mm", from_left = "20 cm", below_rim = "70 mm" }
overflow = { elbow_reach = "34 mm", water_below_rim = "42 mm", bore = "16 mm", strainer_open = "60 %" }
[rack_kind.r]
length = "190 cm"
depth = "45 cm"
shelves = ["40 cm", "110 cm"]
height = "180 cm"
[[rack]]
id = "A"
kind = "r"
room = "shed"
wall = "north"
from_west = "20 cm"
shelf.1 = [{ kind = "k", ids = "A1..A3" }]
shelf.2 = [{ kind = "k", ids = "A4..A6" }]
[drain.main]
to = "gully"
behind = ["A"]
pipe = "50 mm ISO 0.6 MPa"
hose = { bore = "13 mm" }
[feed.drip]
from = "tap"
pipe = "16 mm PE"
regulated_to = "1.0 bar"
outlet = { kind = "dripper", at_pressure = "1 bar", exponent = 0.5, variation = "4 %" }
program = [{ start = "02:00", minutes = 60, days = "daily" }]
[air.ring]
pump = "p"
pipe = "25 mm ISO 1.0 MPa"
height = "1.9 m"
around = "shed"
tap_every = "50 cm"
open_spare_taps = 0
lead = "1 m"
tube = { bore = "4 mm", length = "2 m" }
diffuser = { kind = "sponge", above_base = "3 cm", flow_wanted = "1.5 L/min", loss = "150 Pa" }
[pump.p]
curve = [["0 kPa", "20 L/min"], ["10 kPa", "12 L/min"], ["20 kPa", "2 L/min"]]
height = "2 m"
"""
HIDDEN = ("air.tap_bore", "pump.flow_share", "feed.rate", "drain.fall", "feed.roughness", "drain.manning_n")


def plan_of(text: str) -> Plan:
    """The plan of a text that has no mistakes."""
    read = read_plan_text(text, "shed.toml")
    assert read.plan is not None, read.findings
    return read.plan


def study_of(plan: Plan, hidden: Mapping[str, float] | None = None) -> Study:
    """The room worked out, with what it hides."""
    room = lay_out(plan, hidden or {}).room
    assert room is not None
    return work_out(room, frozenset({"air", "feed", "drain"}), walk_through=False)


@cache
def shed() -> tuple[Plan, Study, tuple[TestPoint, ...]]:
    """The plan as its owner has it, worked out, and what should come."""
    plan = plan_of(TEXT)
    study = study_of(plan)
    return plan, study, expected_points(study)


def drawn(chance: Random, keys: tuple[str, ...] = HIDDEN) -> dict[str, float]:
    """What a room may hide: each value anywhere in its band, by ratio."""
    rows = [ASSUMPTIONS[key] for key in keys]
    return {row.key: math.exp(chance.uniform(math.log(row.low), math.log(row.high))) for row in rows}


def readings_of(
    plan: Plan, points: tuple[TestPoint, ...], hidden: Mapping[str, float], chance: Random, noise: float = 1.0
) -> list[Reading]:
    """What would be read: the truth, and half a tolerance of Gaussian noise (a tolerance is two of them)."""
    truth = {one.id: one.value for one in measurable(study_of(plan, hidden))}
    return [
        Reading(
            point=one.id,
            value=truth[one.id] + noise * chance.gauss(0.0, one.tolerance / 2.0),
            unit=one.unit,
            line=1,
        )
        for one in points
    ]
