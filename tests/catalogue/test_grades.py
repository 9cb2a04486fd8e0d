"""Grades as their tables print them, and as people write them."""

from __future__ import annotations

import csv
from dataclasses import fields
from pathlib import Path

import pytest

from tankwright.catalogue.grades import (
    Grade,
    all_grades,
    find_grade,
    grade_at,
    grade_of,
    known_grades,
    nearest_grades,
)
from tankwright.catalogue.sections import read_section
from tankwright.catalogue.tables import rows_of

PUBLISHED = Path(__file__).parent.parent / "published"
PSI = 6894.757293168


def published(name: str) -> list[dict[str, str]]:
    return list(csv.DictReader((PUBLISHED / name).read_text(encoding="utf-8").splitlines()[1:]))


@pytest.mark.parametrize("row", published("en_338_2016.csv"), ids=lambda row: row["grade"])
def test_strength_classes_are_as_printed(row: dict[str, str]) -> None:
    grade = find_grade(row.pop("grade"))
    assert grade is not None
    assert not grade.from_memory
    assert grade.density == float(row.pop("density"))
    for name, cell in row.items():
        assert getattr(grade, name) == pytest.approx(float(cell) * 1e6), name


@pytest.mark.parametrize(
    "row", published("as_1720_grades.csv"), ids=lambda row: f"{row['grade']}_{row['depth']}"
)
def test_australian_grades_are_as_printed(row: dict[str, str]) -> None:
    found = find_grade(row.pop("grade"))
    assert found is not None
    grade = grade_at(found, float(row.pop("depth")) / 1000)
    assert grade is not None
    assert grade.capacity_factor == float(row.pop("capacity_factor"))
    for name, cell in row.items():
        assert getattr(grade, name) == pytest.approx(float(cell) * 1e6), name


def test_spruce_pine_fir_is_as_printed() -> None:
    # NDS Supplement table 4A: Fb 875, Fv 135, Fcp 425, Fc 1150, E 1,400,000, Emin 510,000 psi
    grade = find_grade("SPF No.2")
    assert grade is not None
    found = (grade.bending, grade.shear, grade.compression_across, grade.compression, grade.stiffness,
             grade.stiffness_low)  # fmt: skip
    assert found == pytest.approx(tuple(one * PSI for one in (875, 135, 425, 1150, 1.4e6, 510e3)))


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("C24", "C24"), ("c 24", "C24"), ("C24 KVH", "C24"), ("planed, C16", "C16"), ("mgp10", "MGP10"),
        ("MGP 12 H2 treated", "MGP12"), ("F7", "F7"), ("SPF", "SPF No.2"), ("spf #2", "SPF No.2"),
        ("SPF No.1/No.2", "SPF No.2"), ("No. 2 SPF", "SPF No.2"), ("SPF stud", "SPF Stud"), ("S235JRH", "S235"),
        ("x8 SPF", "SPF No.2"), ("DF-L No.2", "Douglas Fir-Larch No.2"), ("hem-fir", "Hem-Fir No.2"),
        ("birch plywood", "plywood"), ("OSB", "OSB/3"), ("osb 3", "OSB/3"), ("SPF-South", "SPF-South No.2"),
        ("MDF", "MDF"), ("chipboard", "chipboard P4"),
    ],
)  # fmt: skip
def test_a_grade_is_found_as_people_write_it(text: str, name: str) -> None:
    grade = find_grade(text)
    assert grade is not None
    assert grade.name == name


@pytest.mark.parametrize("text", ["", "   ", "spruce", "C25", "C24 or C16", "steel", "x", "No.2", "24", "S"])
def test_what_names_no_grade_or_two_is_not_guessed(text: str) -> None:
    assert find_grade(text) is None


def test_a_grade_that_was_read_out_of_a_short_name_says_so() -> None:
    assert "No.2" in (find_grade("SPF") or Grade(name="", route="own")).note


def test_every_grade_is_found_by_its_own_names_and_has_a_source() -> None:
    for grade in all_grades():
        assert grade.source
        assert grade.stiffness
        if grade.name in known_grades():
            for name in (grade.name, *grade.other_names):
                assert find_grade(name) == grade


