"""The full check beside the quick one, braces by finite elements, and the map of a hole."""

from __future__ import annotations

import pickle
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from tankwright.origin import Known, Origin
from tankwright.plates.model import TopHold
from tankwright.systems.glass import screen_pane
from tankwright.systems.glass_full import full_check, hole_map, map_of, map_places, map_spots
from tankwright.systems.glass_full_model import HoleMap, HoleSurroundings
from tankwright.systems.glass_map import NO_PLACE, NOT_MEASURED, why_no_map
from tankwright.systems.glass_model import PaneCase
from tankwright.systems.glass_places import holds_the_level, surroundings
from tankwright.systems.glass_plate import plate_for

from .glass_rooms import case_of, glass_room, hole_at, moved, screened

CROSS = 'top = "braced"\nbrace = { kind = "cross", width = "60 mm" }'
EURO = 'top = "braced"\nbrace = { kind = "euro", width = "60 mm" }'
SMALL = '["30 cm", "30 cm", "30 cm"]'


@pytest.mark.parametrize("kind", ["", 'top = "rim"'])
@pytest.mark.parametrize("pane", ["front", "left"])
def test_two_engines_agree_on_a_plain_pane(kind: str, pane: str) -> None:
    case, strengths = case_of(pane, kind=kind)  # type: ignore[arg-type]
    full, quick = full_check(case, strengths), screen_pane(case, strengths)
    assert full.solved
    assert full.worst == pytest.approx(quick.worst, rel=0.01)
    assert full.sag == pytest.approx(quick.deflection, rel=0.01)
    assert full.governs == quick.governs
    assert full.solution.reaction == pytest.approx(full.solution.load, rel=1e-5)


def test_two_engines_agree_on_a_base_that_bridges() -> None:
    case, strengths = case_of("base", kind='base_on = "edges"\nsubstrate = { depth = "3 cm" }')
    full, quick = full_check(case, strengths), screen_pane(case, strengths)
    assert full.worst == pytest.approx(quick.worst, rel=0.01)
    assert full.edge == 0.0


@pytest.mark.parametrize(
    ("left", "below"), [(0.300, 0.060), (0.090, 0.070), (0.150, 0.100), (0.300, 0.190), (0.060, 0.060)]
)
def test_the_quick_screening_of_a_hole_is_at_most_a_tenth_off_the_full_check(
    left: float, below: float
) -> None:
    case, strengths = case_of("back")
    case = moved(case, left, below)
    full, quick = full_check(case, strengths), screen_pane(case, strengths)
    assert 0.97 < quick.holes[0].stress / full.holes[0].stress < 1.10
    assert full.holes[0].at[0] == pytest.approx(case.holes[0].x, abs=0.0176)


def test_a_hole_far_from_where_the_pane_is_pulled_leaves_its_surface_as_it_is() -> None:
    case, strengths = case_of("back", kind='top = "rim"')
    full = full_check(case, strengths)
    assert full.surface == pytest.approx(screen_pane(case, strengths).plain, rel=0.02)


def test_the_screening_is_kept_beside_the_full_check() -> None:
    one = screened("back")
    assert full_check(one.case, one.strengths, one).screen is one
    assert full_check(one.case, one.strengths).screen is None


@pytest.mark.parametrize("pane", ["front", "back"])
def test_a_cross_brace_bows_less_than_none_and_more_than_a_rim(pane: str) -> None:
    case, strengths = case_of(pane, kind=CROSS)  # type: ignore[arg-type]
    full = full_check(case, strengths)
    assert full.solved
    rim = full_check(replace(case, held="held"), strengths)
    none = full_check(replace(case, held="free", brace=None), strengths)
    assert rim.sag < full.sag < none.sag
    assert full.solution.reaction == pytest.approx(full.solution.load, rel=1e-5)


def test_over_a_cross_brace_the_glass_bends_backwards_and_may_be_pulled_harder_than_without() -> None:
    case, strengths = case_of("front", kind=CROSS)
    full, none = full_check(case, strengths), full_check(replace(case, held="free", brace=None), strengths)
    assert full.governs == "edge"
    assert abs(full.worst_at[0] - case.length / 2.0) <= 0.030 + 2 * 0.006
    assert none.edge < full.edge < 1.2 * none.edge


