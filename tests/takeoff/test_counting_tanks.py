"""Tanks and what belongs to one, counted once each, with panes worked out by hand."""

from __future__ import annotations

from collections import Counter

import pytest

from tankwright.finding import Severity
from tankwright.takeoff.counting_tanks import count_tanks
from tankwright.takeoff.glued import glued_length, silicone_of, strips_of

from .part_rooms import codes, counts, example, needs, small_room

GLUED = 'made = "glued here"'
HOLE = """
hole = { pane = "back", diameter = "29 mm", from_left = "75 mm", below_rim = "7 cm", fitting = "1/2 in BSP female" }
overflow = { elbow_reach = "34 mm", water_below_rim = "42 mm", bore = "16 mm", strainer_open = "60 %" }"""


@pytest.mark.parametrize("name", ["cellar", "cellar_mended", "garage", "hall"])
def test_every_tank_of_an_example_is_counted_once(name: str) -> None:
    plan, room = example(name)
    counted = count_tanks(plan, room)
    tanks = {article.key for article in counted.articles if article.kind == "tank"}
    places = Counter(place for need in counted.needs if need.article in tanks for place in need.places)
    assert places == Counter(tank.id for tank in room.tanks)
    assert sum(need.count for need in counted.needs if need.article in tanks) == len(room.tanks)


@pytest.mark.parametrize("name", ["cellar", "cellar_mended", "garage", "hall"])
def test_every_drilled_tank_has_one_bulkhead_and_one_mouth(name: str) -> None:
    plan, room = example(name)
    counted = count_tanks(plan, room)
    kinds = {article.key: article.kind for article in counted.articles}
    bulkheads = sum(need.count for need in counted.needs if kinds[need.article] == "bulkhead")
    elbows = sum(need.count for need in counted.needs if need.article.startswith("overflow elbow"))
    assert bulkheads == elbows == sum(tank.hole is not None for tank in room.tanks)


def test_the_panes_of_a_tank_of_90_by_38_by_38_cm_are_as_worked_out_by_hand() -> None:
    plan, room = small_room(kind=GLUED)
    counted = count_tanks(plan, room)
    # sides 6 mm, base 8 mm: walls 380 - 8 = 372 mm high, ends 380 - 2 x 6 = 368 mm wide; three tanks
    walls = {(need.mark, need.size, need.count) for need in needs(counted, "glass 6 mm annealed")}
    assert walls == {
        ("long front", (0.9, 0.372), 3),
        ("long back", (0.9, 0.372), 3),
        ("long left", (0.368, 0.372), 3),
        ("long right", (0.368, 0.372), 3),
    }
    (base,) = needs(counted, "glass 8 mm annealed")
    assert (base.size, base.count) == ((0.9, 0.38), 3)


def test_panes_hold_as_much_glass_as_the_laid_out_tank_weighs() -> None:
    plan, room = small_room(kind=GLUED)
    glass = sum(
        need.count * need.size[0] * need.size[1] * (0.008 if "8 mm" in need.article else 0.006)
        for need in count_tanks(plan, room).needs
        if need.article.startswith("glass") and need.size
    )
    assert glass * 2500.0 == pytest.approx(sum(tank.empty_mass.value for tank in room.tanks))


def test_a_rim_is_four_strips_and_a_cross_brace_is_one() -> None:
    tank = small_room(kind=GLUED + '\ntop = "rim"')[1].tanks[0]
    rim = strips_of(tank, 0.06)
    # inside 888 x 368 mm; between the long strips 368 - 2 x 60 = 248 mm
    assert [(one.length, one.width, one.count) for one in rim] == [
        (pytest.approx(0.888), 0.06, 2),
        (pytest.approx(0.248), 0.06, 2),
    ]
    braced = small_room(kind=GLUED + '\ntop = "braced"')[1].tanks[0]
    (brace,) = strips_of(braced, 0.06)
    assert (brace.length, brace.count) == (pytest.approx(0.368), 1)
    assert strips_of(small_room(kind=GLUED)[1].tanks[0], 0.06) == ()


def test_silicone_is_joints_times_film_and_fillet() -> None:
    tank = small_room(kind=GLUED)[1].tanks[0]
    # four corners of 372 mm, 2 x 900 + 2 x 368 mm on the base
    assert glued_length(tank, ()) == pytest.approx(1.488 + 2.536)
    # film 2 x 6 mm2, triangle 8 x 8 / 2 = 32 mm2: 44 mm2 over 4.024 m
    assert silicone_of(tank, (), 0.002, 0.008) == pytest.approx(4.024 * 44e-6)
    plan, room = small_room(kind=GLUED)
    (need,) = needs(count_tanks(plan, room), "silicone for glass tanks")
    assert need.volume == pytest.approx(4.024 * 44e-6)
    assert need.rests_on == ("buy.silicone_joint", "buy.silicone_fillet")


def test_an_own_bead_takes_the_place_of_the_assumed_one() -> None:
    more = '[assume]\n"buy.silicone_fillet" = "1 cm"\n"buy.silicone_joint" = "1 mm"'
    (need,) = needs(count_tanks(*small_room(kind=GLUED, more=more)), "silicone for glass tanks")
    assert need.volume == pytest.approx(4.024 * (6e-6 + 50e-6))
    assert need.rests_on == ()


