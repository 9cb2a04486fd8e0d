"""Kinship of batches: what is worked by hand, what dropped genes say, printed regular mating, what always holds."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tankwright.husbandry.kinship import Kinships, kinships, mates
from tankwright.husbandry.pedigree import pedigree_of
from tankwright.husbandry.register import BreedingSet, Stock

from .families import Drop, day, founder, made, member, stock

PAIR = (founder("him"), founder("her"))
S0 = made("s0", member("him", "m"), member("her", "f"))
G1 = stock("g1", "s0")
DROPS = 100_000
DRAWN = 0.006  # of a share near one third, 100,000 draws miss by less than four standard deviations, 0.0059


def known(stocks: tuple[Stock, ...], sets: tuple[BreedingSet, ...], unknown: float = 0.0) -> Kinships:
    return kinships(pedigree_of(stocks, sets), unknown=unknown)


def test_a_pair_of_unrelated_founders_has_young_that_are_full_brothers_and_sisters() -> None:
    found = known((*PAIR, G1), (S0,))
    assert found.inbreeding("g1").value == 0
    assert found.within("g1").value == 0.25
    assert found.between("him", "g1").value == 0.25
    assert found.with_itself("g1").value == 0.5


def test_a_harem_out_of_one_brood_is_as_dropped_genes_say() -> None:
    s1 = made("s1", member("g1", "m", 2), member("g1", "f", 3))
    found = known((*PAIR, G1, stock("g2", "s1")), (S0, s1))
    assert found.inbreeding("g2").value == 0.25
    assert found.within("g2").value == pytest.approx(0.302083, abs=1e-6)
    drop = Drop(DROPS, 1)
    he, she = drop.founder(), drop.founder()
    males, females = drop.brood(2, [he], [she]), drop.brood(3, [he], [she])
    one, other = drop.brood(2, males, females)
    assert drop.inbreeding(one) == pytest.approx(found.inbreeding("g2").value, abs=DRAWN)
    assert drop.kinship(one, other) == pytest.approx(found.within("g2").value, abs=DRAWN)


def test_two_broods_of_one_set_share_their_parents() -> None:
    s1 = made("s1", member("g1", "m", 3), member("g1", "f", 2))
    found = known((*PAIR, G1, stock("a", "s1"), stock("b", "s1")), (S0, s1))
    assert found.between("a", "b").value == found.within("a").value == pytest.approx(0.302083, abs=1e-6)
    drop = Drop(DROPS, 2)
    he, she = drop.founder(), drop.founder()
    males, females = drop.brood(3, [he], [she]), drop.brood(2, [he], [she])
    assert drop.kinship(drop.child(males, females), drop.child(males, females)) == pytest.approx(
        found.between("a", "b").value, abs=DRAWN
    )


@pytest.mark.parametrize("kind", ["brothers in a stock of their own", "brothers told by their earlier set"])
def test_fish_set_to_their_own_young_are_the_parents_of_their_mates(kind: str) -> None:
    if kind.endswith("own"):
        brothers = stock("brothers", "s0", kind="group", sex="male")
        s1 = made("s1", member("brothers", "m", 3), member("g1", "f", 2), until=50)
        back = made("back", member("brothers", "m", 3), member("g2", "f", 4), at=60)
        stocks = (*PAIR, G1, brothers, stock("g2", "s1"), stock("g3", "back"))
    else:
        s1 = made("s1", member("g1", "m", 3), member("g1", "f", 2), until=50)
        back = made("back", member("g1", "m", 3, same_as="s1"), member("g2", "f", 4), at=60)
        stocks = (*PAIR, G1, stock("g2", "s1"), stock("g3", "back"))
    found = known(stocks, (S0, s1, back))
    assert found.inbreeding("g3").value == pytest.approx(0.291667, abs=1e-6)  # the rule without memory: 0.25
    drop = Drop(DROPS, 3)
    he, she = drop.founder(), drop.founder()
    males, sisters = drop.brood(3, [he], [she]), drop.brood(2, [he], [she])
    daughters = drop.brood(4, males, sisters)
    assert drop.inbreeding(drop.child(males, daughters)) == pytest.approx(
        found.inbreeding("g3").value, abs=DRAWN
    )


def test_unequal_shares_are_counted() -> None:
    shares = ((0.6, "x"), (0.3, "y"), (0.1, "z"))
    brothers = tuple(stock(key, "s0", kind="individual", sex="male") for _, key in shares)
    males = (member(key, "m", share_low=part, share_high=part) for part, key in shares)
    s1 = made("s1", *males, member("g1", "f", 2))
    found = known((*PAIR, G1, *brothers, stock("g2", "s1")), (S0, s1))
    assert found.within("g2").value == pytest.approx(0.31, abs=1e-6)
    drop = Drop(DROPS, 4)
    he, she = drop.founder(), drop.founder()
    fathers, sisters = drop.brood(3, [he], [she]), drop.brood(2, [he], [she])
    one, other = (drop.child(fathers, sisters, [part for part, _ in shares]) for _ in range(2))
    assert drop.kinship(one, other) == pytest.approx(found.within("g2").value, abs=DRAWN)


def test_a_mixed_stock_with_a_father_of_two_stocks_is_as_dropped_genes_say() -> None:
    """Two sets with one father, their young mixed 2 to 1, set to a fish from a third set: everything at once."""
    stocks = (
        *(founder(key) for key in ("him", "her", "other", "third")),
        stock("mix", ("s0", 2 / 3), ("s1", 1 / 3)),
        stock("aside", "s0"),
        stock("g2", "s2"),
        stock("g3", "s3"),
    )
    sets = (
        S0,
        made("s1", member("him", "m"), member("other", "f")),
        made("s2", member("mix", "m", 2), member("aside", "m", 1), member("mix", "f", 2)),
        made("s3", member("g2", "m", 2), member("him", "m"), member("g2", "f", 3)),
    )
    found = known(stocks, sets)
    drop = Drop(DROPS, 5)
    he, she, other = drop.founder(), drop.founder(), drop.founder()

    def of_mix() -> np.ndarray:
        return drop.one_of([drop.child([he], [she]), drop.child([he], [other])], [2 / 3, 1 / 3])

    fathers = [of_mix(), of_mix(), drop.child([he], [she])]
    mothers = [of_mix(), of_mix()]
    young = drop.brood(5, fathers, mothers)
    assert drop.inbreeding(young[0]) == pytest.approx(found.inbreeding("g2").value, abs=DRAWN)
    assert drop.kinship(young[0], young[1]) == pytest.approx(found.within("g2").value, abs=DRAWN)
    assert drop.kinship(he, young[0]) == pytest.approx(found.between("him", "g2").value, abs=DRAWN)
    last = drop.brood(2, [*young[:2], he], young[2:])
    assert drop.inbreeding(last[0]) == pytest.approx(found.inbreeding("g3").value, abs=DRAWN)
    assert drop.kinship(*last) == pytest.approx(found.within("g3").value, abs=DRAWN)
    assert drop.kinship(he, last[0]) == pytest.approx(found.between("him", "g3").value, abs=DRAWN)


def test_fish_of_unknown_sex_are_never_both_parents() -> None:
    s1 = made("s1", member("g1", "", 4))
    found = known((*PAIR, G1, stock("g2", "s1")), (S0, s1))
    drop = Drop(DROPS, 6)
    he, she = drop.founder(), drop.founder()
    four = drop.brood(4, [he], [she])
    pairs = [(i, k) for i in range(4) for k in range(4) if i != k]
    young = [drop.one_of([drop.child([four[i]], [four[k]]) for i, k in pairs]) for _ in range(2)]
    assert found.inbreeding("g2").value == pytest.approx(0.25)
    assert drop.inbreeding(young[0]) == pytest.approx(0.25, abs=DRAWN)
    assert drop.kinship(*young) == pytest.approx(found.within("g2").value, abs=DRAWN)


def line_of_pairs(generations: int) -> tuple[tuple[Stock, ...], tuple[BreedingSet, ...]]:
    stocks, sets = [*PAIR, G1], [S0]
    for n in range(1, generations):
        sets.append(made(f"s{n}", member(f"g{n}", "m"), member(f"g{n}", "f")))
        stocks.append(stock(f"g{n + 1}", f"s{n}"))
    return tuple(stocks), tuple(sets)


def test_brothers_with_sisters_give_the_known_series() -> None:
    """Wright 1921, Genetics 6, systems of mating II: 0, 1/4, 3/8, 1/2, 19/32, 43/64 ..."""
    found = known(*line_of_pairs(8))
    seen = [found.inbreeding(f"g{n}").value for n in range(1, 8)]
    assert seen == [0, 0.25, 0.375, 0.5, 0.59375, 0.671875, 0.734375]


def test_a_fish_that_has_young_alone_loses_half_each_time() -> None:
    """Selfing, Wright 1921: 1 - (1/2)^n."""
    stocks, sets = [founder("x0")], []
    for n in range(5):
        sets.append(made(f"s{n}", member(f"x{n}", "m"), member(f"x{n}", "f")))
        stocks.append(stock(f"x{n + 1}", f"s{n}", kind="individual"))
    found = known(tuple(stocks), tuple(sets))
    assert [found.inbreeding(f"x{n}").value for n in range(6)] == [0, 0.5, 0.75, 0.875, 0.9375, 0.96875]


def test_daughters_of_each_generation_set_back_to_one_father_come_near_a_quarter() -> None:
    """Backcrosses to one non-inbred fish: F = 1/4, 3/8, 7/16 ... towards 1/2 of a father with F = 0 (Wright 1921)."""
    stocks, sets = [*PAIR, stock("d1", "s0", kind="individual")], [S0]
    for n in range(1, 4):
        sets.append(made(f"b{n}", member("him", "m"), member(f"d{n}", "f")))
        stocks.append(stock(f"d{n + 1}", f"b{n}", kind="individual"))
    found = known(tuple(stocks), tuple(sets))
    assert [found.inbreeding(f"d{n}").value for n in range(2, 5)] == [0.25, 0.375, 0.4375]


@pytest.mark.parametrize(
    ("last", "sets", "wanted"),
    [
        ("half brother with half sister", ("him", "her", "him", "other"), 0.125),
        ("double cousins", ("a", "b", "c", "d"), 0.125),
        ("no relation", ("him", "her", "third", "other"), 0.0),
    ],
)
def test_matings_every_handbook_knows(last: str, sets: tuple[str, ...], wanted: float) -> None:
    """Falconer, Introduction to Quantitative Genetics, table of regular matings, from memory."""
    if last == "double cousins":
        stocks = [*PAIR, founder("p"), founder("q")]
        broods = [S0, made("t0", member("p", "m"), member("q", "f"))]
        stocks += [stock("x", "s0"), stock("y", "t0")]
        broods += [
            made("u", member("x", "m"), member("y", "f")),
            made("v", member("y", "m"), member("x", "f")),
        ]
        stocks += [stock("left", "u"), stock("right", "v")]
    else:
        stocks = [founder(key) for key in dict.fromkeys(sets)]
        broods = [made("u", member(sets[0], "m"), member(sets[1], "f"))]
        broods.append(made("v", member(sets[2], "m"), member(sets[3], "f")))
        stocks += [stock("left", "u"), stock("right", "v")]
    broods.append(made("last", member("left", "m"), member("right", "f")))
    found = known(tuple(stocks), tuple(broods))
    assert found.young_of("last").value == found.between("left", "right").value == wanted


def test_who_fathered_is_bounded_and_the_bounds_are_the_parents_that_may_be() -> None:
    """A brother or a stranger may have been the father of the mate: F between nothing and a quarter of a full pair."""
    stocks = (
        *PAIR,
        founder("stranger"),
        founder("other"),
        stock("c", "s0"),
        stock("d", "s1"),
        stock("e", "s2"),
    )
    sets = (
        S0,
        made(
            "s1",
            member("him", "m", share_low=0.6, share_high=0.8),
            member("stranger", "m"),
            member("her", "f"),
        ),
        made("s2", member("c", "m"), member("d", "f")),
    )
    found = known(stocks, sets)
    young = found.inbreeding("e")
    assert young.value == pytest.approx(
        0.7 * 0.25 + 0.3 * 0.125
    )  # 0.2125, as Henderson's average relationship
    assert (young.low, young.high) == pytest.approx((0.6 * 0.25 + 0.4 * 0.125, 0.8 * 0.25 + 0.2 * 0.125))


def test_an_uncertain_father_gives_the_average_relationship() -> None:
    """Dam 2, sire 1 (0.7) or 3 (0.3), own worked example of Henderson's average relationship: A of two such sibs."""
    stocks = (founder("1"), founder("2"), founder("3"), stock("4", "s"), stock("5", "t"))
    sets = (
        made(
            "s",
            member("1", "m", share_low=0.7, share_high=0.7),
            member("3", "m", share_low=0.3, share_high=0.3),
            member("2", "f"),
        ),
        made("t", member("1", "m"), member("2", "f")),
    )
    found = known(stocks, sets)
    assert 2 * found.between("4", "5").value == pytest.approx(0.425)
    assert found.between("4", "5").certain


