"""What fits: against every arrangement tried one by one, with its bound, and what is said where the wish cannot be."""

from __future__ import annotations

from itertools import product

import pytest

from tankwright.arranging.conflicts import conflict_pairs
from tankwright.arranging.ground import Ground, ground_for
from tankwright.arranging.model import Arrangements, Effort, Prices
from tankwright.arranging.places import front_of
from tankwright.checks.all import judge
from tankwright.checks.layout import check_layout
from tankwright.finding import Severity
from tankwright.plan.reading import read_plan_text
from tankwright.room.layout import lay_out
from tankwright.room.ways import widest_ways
from tankwright.study import work_out
from tankwright.systems.layout import STANDING_ROOM, solve_layout

from .small_rooms import QUICK, found_in, plan_of, small_room

FEW = Effort(work=8.0, proposals=1, places=22)


def ground(text: str, effort: Effort = FEW) -> Ground:
    plan = plan_of(text)
    room = lay_out(plan).room
    assert room is not None
    return ground_for(plan, room, room.spaces[0], Prices(), effort, lambda: None)


def best_of_all(here: Ground, litres: bool) -> int:
    """The most tanks (or millilitres) of any set of places, looked at one by one: no solver, no classes, no groups."""
    never = conflict_pairs(here.places)
    worth = {}
    for one in here.classes:
        each = [[round(row.water * 1e6) if litres else len(row.tanks) for row in rows] for rows in one.rows]
        worth.update(dict.fromkeys(one.places, sum(max(shelf) for shelf in each)))
    best = 0
    racks = sorted(worth)

    def further(chosen: tuple[int, ...], left: list[int], value: int) -> None:
        nonlocal best
        if value > best and walkable(here, chosen):
            best = value
        for position, rack in enumerate(left):
            rest = [other for other in left[position + 1 :] if (rack, other) not in never]
            further((*chosen, rack), rest, value + worth[rack])

    further((), racks, 0)
    return best


def walkable(here: Ground, racks: tuple[int, ...]) -> bool:
    """Whether each rack can be walked to, as the layout looks for it."""
    boxes = [here.places[rack].box for rack in racks]
    fronts = [front_of(here.places[rack].box, here.places[rack].facing, STANDING_ROOM) for rack in racks]
    doors = [(one.start, one.end) for one in here.space.openings if one.kind == "door"]
    ways = widest_ways(here.space.box, boxes, doors, fronts)
    return all(way > 0 and way + ways.cell >= here.floor.aisle for way in ways.widths)


def problems(found: Arrangements) -> list[str]:
    return [one.code for one in found.findings if one.severity is Severity.PROBLEM]


LONG = """
[tank_kind.long]
outside = ["62 cm", "36 cm", "34 cm"]
glass = { sides = "6 mm", base = "6 mm", temper = "annealed" }
"""
SHORT = '[rack_kind.short]\nlength = "70 cm"\ndepth = "34 cm"\nshelves = ["40 cm"]\nheight = "90 cm"'


@pytest.mark.parametrize(
    ("size", "best"),
    [
        *product(((2.6, 2.0), (3.2, 2.3), (2.1, 3.0)), ("tanks", "litres")),
    ],
)  # fmt: skip
@pytest.mark.parametrize("islands", [False, True])
def test_nothing_better_is_found_when_every_arrangement_is_tried(
    size: tuple[float, float], best: str, islands: bool
) -> None:
    wish = f'[wish]\nbest = "{best}"\nislands = {str(islands).lower()}'
    text = small_room(size=(*size, 2.2), tanks=LONG, racks=SHORT, more=wish)
    effort = Effort(work=8.0, proposals=1, places=14) if islands else FEW
    found = found_in(text, effort)
    most = best_of_all(ground(text, effort), litres=best == "litres")
    assert found.proved
    if not most:
        assert found.proposals == ()
        return
    value = found.proposals[0].value(best)  # type: ignore[arg-type]
    assert value == pytest.approx(most if best == "tanks" else most / 1e6, abs=1e-4)
    assert found.bound == pytest.approx(value, abs=1e-4)


def test_the_room_s_own_checks_have_nothing_against_what_is_proposed() -> None:
    found = found_in(small_room(size=(4.0, 3.0, 2.2), tanks=LONG), Effort(work=8.0, proposals=3, places=200))
    assert len(found.proposals) == 3
    for proposal in found.proposals:
        room = lay_out(plan_of(proposal.text)).room
        assert room is not None
        told = check_layout(room, solve_layout(room))
        assert [
            one.code
            for one in told
            if one.severity in (Severity.PROBLEM, Severity.WARNING) and one.code != "LAYOUT-18"
        ] == []
        assert proposal.findings
        assert {one.code for one in judge(work_out(room, frozenset({"layout"})))} <= {
            one.code for one in proposal.findings
        }


