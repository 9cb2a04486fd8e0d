from itertools import pairwise

import pytest

from tankwright.catalogue.openings import all_opening_kinds, find_opening_kind, opening_of
from tankwright.catalogue.tables import TableError, rows_of

OPENINGS = [one.name for one in all_opening_kinds()]


@pytest.mark.parametrize("name", OPENINGS)
def test_an_opening_is_complete_and_possible(name):
    kind = find_opening_kind(name)
    assert (
        0.5 <= kind.transmittance.low < kind.transmittance.high <= 7.0
    )  # nothing loses more than two air films
    assert 0.0 <= kind.sun_share.low <= kind.sun_share.high < 0.9  # what single glass lets in
    assert ("door" in name) == (kind.sun_share.value == 0.0)
    assert kind.transmittance.from_memory  # none was read in print


def test_each_pane_and_coat_loses_less_and_lets_less_sun_in():
    panes = [
        find_opening_kind(f"{one} pane") for one in ("single", "double", "coated double", "coated triple")
    ]
    for more, less in pairwise(panes):
        assert more.transmittance.value > less.transmittance.value
        assert more.sun_share.value > less.sun_share.value


def test_the_double_window_of_ashrae_140_case_600_lies_in_its_band():
    # ANSI/ASHRAE 140-2020, case 600: U 3.1 W/(m2 K), g 0.769 at normal incidence
    double = find_opening_kind("double glazing")
    assert double.transmittance.low <= 3.1 <= double.transmittance.high
    assert double.sun_share.low <= 0.769 <= double.sun_share.high


def test_an_opening_that_cannot_be_is_refused():
    head = "name,other_names,transmittance_w_m2k,transmittance_low_w_m2k,transmittance_high_w_m2k,"
    head += "sun_share,sun_share_low,sun_share_high,source"
    assert rows_of([head, "hatch,,2,1,3,0,0,0,s"], "o.csv", opening_of)
    for line in ("hatch,,2,0,3,0,0,0,s", "hatch,,2,1,3,1,1,1.1,s", ",,2,1,3,0,0,0,s", "hatch,,2,1,3,0,0,0,"):
        with pytest.raises(TableError, match=r"o\.csv:2"):
            rows_of([head, line], "o.csv", opening_of)


def test_an_opening_is_found_by_any_of_its_names():
    assert find_opening_kind("Wooden door").name == "timber door"
    assert find_opening_kind("portcullis") is None