def test_fish_drawn_twice_from_a_brood_may_be_the_same_and_that_is_told() -> None:
    first = made("first", member("g1", "m", 2), member("g1", "f", 2), until=30)
    later = made("later", member("g1", "m", 2), member("a", "f", 2), at=40)
    stocks = (*PAIR, G1, stock("a", "first"), stock("b", "later"))
    young = known(stocks, (S0, first, later)).inbreeding("b")
    same = made("later", member("g1", "m", 2, same_as="first"), member("a", "f", 2), at=40)
    very = known(stocks, (S0, first, same)).inbreeding("b")
    assert young.value == young.low == 0.25
    assert young.high == very.value == very.low == pytest.approx(0.3125)
    at_once = replace(later, opened=day(20))
    assert known(stocks, (S0, first, at_once)).inbreeding("b").certain


def test_founders_nobody_knows_of_are_reckoned_twice() -> None:
    stocks = (founder("him", came_from="shop"), founder("her", came_from="shop"), stock("c", "s0"))
    assert known(stocks, (S0,)).inbreeding("c").value == 0
    assert known(stocks, (S0,), unknown=0.125).inbreeding("c").value == 0.125
    apart = (replace(stocks[0], came_from="other shop"), *stocks[1:])
    assert known(apart, (S0,), unknown=0.125).inbreeding("c").value == 0
    other_line = (replace(stocks[0], line="k"), *stocks[1:])
    assert known(other_line, (S0,), unknown=0.125).inbreeding("c").value == 0