def test_what_is_proposed_is_what_its_change_writes() -> None:
    text = small_room(size=(4.0, 3.0, 2.2))
    for proposal in found_in(text, Effort(work=8.0, proposals=2, places=200)).proposals:
        assert proposal.change.apply(text).text == proposal.text
        room = lay_out(plan_of(proposal.text)).room
        assert room is not None
        assert len(room.tanks) == proposal.tanks == sum(rack.tanks for rack in proposal.racks)
        assert sum(tank.water_volume for tank in room.tanks) == pytest.approx(proposal.litres)
        assert {rack.id for rack in room.racks} == {rack.id for rack in proposal.racks}
        assert [
            finding
            for finding in lay_out(plan_of(proposal.text)).findings
            if finding.severity is Severity.PROBLEM
        ] == []


def test_proposals_differ_in_which_rack_stands_along_which_wall_and_come_best_first() -> None:
    found = found_in(small_room(size=(4.0, 3.0, 2.2)), Effort(work=8.0, proposals=4, places=200))
    sides = [tuple(sorted((rack.kind, str(rack.wall)) for rack in one.racks)) for one in found.proposals]
    assert len(set(sides)) == len(sides) > 1
    values = [one.tanks for one in found.proposals]
    assert values == sorted(values, reverse=True)
    assert found.bound is not None
    assert found.bound >= values[0]
    assert [one.number for one in found.proposals] == list(range(1, len(values) + 1))


def test_the_same_plan_gives_the_same_answer() -> None:
    text = small_room(size=(4.0, 3.0, 2.2), tanks=LONG, more="[wish]\nislands = true")
    first, second = (found_in(text) for _ in range(2))
    assert [one.text for one in first.proposals] == [one.text for one in second.proposals]
    assert first == second


# --- the wish ----------------------------------------------------------------------------------------------------


def test_at_least_and_at_most_are_kept() -> None:
    wish = '[wish]\ntanks = [{ kind = "cube", at_most = 4 }, { kind = "long", at_least = 2 }]'
    (proposal,) = found_in(small_room(size=(4.0, 3.0, 2.2), tanks=LONG, more=wish)).proposals
    counts = {one.kind: one.count for one in proposal.counts}
    assert counts["cube"] <= 4
    assert counts["long"] >= 2
    assert proposal.meets_the_wish


def test_racks_that_stay_keep_their_tanks_and_count() -> None:
    rack = (
        '[[rack]]\nid = "A"\nkind = "plain"\nroom = "shed"\nwall = "north"\nfrom_west = "0 cm"\noff_wall = "8 cm"\n'
        'shelf.1 = [{ kind = "cube", ids = "A1..A2" }]\n'
    )
    wish = '[wish]\nkeep = ["A"]\ntanks = [{ kind = "cube", at_most = 8 }]\n'
    text = small_room(size=(4.0, 3.0, 2.2), more=rack + wish)
    (proposal,) = found_in(text).proposals
    assert proposal.tanks == 8
    assert rack in proposal.text
    assert "A" not in {one.id for one in proposal.racks}
    assert proposal.goes == ()


def test_tanks_that_are_there_keep_their_names_and_move() -> None:
    rack = (
        '[[rack]]\nid = "A"\nkind = "plain"\nroom = "shed"\nwall = "north"\nfrom_west = "30 cm"\noff_wall = "8 cm"\n'
        'shelf.1 = [{ kind = "cube", ids = "A1..A2" }]\nshelf.2 = [{ kind = "cube", ids = "A3", state = "ordered" }]\n'
    )
    (proposal,) = found_in(small_room(size=(4.0, 3.0, 2.2), more=rack)).proposals
    assert proposal.moved == ("A1", "A2", "A3")
    assert proposal.goes == ()
    room = lay_out(plan_of(proposal.text)).room
    assert room is not None
    states = {tank.id: tank.state for tank in room.tanks}
    assert (states["A1"], states["A3"]) == ("stands", "ordered")
    assert {states[name] for name in proposal.comes} == {"wished"}


def test_least_walking_stays_by_the_door_and_holds_what_is_wished_for() -> None:
    wish = '[wish]\nbest = "walking"\ntanks = [{ kind = "cube", at_least = 12 }]'
    near = found_in(small_room(size=(6.0, 3.0, 2.2), more=wish)).proposals[0]
    most = found_in(small_room(size=(6.0, 3.0, 2.2))).proposals[0]
    assert near.tanks >= 12
    assert near.walking < most.walking
    assert len(near.racks) == 2


