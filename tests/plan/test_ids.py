"""Rows of ids as a plan writes them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.plan.ids import MOST_IDS, IdsError, expand_ids


@pytest.mark.parametrize(
    ("text", "ids"),
    [
        ("A1", ("A1",)),
        ("A1..A4", ("A1", "A2", "A3", "A4")),
        ("A1..4", ("A1", "A2", "A3", "A4")),
        ("A1, A3, B7..B9", ("A1", "A3", "B7", "B8", "B9")),
        ("T08..T11", ("T08", "T09", "T10", "T11")),
        ("7..9", ("7", "8", "9")),
        ("left tank, right tank", ("left tank", "right tank")),
        ("A1...A3", ("A1", "A2", "A3")),
    ],
)
def test_a_row_of_ids_is_spelt_out(text: str, ids: tuple[str, ...]) -> None:
    assert expand_ids(text) == ids


@pytest.mark.parametrize(
    ("text", "said", "attempt"),
    [
        ("", "names no id", ""),
        ("A1,,A2", "has an empty place between its commas", ""),
        ("A4..A1", 'counts backwards in "A4..A1"', '"A1..A4"'),
        ("A1..B4", 'has "A1..B4", whose ends are of two rows', '"A1..A4"'),
        ("A1..Ax", 'has "A1..Ax", which is no range of ids', ""),
        ("A1 – A4", 'has "A1 – A4", which is no id', '"A1..A4"'),
        ("A1; A4", 'has "A1; A4", which is no id', ""),
        ("A1, A1", 'names "A1" twice', ""),
        ("A1..A99999", "names more than 2000 ids", ""),
        ("A1..A1500, B1..B1500", "names more than 2000 ids", ""),
        ("x" * 100_000, "is too long to be a list of ids", ""),
        ("!", 'has "!", which is no id', ""),
    ],
)
def test_a_text_that_is_no_row_of_ids_is_answered(text: str, said: str, attempt: str) -> None:
    with pytest.raises(IdsError) as caught:
        expand_ids(text)
    assert (caught.value.text, caught.value.attempt) == (said, attempt)


@given(st.text(alphabet="AB019., -x\n٣", max_size=30))
def test_any_text_gives_different_ids_or_an_ids_error(text: str) -> None:
    try:
        ids = expand_ids(text)
    except IdsError:
        return
    assert 0 < len(ids) <= MOST_IDS
    assert len(set(ids)) == len(ids)