def test_founders_bought_together_stay_related_when_they_are_parted() -> None:
    bought = founder("six", kind="group", kinship=0.25)
    parted = stock("three", "=six", kind="group")
    s1 = made("s1", member("six", "m"), member("three", "f"))
    found = known((bought, parted, stock("c", "s1")), (s1,))
    assert found.inbreeding("c").value == found.between("six", "three").value == 0.25


def test_a_female_that_came_with_young_has_young_of_an_unknown_father() -> None:
    alone = made("alone", member("her", "f"))
    stocks = (founder("her"), stock("c", "alone"))
    found = known(stocks, (alone,))
    assert (found.inbreeding("c").value, found.within("c").value) == (0, 0.25)
    assert known(stocks, (alone,), unknown=0.125).inbreeding("c").value == 0.125


def test_what_stands_in_a_loop_is_not_computed_and_the_rest_is() -> None:
    loop = (stock("x", "t"), stock("y", "u"))
    sets = (
        S0,
        made("t", member("y", "m"), member("her", "f")),
        made("u", member("x", "m"), member("her", "f")),
    )
    pedigree = pedigree_of((*PAIR, G1, *loop), sets)
    found = kinships(pedigree)
    assert found.inbreeding("x") is None
    assert found.between("x", "g1") is None
    assert found.within("g1").value == 0.25
    assert {key for node in pedigree.loops for _, key in node} == {"x", "y", "t", "u"}


