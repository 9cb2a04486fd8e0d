"""Sections and boards as people write them."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from tankwright.catalogue.rounded_tubes import area, second_moment
from tankwright.catalogue.sections import Said, Section, is_bought, read_board, read_made_of, read_section


@pytest.mark.parametrize(
    ("text", "name", "thin", "wide"),
    [
        ("45 mm x 95 mm C24", "timber 45x95 mm C24", 0.045, 0.095),
        ("95x45 C24", "timber 45x95 mm C24", 0.045, 0.095),
        ("4.5 cm x 9.5 cm", "timber 45x95 mm", 0.045, 0.095),
        ("47 × 75 mm C16", "timber 47x75 mm C16", 0.047, 0.075),
        ("2x4 SPF", "timber 2x4 SPF", 0.0381, 0.0889),  # 1 1/2 x 3 1/2 in
        ("1 1/2 in x 3 1/2 in SPF", "timber 1 1/2 in x 3 1/2 in SPF", 0.0381, 0.0889),
        ("2x6", "timber 2x6", 0.0381, 0.1397),  # 1 1/2 x 5 1/2 in
    ],
)
def test_a_section_is_read_as_it_is_written(text: str, name: str, thin: float, wide: float) -> None:
    section = read_section(text)
    assert section is not None
    assert (section.name, section.thin, section.wide) == (name, pytest.approx(thin), pytest.approx(wide))


@pytest.mark.parametrize("text", ["", "C24", "thick", "45 mm", "0x95", "7x11", "18 mm plywood", "x", "45 x"])
def test_what_is_no_section_is_none(text: str) -> None:
    assert read_section(text) is None


@pytest.mark.parametrize(
    ("text", "name", "thickness"),
    [
        ("18 mm plywood", "plywood 18 mm", 0.018),
        ("1.8 cm OSB", "OSB 18 mm", 0.018),
        ("3/4 in plywood", "plywood 3/4 in", 0.01905),
    ],
)
def test_a_board_is_read_as_it_is_written(text: str, name: str, thickness: float) -> None:
    board = read_board(text)
    assert board is not None
    assert (board.name, board.thickness) == (name, pytest.approx(thickness))


@pytest.mark.parametrize("text", ["", "plywood", "18 plywood", "45 mm x 95 mm", "0 mm plywood"])
def test_what_is_no_board_is_none(text: str) -> None:
    assert read_board(text) is None


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("45x95 C24 uprights, 45x95 C24 bearers", Said(uprights="45x95 C24", bearers="45x95 C24")),
        ("2x4 SPF frame with 3/4 in plywood", Said(uprights="2x4 SPF", bearers="2x4 SPF", board="3/4 in plywood")),
        ("posts 45x95; rails 45x70; braces 45x45", Said(uprights="45x95", bearers="45x70", brace="45x45")),
        ("bought steel shelving", Said()),
        ("", Said()),
    ],
)  # fmt: skip
def test_a_sentence_is_read_for_what_it_says(text: str, said: Said) -> None:
    assert read_made_of(text) == said


def test_a_bought_rack_says_so() -> None:
    assert is_bought("boltless steel")
    assert not is_bought("timber")


def published(name: str) -> list[dict[str, float]]:
    lines = (Path(__file__).parent.parent / "published" / name).read_text(encoding="utf-8").splitlines()[1:]
    return [{key: float(value) for key, value in row.items()} for row in csv.DictReader(lines)]


@pytest.mark.parametrize("row", published("tubes_en_10219.csv"))
def test_tubes_are_as_printed(row: dict[str, float]) -> None:
    tube = read_section(f"{row['wide']:g} mm x {row['thin']:g} mm x {row['wall']:g} mm S235")
    assert tube is not None
    assert tube.is_tube
    assert round(tube.area * 1e4, 2) == row["area"]
    assert round(tube.second_moment * 1e8, 2) == row["second_moment"]
    assert round(tube.second_moment_flat * 1e8, 2) == row["second_moment_flat"]
    assert round(tube.section_modulus * 1e6, 2) == row["section_modulus"]
    assert round(tube.section_modulus_flat * 1e6, 2) == row["section_modulus_flat"]


@pytest.mark.parametrize(
    ("text", "name", "wall", "grade"),
    [
        ("40 mm x 40 mm x 2 mm S235", "steel tube 40x40x2 mm S235", 0.002, "S235"),
        ("40x40x2", "steel tube 40x40x2 mm", 0.002, ""),
        ("5 cm × 3 cm × 3 mm S275", "steel tube 30x50x3 mm S275", 0.003, "S275"),
        ("1 1/2 in x 1 1/2 in x 1/8 in", "steel tube 1 1/2 in x 1 1/2 in x 1/8 in", 0.003175, ""),
    ],
)
def test_a_third_size_is_the_wall_of_a_tube(text: str, name: str, wall: float, grade: str) -> None:
    tube = read_section(text)
    assert tube is not None
    assert (tube.name, tube.wall, tube.grade) == (name, pytest.approx(wall), grade)


@pytest.mark.parametrize("text", ["40x40x20", "40x40x25", "40 mm x 40 mm x 0 mm"])
def test_a_tube_without_a_hollow_or_a_wall_is_none(text: str) -> None:
    assert read_section(text) is None


def test_a_stud_called_with_its_length_is_no_tube() -> None:
    stud = read_section("2x4x8 SPF")
    assert stud is not None
    assert not stud.is_tube
    assert stud.wide == pytest.approx(0.0889)


def test_a_rectangle_has_the_properties_of_a_rectangle() -> None:
    one = read_section("45x95 C24")
    assert one is not None
    assert one.grade == "C24"
    assert one.area == pytest.approx(45 * 95e-6)
    assert one.second_moment == pytest.approx(45 * 95**3 / 12 * 1e-12)
    assert one.second_moment_flat == pytest.approx(95 * 45**3 / 12 * 1e-12)
    assert one.section_modulus == pytest.approx(45 * 95**2 / 6 * 1e-9)
    assert one.section_modulus_flat == pytest.approx(95 * 45**2 / 6 * 1e-9)
    assert one.shear_area == pytest.approx(one.area / 1.5)


def test_what_its_owner_knows_of_a_section_goes_first() -> None:
    own = Section(
        name="mine", thin=0.04, wide=0.08, own_area=2e-3, own_second_moment=1e-6, own_section_modulus=2e-5
    )
    assert (own.area, own.second_moment, own.section_modulus) == (2e-3, 1e-6, 2e-5)
    half = Section(name="mine", thin=0.04, wide=0.08, own_second_moment=1e-6)
    assert half.section_modulus == pytest.approx(1e-6 / 0.04)


def test_rounded_corners_cost_a_tube_some_stiffness() -> None:
    for wall in (0.001, 0.002, 0.003, 0.0065):
        sharp = (0.05**4 - (0.05 - 2 * wall) ** 4) / 12
        assert 0.7 * sharp < second_moment(0.05, 0.05, wall) < sharp
        assert area(0.05, 0.05, wall) < 0.05**2 - (0.05 - 2 * wall) ** 2
