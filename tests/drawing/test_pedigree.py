"""The drawn ancestry: everything is on the page, nothing lies over anything else, what is not known is hatched."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.drawing.model import Drawing, Group, Hatching, Rectangle, Text, bounds, walk
from tankwright.drawing.pedigree import AncestorWords, draw_ancestry
from tankwright.drawing.screen_svg import to_screen_svg
from tankwright.husbandry.ancestry import Ancestor, Parents, ancestry
from tankwright.husbandry.pedigree import Pedigree, pedigree_of
from tankwright.husbandry.register import BreedingSet, Member, OriginShare, Sex, Stock

THEN = datetime(2026, 1, 1, tzinfo=UTC)


def stock(key: str, *sets: str, taken: str = "") -> Stock:
    origin = tuple(OriginShare(breeding_set=one, share=1 / len(sets)) for one in sets)
    if taken:
        origin = (OriginShare(founders=taken),)
    return Stock(id=key, label=f"Brood {key}", kind="brood", line="l", opened=THEN, origin=origin)


def made(key: str, *members: tuple[str, Sex, int]) -> BreedingSet:
    return BreedingSet(
        id=key, opened=THEN, members=tuple(Member(stock=one, sex=sex, count=n) for one, sex, n in members)
    )


FAMILY = pedigree_of(
    (stock("a"), stock("b"), stock("c", "s"), stock("d", "t"), stock("e", "u", "t"), stock("f", taken="a")),
    (
        made("s", ("a", "male", 1), ("b", "female", 1)),
        made("t", ("c", "male", 2), ("f", "male", 1), ("c", "female", 3)),
        made("u", ("d", "female", 4)),
    ),
)


def drawn(pedigree: Pedigree, key: str, generations: int = 5) -> Drawing:
    words = {
        one.id: AncestorWords(
            name=one.label, said="F 3 %", founder=pedigree.founders_of(one.id), link=f"?stock={one.id}"
        )
        for one in pedigree.stocks.values()
    }
    return draw_ancestry(ancestry(pedigree, key, generations=generations), words, title=key)


def boxes(drawing: Drawing) -> list[tuple[float, float, float, float]]:
    groups = (part for part in drawing.parts if isinstance(part, Group))
    return [bounds(next(one for one in group.parts if isinstance(one, Rectangle))) for group in groups]


def texts(drawing: Drawing) -> list[str]:
    return [one.text for one in walk(drawing.parts) if isinstance(one, Text)]


@pytest.mark.parametrize("key", list("abcdef"))
def test_all_of_it_is_on_the_page_and_boxes_lie_apart(key: str) -> None:
    drawing = drawn(FAMILY, key)
    for part in drawing.parts:
        left, top, right, bottom = bounds(part)
        assert left >= -1e-9
        assert top >= -1e-9
        assert right <= drawing.width + 1e-9
        assert bottom <= drawing.height + 1e-9
    found = boxes(drawing)
    for i, one in enumerate(found):
        for other in found[:i]:
            assert one[2] < other[0] or other[2] < one[0] or one[3] < other[1] or other[3] < one[1]


def test_a_parent_nobody_knows_is_hatched_and_said() -> None:
    drawing = drawn(FAMILY, "e")
    hatched = [
        one
        for one in drawing.parts
        if isinstance(one, Group) and any(isinstance(p, Hatching) for p in one.parts)
    ]
    assert [one.title for one in hatched] == ["father not known"]
    assert "1 of them not known" in drawing.description


def test_a_stock_that_comes_twice_has_its_parents_drawn_once() -> None:
    seen = texts(drawn(FAMILY, "d"))
    assert seen.count("Brood c") == 2
    assert seen.count("its parents stand above") == 1
    assert seen.count("Brood b") == 1


def test_columns_are_generations() -> None:
    assert "great-grandparents" in texts(drawn(FAMILY, "e"))
    assert texts(drawn(FAMILY, "c"))[0] == "parents"


def test_what_is_cut_says_so() -> None:
    assert "more behind it" in texts(drawn(FAMILY, "e", generations=1))


def test_a_founder_stands_alone_with_a_broken_edge() -> None:
    drawing = drawn(FAMILY, "a")
    (box,) = (one for one in walk(drawing.parts) if isinstance(one, Rectangle) and one.radius)
    assert box.look.dash
    assert "founder" in texts(drawing)


def test_boxes_lead_on_and_tell_what_they_say() -> None:
    (first, *_rest) = [one for one in drawn(FAMILY, "c").parts if isinstance(one, Group) and one.link]
    assert first.title.startswith("Brood ")
    assert 'href="?stock=' in to_screen_svg(drawn(FAMILY, "c"), name="tree")


@given(st.text(max_size=60))
def test_any_name_fits_its_box(name: str) -> None:
    tree = Ancestor(
        stock="x",
        sets=(
            Parents(
                breeding_set="s", share=1.0, fathers=(Ancestor(stock="x", sex="male", count=3),), mothers=()
            ),
        ),
    )
    drawing = draw_ancestry(tree, {"x": AncestorWords(name=name, said="F 25 %")}, title="x")
    assert bounds(Group(parts=drawing.parts))[2] <= drawing.width + 1e-9