def test_ids_that_lead_nowhere_are_founders() -> None:
    s1 = made("s1", member("gone", "m"), member("her", "f"))
    pedigree = pedigree_of((founder("her"), stock("c", "s1"), stock("d", "lost")), (s1,))
    assert pedigree.unknown_stocks == {"gone"}
    assert pedigree.unknown_sets == {"lost"}
    found = kinships(pedigree)
    assert found.inbreeding("c").value == found.inbreeding("d").value == 0
    assert found.within("c").value == 0.25


def test_split_then_merge_back_changes_no_kinship() -> None:
    """Property P10: parts of a stock have its origin, and together they are the stock again."""
    s1 = made("s1", member("mix", "m", 2), member("mix", "f", 2))
    parents = (*PAIR, founder("other"), stock("mix", ("s0", 0.25), ("t0", 0.75)))
    sets = (S0, made("t0", member("him", "m"), member("other", "f")), s1)
    whole = stock("whole", ("s1", 0.5), ("s0", 0.5))
    half = replace(whole, id="half")
    back = replace(whole, id="back")  # weighed by counts: the same shares
    found = known((*parents, whole, half, back), sets)
    for other in ("him", "other", "mix"):
        assert found.between("whole", other) == found.between("half", other) == found.between("back", other)
    assert found.within("whole") == found.within("back")
    assert found.between("whole", "half").value == pytest.approx(found.within("whole").value)


