"""Two examples counted a second time, by hand from what their plans say: every number is worked out beside it."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import cache

import pytest

from tankwright.takeoff.counting import count_parts
from tankwright.takeoff.model import Need, Takeoff

from .part_rooms import example


@cache
def counted(name: str) -> Takeoff:
    return count_parts(*example(name))


Measure = Callable[[Need], float]


def pieces(need: Need) -> float:
    return need.count


def metres(need: Need) -> float:
    assert need.length is not None, need.article
    return need.count * need.length


def square_metres(need: Need) -> float:
    return need.count * (need.area or math.prod(need.size or (0.0, 0.0)))


def litres(need: Need) -> float:
    return need.count * (need.volume or 0.0) * 1000.0


# In the mended cellar 7 long90 (two on A, B and C each, one on E), 23 mid60 (A 3, B 6, C 3, D 6, E 1, Q 4) and 8 cube30
# (A 4, D 4) stand, are ordered or wished for: 38 tanks. D1 to D6 are glued here, D7 to D10 are ordered.
MENDED: list[tuple[str, str, Measure, float]] = [
    ("tank long90", "stands", pieces, 7),
    ("tank mid60", "stands", pieces, 17),
    ("tank mid60", "made here", pieces, 6),
    ("tank cube30", "stands", pieces, 4),
    ("tank cube30", "ordered", pieces, 4),
    ("bulkhead for a 29 mm hole", "to buy", pieces, 38),
    ("13 mm hose", "to buy", pieces, 38),
    ("hose tail 1/2 in BSP R x 13 mm", "to buy", pieces, 2 * 38),  # one at the bulkhead, one at the drain
    ("hose clip for 13 mm hose", "to buy", pieces, 2 * 38),
    ("sponge filter", "to buy", pieces, 38),
    # panes of 600 x 300 x 320 with sides and a base of 6: front and back 600 x 314, ends 288 x 314
    ("glass 6 mm annealed", "to buy", square_metres, 6 * (0.6 * 0.3 + 2 * 0.314 * (0.6 + 0.288))),
    # joints: 4 x 314 + 2 x 600 + 2 x 288 = 3032 mm; film 2 x 6 mm2 and half of a fillet of 8 x 8 mm2
    ("silicone for glass tanks", "to buy", litres, 6 * 3.032 * (0.012 + 0.032)),
    # two to a long90, one to each other: 14 + 17 + 4; of those to come D1 to D6 and D7 to D10
    ("glass 4 mm for lids", "stands", pieces, 35),
    ("glass 4 mm for lids", "to buy", pieces, 10),
    ("tank heater 50 W", "stands", pieces, 14),
    ("tank heater 35 W", "stands", pieces, 17),
    ("tank heater 35 W", "to buy", pieces, 6),
    # 888 x 368 mm inside, 2 cm deep, in 7 tanks
    ("gravel or sand", "stands", litres, 7 * 8.88 * 3.68 * 0.2),
    ("foam 5 mm", "to buy", square_metres, 7 * 0.9 * 0.38 + 23 * 0.6 * 0.3 + 8 * 0.3 * 0.3),
    # 5.2 x 3.4 m with the ring 5 cm off the walls is 2 x (5.1 + 3.3) = 16.8 m, a tap every 10 cm
    ("air tap on 25 mm ISO x 4 mm", "to buy", pieces, 168),
    ("elbow 90 25 mm ISO", "to buy", pieces, 4),
    ("dripper on 16 mm PE with outlet for 4 mm tube, compensating dripper 2 L/h", "to buy", pieces, 34),  # not Q1 to Q4
    # four uprights to a rack: 4 racks of 1.8 m, one of 1.3 m, one of 1.5 m
    # between uprights 1.81, 0.96 and 1.21 m; end pieces 450 - 190 = 260 and 400 - 190 = 210 mm, two to a shelf
    #   three_high: 4 racks x 3 shelves x (4 bearers of 1.81 + 2 x 0.26)
    ("timber 45x95 mm C24", "to buy", pieces, 24 + 12 * 6),
    ("timber 45x95 mm C24", "to buy", metres, 4 * (4 * 1.8 + 1.3 + 1.5) + 12 * (4 * 1.81 + 2 * 0.26)),
    #   narrow: 2 x (2 x 0.96 + 2 x 0.26 + 2 cross pieces of 0.36) = 6.32: 960 > 450 + 45 + 450, so two
    #   two_high: 2 x (2 x 1.21 + 2 x 0.21 + 2 cross pieces of 0.31) = 6.92
    ("timber 45x70 mm C24", "to buy", metres, 6.32 + 6.92),
    # diagonals: 0.96 by 0.62 and 1.21 by 0.56 m
    ("timber 45x45 mm C24", "to buy", metres, math.hypot(0.96, 0.62) + math.hypot(1.21, 0.56)),
    ("plywood 18 mm", "to buy", square_metres, 12 * 1.9 * 0.45 + 2 * 1.05 * 0.45 + 2 * 1.3 * 0.4),
    ("plywood 9 mm", "to buy", square_metres, 4 * 1.9 * 1.18),
    # two at each end of each bearer and end piece: 12 shelves x (8 + 4), 4 shelves x (4 + 4)
    ("angle bracket", "to buy", pieces, 12 * 12 + 4 * 8),
    ("screw for angle brackets", "to buy", pieces, 8 * 176),
    # every 20 cm: 10 in 1.81 m, 5 in 0.96 m, 7 in 1.21 m
    ("screw for shelf boards", "to buy", pieces, 12 * 4 * 10 + 2 * 2 * 5 + 2 * 2 * 7),
    ("foot under a leg", "to buy", pieces, 24),
    ("wall tie with screw and plug", "to buy", pieces, 12),
    ("18 W light", "to buy", pieces, 6 + 6 + 4 + 6),
    ("timer switch", "to buy", pieces, 4),
    # from the panel at (5.55, 1.5, 1.5), the laundry being 30 cm beyond the cellar's wall, square along walls, + 15 %;
    # room heat: rack E's middle (4.025, 0.305), 1.9 m up
    ("cable for a circuit of 16 A", "to buy", metres, 1.15 * (1.525 + 1.195 + 0.4)),
    # air: A (1.1, 3.095) at 2.1; lights at 1.98: A, B (3.1, 3.095), C (4.895, 1.7), D (2.45, 0.305)
    ("cable for a circuit of 10 A", "to buy", metres,
     1.15 * (4.45 + 1.595 + 0.6 + 4.45 + 1.595 + 0.48 + 2.0 + 1.795 + 1.395 + 2.445 + 1.395)),
    # 17.2 m around, 2.15 m high, less the one board of 60 x 125 cm that lies whole in the door of 80 cm
    ("extruded polystyrene 80 mm", "to buy", square_metres, 17.2 * 2.15 - 0.6 * 1.25),
    ("extruded polystyrene 30 mm", "to buy", square_metres, 5.2 * 3.4),
    ("plasterboard 12.5 mm", "to buy", square_metres, 17.2 * 2.15 + 5.2 * 3.4 + 2.1 * 1.8),
    ("mineral wool 120 mm", "to buy", square_metres, 5.2 * 3.4 + 2.1 * 1.8),
]  # fmt: skip

GARAGE: list[tuple[str, str, Measure, float]] = [
    ("tank breeder", "stands", pieces, 10),  # N1 to N6, S1, S2, S6, S7
    ("tank breeder", "to buy", pieces, 2),  # S8, S9
    ("tank small", "stands", pieces, 6),
    ("bulkhead for a 1 1/8 in hole", "to buy", pieces, 18),
    ("air tap on 3/4 in ASTM x 5/32 in", "to buy", pieces, 30),
    ("sponge filter", "to buy", pieces, 18),
    ("rack steel", "to buy", pieces, 4),
    ("foot under a leg", "to buy", pieces, 16),
    # 36 1/4 by 18 1/4 and 20 1/4 by 10 1/2 in
    ("foam 5 mm", "to buy", square_metres, (12 * 36.25 * 18.25 + 6 * 20.25 * 10.5) * 0.0254**2),
    # walls 2 x (19 2/3 + 10 1/2) x 8 ft, less a window of 2 by 1 1/2 ft and a door of 3 ft by 2 m, as assumed
    ("mineral wool 3 1/2 in", "to buy", square_metres, (2 * (59 / 3 + 10.5) * 8 - 2 * 1.5) * 0.3048**2 - 0.9144 * 2.0),
    ("mineral wool 7 in", "to buy", square_metres, 59 / 3 * 10.5 * 0.3048**2),
    # two coats of 1/8 mm
    ("floor paint", "to buy", litres, 59 / 3 * 10.5 * 0.3048**2 * 0.25),
]  # fmt: skip


@pytest.mark.parametrize(
    ("name", "article", "state", "measure", "wanted"),
    [("cellar_mended", *row) for row in MENDED] + [("garage", *row) for row in GARAGE],
)
def test_a_second_count_by_hand_comes_to_the_same(
    name: str, article: str, state: str, measure: Measure, wanted: float
) -> None:
    found = [one for one in counted(name).needs if (one.article, one.state) == (article, state)]
    assert found
    assert sum(map(measure, found)) == pytest.approx(wanted, rel=1e-6)


def test_the_drains_of_the_mended_cellar_are_as_long_as_their_ways() -> None:
    """A fitting takes 26 mm off each side of its middle; a run begins in a tee and ends in its outfall."""
    found = {
        one.mark: one.length for one in counted("cellar_mended").needs if one.article == "pipe 50 mm ISO PN6"
    }
    # 4 cm off the walls: from rack A's end at 0.15 m to the corner at 5.16 m, from there 3.36 - 0.04 m south
    assert found["main 2"] == pytest.approx(5.16 - 0.15 - 2 * 0.026)
    assert found["main 3"] == pytest.approx(3.36 - 0.04 - 2 * 0.026)
    # from rack D's end at 1.5 m to the outfall's line at 5.1 m; from rack Q's far end to the gully: 1.5 m to 0.2 m
    assert found["south 2"] == pytest.approx(5.1 - 1.5 - 2 * 0.026)
    assert found["drain quarantine 2"] == pytest.approx(1.3 - 2 * 0.026)
