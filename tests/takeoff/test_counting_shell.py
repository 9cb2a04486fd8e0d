"""What a room is lined with: walls in pieces of sheets worked out by hand, areas, and floor paint in litres."""

from __future__ import annotations

from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.finding import Severity
from tankwright.takeoff.counted import Counted
from tankwright.takeoff.counting_shell import count_shell, tiles

from .part_rooms import codes, counts, example, needs, small_room

FOAM = "extruded polystyrene 80 mm"


def walls(*layers: str, **changes: str) -> Counted:
    """The usual room, 5 x 4 x 2.5 m, with these layers on its walls."""
    said = ", ".join(layers)
    return count_shell(*small_room(shell=f"shell = {{ walls = {{ layers = [{said}] }} }}", **changes))


def layer(material: str, thickness: str) -> str:
    return f'{{ material = "{material}", thickness = "{thickness}" }}'


def pieces(counted: Counted, article: str, where: str) -> Counter[tuple[float, float] | None]:
    found: Counter[tuple[float, float] | None] = Counter()
    for need in needs(counted, article):
        if need.where == where:
            found[need.size] += need.count
    return found


def area(found: Counter[tuple[float, float] | None]) -> float:
    return sum(size[0] * size[1] * count for size, count in found.items() if size)


def test_a_wall_of_foam_is_as_worked_out_by_hand() -> None:
    counted = walls(layer("XPS", "8 cm"))
    # 5 m by 2.5 m in boards of 0.6 by 1.25 m: eight columns and 20 cm, two rows
    assert pieces(counted, FOAM, "north wall of cellar") == {(0.6, 1.25): 16, (0.2, 1.25): 2}
    # 4 m: six columns and 40 cm
    assert pieces(counted, FOAM, "east wall of cellar") == {(0.6, 1.25): 12, (0.4, 1.25): 2}
    assert needs(counted, FOAM)[0].rests_on == ("buy.foam_width", "buy.foam_length")


def test_the_sheets_of_the_plan_take_the_place_of_the_usual_ones() -> None:
    sold = f'[[buy.sold]]\nof = "{FOAM}"\nsheets = [{{ size = ["2.5 m", "1.25 m"] }}]'
    counted = walls(layer("XPS", "8 cm"), more=sold)
    assert pieces(counted, FOAM, "north wall of cellar") == {(1.25, 2.5): 4}
    assert needs(counted, FOAM)[0].rests_on == ()


def test_a_sheet_that_a_door_takes_out_whole_is_left_out() -> None:
    # the door lies over the boards from 0.6 to 1.2 m, and its head above the first row
    door = '{ wall = "south", from_west = "60 cm", width = "60 cm", swing = "out", hinged = "west" }'
    counted = walls(layer("XPS", "8 cm"), doors=door)
    assert pieces(counted, FOAM, "south wall of cellar") == {(0.6, 1.25): 15, (0.2, 1.25): 2}
    beside = door.replace('from_west = "60 cm"', 'from_west = "50 cm"')
    assert area(
        pieces(walls(layer("XPS", "8 cm"), doors=beside), FOAM, "south wall of cellar")
    ) == pytest.approx(12.5)


def test_what_is_bought_by_area_is_bought_without_its_openings() -> None:
    window = '{ wall = "east", from_south = "1 m", size = ["1 m", "50 cm"], sill = "1 m" }'
    counted = walls(layer("mineral wool", "10 cm"), windows=window)
    by_wall = {need.where: need.area for need in needs(counted, "mineral wool 100 mm")}
    assert by_wall["east wall of cellar"] == pytest.approx(4.0 * 2.5 - 0.5)
    assert by_wall["west wall of cellar"] == pytest.approx(10.0)


def test_a_vapour_barrier_is_bought_with_its_laps() -> None:
    counted = walls(layer("vapour barrier", "0.2 mm"), layer("XPS", "8 cm"))
    (north,) = [need for need in needs(counted, "polyethylene sheet 0.2 mm") if "north" in need.where]
    assert north.area == pytest.approx(12.5 * 1.15)
    assert north.rests_on == ("buy.lap",)