@pytest.mark.parametrize(
    ("said", "state"), [("stands", "stands"), ("ordered", "ordered"), ("wished", "to buy")]
)
def test_a_tank_is_bought_only_where_it_is_not_there(said: str, state: str) -> None:
    inner = (
        'heater = { power = "50 W", count = 2 }\nlid = "glass, two pieces"\nsubstrate = { depth = "2 cm" }\n'
        + HOLE
    )
    counted = count_tanks(*small_room(kind=inner, standing=f'state = "{said}"'))
    assert {need.state for need in needs(counted, "tank long")} == {state}
    # an order is for the tank; what goes on and into it is still to buy
    for key in ("tank heater 50 W", "glass 4 mm for lids", "gravel or sand"):
        assert {need.state for need in needs(counted, key)} == {"stands" if said == "stands" else "to buy"}
    for key in ("bulkhead for a 29 mm hole, 1/2 in BSP female", "foam 5 mm"):
        assert {need.state for need in needs(counted, key)} == {"to buy"}
    assert ("PART-41" in codes(counted)) == (said == "stands")


def test_a_tank_glued_here_is_made_of_its_panes_and_one_that_stands_takes_none() -> None:
    made = count_tanks(*small_room(kind=GLUED))
    assert {need.state for need in needs(made, "tank long")} == {"made here"}
    ordered = count_tanks(*small_room(kind=GLUED, standing='state = "ordered"'))
    assert {need.state for need in ordered.needs if need.article.startswith("glass 6")} == {"ordered"}
    assert {need.state for need in needs(ordered, "silicone for glass tanks")} == {"to buy"}
    stands = count_tanks(*small_room(kind=GLUED, standing='state = "stands"'))
    assert not [need for need in stands.needs if need.article.startswith(("glass", "silicone"))]


def test_a_single_tank_is_counted_with_what_is_said_of_it_alone() -> None:
    more = '[tank.A2]\nheater = { power = "100 W" }\nlid = "none"\nstate = "stands"'
    counted = count_tanks(*small_room(kind='heater = { power = "50 W" }\nlid = "glass"', more=more))
    assert needs(counted, "tank heater 100 W")[0].places == ("A2",)
    assert counts(counted)["tank heater 50 W"] == 2
    assert counts(counted)["glass 4 mm for lids"] == 2
    assert {(need.count, need.state) for need in needs(counted, "tank long")} == {
        (2, "to buy"),
        (1, "stands"),
    }


def test_a_lid_of_two_pieces_covers_the_tank_but_for_the_slot() -> None:
    (lid,) = needs(count_tanks(*small_room(kind='lid = "glass, two pieces"')), "glass 4 mm for lids")
    # 900 - 6 = 894 mm over two pieces; 380 - 6 - 30 = 344 mm
    assert (lid.count, lid.size) == (6, (0.447, 0.344))
    other = count_tanks(*small_room(kind='lid = "twin-wall sheet"'))
    assert counts(other)["lid twin-wall sheet for long"] == 3


def test_bed_and_media_are_volumes_and_media_of_a_sponge_are_not_counted_twice() -> None:
    kind = 'substrate = { depth = "2 cm" }\nfilter_media = "1.5 L"'
    counted = count_tanks(*small_room(kind=kind))
    (bed,) = needs(counted, "gravel or sand")
    assert bed.volume == pytest.approx(0.888 * 0.368 * 0.02)
    (media,) = needs(counted, "filter media")
    assert (media.count, media.volume) == (3, pytest.approx(1.5e-3))
    ring = """[air.ring]
pump = "p"
around = "cellar"
diffuser = { kind = "sponge" }
[pump.p]
curve = [["0 kPa", "60 L/min"], ["20 kPa", "20 L/min"]]"""
    assert "filter media" not in counts(count_tanks(*small_room(kind=kind, more=ring)))
    stone = ring.replace('"sponge"', '"stone"')
    assert counts(count_tanks(*small_room(kind=kind, more=stone)))["filter media"] == 3


def test_a_standpipe_is_cut_to_its_lip() -> None:
    kind = """hole = { pane = "base", diameter = "40 mm", from_left = "75 mm", from_back = "75 mm" }
overflow = { kind = "standpipe", water_below_rim = "40 mm", bore = "25 mm" }"""
    (pipe,) = needs(count_tanks(*small_room(kind=kind)), "standpipe, bore 25 mm")
    assert (pipe.count, pipe.length) == (3, pytest.approx(0.34))


def test_what_is_guessed_is_told() -> None:
    counted = count_tanks(*small_room(glass="", kind=GLUED + '\nhole = { pane = "back" }'))
    assert codes(counted) == {"PART-42", "PART-43", "PART-44"}
    told = {finding.code: finding for finding in counted.findings}
    assert told["PART-42"].severity is Severity.WARNING
    assert told["PART-42"].rests_on == ("glass.sides", "glass.base")
    assert told["PART-43"].rests_on == ("hole.diameter",)
    assert told["PART-43"].places == ("A1", "A2", "A3")
    panes = [need for need in counted.needs if need.mark.startswith("long ") and "glass" in need.article]
    assert all(need.rests_on for need in panes)


def test_a_tank_of_a_room_read_in_inches_is_named_in_inches() -> None:
    counted = count_tanks(*example("garage"))
    assert counts(counted)["bulkhead for a 1 1/8 in hole"] == 18
    assert counts(counted)["overflow elbow, bore 5/8 in"] == 18
    assert {need.state for need in needs(counted, "tank breeder")} == {"stands", "to buy"}


def test_an_end_on_tank_takes_the_panes_of_its_kind() -> None:
    usual, turned = (
        count_tanks(*small_room(kind=GLUED, standing=f'state = "wished"{turn}'))
        for turn in ("", ", end_on = true")
    )
    assert needs(turned, "glass 6 mm annealed") == needs(usual, "glass 6 mm annealed")
    assert needs(turned, "foam 5 mm") == needs(usual, "foam 5 mm")
