import pytest

from tankwright.catalogue.assumptions import ASSUMPTIONS
from tankwright.origin import Origin
from tankwright.plan.models import Plan
from tankwright.room.layout import lay_out

RACK = """
[[rack]]
id = "A"
kind = "two"
room = "cellar"
wall = "north"
from_west = "1 m"
shelf.1 = [{ kind = "cube", ids = "A1..A3" }]
[outfall.gully]
room = "cellar"
at = ["4.9 m", "0.1 m"]
height = "-5 cm"
[drain.main]
to = "gully"
behind = ["A"]
"""


def test_every_assumption_in_use_is_listed_once(lay):
    keys = [known.key for known in lay(RACK).room.assumed]
    assert len(keys) == len(set(keys))
    assert {"tank.gap", "rack.off_wall", "drain.fall", "drain.bore", "hose.slack", "fittings.mass"} <= set(
        keys
    )
    assert "hole.diameter" not in keys  # every kind in use says it


def test_an_own_value_for_the_whole_room_is_given_and_no_longer_assumed(lay):
    room = lay(RACK + '[assume]\n"drain.fall" = "1:40"\n').room
    assert room.drains[0].fall.value == pytest.approx(1 / 40)
    assert room.drains[0].fall.origin is Origin.GIVEN
    assert "drain.fall" not in {known.key for known in room.assumed}


def test_assumptions_that_are_unknown_or_unreadable_are_said_and_the_default_stands():
    room = {"a": {"size": {"length": "5 m", "width": "4 m", "height": "2 m"}}}
    plan = Plan.model_validate(
        {
            "room": room,
            "assume": {"drain.fal": "1:40", "hose.bore": "13", "hose.slack": "much", "tank.gap": "0 cm"},
        }
    )
    found = {one.subject: one for one in lay_out(plan).findings}
    assert found["assumption drain.fal"].code == "LAYOUT-122"
    assert "drain.fall" in found["assumption drain.fal"].attempt
    assert {found[f"assumption {key}"].code for key in ("hose.bore", "hose.slack", "tank.gap")} == {
        "LAYOUT-123"
    }


def test_an_unknown_pipe_falls_back_on_the_assumed_bore_and_says_how_to_mend_it(lay):
    laid = lay(RACK + 'pipe = "50 mm EN 1453 PN10"')
    (finding,) = laid.findings
    assert finding.code == "LAYOUT-118"
    assert finding.attempt == '"50 mm EN 1452 PN10"'
    assert 'bore = "..."' in finding.remedy
    assert laid.room.drains[0].bore.key == "drain.bore"


def test_a_pipe_known_from_print_is_derived_and_one_from_memory_is_assumed(lay):
    printed = lay(RACK + 'pipe = "50 mm ISO PN6"').room.drains[0].bore
    assert (printed.origin, printed.value) == (Origin.DERIVED, pytest.approx(0.04635))
    text = RACK + 'pipe = "50 mm EN 1329"'
    remembered = lay(text).room.drains[0].bore
    assert (remembered.origin, remembered.key) == (Origin.ASSUMED, "pipe.bore_share")
    smaller = lay(text, trial={"pipe.bore_share": 0.95}).room.drains[0].bore
    assert smaller.value == pytest.approx(0.95 * remembered.value)
    assert "drain.bore" not in {known.key for known in lay(text).room.assumed}


def test_a_trial_at_both_ends_of_every_band_still_lays_the_room_out(lay):
    for known in lay(RACK).room.assumed:
        for value in known.band:
            room = lay(RACK, trial={known.key: value}).room
            (used,) = [one for one in room.assumed if one.key == known.key]
            assert used.value == value
            assert used.band == (ASSUMPTIONS[known.key].low, ASSUMPTIONS[known.key].high)
