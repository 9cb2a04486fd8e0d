"""Which pipes tell their flow."""

from __future__ import annotations

import pytest

from tankwright.drawing.pipe_flows import drawn_pipes
from tankwright.origin import Known, Origin
from tankwright.room.model import PipeRun, Place


def _pipe(name: str, start: tuple[str, Place], end: tuple[str, Place]) -> PipeRun:
    return PipeRun(
        id=name,
        start=start[0],
        end=end[0],
        path=(start[1], end[1]),
        length=1.0,
        bore=Known(0.02, Origin.GIVEN),
    )


IN, ONE, TWO, FORK = (
    ("in", (0.0, 0.0, 2.0)), ("one", (1.0, 0.0, 2.0)), ("two", (2.0, 0.0, 2.0)), ("fork", (2.0, 1.0, 2.0)),
)  # fmt: skip
LEFT, RIGHT = ("left", (1.0, 1.0, 2.0)), ("right", (3.0, 1.0, 2.0))
TREE = (
    _pipe("lead", IN, ONE), _pipe("on", ONE, TWO), _pipe("corner", TWO, FORK), _pipe("l", FORK, LEFT),
    _pipe("r", RIGHT, FORK),
)  # fmt: skip
FLOWS = {"lead": 6e-4, "on": 6e-4, "corner": 6e-4, "l": 4e-4, "r": -2e-4}


def test_shares_are_of_the_largest_flow_and_keep_their_way() -> None:
    shares = {pipe.id: pipe.share for pipe in drawn_pipes(TREE, FLOWS, "in")}
    assert shares == pytest.approx({"lead": 1.0, "on": 1.0, "corner": 1.0, "l": 2 / 3, "r": -1 / 3})


def test_the_inlet_corners_branches_and_ends_tell_their_flow_in_words_without_a_sign() -> None:
    told = {pipe.id: pipe.label for pipe in drawn_pipes(TREE, FLOWS, "in") if pipe.told}
    assert told == {"lead": "36 L/min", "corner": "36 L/min", "l": "24 L/min", "r": "12 L/min"}


def test_the_largest_flows_come_first_so_that_they_get_the_room() -> None:
    shares = [abs(pipe.share) for pipe in drawn_pipes(TREE, FLOWS, "in")]
    assert shares == sorted(shares, reverse=True)


def test_without_flow_nothing_is_told() -> None:
    still = drawn_pipes(TREE, dict.fromkeys(FLOWS, 0.0), "in")
    assert {pipe.share for pipe in still} == {0.0}
    assert not any(pipe.told for pipe in still)


def test_pipes_whose_flow_is_not_known_are_left_out() -> None:
    assert {pipe.id for pipe in drawn_pipes(TREE, {"lead": 1e-4}, "in")} == {"lead"}


def test_us_rooms_read_in_gallons() -> None:
    assert drawn_pipes(TREE, FLOWS, "in", "US")[0].label == "9.51 US gal/min"


def test_a_riser_is_not_told_for_it_cannot_be_seen_from_above() -> None:
    riser = _pipe("riser", IN, ("top", (0.0, 0.0, 2.5)))
    assert not drawn_pipes((riser,), {"riser": 1e-4}, "in")[0].told
