"""Tagged animals: printed pedigrees, another program's answers, the plain table, and what must be refused."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from tankwright.husbandry import tagged as subject
from tankwright.husbandry.kinship import kinships
from tankwright.husbandry.pedigree import pedigree_of
from tankwright.husbandry.register import BreedingSet, Member, Stock
from tankwright.husbandry.tagged import Tagged, kinship_with, relationship_table, tagged

from .families import made, member, stock

PUBLISHED = Path(__file__).parent.parent / "published"


def rows(name: str) -> list[dict[str, str]]:
    return list(csv.DictReader((PUBLISHED / name).read_text("utf-8").splitlines()[1:]))


MRODE = rows("pedigree_mrode.csv")
MRODE_SIRES = [int(row["sire"]) - 1 for row in MRODE]
MRODE_DAMS = [int(row["dam"]) - 1 for row in MRODE]
OTHER = rows("pedigree_sgkit.csv")
NAMES = tuple(dict.fromkeys(row["pedigree"] for row in OTHER))


def other_program(name: str) -> tuple[list[int], list[int], list[float], NDArray[np.float64]]:
    mine = [row for row in OTHER if row["pedigree"] == name]
    table = np.zeros((len(mine), len(mine)))
    for i, row in enumerate(mine):
        table[i, : i + 1] = [float(one) for one in row["kinship_with_animals_up_to_itself"].split()]
        table[: i + 1, i] = table[i, : i + 1]
    return (
        [int(row["sire"]) for row in mine],
        [int(row["dam"]) for row in mine],
        [float(row["inbreeding"]) for row in mine],
        table,
    )


def plain_table(sires: list[int], dams: list[int]) -> NDArray[np.float64]:
    return relationship_table(
        [{one: 1.0} if one >= 0 else {} for one in sires], [{one: 1.0} if one >= 0 else {} for one in dams]
    )


def all_kinships(animals: Tagged) -> NDArray[np.float64]:
    return np.array([kinship_with(animals, one) for one in np.eye(len(animals.sires))])


def test_mrode_variances_are_the_printed_ones() -> None:
    found = tagged(MRODE_SIRES, MRODE_DAMS)
    for row, own in zip(MRODE, found.spread, strict=True):
        assert float(f"{own:.3f}") == float(row["d"])  # 0.46875 is printed 0.469
    assert found.inbreeding.tolist() == [0, 0, 0, 0, 0.125, 0.125]


def test_mrode_paths_and_relationships_are_the_printed_ones() -> None:
    table = plain_table(MRODE_SIRES, MRODE_DAMS)
    found = tagged(MRODE_SIRES, MRODE_DAMS)
    # A = T D T', so the last row of T is what the sixth animal shares with each, taken apart by D
    paths = np.array([float(row["t_of_animal_6"]) for row in MRODE])
    assert float((paths**2 * found.spread).sum()) == pytest.approx(1 + found.inbreeding[5])
    assert table[np.ix_([0, 3, 4], [0, 3, 4])].tolist() == [
        [1, 0.5, 0.5],
        [0.5, 1, 0.625],
        [0.5, 0.625, 1.125],
    ]
    assert table[4, 5] == 0.6875
    assert all_kinships(found) == pytest.approx(table / 2)


def test_a_parent_of_both_sexes_is_as_printed() -> None:
    young = rows("pedigree_sas_inbreed.csv")
    sires = [-1, -1, -1, *(int(row["sire"]) - 1 for row in young)]
    dams = [-1, -1, -1, *(int(row["dam"]) - 1 for row in young)]
    found = 2 * all_kinships(tagged(sires, dams))
    for i, row in enumerate(young):
        for k in range(3):
            printed = row[f"relationship_with_{k + 1}"]
            if printed:
                assert found[3 + i, 3 + k] == float(printed)


@pytest.mark.parametrize("name", NAMES)
def test_another_program_says_the_same(name: str) -> None:
    sires, dams, inbreeding, kinship = other_program(name)
    found = tagged(sires, dams)
    assert found.inbreeding == pytest.approx(inbreeding, abs=1e-12)
    assert all_kinships(found) == pytest.approx(kinship, abs=1e-12)
    assert plain_table(sires, dams) / 2 == pytest.approx(kinship, abs=1e-12)


@pytest.mark.parametrize("name", NAMES)
def test_batches_of_one_fish_are_animals(name: str) -> None:
    """The recursion over batches, with every animal a stock of one, against the other program."""
    sires, dams, inbreeding, kinship = other_program(name)
    stocks: list[Stock] = []
    sets: list[BreedingSet] = []
    for i, (sire, dam) in enumerate(zip(sires, dams, strict=True)):
        members: list[Member] = []
        if sire >= 0:
            members.append(member(f"x{sire}", "m"))
        if dam >= 0:
            members.append(member(f"x{dam}", "f"))
        if members:
            sets.append(made(f"s{i}", *members))
        stocks.append(stock(f"x{i}", *([f"s{i}"] if members else []), kind="individual"))
    found = kinships(pedigree_of(stocks, sets))
    for i in range(len(sires)):
        own, itself = found.inbreeding(f"x{i}"), found.with_itself(f"x{i}")
        assert own is not None
        assert itself is not None
        assert own.value == pytest.approx(inbreeding[i], abs=1e-12)
        assert itself.value == pytest.approx(kinship[i, i], abs=1e-12)
        for k in range(i):
            between = found.between(f"x{i}", f"x{k}")
            assert between is not None
            assert between.value == pytest.approx(kinship[i, k], abs=1e-12)


@st.composite
def herds(draw: st.DrawFn) -> tuple[list[int], list[int]]:
    count = draw(st.integers(1, 25))
    return tuple([draw(st.integers(-1, i - 1)) for i in range(count)] for _ in range(2))  # type: ignore[return-value]


@given(herds(), st.randoms(use_true_random=False))
def test_walk_and_table_agree_in_any_order(herd: tuple[list[int], list[int]], lot: object) -> None:
    sires, dams = herd
    table = plain_table(sires, dams)
    found = tagged(sires, dams)
    assert found.inbreeding == pytest.approx(np.diag(table) - 1, abs=1e-12)
    assert all_kinships(found) == pytest.approx(table / 2, abs=1e-12)
    place = list(range(len(sires)))
    lot.shuffle(place)  # type: ignore[attr-defined] - a Random
    mixed = [[-1] * len(sires), [-1] * len(sires)]
    for side, parents in enumerate(herd):
        for i, parent in enumerate(parents):
            mixed[side][place[i]] = place[parent] if parent >= 0 else -1
    assert tagged(*mixed).inbreeding[place] == pytest.approx(found.inbreeding, abs=1e-12)


@given(herds(), st.integers(0, 25))
def test_what_was_known_before_is_kept(herd: tuple[list[int], list[int]], had: int) -> None:
    sires, dams = herd
    before = tagged(sires[:had], dams[:had])
    assert tagged(sires, dams, before=before).inbreeding == pytest.approx(
        tagged(sires, dams).inbreeding, abs=1e-12
    )


def test_only_new_pairs_are_walked() -> None:
    before = tagged(MRODE_SIRES, MRODE_DAMS)
    wrong = Tagged(
        sires=before.sires,
        dams=before.dams,
        inbreeding=before.inbreeding + 0.1,
        order=before.order,
        spread=before.spread,
    )
    found = tagged([*MRODE_SIRES, 4], [*MRODE_DAMS, 5], before=wrong)
    assert found.inbreeding[4] == pytest.approx(0.225)


def large(animals: int, generations: int, families: int) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    lot, each = np.random.default_rng(7), animals // generations
    sires, dams = np.full(animals, -1), np.full(animals, -1)
    for n in range(1, generations):
        pairs = lot.integers(0, each, (families, 2)) + (n - 1) * each
        which = lot.integers(0, families, each)
        sires[n * each : (n + 1) * each], dams[n * each : (n + 1) * each] = pairs[which].T
    return sires, dams


def test_compiled_and_interpreted_say_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    sires, dams = large(600, 12, 8)
    plain = tagged(sires, dams)
    monkeypatch.setattr(subject, "INTERPRETED_STEPS", -1)
    fast = tagged(sires, dams)
    assert (plain.inbreeding == fast.inbreeding).all()
    assert (kinship_with(plain, np.ones(600)) == kinship_with(fast, np.ones(600))).all()


def test_the_heap_and_the_list_say_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    sires, dams = large(400, 8, 12)
    monkeypatch.setattr(subject, "INTERPRETED_STEPS", 10**9)
    subject._compiled.cache_clear()
    monkeypatch.setattr(subject.tagged_kernel, "HEAP_COST", 0)
    by_heap = tagged(sires, dams).inbreeding
    monkeypatch.setattr(subject.tagged_kernel, "HEAP_COST", 10**6)
    by_list = tagged(sires, dams).inbreeding
    assert by_heap == pytest.approx(by_list, abs=1e-12)
    assert by_list == pytest.approx(np.diag(plain_table(sires.tolist(), dams.tolist())) - 1, abs=1e-12)


def test_animals_of_a_loop_are_not_computed_and_others_are() -> None:
    found = tagged([-1, -1, 4, 2, 3, 0], [-1, -1, 0, 1, 1, 1])
    assert found.in_loops == (2, 3, 4)
    assert found.inbreeding[5] == 0
    assert np.isnan(kinship_with(found, [1, 0, 0, 0, 0, 0])[2])


def test_nobody_has_no_inbreeding() -> None:
    assert tagged([], []).inbreeding.tolist() == []


@pytest.mark.parametrize(("sires", "dams"), [([-1], []), ([1], [-1]), ([-2], [-1])])
def test_lists_that_fit_nothing_are_refused(sires: list[int], dams: list[int]) -> None:
    with pytest.raises(ValueError, match=r"sires and|a parent is"):
        tagged(sires, dams)


def test_other_parents_than_before_are_refused() -> None:
    with pytest.raises(ValueError, match="other parents"):
        tagged([-1, -1, 1], [-1, -1, 0], before=tagged([-1, -1, 0], [-1, -1, 1]))


def test_an_uncertain_sire_gives_an_average_relationship() -> None:
    """Dam 2, sire 1 (0.7) or 3 (0.3); a full child of 1 and 2; and the young of both."""
    table = relationship_table(
        [{}, {}, {}, {0: 0.7, 2: 0.3}, {0: 1.0}, {3: 1.0}], [{}, {}, {}, {1: 1.0}, {1: 1.0}, {4: 1.0}]
    )
    assert table[3, 4] == pytest.approx(0.425)
    assert table[5, 5] - 1 == pytest.approx(0.2125)
