"""One tank that is not as its kind: laid out with its own values, each known as given with its own line."""

import math

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tankwright.finding import Severity
from tankwright.origin import Origin
from tankwright.physics.elbows import elbow_level
from tankwright.plan.models import Plan
from tankwright.room.layout import lay_out

RACK = """
[[rack]]
id = "R"
kind = "two"
room = "cellar"
wall = "north"
from_west = "50 cm"
off_wall = "10 cm"
shelf.1 = [{ kind = "cube", ids = "T1..T2", gap = "1 cm" }]
shelf.2 = [
  { kind = "cube", ids = "T3", state = "ordered" },
  { kind = "pipe", ids = "P1" },
  { kind = "dry", ids = "D1" },
]

[tank_kind.pipe]
outside = ["20 cm", "20 cm", "30 cm"]
hole = { pane = "base" }
overflow = { kind = "standpipe", water_below_rim = "4 cm" }

[tank_kind.dry]
outside = ["20 cm", "20 cm", "30 cm"]

[outfall.out]
room = "cellar"
at = ["0.1 m", "0.1 m"]
height = "-3 cm"

[drain.d]
to = "out"
behind = ["R"]
hose = { bore = "13 mm", length = "90 cm" }
"""
AIR = """
[pump.p]
curve = [["0 kPa", "60 L/min"], ["20 kPa", "20 L/min"]]

[air.ring]
pump = "p"
bore = "21 mm"
height = "2.05 m"
around = "cellar"
tap_every = "10 cm"
"""
CENTRE, HEIGHT, REACH, BORE = 0.25, 0.32, 0.034, 0.016
"""m, of the hole over the tank's underside, of the tank, and of its elbow: the cube of conftest."""


def said(laid):
    return [
        (one.code, one.subject, one.text, one.line)
        for one in laid.findings
        if one.severity is not Severity.NOTE
    ]


def test_an_angle_beats_the_level_of_the_kind_and_is_known_as_given_on_its_own_line(lay):
    room = lay(RACK + '[tank.T1]\noverflow = { angle = "35 deg" }\n').room
    one, like = room.tank("T1"), room.tank("T2")
    lip = elbow_level(hole_height=CENTRE, reach=REACH, bore=BORE, angle=math.radians(35))
    assert one.overflow.angle == pytest.approx(math.radians(35))
    assert one.level == one.overflow.lip == pytest.approx(0.30 + lip)
    assert one.level_known.origin is Origin.GIVEN
    assert one.level_known.value == one.level
    assert one.level_known.line == one.overflow.line != like.level_known.line
    assert one.freeboard == pytest.approx(HEIGHT - lip)
    assert one.water_volume == pytest.approx(one.inside_area * (lip - 0.006))
    assert like.level == pytest.approx(0.30 + HEIGHT - 0.042)  # its neighbour is as the kind


def test_a_level_beats_the_angle_of_the_kind(lay):
    kind = """
[tank_kind.turned]
outside = ["20 cm", "30 cm", "32 cm"]
hole = { pane = "back", below_rim = "70 mm" }
overflow = { angle = "80 deg", elbow_reach = "34 mm" }
"""
    rack = RACK.replace('{ kind = "dry", ids = "D1" }', '{ kind = "turned", ids = "U1..U2" }')
    laid = lay(kind + rack + '[tank.U2]\noverflow = { water_below_rim = "50 mm" }\n')
    assert said(laid) == []
    own, like = laid.room.tank("U2"), laid.room.tank("U1")
    assert own.level == pytest.approx(own.rim - 0.050)
    assert like.overflow.angle == pytest.approx(math.radians(80))
    assert own.overflow.angle < like.overflow.angle