def test_two_cross_braces_bow_less_than_one() -> None:
    sags = []
    for count in (1, 2):
        kind = f'top = "braced"\nbrace = {{ kind = "cross", width = "60 mm", count = {count} }}'
        sags.append(
            full_check(*case_of("front", kind=kind, outside='["120 cm", "40 cm", "38 cm"]', ids="A1")).sag
        )
    assert sags[1] < sags[0]


def test_the_strips_are_where_they_are_glued() -> None:
    case, _ = case_of("front", kind=CROSS)
    (hold,) = plate_for(case, ()).holds
    assert hold == TopHold(start=pytest.approx(0.270 - 0.003), end=pytest.approx(0.330 - 0.003))


def test_a_strip_all_round_stiffens_every_wall_and_a_wider_one_more() -> None:
    for pane in ("front", "left"):
        case, strengths = case_of(pane, kind=EURO)  # type: ignore[arg-type]
        assert case.brace is not None
        narrow = full_check(
            replace(case, brace=replace(case.brace, width=Known(0.03, Origin.GIVEN))), strengths
        )
        full = full_check(case, strengths)
        none = full_check(replace(case, held="free", brace=None), strengths)
        assert full.sag < narrow.sag < none.sag


@pytest.mark.parametrize(
    ("kind", "pane", "said"),
    [
        ('top = "braced"', "front", "brace is not described"),
        ('base_on = "bed"', "base", "lies flat on a bed"),
    ],
)
def test_what_is_no_plate_says_why_and_gives_no_number(kind: str, pane: str, said: str) -> None:
    case, strengths = case_of(pane, kind=kind)  # type: ignore[arg-type]
    full = full_check(case, strengths)
    assert not full.solved
    assert said in full.status
    assert (full.use, full.worst, full.sag) == (0.0, 0.0, 0.0)


def test_holes_that_cannot_be_meshed_say_so() -> None:
    case, strengths = case_of("back")
    over = replace(case, holes=(hole_at(0.30, 0.30), hole_at(0.31, 0.30)))
    full = full_check(over, strengths)
    assert not full.solved
    assert "overlap" in full.status


def test_a_hole_nobody_measured_is_left_out_of_the_full_check_too() -> None:
    case, strengths = case_of("back")
    guessed = replace(
        case.holes[0], diameter=Known(0.029, Origin.ASSUMED, key="hole.diameter", band=(0.024, 0.038))
    )
    assert full_check(replace(case, holes=(guessed,)), strengths).holes == ()


def test_a_full_check_and_a_map_travel_between_processes() -> None:
    case, strengths = case_of("back")
    full = full_check(case, strengths)
    back = pickle.loads(pickle.dumps(full))
    assert back.use == full.use
    assert np.array_equal(back.solution.stress, full.solution.stress)
    small = small_map()
    assert pickle.loads(pickle.dumps(small)) == small


# --- the map ----------------------------------------------------------------------------------------------------------


def small_case() -> tuple[PaneCase, HoleSurroundings]:
    room = glass_room(outside=SMALL)
    case, _ = case_of("back", outside=SMALL)
    return case, surroundings(room, case)


@cache
def small_map() -> HoleMap:
    case, around = small_case()
    return hole_map(case, case_of("back", outside=SMALL)[1], around)


def test_a_map_is_alike_to_left_and_right_and_has_every_crossing() -> None:
    found = small_map()
    assert found.status == "solved"
    assert len(found.spots) == len(found.across) * len(found.up)
    for number, y in enumerate(found.up):
        row = found.row(number)
        assert {spot.y for spot in row} == {y}
        assert [spot.worst for spot in row] == [spot.worst for spot in reversed(row)]
        assert [spot.x for spot in row] == list(found.across)


def test_the_best_place_is_allowed_holds_the_water_and_is_no_worse_than_the_present_one() -> None:
    found = small_map()
    assert found.best is not None
    assert found.present is not None
    assert found.best.allowed
    assert holds_the_level(found.case, found.around, found.best.y)
    assert found.best.use is not None
    assert found.present.use is not None
    assert found.best.use <= 1.02 * found.present.use
    allowed = [spot.use for spot in found.spots if spot.allowed and spot.use is not None]
    assert found.best_any_level is not None
    assert found.best_any_level.use == pytest.approx(min(allowed), rel=0.021)
    assert all(
        spot.worst is not None and spot.worst >= 0.97 * found.plain for spot in found.spots if spot.allowed
    )