def test_nearest_grades_are_ones_that_can_be_written() -> None:
    assert nearest_grades("C25")[:2] == ("C24", "C27")  # as like one as the other: the nearer first
    assert nearest_grades("MPG10")[0] == "MGP10"
    assert nearest_grades("qqqqqq") == ()
    assert set(nearest_grades("OSB 5")) <= set(known_grades())


def test_a_deep_section_has_the_strength_of_its_depth() -> None:
    mgp10, mgp12, c24 = (find_grade(one) for one in ("MGP10", "MGP12", "C24"))
    assert mgp10 is not None
    assert mgp12 is not None
    assert c24 is not None
    depths = [grade_at(mgp10, depth) for depth in (0.09, 0.14, 0.15, 0.19, 0.24)]
    assert [one.bending / 1e6 for one in depths if one and one.bending] == [17, 17, 16, 16, 15]
    assert grade_at(mgp10, 0.29) is None
    assert grade_at(mgp12, 0.19) is None  # not in the table: not told
    assert grade_at(c24, 0.5) is c24


def test_strengths_rise_with_the_class() -> None:
    for family in (("C14", "C16", "C18", "C20", "C22", "C24", "C27", "C30"), ("F5", "F7", "F8"),
                   ("MGP10", "MGP12", "MGP15"), ("S235", "S275", "S355")):  # fmt: skip
        grades = [find_grade(name) for name in family]
        bending = [one.bending for one in grades if one and one.bending]
        assert len(bending) == len(family)
        assert bending == sorted(bending)


def test_low_stiffness_is_lower_and_numbers_are_of_one_size() -> None:
    """A cell in the wrong column or unit would stand out."""
    for grade in all_grades():
        assert grade.stiffness is not None
        if grade.stiffness_low is not None:
            assert 0.3 < grade.stiffness_low / grade.stiffness < 0.9
        if grade.family == "solid":
            assert 6e9 < grade.stiffness < 17e9
            assert grade.bending is not None
            assert 4e6 < grade.bending < 45e6
        if grade.density is not None:
            assert 300 < grade.density < 8000


LINE = ("name,other_names,of,up_to_mm,route,family,unit,bending,shear,compression,compression_across,stiffness,"
        "stiffness_low,shear_stiffness,density_kg_m3,capacity_factor,source,note")  # fmt: skip


@pytest.mark.parametrize(
    "line",
    [
        "X1,,,,EN 999,solid,MPa,1,1,1,1,1000,,,,,book,",
        "X1,,,,EN 338,cheese,MPa,1,1,1,1,1000,,,,,book,",
        "X1,,,,EN 338,solid,MPa,1,1,1,1,,,,,,book,",
        "X1,,,,EN 338,solid,MPa,1,1,1,1,1000,,,,,,",
        ",,,,EN 338,solid,MPa,1,1,1,1,1000,,,,,book,",
        "X1,,,,EN 338,solid,MPa,-1,1,1,1,1000,,,,,book,",
        "X1,,,,EN 338,solid,furlong,1,1,1,1,1000,,,,,book,",
        "X1,,,,EN 338,solid,MPa,one,1,1,1,1000,,,,,book,",
    ],
)
def test_a_line_that_cannot_be_is_named(line: str) -> None:
    with pytest.raises(ValueError, match=r"x\.csv:2"):
        rows_of([LINE, line], "x.csv", grade_of)


def test_the_grade_of_a_section_is_what_stands_after_its_sizes() -> None:
    for text, name in (("45x95 C24", "C24"), ("2x4 SPF", "SPF No.2"), ("40x40x2 S235", "S235"),
                       ("90 mm x 45 mm MGP10", "MGP10")):  # fmt: skip
        section = read_section(text)
        assert section is not None
        grade = find_grade(section.grade)
        assert grade is not None
        assert grade.name == name


def test_every_strength_of_a_grade_is_optional_and_none_is_invented() -> None:
    bare = Grade(name="mine", route="own")
    optional = {one.name for one in fields(Grade)} - {
        "name",
        "route",
        "source",
        "family",
        "other_names",
        "note",
    }
    assert all(getattr(bare, name) is None for name in optional)
