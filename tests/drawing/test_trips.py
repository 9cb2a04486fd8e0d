"""What each tank loses when something goes off, and bars for tables."""

from __future__ import annotations

from pathlib import Path

import pytest

from tankwright.drawing.bars import HEIGHT, WIDTH, Part, draw_bar
from tankwright.drawing.legend import legend
from tankwright.drawing.model import Polyline, Rectangle, bounds
from tankwright.drawing.results import DrawnResults
from tankwright.drawing.trips import Loss, boards_of, draw_trip, losses
from tankwright.systems.power import PowerResult, Stop
from tankwright.workspace.opened import open_plan

CELLAR = open_plan(Path(__file__).parent.parent.parent / "examples" / "cellar.toml")


def stops(*stops: Stop) -> PowerResult:
    return PowerResult(described=True, stops=stops)


def board(name: str, **does: str) -> Stop:
    return Stop(
        kind="board",
        id=name,
        loads=(),
        does=tuple((what, tuple(tanks.split())) for what, tanks in does.items()),
    )


def test_air_comes_first_whatever_the_order_of_the_loads() -> None:
    one = board("x", light="A1", air="A1")
    assert losses(stops(one), one) == {"A1": (Loss(what="air", part=False), Loss(what="light", part=False))}


def test_what_another_board_still_gives_is_lost_in_part() -> None:
    one, other = board("x", air="A1 A2"), board("y", air="A2")
    lost = losses(stops(one, other), one)
    assert lost["A1"] == (Loss(what="air", part=False),)
    assert lost["A2"] == (Loss(what="air", part=True),)


def test_boards_behind_one_device_do_not_stand_in_for_each_other() -> None:
    study = CELLAR.study
    assert study is not None
    assert study.power is not None
    device = next(one for one in study.power.stops if one.kind == "device")
    assert boards_of(study.power, device) == {one.board for one in study.power.boards}
    assert not any(loss.part for lost in losses(study.power, device).values() for loss in lost)


def test_every_tank_is_coloured_by_the_gravest_thing_it_loses() -> None:
    room = CELLAR.room
    assert room is not None
    one = board("x", air="A1", heat="A1 A2", light="A1 A2 A3")
    drawn = draw_trip(DrawnResults(layer="power"), room, stops(one), one)
    shares = {tank.id: tank.share for tank in drawn.tanks}
    assert shares["A1"] < shares["A2"] < shares["A3"] < shares["B1"]  # type: ignore[operator] # all have one
    assert len(drawn.tanks) == len(room.tanks)
    assert drawn.tanks[0].title == "loses air, heat, light"


def test_the_legend_says_what_is_lost_and_nothing_else() -> None:
    words = [
        item.words for item in legend(DrawnResults(layer="power", scale="enough")) if item.kind == "colour"
    ]
    assert words[0] == "loses all its air"
    assert "loses nothing that is described" in words
    assert all(words)
    assert len(words) == 5  # four steps and "no data"


@pytest.mark.parametrize("amounts", [(1.0, 2.0), (0.0, 5.0), (-1.0, 3.0), (0.0,), ()])
def test_a_bar_is_as_long_as_its_parts(amounts: tuple[float, ...]) -> None:
    drawn = draw_bar("x", tuple(Part(amount=one, words=f"{one:g} kg") for one in amounts), most=10.0)
    long = sum(part.width for part in drawn.parts if isinstance(part, Rectangle))
    assert long == pytest.approx(WIDTH * sum(max(one, 0.0) for one in amounts) / 10)
    assert all(bounds(part)[1] >= -0.2 and bounds(part)[3] <= HEIGHT + 0.2 for part in drawn.parts)


def test_a_bar_against_nothing_has_no_length() -> None:
    assert not [
        part
        for part in draw_bar("x", (Part(amount=1.0, words="1"),), most=0.0).parts
        if isinstance(part, Rectangle)
    ]


def test_a_limit_is_drawn_only_where_it_lies_on_the_page() -> None:
    within = draw_bar("x", (), most=10.0, limit=5.0).parts
    beyond = draw_bar("x", (), most=10.0, limit=15.0).parts
    assert [part.points[0][0] for part in within if isinstance(part, Polyline)] == [0.0, WIDTH / 2]
    assert len(beyond) == 1
