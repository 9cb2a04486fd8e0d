"""Racks piece by piece, beside lists worked out by hand."""

from __future__ import annotations

import math
from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.finding import Severity
from tankwright.plan.models import OwnSection
from tankwright.takeoff.counted import Counted
from tankwright.takeoff.counting_racks import count_racks

from .part_rooms import codes, counts, example, needs, small_room

TIMBER = (
    'timber = { uprights = "45 mm x 95 mm C24", bearers = "45 mm x 70 mm C24", board = "18 mm plywood",'
    ' brace = "45 mm x 45 mm C24" }'
)


def cut(counted: Counted, article: str) -> Counter[float]:
    """How many pieces of each length."""
    found: Counter[float] = Counter()
    for need in needs(counted, article):
        assert need.length is not None
        found[need.length] += need.count
    return found


def test_the_timber_of_a_rack_is_as_worked_out_by_hand() -> None:
    counted = count_racks(*small_room(rack_kind=TIMBER))
    # four uprights of 180 cm; clear between uprights 1855 - 45 = 1810 mm
    assert cut(counted, "timber 45x95 mm C24") == {1.8: 4}
    # two shelves: two bearers of 1810; cross pieces ceil((1810 - 450) / (450 + 45)) = 3 of 450 - 2 x 45 = 360;
    # an end piece at each of two uprights, 450 - 2 x 95 = 260 mm
    assert cut(counted, "timber 45x70 mm C24") == {1.81: 4, 0.36: 6, 0.26: 4}
    # a diagonal over 1810 by 90 - 20 cm
    assert cut(counted, "timber 45x45 mm C24") == {round(math.hypot(1.81, 0.7), 6): 1}
    boards = {(need.size, need.count, need.where) for need in needs(counted, "plywood 18 mm")}
    assert boards == {((1.9, 0.45), 1, "rack A, shelf 1"), ((1.9, 0.45), 1, "rack A, shelf 2")}


def test_what_holds_a_rack_together_is_as_worked_out_by_hand() -> None:
    counted = count_racks(*small_room(rack_kind=TIMBER))
    found = counts(counted)
    # a shelf: two ends of two bearers and of two end pieces; eight screws a bracket
    assert found["angle bracket"] == 2 * (4 + 4)
    assert found["screw for angle brackets"] == 16 * 8
    assert found["screw for cross pieces"] == 6 * 4
    # every 20 cm over 1810 mm: 10 on each of two bearers, on two shelves
    assert found["screw for shelf boards"] == 40
    assert (found["foot under a leg"], found["shim"], found["wall tie with screw and plug"]) == (4, 8, 2)


def test_a_bearer_in_the_middle_takes_the_place_of_cross_pieces() -> None:
    counted = count_racks(*small_room(rack_kind=TIMBER.replace("board =", "bearers_under = 3, board =")))
    assert cut(counted, "timber 45x70 mm C24") == {1.81: 6, 0.26: 4}
    assert "screw for cross pieces" not in counts(counted)


def test_an_upright_in_the_middle_makes_two_bays() -> None:
    counted = count_racks(*small_room(rack_kind=TIMBER, uprights='"0 cm", "92.75 cm", "185.5 cm"'))
    assert cut(counted, "timber 45x95 mm C24") == {1.8: 6}
    # clear 927.5 - 45 = 882.5 mm; one cross piece in each bay; end pieces at three uprights
    assert cut(counted, "timber 45x70 mm C24") == {0.8825: 8, 0.36: 4, 0.26: 6}
    assert cut(counted, "timber 45x45 mm C24") == {round(math.hypot(0.8825, 0.7), 6): 2}
    assert counts(counted)["wall tie with screw and plug"] == 3


def test_a_rack_of_steel_is_cut_from_tube_and_joined_at_every_corner() -> None:
    tube = "40 mm x 40 mm x 2 mm S235"
    more = 'board = "18 mm plywood", brace = "30 mm x 3 mm S235"'
    kind = f'steel = {{ uprights = "{tube}", bearers = "{tube}", {more} }}'
    counted = count_racks(*small_room(rack_kind=kind))
    # four uprights of 180 cm; two shelves, each two bearers of 1855 - 45 = 1810 and an end piece at each of two
    # uprights, 450 - 2 x 40 = 370 mm; no cross pieces
    assert cut(counted, "steel tube 40x40x2 mm S235") == {1.8: 4, 1.81: 4, 0.37: 4}
    assert cut(counted, "steel bar 3x30 mm S235") == {round(math.hypot(1.81, 0.7), 6): 1}
    found = counts(counted)
    assert found["joint of steel tubes, welded or bolted"] == 2 * (4 + 4)
    assert "angle bracket" not in found
    assert "screw for cross pieces" not in found
    assert {one.kind for one in counted.articles if one.key.startswith("steel")} == {"steel"}
    assert codes(counted) == set()