def test_what_stands_is_not_bought_and_told_and_so_is_all_beyond_it() -> None:
    counted = walls(layer("plasterboard", "12.5 mm"), layer("concrete", "30 cm"), layer("XPS", "8 cm"))
    assert set(counts(counted)) == {"plasterboard 12.5 mm", "floor paint"}
    (told,) = [one for one in counted.findings if one.code == "PART-71"]
    assert "concrete in north wall" in told.text
    assert "extruded polystyrene" in told.text
    outside = walls(layer("plaster", "15 mm"), layer("brick", "12 cm"))
    assert set(counts(outside)) == {"floor paint"}


def test_a_material_of_ones_own_is_bought_by_area() -> None:
    own = '{ material = "sheep", thickness = "10 cm", conductivity = "0.04 W/(m K)" }'
    assert needs(walls(own), "sheep 100 mm")[0].area == pytest.approx(12.5)


def test_a_part_of_which_nothing_is_said_is_told() -> None:
    counted = count_shell(*small_room())
    (silent,) = [one for one in counted.findings if one.code == "PART-72"]
    assert silent.severity is Severity.NOT_COMPUTED
    assert "north wall of cellar" in silent.text
    assert set(counts(counted)) == {"floor paint"}


def test_floor_paint_is_film_times_coats_on_a_bare_slab_alone() -> None:
    (paint,) = needs(count_shell(*small_room()), "floor paint")
    assert paint.volume == pytest.approx(20.0 * 1.25e-4 * 2.0)  # 5 L
    assert "floor paint" not in counts(count_shell(*small_room(floor="timber")))
    assert "floor paint" not in counts(count_shell(*small_room(floor="tiles on slab")))
    lined = f"shell = {{ floor = {{ layers = [{layer('tile', '1 cm')}, {layer('XPS', '3 cm')}] }} }}"
    assert "floor paint" not in counts(count_shell(*small_room(shell=lined)))
    own = '[assume]\n"buy.floor_coats" = "3"'
    assert needs(count_shell(*small_room(more=own)), "floor paint")[0].volume == pytest.approx(7.5e-3)


def test_the_garage_is_boarded_with_sheets_of_four_by_eight_feet() -> None:
    counted = count_shell(*example("garage"))
    # 19 ft 8 in is four sheets of 4 ft and 3 ft 8 in, 8 ft high
    assert pieces(counted, "plasterboard 1/2 in", "north wall of garage") == {
        (1.2192, 2.4384): 4,
        (1.1176, 2.4384): 1,
    }
    assert codes(counted) == {"PART-72", "PART-73"}


@pytest.mark.parametrize("name", ["cellar_mended", "garage"])
def test_boards_cover_every_surface_of_an_example_that_has_them(name: str) -> None:
    plan, room = example(name)
    counted = count_shell(plan, room)
    surfaces = {f"{one.id.removeprefix(space.space + ' ')} of {space.space}": one.area
                for space in (room.climate.spaces if room.climate else ()) for one in space.surfaces}  # fmt: skip
    seen = 0
    for article in counted.articles:
        if article.sold_by == "sheet":
            for where in {need.where for need in needs(counted, article.key)}:
                assert area(pieces(counted, article.key, where)) >= surfaces[where] - 1e-9
                seen += 1
        elif article.sold_by == "area":
            for need in needs(counted, article.key):
                assert need.area == pytest.approx(surfaces[need.where])
                seen += 1
    assert seen > 5


@given(
    wide=st.floats(min_value=0.05, max_value=12.0),
    high=st.floats(min_value=0.05, max_value=5.0),
    sheet=st.tuples(st.floats(min_value=0.3, max_value=1.5), st.floats(min_value=0.5, max_value=3.0)),
)
def test_tiles_cover_a_wall_without_holes_and_none_is_larger_than_a_sheet(
    wide: float, high: float, sheet: tuple[float, float]
) -> None:
    found = tiles((wide, high), sheet)
    assert sum(w * h * count for (w, h), count in found.items()) == pytest.approx(wide * high, rel=1e-4)
    assert all(w <= sheet[0] + 1e-6 and h <= sheet[1] + 1e-6 for w, h in found)