def test_the_map_agrees_with_the_full_check_of_the_present_place() -> None:
    found = small_map()
    full = full_check(found.case, found.strengths)
    assert found.present is not None
    assert found.present.hole == pytest.approx(full.holes[0].stress, rel=0.04)  # coarse against full
    assert (found.present.from_left, found.present.below_rim) == (pytest.approx(0.09), pytest.approx(0.07))


def test_pieces_of_a_map_put_together_are_the_map() -> None:
    case, around = small_case()
    _, strengths = case_of("back", outside=SMALL)
    places = map_places(case, around)
    half = len(places) // 2
    spots = (
        *map_spots(case, strengths, around, places[half:]),
        *map_spots(case, strengths, around, places[:half]),
    )
    assert map_of(case, strengths, around, spots) == small_map()


def test_an_upright_keeps_the_best_place_away_on_its_side_only() -> None:
    case, around = small_case()
    _, strengths = case_of("back", outside=SMALL)
    spots = map_spots(case, strengths, around, map_places(case, around))
    shaded = map_of(case, strengths, replace(around, uprights=((-0.05, 0.14),)), spots)
    assert shaded.best is not None
    assert shaded.best.x > 0.14
    assert "upright" in shaded.row(0)[0].kept_out
    assert "upright" not in shaded.row(0)[-1].kept_out


def test_progress_is_told_and_may_stop_the_work() -> None:
    case, around = small_case()
    _, strengths = case_of("back", outside=SMALL)
    told: list[tuple[int, int]] = []

    def stop(done: int, of: int) -> None:
        told.append((done, of))
        if done == 3:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        hole_map(case, strengths, around, progress=stop)
    assert told == [(1, len(map_places(case, around))), (2, told[0][1]), (3, told[0][1])]


def test_a_pane_with_another_hole_is_tried_on_both_sides() -> None:
    case, around = small_case()
    two = replace(case, holes=(case.holes[0], hole_at(0.22, 0.10)))
    columns = {x for x, _ in map_places(two, around)}
    assert max(columns) > case.length / 2 + 0.05
    assert len(map_places(two, around)) > len(map_places(case, around))


@pytest.mark.parametrize("index", [0, 1])
def test_a_hole_that_is_not_there_or_not_measured_has_no_map(index: int) -> None:
    case, around = small_case()
    _, strengths = case_of("back", outside=SMALL)
    guessed = replace(
        case,
        holes=(replace(case.holes[0], diameter=Known(0.029, Origin.ASSUMED, key="hole.diameter")),),
    )
    found = hole_map(guessed, strengths, around, index)
    assert found.status == (NOT_MEASURED if index == 0 else "it has no such hole")
    assert (found.spots, found.best, found.present) == ((), None, None)


def test_a_hole_too_wide_for_its_pane_has_no_place() -> None:
    case, _ = small_case()
    assert why_no_map(replace(case, holes=(hole_at(0.14, 0.14, diameter=0.11),))) == NO_PLACE


def test_a_strip_all_round_that_is_pulled_hardest_is_told_as_such_by_pane_and_map() -> None:
    case, strengths = case_of(
        "back", kind=EURO.replace("60 mm", "40 mm"), outside='["90 cm", "40 cm", "38 cm"]', ids="A1"
    )
    full = full_check(case, strengths)
    assert (full.governs, full.where) == ("edge", "strip")
    assert full.solution.strip > full.solution.top_edge
    (spot,) = map_spots(case, strengths, HoleSurroundings(), [(case.holes[0].x, case.holes[0].y)])
    assert spot.use == pytest.approx(full.use, rel=0.03)
    assert spot.worst == pytest.approx(full.worst, rel=0.03)
    assert full.needed is None


@pytest.mark.parametrize("kind", ["", CROSS])
def test_the_thickness_a_pane_needs_is_where_its_use_is_one(kind: str) -> None:
    case, strengths = case_of("front", kind=kind)
    full = full_check(case, strengths, screen_pane(case, strengths))
    assert full.needed is not None
    there = replace(case, thickness=replace(case.thickness, value=full.needed))
    assert 0.95 < full_check(there, strengths).use <= 1.001


def test_no_pane_needs_less_glass_than_the_check_that_asks_for_more() -> None:
    case, strengths = case_of("back")
    screen = screen_pane(case, strengths)
    full = full_check(case, strengths, screen)
    assert full.needed is not None
    assert screen.needed is not None
    assert full.needed >= screen.needed
    assert full.needed > case.thickness.value or full.use <= 1.0
    assert full.needed <= case.thickness.value or max(full.use, screen.use) > 1.0