def test_a_section_of_ones_own_is_counted_by_its_name() -> None:
    plan, room = small_room(rack_kind=TIMBER.replace("45 mm x 70 mm C24", "old beam"))
    assert "PART-53" in codes(count_racks(plan, room))
    mine = OwnSection.model_validate({"wide": "70 mm", "thin": "45 mm", "grade": "C24"})
    counted = count_racks(plan.model_copy(update={"section": {"old beam": mine}}), room)
    assert cut(counted, "old beam") == {1.81: 4, 0.36: 6, 0.26: 4}
    assert "PART-53" not in codes(counted)


def test_a_rack_is_read_off_its_sentence_and_that_is_told() -> None:
    counted = count_racks(*small_room(rack_kind='made_of = "45x95 C24 uprights, 45x95 C24 bearers"'))
    assert codes(counted) == {"PART-52", "PART-54", "PART-55"}
    assert sum(cut(counted, "timber 45x95 mm C24").values()) == 4 + 4 + 6 + 4
    assert not [article for article in counted.articles if article.kind == "board"]


def test_a_rack_of_which_nothing_is_said_is_not_counted_and_told() -> None:
    counted = count_racks(*small_room())
    assert counted.needs == ()
    (finding,) = counted.findings
    assert (finding.code, finding.severity, finding.places) == ("PART-51", Severity.NOT_COMPUTED, ("A",))


def test_a_bought_rack_is_one_article() -> None:
    counted = count_racks(*small_room(rack_kind='made_of = "bought steel shelving"'))
    assert counts(counted)["rack frame"] == 1
    assert codes(counted) == set()
    assert not [article for article in counted.articles if article.kind == "timber"]


def test_a_section_that_cannot_be_read_is_told_with_what_was_wanted() -> None:
    counted = count_racks(*small_room(rack_kind=TIMBER.replace("45 mm x 70 mm C24", "thick ones")))
    (finding,) = [one for one in counted.findings if one.code == "PART-53"]
    assert finding.found == '"thick ones"'
    assert "45 mm x 95 mm" in finding.wanted
    assert cut(counted, "timber 45x95 mm C24") == {1.8: 4}


def test_shelves_thicker_than_laid_out_are_told() -> None:
    thin = count_racks(*small_room(rack_kind=TIMBER + '\nshelf_thickness = "80 mm"'))
    (finding,) = [one for one in thin.findings if one.code == "PART-56"]
    assert dict(finding.numbers)["made"].value == pytest.approx(0.088)
    assert "PART-56" not in codes(count_racks(*small_room(rack_kind=TIMBER + '\nshelf_thickness = "88 mm"')))


def test_an_island_is_not_tied_to_a_wall() -> None:
    island = 'at = ["1 m", "1 m"]\nfacing = "south"'
    assert "wall tie with screw and plug" not in counts(
        count_racks(*small_room(rack_kind=TIMBER, place=island))
    )
    free = 'wall = "north"\nfrom_west = "50 cm"\ntied_to_wall = false'
    assert "wall tie with screw and plug" not in counts(
        count_racks(*small_room(rack_kind=TIMBER, place=free))
    )


def test_a_frame_in_inches_is_cut_in_metres_and_named_in_inches() -> None:
    timber = 'timber = { uprights = "2x4 SPF", bearers = "2x4 SPF", board = "3/4 in plywood" }'
    counted = count_racks(*small_room(display="US", rack_kind=timber))
    # between front and back uprights 450 - 2 x 88.9, between bearers 450 - 2 x 38.1 mm
    assert {0.2722, 0.3738} <= set(cut(counted, "timber 2x4 SPF"))
    assert "plywood 3/4 in" in counts(counted)


def test_every_rack_of_the_mended_cellar_is_counted_and_marked() -> None:
    plan, room = example("cellar_mended")
    counted = count_racks(plan, room)
    assert codes(counted) == set()
    uprights = {need.places: need.count for need in counted.needs if need.mark.endswith("upright")}
    assert uprights == {(rack.id,): 4 for rack in room.racks}
    boards = sum(need.count for need in needs(counted, "plywood 18 mm"))
    assert boards == sum(len(rack.shelves) for rack in room.racks)
    marks = [(need.mark, need.length) for need in counted.needs if need.length]
    assert len(marks) == len(set(marks))


def test_the_garage_has_four_bought_racks() -> None:
    counted = count_racks(*example("garage"))
    assert counts(counted)["rack steel"] == 4


@given(every=st.floats(min_value=0.1, max_value=2.0))
def test_no_gap_between_cross_pieces_is_wider_than_said(every: float) -> None:
    timber = TIMBER.replace("board =", f'cross_every = "{every:.4f} m", board =')
    counted = count_racks(*small_room(rack_kind=timber))
    pieces = cut(counted, "timber 45x70 mm C24")[0.36] / 2
    assert (1.81 - pieces * 0.045) / (pieces + 1) <= every + 1e-4
    if pieces:
        assert (1.81 - (pieces - 1) * 0.045) / pieces > every - 1e-4