def test_a_wish_for_more_than_fits_is_answered_with_the_bound_and_what_comes_nearest() -> None:
    wish = '[wish]\ntanks = [{ kind = "cube", at_least = 200 }]'
    found = found_in(small_room(size=(4.0, 3.0, 2.2), more=wish))
    (told,) = [one for one in found.findings if one.severity is Severity.PROBLEM]
    assert told.code == "WISH-03"
    most = found_in(small_room(size=(4.0, 3.0, 2.2))).bound
    assert told.limit is not None
    assert told.limit.value == most
    (proposal,) = found.proposals
    assert proposal.tanks == most
    assert not proposal.meets_the_wish
    assert proposal.counts[0].short == 200 - most


def test_litres_that_no_room_holds_are_answered_with_the_bound() -> None:
    found = found_in(small_room(size=(4.0, 3.0, 2.2), more='[wish]\nlitres = "9000 L"\nbest = "litres"'))
    (told,) = [one for one in found.findings if one.severity is Severity.PROBLEM]
    assert told.code == "WISH-04"
    assert told.limit is not None
    assert told.limit.value == pytest.approx(found.proposals[0].litres, abs=1e-3)
    assert found.proposals[0].short_of == pytest.approx(9.0 - found.proposals[0].litres)


def test_what_fits_part_by_part_and_not_together_is_told_so() -> None:
    wish = '[wish]\ntanks = [{ kind = "cube", at_least = 22 }, { kind = "long", at_least = 5 }]'
    found = found_in(small_room(size=(3.2, 2.3, 2.2), tanks=LONG, more=wish), QUICK)
    assert problems(found) == ["WISH-03"]
    # ten shelves hold three cubes each, or a long tank and one cube: with four long ones they hold 22 cubes
    text = next(one for one in found.findings if one.code == "WISH-03").text
    assert text == "cannot be met as a whole; the nearest lacks 1 long"


@pytest.mark.parametrize(
    ("outside", "why"), [('["95 cm", "45 cm", "30 cm"]', "deep"), ('["130 cm", "35 cm", "30 cm"]', "long")]
)
def test_a_kind_that_fits_on_no_rack_is_told_with_its_measures(outside: str, why: str) -> None:
    huge = f"[tank_kind.huge]\noutside = {outside}"
    wish = '[wish]\ntanks = [{ kind = "huge", at_least = 1 }, { kind = "cube" }]'
    found = found_in(small_room(tanks=huge, more=wish))
    told = next(one for one in found.findings if one.code == "WISH-02")
    assert told.severity is Severity.PROBLEM
    assert why in told.text
    assert [name for name, _ in told.numbers] == ["has0", "takes0"]


def test_a_kind_the_checks_keep_off_every_shelf_is_told_with_their_code() -> None:
    high = '[tank_kind.high]\noutside = ["30 cm", "30 cm", "60 cm"]'
    wish = '[wish]\ntanks = [{ kind = "high", at_least = 1 }]'
    racks = (
        '\n[rack_kind.low]\nlength = "90 cm"\ndepth = "40 cm"\nshelves = ["10 cm", "60 cm"]\nheight = "62 cm"'
    )
    text = small_room(size=(3.0, 2.4, 1.2), tanks=high, more=racks + "\n" + wish + '\nracks = ["low"]')
    found = found_in(text)
    assert "WISH-02" in problems(found)


def test_a_room_that_has_no_place_says_so() -> None:
    found = found_in(small_room(size=(1.2, 1.0, 2.2)))
    assert set(problems(found)) >= {"WISH-05", "WISH-12"}
    assert found.proposals == ()


def test_without_kinds_there_is_nothing_to_arrange() -> None:
    text = 'title = "Empty"\n[room.a]\nsize = { length = "3 m", width = "3 m", height = "2 m" }\n'
    assert problems(found_in(text)) == ["WISH-11", "WISH-11"]


def test_a_search_can_be_stopped() -> None:
    told = []

    def stop(done: int, of: int) -> None:
        told.append((done, of))
        if len(told) > 3:
            raise InterruptedError

    with pytest.raises(InterruptedError):
        found_in(small_room(size=(6.0, 5.0, 2.2), tanks=LONG), Effort(work=60.0, places=600), progress=stop)
    assert all(0 <= done <= of for done, of in told)