def test_an_angle_and_a_level_that_disagree_are_the_mistake_they_are_in_a_kind(lay):
    laid = lay(RACK + '[tank.T1]\noverflow = { angle = "90 deg", water_below_rim = "42 mm" }\n')
    ((code, subject, text, line),) = said(laid)
    assert (code, subject) == ("LAYOUT-113", "tank T1")
    assert text == "says water {stated} below the rim, but its elbow's angle gives {turned}"
    assert line == laid.room.tank("T1").overflow.line


def test_a_level_out_of_the_elbows_reach_is_said_of_the_tank(lay):
    laid = lay(RACK + '[tank.T1]\noverflow = { water_below_rim = "5 mm" }\n')
    ((code, subject, _, _),) = said(laid)
    assert (code, subject) == ("LAYOUT-108", "tank T1")
    assert laid.room.tank("T1").level == pytest.approx(0.30 + CENTRE + REACH)


def test_a_longer_elbow_keeps_the_level_of_the_kind_and_turns_further(lay):
    room = lay(RACK + '[tank.T1]\noverflow = { elbow_reach = "50 mm" }\n').room
    one, like = room.tank("T1"), room.tank("T2")
    assert one.level == pytest.approx(like.level)
    assert one.overflow.angle > like.overflow.angle
    assert one.overflow.reach.value == pytest.approx(0.050)
    assert one.overflow.reach.line is not None


def test_a_strainer_alone_changes_nothing_but_the_strainer(lay):
    room = lay(RACK + '[tank.T1]\noverflow = { strainer_open = "40 %" }\n').room
    one, like = room.tank("T1"), room.tank("T2")
    assert (one.level, one.overflow.angle, one.overflow.bore) == (
        like.level,
        like.overflow.angle,
        like.overflow.bore,
    )
    assert one.level_known == like.level_known
    assert one.overflow.open_share.value == pytest.approx(0.4)


def test_a_standpipe_takes_a_level_but_cannot_be_turned(lay):
    laid = lay(RACK + '[tank.P1]\noverflow = { water_below_rim = "6 cm" }\n')
    assert said(laid) == []
    assert laid.room.tank("P1").level == pytest.approx(0.90 + 0.30 - 0.06)
    turned = lay(RACK + '[tank.P1]\noverflow = { angle = "35 deg" }\n')
    ((code, subject, text, _),) = said(turned)
    assert (code, subject) == ("LAYOUT-137", "tank P1")
    assert text == "is to have its elbow turned or changed, but its kind has a standpipe"
    assert turned.room.tank("P1").level == pytest.approx(0.90 + 0.30 - 0.04)


def test_an_overflow_of_a_tank_that_is_not_drilled_is_said_and_its_level_kept(lay):
    laid = lay(RACK + '[tank.D1]\noverflow = { water_below_rim = "6 cm" }\n')
    assert [(one[0], one[1]) for one in said(laid)] == [("LAYOUT-109", "tank D1")]
    tank = laid.room.tank("D1")
    assert (tank.level, tank.overflow) == (pytest.approx(0.90 + 0.30 - 0.06), None)
    assert tank.level_known.origin is Origin.GIVEN


def test_lid_state_note_and_hose_are_the_tanks_own(lay):
    room = lay(
        RACK
        + """
[tank.T3]
lid = "mesh"
state = "stands"
note = "the pair that spawns"
hose = { bore = "10 mm" }
"""
    ).room
    own, like = room.tank("T3"), room.tank("T2")
    assert (own.lid, own.state, own.note) == ("mesh", "stands", "the pair that spawns")
    assert (like.lid, like.state, like.note) == (None, "stands", None)
    assert own.hose.bore.value == pytest.approx(0.010)
    assert own.hose.bore.origin is Origin.GIVEN
    assert own.hose.length.value == pytest.approx(0.90)  # the drain's, for what the tank does not say
    assert like.hose.bore.value == pytest.approx(0.013)


