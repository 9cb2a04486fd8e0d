"""Defaults of racks and floors: damp, creep, what a sag may be, what a frame leans, what a floor is designed for."""

from __future__ import annotations

from typing import Final

from tankwright.catalogue.assumption import MEMORY, PRACTICE
from tankwright.catalogue.assumption import row as _a

RACK_ROWS: Final = (
    _a("racks.service_class", "service class of a rack's timber", 2.0, 1.0, 3.0, "number", "racks",
       "a fish room is damp; with spills and drips it is 3", "EN 1995-1-1, 2.3.1.3; which class is common practice",
       "a hygrometer at the rack: class 1 to 65 % of damp, class 2 to 85 %, class 3 beyond or wetted"),
    _a("racks.sag_share", "most a bearer may sag over the years, as a share of its span", 1.0 / 300.0, 1.0 / 500.0,
       1.0 / 200.0, "slope", "racks", "EN 1995-1-1 table 7.2 leaves 1:250 to 1:350 for what is left in the end", MEMORY,
       "your own eye: how much the water line may leave the rim"),
    _a("racks.tilt", "how far out of level a tank's water line may get", 0.003, 0.002, 0.006, "length", "racks",
       "2 to 3 mm are seen along a rim", PRACTICE, "a ruler from the rim to the water at both ends"),
    _a("racks.end_length", "length of a bearer's end that rests on its block or in its notch", 0.030, 0.020, 0.045,
       "length", "racks", "two thirds of a 45 mm upright", PRACTICE, "a ruler at the joint"),
    _a("racks.out_of_plumb", "how far out of plumb a frame stands", 1.0 / 200.0, 1.0 / 400.0, 1.0 / 70.0, "slope",
       "racks", "EN 1993-1-1, 5.3.2 and EN 1995-1-1, 5.4.4 begin with 1:200", MEMORY, "a plumb line at an upright"),
    _a("racks.creep_power", "power of time by which timber creeps towards its last sag", 0.2, 0.1, 0.3, "number",
       "racks", "a third of it within a month, two thirds within a year or two", MEMORY,
       "the same sag read twice, months apart"),
    _a("racks.floor_design", "load a dwelling's floor is designed for", 1500.0, 1436.4, 2400.0, "floor_load", "racks",
       "1.5 kPa in older British and in Australian codes, 30 to 40 psf by IRC table R301.5, 1.75 kPa Dutch",
       "as beside each value; by secondary sources", "ask an engineer, and write floor_limit in the room"),
)  # fmt: skip