def test_asking_for_some_gives_the_same_as_asking_for_all() -> None:
    stocks, sets = line_of_pairs(6)
    pedigree = pedigree_of(stocks, sets)
    assert kinships(pedigree, ("g3",)).within("g3") == kinships(pedigree).within("g3")
    assert kinships(pedigree, ("g3",)).within("g5") is None


def test_mates_are_the_inbreeding_of_their_young() -> None:
    stocks, sets = line_of_pairs(3)
    pedigree = pedigree_of(stocks, sets)
    table = mates(
        pedigree, (("him", "male"), ("g2", "male")), (("her", "female"), ("g2", "female"), ("him", "female"))
    )
    tried = made("try", member("g2", "m"), member("her", "f"))
    young = kinships(pedigree_of(stocks, (*sets, tried)), (), sets=("try",)).young_of("try")
    assert table[1, 1] == kinships(pedigree).within("g2").value
    assert table[1, 0] == young.value
    assert np.isnan(table[0, 2])


@st.composite
def families(draw: st.DrawFn) -> tuple[tuple[Stock, ...], tuple[BreedingSet, ...]]:
    """Up to five founders and seven sets of anything there is by then."""
    stocks = [
        founder(f"f{n}", kind=draw(st.sampled_from(["individual", "group"])))
        for n in range(draw(st.integers(1, 5)))
    ]
    sets: list[BreedingSet] = []
    for n in range(draw(st.integers(0, 7))):
        members = []
        for sex in "mf":
            for one in draw(
                st.lists(st.sampled_from(stocks), min_size=0, max_size=2, unique_by=lambda one: one.id)
            ):
                low = draw(st.none() | st.floats(0, 0.4))
                high = None if low is None else draw(st.floats(0.6, 1))
                count = 1 if one.kind == "individual" else draw(st.integers(1, 4))
                members.append(member(one.id, sex, count, share_low=low, share_high=high))
        sets.append(made(f"s{n}", *members, at=10 * n, until=10 * n + draw(st.sampled_from([5, 25]))))
        origin = [f"s{n}"]
        if n and draw(st.booleans()):
            origin.append(f"s{draw(st.integers(0, n - 1))}")
        kind = draw(st.sampled_from(["individual", "pair", "group", "brood"]))
        stocks.append(stock(f"b{n}", *((key, 1 / len(origin)) for key in dict.fromkeys(origin)), kind=kind))
    return tuple(stocks), tuple(sets)


@settings(max_examples=200, deadline=timedelta(seconds=2))
@given(families(), st.floats(0, 0.5))
def test_kinships_are_chances_that_agree_with_each_other(
    family: tuple[tuple[Stock, ...], tuple[BreedingSet, ...]], unknown: float
) -> None:
    stocks, sets = family
    found, more = known(stocks, sets), known(stocks, sets, unknown)
    for one in stocks:
        own, within = found.inbreeding(one.id), found.within(one.id)
        assert 0 <= own.low <= own.value <= own.high <= 1
        assert 0 <= within.low <= within.value <= within.high <= 1
        assert within.value <= found.with_itself(one.id).value + 1e-12
        assert more.inbreeding(one.id).value >= own.value - 1e-12
        for other in stocks:
            there, back = found.between(one.id, other.id), found.between(other.id, one.id)
            assert there == back
            assert 0 <= there.low <= there.value <= there.high <= 1