def test_an_air_tap_stands_as_far_open_as_its_tank_says(lay):
    taps = lay(RACK + AIR + '[tank.T1]\nair_opening = "60 %"\n[tank.T2]\nair_opening = 0\n').room.airs[0].taps
    by_tank = {tap.tank: tap for tap in taps if tap.tank}
    assert by_tank["T1"].opening.value == pytest.approx(0.6)
    assert by_tank["T1"].opening.origin is Origin.GIVEN
    assert by_tank["T1"].open
    assert (by_tank["T2"].open, by_tank["T2"].opening.value) == (False, 0.0)
    assert (by_tank["T3"].open, by_tank["T3"].opening) == (True, None)


def test_what_leads_nowhere_is_said_with_its_line(lay):
    own = '[tank.D1]\nhose = { bore = "10 mm" }\n[tank.T1]\nair_opening = "50 %"\n'
    laid = lay(RACK + own)
    hose, tap = said(laid)
    assert hose[:3] == ("LAYOUT-138", "tank D1", "has a hose of its own, but no drain takes its water")
    assert tap[:3] == ("LAYOUT-139", "tank T1", "is to have its air tap turned, but no tap feeds it")
    assert tap[3] == hose[3] + 2
    assert [one[0] for one in said(lay(RACK + AIR + own))] == ["LAYOUT-138"]


def test_a_room_without_single_tanks_is_laid_out_as_before(lay):
    bare = lay(RACK + AIR)
    empty = lay(RACK + AIR + "[tank]\n")
    assert bare == empty


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.floats(0.0, 179.0), st.floats(0.0, 179.0))
def test_the_further_an_elbow_is_turned_down_the_lower_its_water_stands(lay, one, other):
    low, high = sorted((one, other))
    own = f'[tank.T1]\noverflow = {{ angle = "{low:.6f} deg" }}\n[tank.T2]\noverflow = {{ angle = "{high:.6f} deg" }}\n'
    room = lay(RACK + own).room
    less, more = room.tank("T1"), room.tank("T2")
    assert less.level >= more.level - 1e-12  # 1e-12 m: the rounding of two cosines
    assert less.water_volume >= more.water_volume - 1e-12
    for tank in (less, more):
        assert tank.level == tank.overflow.lip
        assert tank.freeboard == pytest.approx(tank.rim - tank.level)


@settings(max_examples=40, deadline=None)
@given(
    st.fixed_dictionaries(
        {},
        optional={
            "angle": st.floats(-1e3, 1e3).map(lambda value: f"{value:.3f} deg"),
            "water_below_rim": st.floats(0.001, 1e3).map(lambda value: f"{value:.3f} m"),
            "elbow_reach": st.floats(0.001, 1e3).map(lambda value: f"{value:.3f} m"),
            "bore": st.floats(0.001, 1e3).map(lambda value: f"{value:.3f} m"),
        },
    ),
    st.sampled_from(["cube", "pipe", "dry"]),
)
def test_no_overflow_of_a_single_tank_can_make_the_layout_fail(overflow, kind):
    kinds = {
        "cube": {"hole": {"pane": "back"}},
        "pipe": {"hole": {"pane": "base"}, "overflow": {"kind": "standpipe"}},
        "dry": {},
    }
    plan = Plan.model_validate({
        "room": {"cellar": {"size": {"length": "5 m", "width": "4 m", "height": "2.2 m"}}},
        "tank_kind": {kind: {"outside": ["40 cm", "30 cm", "32 cm"], **kinds[kind]}},
        "rack_kind": {"two": {"length": "130 cm", "depth": "40 cm", "shelves": ["30 cm"]}},
        "rack": [{"id": "R", "kind": "two", "room": "cellar", "wall": "north", "from_west": "1 m",
                  "shelf": {"1": [{"kind": kind, "ids": "T1"}]}}],
        "tank": {"T1": {"overflow": overflow}},
    })  # fmt: skip
    tank = lay_out(plan).room.tank("T1")
    assert math.isfinite(tank.level)
    assert tank.water_volume >= 0.0
