import pytest

from tankwright.catalogue.tables import TableError, by_names, indexed, rows_of


def _number(cells):
    return float(cells["number"])


def test_the_lines_above_the_head_are_for_the_reader():
    assert rows_of(["# whence", "# and how", "name,number", "a,1", "b,2"], "x.csv", _number) == (1.0, 2.0)


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("b,two", "x.csv:4: could not convert"),
        ("b", "x.csv:4: not as many cells"),
        ("b,2,3", "x.csv:4: not as many cells"),
    ],
)
def test_a_line_that_is_no_good_is_named(line, said):
    with pytest.raises(TableError, match=said):
        rows_of(["# whence", "name,number", "a,1", line], "x.csv", _number)


def test_a_column_that_is_missing_is_named():
    with pytest.raises(TableError, match="number"):
        rows_of(["name", "a"], "x.csv", _number)


def test_a_name_is_found_however_it_is_written():
    index = indexed(("Mineral Wool",), lambda row: (row,))
    assert by_names(index, "  mineral   WOOL ") == "Mineral Wool"
    assert by_names(index, "mineral") is None


def test_one_name_is_not_given_twice():
    with pytest.raises(TableError, match='"A"'):
        indexed(("a", "A"), lambda row: (row,))
