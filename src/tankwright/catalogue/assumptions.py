"""Every default the tool falls back on, with its band, its reason and how to replace it by a measurement.

A value the plan does not give is taken from here and from nowhere else. The owner replaces one for the whole room
under `[assume]` in the plan, or for one thing by writing the key in its table.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from tankwright.origin import Known, Origin


@dataclass(frozen=True, slots=True, kw_only=True)
class Assumption:
    """A default in SI units and the band it may really lie in. `systems` are the ones that use it."""

    key: str
    what: str
    value: float
    low: float
    high: float
    dimension: str
    systems: tuple[str, ...]
    reason: str
    source: str
    measure: str

    def known(self, value: float | None = None) -> Known:
        """This assumption as a value of the room; `value` stands in for the default (a trial at the band's end)."""
        return Known(
            self.value if value is None else value,
            Origin.ASSUMED,
            key=self.key,
            band=(self.low, self.high),
            reason=self.reason,
        )


PRACTICE: Final = "common practice, no source"
MEMORY: Final = "from memory"


def _a(  # noqa: PLR0913, PLR0917 - one row of the table below
    key: str,
    what: str,
    value: float,
    low: float,
    high: float,
    dimension: str,
    systems: str,
    reason: str,
    source: str,
    measure: str,
) -> Assumption:
    return Assumption(
        key=key, what=what, value=value, low=low, high=high, dimension=dimension,
        systems=tuple(systems.split()), reason=reason, source=source, measure=measure,
    )  # fmt: skip


_ROWS: Final = (
    _a("glass.sides", "thickness of the side panes", 0.006, 0.004, 0.008, "length", "layout load",
       "small tanks are commonly 4 to 8 mm", PRACTICE, "a caliper on the top edge"),
    _a("glass.base", "thickness of the base pane", 0.006, 0.005, 0.010, "length", "layout load",
       "often the sides' thickness or one size up", PRACTICE, "a caliper, or depth outside less depth inside"),
    _a("glass.density", "density of glass", 2500.0, 2450.0, 2550.0, "density", "load",
       "soda-lime glass", "EN 572-1, from memory", "weigh an empty tank"),
    _a("hole.diameter", "hole for the overflow fitting", 0.029, 0.024, 0.038, "length", "layout",
       "half-inch bulkheads need 28 to 35 mm by maker", PRACTICE, "a caliper on the fitting's body"),
    _a("hole.below_rim", "hole centre below the rim", 0.070, 0.050, 0.100, "length", "layout drain",
       "room for flange and elbow under the rim", PRACTICE, "a ruler"),
    _a("hole.from_left", "hole centre from the left edge (on an end pane: from the front)", 0.075, 0.050, 0.150,
       "length", "layout", "near a corner, where elbow and hose are out of the way", PRACTICE, "a ruler"),
    _a("hole.from_back", "centre of a hole in the base from the back edge", 0.075, 0.050, 0.150, "length", "layout",
       "near a back corner", PRACTICE, "a ruler"),
    _a("overflow.reach", "elbow reach, hole centre to mouth", 0.034, 0.025, 0.045, "length", "layout drain",
       "a 20 mm pressure elbow", PRACTICE, "a ruler on the elbow"),
    _a("overflow.bore", "bore of the overflow mouth", 0.016, 0.012, 0.020, "length", "drain",
       "a half-inch fitting", PRACTICE, "a caliper"),
    _a("overflow.below_rim", "water level below the rim", 0.040, 0.025, 0.060, "length", "layout load drain",
       "usual freeboard of a drilled tank", PRACTICE, "a ruler from rim to water"),
    _a("tank.fill_below_rim", "water below the rim of an undrilled tank", 0.030, 0.020, 0.050, "length",
       "layout load", "filled by eye", PRACTICE, "a ruler from rim to water"),
    _a("strainer.open", "open share of the overflow mouth", 1.0, 0.5, 1.0, "share", "drain",
       "no strainer was named; EN 12056-3 halves the capacity of a guarded outlet", "EN 12056-3, from memory",
       "count and measure the slots"),
    _a("substrate.density", "wet bulk density of the bed", 1900.0, 1600.0, 2100.0, "density", "load",
       "gravel with water in its pores", PRACTICE, "weigh a litre of it wet"),
    _a("fittings.mass", "heater, filter, lid, wood in a tank", 2.0, 0.5, 6.0, "mass", "load",
       "a sponge filter, a lid and a few stones", PRACTICE, "a kitchen scale"),
    _a("tank.gap", "gap between neighbours", 0.010, 0.005, 0.020, "length", "layout",
       "fingers and tolerance", PRACTICE, "a ruler"),
    _a("rack.off_wall", "gap between rack and wall", 0.080, 0.050, 0.150, "length", "layout",
       "drain pipe and hoses behind the rack need 5 to 10 cm", PRACTICE, "a ruler"),
    _a("rack.mass", "mass of an empty rack per square metre of shelf", 20.0, 10.0, 35.0, "mass", "load",
       "timber bearers and boards", PRACTICE, "weigh the timber, or count it"),
    _a("rack.upright_width", "width of an upright", 0.045, 0.035, 0.070, "length", "layout",
       "45 mm planed timber", PRACTICE, "a ruler"),
    _a("rack.shelf_thickness", "shelf, from its upper face to the lowest bearer under it", 0.090, 0.040, 0.140,
       "length", "layout", "a 70 mm bearer with a board on it", PRACTICE, "a ruler"),
    _a("aisle.least", "narrowest aisle to work in", 0.61, 0.55, 0.75, "length", "layout",
       "24 in to work a bottom tank; 75 to 90 cm is comfortable", PRACTICE, "try it with a bucket"),
    _a("reach.clear_above", "clear height over a tank", 0.15, 0.12, 0.20, "length", "layout",
       "6 in for a hand and a net", PRACTICE, "try it with your hand and net"),
    _a("reach.arm", "reach to the back of a tank", 0.61, 0.50, 0.70, "length", "layout",
       "24 in before the shoulder goes in", PRACTICE, "your own arm"),
    _a("hose.bore", "bore of the overflow hose at its barb", 0.011, 0.010, 0.013, "length", "drain",
       "a 13 mm hose on a barb 2 to 3 mm less", PRACTICE, "a caliper in the barb"),
    _a("hose.slack", "extra length of a hose beyond the straight way", 1.2, 1.05, 1.6, "number", "drain",
       "it hangs in a bow", PRACTICE, "a tape along the hose"),
    _a("drain.fall", "fall of the drain", 1 / 60, 1 / 100, 1 / 40, "slope", "layout drain",
       "1:60 for 80 mm and up, 1:40 below in one code", "AS/NZS 3500.2 by two public guides", "a level"),
    _a("drain.manning_n", "Manning's n of plastic pipe", 0.009, 0.009, 0.013, "number", "drain",
       "clean plastic; slime and snail shells raise it", "Chow 1959 Table 5-6, from memory", "a dump test"),
    _a("drain.bore", "inner diameter of the drain", 0.0466, 0.036, 0.0525, "length", "drain",
       "50 mm pipe", PRACTICE, "a caliper"),
    _a("pipe.bore_share", "true bore as a share of the one remembered for a standard", 1.0, 0.95, 1.05, "number",
       "drain feed air", "the wall in the table is from memory", MEMORY, "a caliper across the pipe's end"),
    _a("water.pressure", "mains pressure", 3.0e5, 1.5e5, 5.0e5, "pressure", "feed",
       "usual house supply", PRACTICE, "a gauge on the tap"),
    _a("water.tap_height", "height of the water point", 0.9, 0.4, 1.2, "length", "feed",
       "a tap over a sink", PRACTICE, "a ruler"),
    _a("vat.height", "height of the water in a vat", 0.8, 0.3, 2.0, "length", "feed",
       "a barrel on the floor", PRACTICE, "a ruler"),
    _a("feed.bore", "inner diameter of the manifold", 0.0136, 0.0130, 0.0142, "length", "feed",
       "16 mm irrigation pipe", PRACTICE, "a caliper"),
    _a("feed.roughness", "roughness of plastic pipe", 1.5e-6, 1.0e-6, 7.0e-6, "length", "feed air",
       "drawn plastic", "Colebrook tables, from memory", "not worth measuring"),
    _a("feed.filter_loss", "pressure a filter takes at 10 L/min", 2.0e4, 0.5e4, 6.0e4, "pressure", "feed",
       "a part-used cartridge", PRACTICE, "two gauges"),
    _a("feed.rate", "nominal flow of an outlet", 4 / 3.6e6, 2 / 3.6e6, 8 / 3.6e6, "flow", "feed drain",
       "the common dripper", PRACTICE, "a jug and a clock"),
    _a("feed.at_pressure", "pressure the nominal flow is for", 1.0e5, 0.5e5, 1.5e5, "pressure", "feed",
       "the usual rating point", PRACTICE, "the data sheet"),
    _a("feed.from_pressure", "least pressure of a compensating dripper", 0.8e5, 0.5e5, 1.0e5, "pressure", "feed",
       "0.5 to 1 bar by type", PRACTICE, "the data sheet"),
    _a("feed.exponent", "exponent of an ordinary dripper", 0.5, 0.4, 0.7, "number", "feed",
       "a turbulent path", "ASABE EP405.1 by a public calculator", "flow at two pressures"),
    _a("feed.variation", "maker's coefficient of variation", 0.05, 0.03, 0.10, "share", "feed",
       "the better half of drippers", "ASABE EP405.1, from memory", "jug tests of ten drippers"),
    _a("feed.tube_bore", "bore of small tube", 0.0040, 0.0030, 0.0042, "length", "feed",
       "sold as 4 mm; the true bore is often less", PRACTICE, "a drill shank that fits"),
    _a("feed.tube_length", "length of small tube", 1.0, 0.5, 2.0, "length", "feed",
       "manifold to rim", PRACTICE, "a tape"),
    _a("feed.air_gap", "distance of an outlet's end from the rim", 0.025, 0.010, 0.050, "length", "feed",
       "hangs over the edge", PRACTICE, "a ruler"),
    _a("feed.manifold_above_rim", "manifold above the rims of its shelf", 0.06, 0.02, 0.15, "length", "feed",
       "clipped under the shelf above", PRACTICE, "a ruler"),
    _a("air.bore", "inner diameter of the ring", 0.0209, 0.0158, 0.0266, "length", "air",
       "three-quarter inch pipe", PRACTICE, "a caliper"),
    _a("air.height", "height of the ring", 2.0, 1.8, 2.2, "length", "air layout",
       "above the highest water", PRACTICE, "a tape"),
    _a("air.tap_every", "spacing of the taps", 0.10, 0.08, 0.15, "length", "air",
       "every 8 to 10 cm", PRACTICE, "a tape"),
    _a("air.tap_bore", "orifice of a fully open tap", 0.0020, 0.0010, 0.0030, "length", "air",
       "a 4 mm tap's narrowest way; no published source", PRACTICE, "a bottle test of one tap"),
    _a("air.tube_bore", "bore of the air tube", 0.0040, 0.0038, 0.0045, "length", "air",
       "sold as 4 mm", PRACTICE, "a drill shank that fits"),
    _a("air.tube_slack", "length of tube beyond the straight way", 1.3, 1.1, 1.8, "number", "air",
       "it goes round the tank's edge", PRACTICE, "a tape"),
    _a("air.diffuser_above_base", "diffuser above the base", 0.030, 0.010, 0.060, "length", "air",
       "the foot of a sponge filter", PRACTICE, "a ruler"),
    _a("air.flow_wanted", "air a sponge filter needs", 1.0 / 6e4, 0.5 / 6e4, 2.0 / 6e4, "flow", "air",
       "0.5 to 2 L/min for a small sponge", MEMORY, "a bottle test of one you are content with"),
    _a("air.loss.sponge", "pressure a sponge filter takes beyond its depth", 100.0, 20.0, 400.0, "pressure", "air",
       "an open tube under a sponge", PRACTICE, "a water manometer"),
    _a("air.loss.stone", "pressure a stone takes beyond its depth", 2450.0, 500.0, 6000.0, "pressure", "air",
       "medium stones need about 2.5 kPa", "a trade article on diffusers: 10 in of water", "a water manometer"),
    _a("air.loss.open", "pressure an open tube takes beyond its depth", 20.0, 0.0, 60.0, "pressure", "air",
       "bubbles forming at its mouth", PRACTICE, "a water manometer"),
    _a("air.check_valve_loss", "pressure to open a check valve", 500.0, 100.0, 2000.0, "pressure", "air",
       "no published source", PRACTICE, "a water manometer"),
    _a("air.lead", "pipe between pump and ring", 1.5, 0.5, 4.0, "length", "air",
       "pump beside the ring", PRACTICE, "a tape"),
    _a("pump.height", "height of the air pump", 2.0, 0.3, 2.2, "length", "air",
       "on a shelf above the tanks", PRACTICE, "a tape"),
    _a("power.voltage", "supply voltage", 230.0, 220.0, 240.0, "voltage", "power",
       "IEC 60038 nominal", "IEC 60038, from memory", "the meter's label"),
    _a("power.continuous_share", "share of a rating to load for hours", 0.8, 0.7, 1.0, "share", "power",
       "a margin of ours; some codes demand it for loads over 3 h", PRACTICE, "your electrician"),
    _a("power.board_rating", "rating of a power board", 10.0, 10.0, 13.0, "current", "power",
       "the usual board", PRACTICE, "its label"),
    _a("power.board_height", "height of a board's sockets", 1.5, 0.3, 2.0, "length", "power",
       "fixed to an upright", PRACTICE, "a tape"),
    _a("people.longest_absence", "longest time nobody looks", 172800.0, 43200.0, 604800.0, "duration", "drain",
       "a weekend away", PRACTICE, "your own calendar"),
)  # fmt: skip

ASSUMPTIONS: Final[dict[str, Assumption]] = {row.key: row for row in _ROWS}
