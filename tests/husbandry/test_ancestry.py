"""How much of an ancestry is known, and its tree."""

from __future__ import annotations

import pytest

from tankwright.husbandry.ancestry import ancestry, completeness
from tankwright.husbandry.pedigree import descendants, pedigree_of

from .families import founder, made, member, stock

PEDIGREE = pedigree_of(
    (
        founder("a"),
        founder("b"),
        stock("c", "s"),
        stock("d", "t"),
        stock("e", ("t", 0.5), ("lost", 0.5)),
        stock("f", "=a"),
    ),
    (
        made("s", member("a", "m"), member("b", "f")),
        made("t", member("c", "m", 2), member("gone", "m", 2), member("b", "f")),
    ),
)


def test_known_ancestors_are_counted_by_generation() -> None:
    found = completeness(PEDIGREE)
    assert found["a"].generations == ()
    assert found["c"].generations == (1.0,)
    assert found["d"].generations == pytest.approx(
        (0.75, 0.25)
    )  # half its fathers are not known; c has both parents
    assert found["d"].equivalent == 1.0
    assert found["e"].generations == pytest.approx((0.375, 0.125))
    assert found["d"].back == 2


def test_a_tree_has_sets_with_their_fathers_and_mothers() -> None:
    tree = ancestry(PEDIGREE, "d")
    (parents,) = tree.sets
    assert [(one.stock, one.share, one.count) for one in parents.fathers] == [("c", 0.5, 2), ("", 0.5, 2)]
    assert [one.stock for one in parents.mothers] == ["b"]
    assert [one.stock for one in parents.fathers[0].sets[0].mothers] == ["b"]


def test_a_tree_is_cut_where_it_was_asked_to_and_says_so() -> None:
    tree = ancestry(PEDIGREE, "d", generations=1)
    father = tree.sets[0].fathers[0]
    assert father.cut
    assert father.sets == ()
    assert not tree.sets[0].mothers[0].cut


def test_fish_taken_out_of_a_stock_lead_back_to_it() -> None:
    (taken,) = ancestry(PEDIGREE, "f").sets
    assert (taken.breeding_set, taken.fathers[0].stock, taken.mothers) == ("", "a", ())


def test_a_tree_never_grows_without_end() -> None:
    loop = pedigree_of([stock("x", "s")], [made("s", member("x", "m"), member("x", "f"))])
    assert ancestry(loop, "x").cut
    stocks, sets = [founder("g0")], []
    for n in range(40):
        sets.append(made(f"s{n}", member(f"g{n}", "m"), member(f"g{n}", "f")))
        stocks.append(stock(f"g{n + 1}", f"s{n}"))
    found = ancestry(pedigree_of(stocks, sets), "g40", generations=40, most=100)
    assert found.stock == "g40"


def test_descendants_are_all_that_come_from_a_stock() -> None:
    assert descendants(PEDIGREE, "a") == {"c", "d", "e", "f"}
    assert descendants(PEDIGREE, "d") == frozenset()
