"""Flow in the plan: the right width, the right way, labels that hide nothing."""

from __future__ import annotations

import math

import pytest

from tankwright.drawing.flow_view import WIDTHS, Stretch, flow_labels, flow_lines, flow_width, stretches
from tankwright.drawing.frame import Frame
from tankwright.drawing.model import Bounds, Look, Polyline, Rectangle, Shape, Text, bounds
from tankwright.drawing.results import DrawnPipe
from tankwright.origin import Known, Origin
from tankwright.room.model import PipeRun, Place

FRAME = Frame(left=0.0, top=0.0, west=0.0, north=0.0, scale=10.0)  # 1 m is 100 mm; y runs down the page
LOOK = Look(stroke="#000000", width=0.5)


def _pipe(name: str, *path: Place) -> PipeRun:
    return PipeRun(
        id=name, start=f"{name} from", end=f"{name} to", path=path, length=1.0, bore=Known(0.02, Origin.GIVEN)
    )


def _heads(shapes: list[Shape]) -> list[Polyline]:
    return [shape for shape in shapes if isinstance(shape, Polyline) and shape.closed]


def test_more_flow_never_draws_a_thinner_line_and_its_way_does_not_matter() -> None:
    widths = [flow_width(number / 100) for number in range(101)]
    assert widths == sorted(widths)
    assert len(set(widths)) == len(WIDTHS)
    assert [flow_width(-number / 100) for number in range(101)] == widths


@pytest.mark.parametrize(("share", "way"), [(1.0, 1), (-1.0, -1)])
def test_arrowheads_point_where_the_flow_goes(share: float, way: int) -> None:
    made = stretches([_pipe("p", (0.0, 0.0, 2.0), (0.5, 0.0, 2.0))], {"p": share}, FRAME)
    heads = _heads(list(flow_lines(made, LOOK)))
    assert len(heads) == 2
    for head in heads:
        tip, left, right = head.points
        assert (tip[0] - (left[0] + right[0]) / 2) * way > 0


def test_a_pipe_drawn_the_other_way_round_with_the_other_sign_is_the_same() -> None:
    there = stretches([_pipe("p", (0.0, 0.0, 2.0), (0.0, -0.4, 2.0))], {"p": 0.7}, FRAME)
    back = stretches([_pipe("p", (0.0, -0.4, 2.0), (0.0, 0.0, 2.0))], {"p": -0.7}, FRAME)
    assert there == back


def test_still_pipes_have_no_arrowhead() -> None:
    made = stretches([_pipe("p", (0.0, 0.0, 2.0), (0.5, 0.0, 2.0))], {}, FRAME)
    shapes = list(flow_lines(made, LOOK))
    assert len(shapes) == 1
    assert _heads(shapes) == []


def test_of_pipes_above_each_other_the_largest_flow_is_drawn_and_none_twice() -> None:
    made = stretches(
        [
            _pipe("low", (0.0, 0.0, 1.0), (1.0, 0.0, 1.0)),
            _pipe("high", (0.6, 0.0, 2.0), (0.2, 0.0, 2.0)),
            _pipe("riser", (0.6, 0.0, 1.0), (0.6, 0.0, 2.0)),
        ],
        {"low": 0.3, "high": 0.9, "riser": 0.9},
        FRAME,
    )
    rounded = [(round(one.start[0], 6), round(one.end[0], 6), one.share) for one in made]
    assert rounded == [(0, 20, 0.3), (20, 60, -0.9), (60, 100, 0.3)]


def test_short_pipes_in_a_row_are_joined_so_that_their_dashes_and_heads_run_through() -> None:
    pipes = [_pipe(f"p{n}", (n / 10, 0.0, 2.0), ((n + 1) / 10, 0.0, 2.0)) for n in range(10)]
    made = stretches(pipes, {f"p{n}": 1.0 - n / 30 for n in range(10)}, FRAME)
    assert len(made) == 1
    assert made[0].length == pytest.approx(100)


def test_a_sloping_pipe_in_the_plan_is_kept_as_it_is() -> None:
    made = stretches([_pipe("p", (0.0, 0.0, 2.0), (0.3, -0.4, 2.0))], {"p": -1.0}, FRAME)
    assert made == (Stretch(start=(0.0, 0.0), end=(30.0, 40.0), share=-1.0),)
    (head, *_) = _heads(list(flow_lines(made, LOOK)))
    assert head.points[0][0] < (head.points[1][0] + head.points[2][0]) / 2


def _labels(taken: list[Bounds], *, told: bool = True, long: float = 1.0) -> list[Shape]:
    pipes = [_pipe("p", (0.0, 0.0, 2.0), (long, 0.0, 2.0))]
    drawn = [DrawnPipe(id="p", share=1.0, label="12 L/min", told=told)]
    return list(flow_labels(pipes, drawn, FRAME, taken, "#000000"))


def test_a_label_stands_at_the_middle_of_its_pipe_and_takes_its_place() -> None:
    taken: list[Bounds] = []
    plate, text = _labels(taken)
    assert isinstance(plate, Rectangle)
    assert isinstance(text, Text)
    assert text.text == "12 L/min"
    assert math.isclose(text.at[0], 50)
    assert taken == [(plate.x, plate.y, plate.x + plate.width, plate.y + plate.height)]
    left, _, right, _ = bounds(text)
    assert plate.x <= left <= right <= plate.x + plate.width


def test_a_label_makes_way_for_what_is_there() -> None:
    block = (30.0, -10.0, 55.0, 10.0)
    plate = _labels([block])[0]
    assert isinstance(plate, Rectangle)
    assert plate.x >= 55 or plate.x + plate.width <= 30
    assert _labels([(-200.0, -200.0, 200.0, 200.0)]) == []


def test_a_pipe_that_does_not_tell_or_is_too_short_has_no_label() -> None:
    assert _labels([], told=False) == []
    assert _labels([], long=0.05) == []


def test_a_label_moved_along_tells_the_flow_where_it_stands() -> None:
    pipes = [_pipe("a", (0.0, 0.0, 2.0), (0.03, 0.0, 2.0)), _pipe("b", (0.03, 0.0, 2.0), (1.0, 0.0, 2.0))]
    drawn = [
        DrawnPipe(id="a", share=1.0, label="12 L/min", told=True),
        DrawnPipe(id="b", share=0.5, label="6 L/min"),
    ]
    texts = [shape for shape in flow_labels(pipes, drawn, FRAME, [], "#000000") if isinstance(shape, Text)]
    assert [text.text for text in texts] == ["6 L/min"]
    assert texts[0].at[0] > 3


def test_the_same_number_is_not_written_twice_close_by() -> None:
    pipes = [_pipe("a", (0.0, 0.0, 2.0), (0.3, 0.0, 2.0)), _pipe("b", (0.3, 0.0, 2.0), (0.6, 0.0, 2.0))]
    drawn = [DrawnPipe(id=name, share=1.0, label="12 L/min", told=True) for name in ("a", "b")]
    shapes = list(flow_labels(pipes, drawn, FRAME, [], "#000000"))
    assert len([shape for shape in shapes if isinstance(shape, Text)]) == 1
