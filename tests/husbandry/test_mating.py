"""Mates: a worked table, the best there is against all there are, and what the living hold."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.husbandry.kinship import kinships
from tankwright.husbandry.mating import assigned, diversity, may_father, planned, propose
from tankwright.husbandry.pedigree import Pedigree, pedigree_of

from .families import founder, made, member, stock


def worked() -> Pedigree:
    """5, 6 of 1 and 2; 7, 8 of 3 and 4; 9, 10 of 5 and 7; 11, 12 of 6 and 8; 13 of 1 and 4."""
    pairs = {
        "5": "12",
        "6": "12",
        "7": "34",
        "8": "34",
        "9": "57",
        "10": "57",
        "11": "68",
        "12": "68",
        "13": "14",
    }
    names = dict.fromkeys(pairs.values())
    sets = [made(f"s{name}", member(name[0], "m"), member(name[1], "f")) for name in names]
    stocks = [founder(key) for key in "1234"]
    stocks += [stock(key, f"s{name}", kind="individual") for key, name in pairs.items()]
    return pedigree_of(stocks, sets)


def test_the_worked_table_of_mates() -> None:
    found = propose(worked(), ("9", "11", "13"), ("10", "12", "5"), limit=0.5)
    assert found.table == ((0.25, 0.125, 0.25), (0.125, 0.25, 0.125), (0.125, 0.125, 0.125))
    assert sum(one.kinship for one in found.mates) == 0.375
    assert found.alone == ()


def test_the_worked_mean_kinships() -> None:
    found = diversity(kinships(worked()), dict.fromkeys(("9", "10", "11", "12", "13"), 1))
    assert found is not None
    assert dict(found.of) == pytest.approx({"9": 0.225, "10": 0.225, "11": 0.225, "12": 0.225, "13": 0.2})
    assert found.of[0][0] == "13"
    assert round(found.kept, 2) == 0.78
    assert round(found.equivalents, 2) == 2.27


def test_a_brood_counts_as_its_fish_do() -> None:
    """Two of a brood are as two fish of their own, brothers or sisters."""
    pair = made("s", member("a", "m"), member("b", "f"))
    one = [founder("a"), founder("b")]
    together = kinships(pedigree_of([*one, stock("brood", "s")], [pair]))
    apart = kinships(pedigree_of([*one, *(stock(key, "s", kind="individual") for key in "xy")], [pair]))
    first, second = diversity(together, {"brood": 2, "a": 1}), diversity(apart, {"x": 1, "y": 1, "a": 1})
    assert first is not None
    assert second is not None
    assert first.mean == pytest.approx(second.mean)


def test_nobody_alive_holds_nothing() -> None:
    assert diversity(kinships(worked()), {"9": 0}) is None


@given(st.integers(1, 5), st.integers(1, 5), st.integers(0, 10**6), st.sampled_from([0.1, 0.25, 0.5]))
def test_no_other_pairing_is_better(males: int, females: int, lot: int, limit: float) -> None:
    table = np.random.default_rng(lot).choice([0.0, 0.0625, 0.125, 0.25, 0.375, np.nan], (males, females))
    found = assigned(table, limit)
    assert all(table[i, k] <= limit for i, k in found)
    best = (0, 0.0)
    wide, many = (table, females) if males <= females else (table.T, males)
    for order in itertools.permutations(range(many), len(wide)):
        used = [wide[i, k] for i, k in enumerate(order) if wide[i, k] <= limit]
        best = max(best, (len(used), -float(sum(used))))
    assert (len(found), -float(sum(table[i, k] for i, k in found))) == pytest.approx(best)


def test_who_has_no_mate_below_the_limit_is_told() -> None:
    found = propose(worked(), ("9",), ("10",), limit=0.125)
    assert (found.mates, found.alone) == ((), ("9", "10"))


def test_a_planned_set_is_worked_out_and_changes_nothing() -> None:
    pedigree = worked()
    found = planned(pedigree, made("", member("9", "m"), member("10", "f")), limit=0.5)
    assert found is not None
    assert found.young.value == 0.25
    assert found.related.value > found.young.value
    assert found.left == 2
    assert "(tried)" not in pedigree.sets


def test_a_planned_set_with_fish_of_a_loop_is_not_computed() -> None:
    loop = pedigree_of([stock("a", "s"), founder("b")], [made("s", member("a", "m"), member("b", "f"))])
    assert planned(loop, made("", member("a", "m"), member("b", "f"))) is None
    assert propose(loop, ("a",), ("b",)).table == ((None,),)


def test_fish_of_unknown_sex_may_be_either() -> None:
    stocks = (founder("a", sex="male"), founder("b", sex="female"), founder("c"), founder("gone"))
    assert may_father(stocks, {"a": 1, "b": 1, "c": 4, "gone": 0}) == (("a", "c"), ("b", "c"))
