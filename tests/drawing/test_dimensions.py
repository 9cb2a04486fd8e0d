"""Dimension lines: figures where they are read, narrow ones lifted clear."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.drawing.dimensions import Side, chain, leader, overall
from tankwright.drawing.measured import measured_off
from tankwright.drawing.model import Polyline, Text, bounds

SIDES: tuple[Side, ...] = ("over", "under", "left", "right")


def _texts(parts: tuple[object, ...]) -> list[Text]:
    return [one for one in parts if isinstance(one, Text)]


@pytest.mark.parametrize("side", SIDES)
def test_a_wide_measure_has_its_figure_over_the_middle_of_its_line(side: Side) -> None:
    (text,) = _texts(overall(10.0, 60.0, "1000", 30.0, side).parts)
    along, across = (text.at[1], text.at[0]) if side in ("left", "right") else text.at
    assert along == 35.0
    assert across == pytest.approx(29.2)
    assert text.turn == (270.0 if side in ("left", "right") else 0.0)


@pytest.mark.parametrize(("side", "outward"), [("over", -1), ("under", 1), ("left", -1), ("right", 1)])
def test_a_narrow_figure_is_lifted_away_from_what_is_measured(side: Side, outward: int) -> None:
    (text,) = _texts(overall(10.0, 11.0, "1000", 30.0, side).parts)
    left, top, right, bottom = bounds(text)
    low, high = (left, right) if side in ("left", "right") else (top, bottom)
    assert (low > 30.0) if outward > 0 else (high < 30.0)


@given(st.lists(st.floats(0.2, 40.0), min_size=1, max_size=12), st.sampled_from(SIDES))
def test_figures_of_a_chain_never_overlap_and_stay_within_its_depth(widths: list[float], side: Side) -> None:
    stops = [50.0]
    for width in widths:
        stops.append(stops[-1] + width)
    made = chain(stops, [f"{width * 20:.0f}" for width in widths], 80.0, side)
    boxes = [bounds(text) for text in _texts(made.parts)]
    assert len(boxes) == len(widths)
    for index, one in enumerate(boxes):
        for other in boxes[:index]:
            wide = min(one[2], other[2]) - max(one[0], other[0])
            tall = min(one[3], other[3]) - max(one[1], other[1])
            assert min(wide, tall) <= 1e-6
    across = [
        edge
        for box in boxes
        for edge in ((box[0], box[2]) if side in ("left", "right") else (box[1], box[3]))
    ]
    outward = [(80.0 - edge) if side in ("over", "left") else (edge - 80.0) for edge in across]
    assert max(outward) <= made.depth + 1e-6


def test_every_measure_of_a_chain_has_an_end_mark_at_both_its_stops() -> None:
    ticked = chain((0.0, 30.0, 60.0), ("1", "2"), 10.0, "over")
    arrowed = chain((0.0, 30.0, 60.0), ("1", "2"), 10.0, "over", arrows=True)
    assert sum(isinstance(one, Polyline) and one.look.width == 0.35 for one in ticked.parts) == 3
    tips = [one.points[0] for one in arrowed.parts if isinstance(one, Polyline) and one.closed]
    assert tips == [(0.0, 10.0), (30.0, 10.0), (30.0, 10.0), (60.0, 10.0)]


def test_a_leader_ends_at_its_thing_and_begins_at_its_words() -> None:
    way, _, text = leader((10.0, 10.0), (20.0, 5.0), "hole")
    assert isinstance(way, Polyline)
    assert isinstance(text, Text)
    assert way.points[0] == (10.0, 10.0)
    assert text.at[0] > way.points[-1][0]


@pytest.mark.parametrize(
    ("metres", "display", "fine", "said"),
    [
        (2.34, "metric", False, "2340"), (0.0605, "metric", True, "60.5"), (0.028575, "metric", True, "28.6"),
        (0.9144, "US", False, "3' 0\""), (0.0015875, "US", True, '1/16"'), (0.3048, "US", True, "1' 0\""),
        (-0.03, "metric", False, "−30"), (0.1016, "US", False, '4"'), (0.30479, "US", False, "1' 0\""),
    ],
)  # fmt: skip
def test_a_length_is_measured_off_as_a_rule_shows_it(
    metres: float, display: str, fine: bool, said: str
) -> None:
    assert measured_off(metres, display, fine=fine) == said


def test_stops_and_labels_go_together() -> None:
    with pytest.raises(ValueError, match="shorter"):
        chain((0.0, 1.0, 2.0), ("1",), 0.0, "over")
