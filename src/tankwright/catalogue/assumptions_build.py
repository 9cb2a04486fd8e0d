"""Defaults of buying and building: what a saw, a bead and a spare take, where the plan does not say it.

They change no verdict of the room, so no system is named with them.
"""

from __future__ import annotations

from typing import Final

from tankwright.catalogue.assumption import MEMORY, PRACTICE
from tankwright.catalogue.assumption import row as _a

BUILD_ROWS: Final = (
    _a("buy.kerf", "width of the saw's cut", 0.003, 0.001, 0.005, "length", "",
       "a hand or circular saw 2 to 4 mm, a pipe cutter none", PRACTICE, "two cuts side by side and a caliper"),
    _a("buy.trim", "cut off a new length before its first piece", 0.010, 0.0, 0.050, "length", "",
       "ends are bruised or out of square", PRACTICE, "look at the ends in the shop"),
    _a("buy.stick", "length in which pipe and timber are sold", 4.0, 2.0, 6.0, "length", "",
       "2 to 6 m by shop and by what fits on a car", PRACTICE, "ask the shop"),
    _a("buy.spares", "small parts bought beyond what is counted", 0.05, 0.0, 0.15, "share", "",
       "one in twenty is lost, split or wrong", PRACTICE, "what was left over or short last time"),
    _a("buy.wastage", "hose, tube, cable, glue and paint bought beyond what is measured", 0.10, 0.05, 0.25, "share", "",
       "cut ends, and a way that is longer than drawn", PRACTICE, "what was left over or short last time"),
    _a("buy.silicone_joint", "silicone between two panes", 0.002, 0.001, 0.003, "length", "",
       "1 to 3 mm between the panes", PRACTICE, "a feeler gauge on a glued tank"),
    _a("buy.silicone_fillet", "leg of the silicone drawn along an inner corner", 0.008, 0.005, 0.012, "length", "",
       "a fingertip or a spatula draws 6 to 10 mm", PRACTICE, "a ruler on a glued tank"),
    _a("buy.brace_width", "width of a glass brace or of a strip of a rim", 0.060, 0.040, 0.100, "length", "",
       "4 to 10 cm by length of the tank", PRACTICE, "a ruler on a tank of that size"),
    _a("buy.lid_glass", "thickness of a glass lid", 0.004, 0.003, 0.006, "length", "",
       "3 mm breaks in the hand, 6 mm is heavy", PRACTICE, "a caliper on a lid"),
    _a("buy.lid_slot", "slot left open behind a lid for hose, tube and cord", 0.030, 0.015, 0.060, "length", "",
       "a finger and a tube pass, a fish does not", PRACTICE, "a ruler"),
    _a("buy.base_foam", "thickness of the foam under a tank", 0.005, 0.003, 0.012, "length", "",
       "it takes up grit and a board that is not flat", PRACTICE, "a ruler"),
    _a("buy.cross_every", "clear distance of cross pieces under a shelf's board", 0.45, 0.30, 0.60, "length", "",
       "18 mm boards sag visibly over more", PRACTICE, "the tanks' weight and the board's own table"),
    _a("buy.board_screws", "distance of the screws of a shelf's board", 0.20, 0.15, 0.30, "length", "",
       "a hand's breadth to a span", PRACTICE, "your own habit"),
    _a("buy.bracket_screws", "screws in an angle bracket", 8.0, 4.0, 12.0, "number", "",
       "four to a leg", PRACTICE, "count the holes"),
    _a("buy.shims", "shims under a leg", 2.0, 1.0, 4.0, "number", "",
       "two wedges against each other", PRACTICE, "a level on the floor"),
    _a("buy.cable_slack", "cable over the way along walls, square to each other", 1.15, 1.05, 1.4, "number", "",
       "round beams and doors, and a hand's length at each end", PRACTICE, "a tape along the way"),
    _a("buy.clip_every", "distance of cable clips", 0.25, 0.20, 0.40, "length", "",
       "closer on walls than on ceilings", PRACTICE, "what the electrician says"),
    _a("buy.foam_width", "width of a board of foam or wool", 0.60, 0.57, 1.25, "length", "",
       "0.6 m is common", MEMORY, "a ruler in the shop"),
    _a("buy.foam_length", "length of a board of foam or wool", 1.25, 1.0, 2.5, "length", "",
       "1.2 to 1.25 m is common", MEMORY, "a ruler in the shop"),
    _a("buy.board_width", "width of a lining board or of a sheet of wood", 1.20, 0.60, 1.25, "length", "",
       "0.6, 1.2 or 1.25 m", MEMORY, "a ruler in the shop"),
    _a("buy.board_length", "length of a lining board or of a sheet of wood", 2.40, 2.0, 3.0, "length", "",
       "2.4 to 2.5 m is common", MEMORY, "a ruler in the shop"),
    _a("buy.us_sheet_width", "width of a sheet of board or foam, in a plan read in feet", 1.2192, 0.6096, 1.2192,
       "length", "", "4 ft is common in North America", MEMORY, "a ruler in the shop"),
    _a("buy.us_sheet_length", "length of a sheet of board or foam, in a plan read in feet", 2.4384, 2.4384, 3.6576,
       "length", "", "8 ft is common in North America, 10 and 12 ft are had", MEMORY, "a ruler in the shop"),
    _a("buy.lap", "what the sheets of a vapour barrier overlap, as a share of its area", 0.15, 0.10, 0.25, "share", "",
       "10 to 15 cm of 2 m, and the edges turned up", PRACTICE, "a tape"),
    _a("buy.floor_film", "wet film of one coat of floor paint", 1.25e-4, 0.8e-4, 2.0e-4, "length", "",
       "a litre covers 6 to 10 m2 of sealed concrete", PRACTICE, "the tin"),
    _a("buy.floor_coats", "coats of floor paint", 2.0, 1.0, 3.0, "number", "",
       "a thinned first one and a full second one", PRACTICE, "the tin"),
    _a("build.pipe_clip", "distance of the clips of a stiff pipe", 0.8, 0.5, 1.0, "length", "",
       "0.5 m for a drain that must not sag, up to 1 m for air", PRACTICE, "what the pipe's maker says"),
    _a("build.soft_pipe_clip", "distance of the clips of a soft pipe", 0.5, 0.3, 0.6, "length", "",
       "drip pipe sags and creeps when it is warm", PRACTICE, "look along it after a week"),
    _a("build.vent_above", "open end of a drain's vent above the highest water that drains into it", 0.10, 0.05, 0.30,
       "length", "", "a blocked drain then shows in the tanks and not on the floor", PRACTICE, "a level"),
)  # fmt: skip
"""Rows of the table of assumptions that only lists of parts and the build order take."""