def test_racks_in_feet_and_inches_stand_on_eighths_of_an_inch() -> None:
    text = small_room(size=(4.0, 3.0, 2.2)).replace('title = "Shed"', 'title = "Shed"\ndisplay = "US"')
    (proposal,) = found_in(text).proposals
    for rack in proposal.racks:
        assert (rack.along or 0.0) / 0.003175 == pytest.approx(
            round((rack.along or 0.0) / 0.003175), abs=1e-6
        )
    read = read_plan_text(proposal.text, "plan.toml")
    assert read.findings == ()
    assert ' in"' in proposal.text


# --- the drain and the checks --------------------------------------------------------------------------------------


DRAINED = """
[outfall.out]
room = "shed"
at = ["5.9 m", "10 cm"]
height = "45 cm"
to = "sewer, trapped"

[drain.main]
to = "out"
fall = "1:40"
pipe = "50 mm ISO 0.6 MPa"
hose = { bore = "13 mm" }
"""
HOLE = (
    'hole = { pane = "back", diameter = "29 mm", from_left = "75 mm", below_rim = "65 mm", flange = "45 mm" }\n'
    'overflow = { elbow_reach = "30 mm", water_below_rim = "40 mm", bore = "16 mm" }'
)


def test_no_hole_lies_below_the_drain_behind_it() -> None:
    found = found_in(
        small_room(size=(6.0, 3.0, 2.2), tanks=HOLE, more=DRAINED), Effort(work=8.0, proposals=1, places=200)
    )
    plain = found_in(small_room(size=(6.0, 3.0, 2.2), tanks=HOLE), Effort(work=8.0, proposals=1, places=200))
    assert found.proposals[0].tanks < plain.proposals[0].tanks  # the farther racks lose their lower shelf
    low = [tank for tank in found.proposals[0].room.tanks if tank.shelf == 1]
    for tank in low:
        assert tank.hole is not None
        assert tank.hose is not None
        assert tank.hole.centre[2] >= tank.hose.end[2] - 0.04  # the place asks at a rack's nearer end


def test_a_shelf_is_not_loaded_over_its_rating() -> None:
    rated = small_room(size=(4.0, 3.0, 2.2), racks='shelf_rating = "70 kg"')
    (proposal,) = found_in(rated).proposals
    assert "LOAD-04" not in {one.code for one in proposal.findings}
    assert max(len(row.ids) for rack in proposal.racks for shelf in rack.shelves for row in shelf) == 2


def test_more_places_never_bring_less() -> None:
    text = small_room(size=(4.3, 3.1, 2.2), tanks=LONG)
    values = [
        found_in(text, Effort(work=12.0, proposals=1, places=many)).proposals[0].tanks
        for many in (40, 120, 300)
    ]
    assert values == sorted(values)


def test_racks_that_stand_free_are_walked_to_and_bring_more_than_walls_alone() -> None:
    text = small_room(size=(4.0, 4.0, 2.2), more="[wish]\nislands = true")
    effort = Effort(work=4.0, proposals=1, places=120)
    free, walls = (found_in(one, effort) for one in (text, small_room(size=(4.0, 4.0, 2.2))))
    assert free.proposals[0].tanks > walls.proposals[0].tanks
    assert free.bound is not None
    assert free.bound >= free.proposals[0].tanks
    assert any(rack.wall is None and rack.at is not None for rack in free.proposals[0].racks)
    assert "LAYOUT-10" not in {one.code for one in free.proposals[0].findings}


def test_two_racks_back_to_back_are_among_the_places() -> None:
    here = ground(small_room(size=(4.0, 4.0, 2.2), more="[wish]\nislands = true"), QUICK)
    north = [place.box for place in here.places if place.wall is None and place.facing == "north"]
    south = [place.box for place in here.places if place.wall is None and place.facing == "south"]
    gap = here.floor.off_wall
    assert any(
        abs(one.x0 - other.x0) < 1e-6 and abs(one.y0 - other.y1 - gap) < 2e-3
        for one in north
        for other in south
    )


def test_a_rack_that_stays_and_cannot_be_walked_to_keeps_none_from_being_proposed() -> None:
    shut = (
        '[[rack]]\nid = "A"\nkind = "plain"\nroom = "shed"\nat = ["3 m", "2.5 m"]\nfacing = "north"\n'
        '[wish]\nkeep = ["A"]\n'
    )
    (proposal,) = found_in(small_room(size=(4.0, 3.0, 2.2), more=shut)).proposals
    assert proposal.tanks
    assert "LAYOUT-10" in {one.code for one in proposal.findings}  # and it is told
