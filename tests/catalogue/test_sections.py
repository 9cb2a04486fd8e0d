"""Sections and boards as people write them."""

from __future__ import annotations

import pytest

from tankwright.catalogue.sections import Said, is_bought, read_board, read_made_of, read_section


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
