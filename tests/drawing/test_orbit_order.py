"""The painter's order: along every ray to the viewer, what is nearer is painted later."""

from __future__ import annotations

import itertools
import math
import random

import pytest

from tankwright.drawing.orbit_order import covered, hides, paint_order
from tankwright.drawing.orbit_view import HIGHEST, LOWEST, View, view_from
from tankwright.room.model import Box

ANGLES = [math.tau * step / 24 for step in range(24)]
RISES = [math.radians(32.0), math.radians(11.0), math.radians(68.0)]


def _block(x: float, y: float, z: float, long: float, deep: float, high: float) -> Box:
    return Box(x0=x, y0=y, z0=z, x1=x + long, y1=y + deep, z1=z + high)


def _rack(random_: random.Random, x: float, y: float, turned: bool) -> list[Box]:
    """Shelves between posts, with tanks on them, as a room has them: much touches, nothing overlaps."""
    long, deep, thick = random_.uniform(1.2, 2.0), 0.45, 0.05
    shelves = sorted(random_.sample([0.1, 0.55, 1.0, 1.54], random_.choice([2, 3])))
    made: list[Box] = []
    at = 0.0
    for shelf in shelves:
        made.append(_block(0, 0, shelf - thick, long, deep, thick))
        for post, (near, far) in itertools.product((0.0, long - 0.05), ((0.0, 0.04), (deep - 0.04, deep))):
            if shelf - thick > at:
                made.append(_block(post, near, at, 0.05, far - near, shelf - thick - at))
        start = 0.0
        while start < long - 0.3:
            size = random_.choice([0.3, 0.45, 0.6])
            if start + size > long:
                break
            depth = random_.uniform(0.2, 0.36)
            if random_.random() < 0.85:
                made.append(_block(start, 0.045, shelf, size, depth, random_.uniform(0.2, 0.35)))
            start += size + random_.choice([0.0, 0.01, 0.05])
        at = shelf
    if turned:
        made = [Box(x0=b.y0, y0=b.x0, z0=b.z0, x1=b.y1, y1=b.x1, z1=b.z1) for b in made]
    return [Box(x0=b.x0 + x, y0=b.y0 + y, z0=b.z0, x1=b.x1 + x, y1=b.y1 + y, z1=b.z1) for b in made]


def _random_room(seed: int) -> list[Box]:
    random_ = random.Random(seed)
    boxes: list[Box] = []
    for column, line in itertools.product(range(2), range(2)):
        x, y = column * 2.6 + random_.uniform(0, 0.3), line * 2.6 + random_.uniform(0, 0.3)
        boxes.extend(_rack(random_, x, y, random_.random() < 0.5))
    boxes.append(_block(2.4, 2.4, 0.0, 0.18, 0.18, 2.0))  # a chimney
    for height in (2.05, 2.2):  # pipes under the ceiling, and one down a corner
        boxes.append(_block(0.0, 2.38, height, 5.2, 0.008, 0.008))
    boxes.append(_block(2.38, 0.0, 2.1, 0.008, 5.0, 0.008))
    boxes.append(_block(2.35, 2.35, 0.2, 0.008, 0.008, 1.7))
    random_.shuffle(boxes)
    assert all(_apart(first, second) for first, second in itertools.combinations(boxes, 2))
    return boxes


def _spans(
    boxes: list[Box], through: tuple[float, float, float], view: View
) -> list[tuple[int, float, float]]:
    """The blocks a ray runs through by more than a millimetre: number, where it enters, where it leaves."""
    found = []
    for number, box in enumerate(boxes):
        enter, leave = -math.inf, math.inf
        sides = ((box.x0, box.x1), (box.y0, box.y1), (box.z0, box.z1))
        for at, way, (low, high) in zip(through, view.towards, sides, strict=True):
            if abs(way) < 1e-12:
                if not low < at < high:
                    enter = math.inf
                continue
            first, last = sorted(((low - at) / way, (high - at) / way))
            enter, leave = max(enter, first), min(leave, last)
        if leave - enter > 1e-3:
            found.append((number, enter, leave))
    return found


def _rays(boxes: list[Box], seed: int, count: int) -> list[tuple[float, float, float]]:
    """Points inside blocks, where there is surely something to hide."""
    random_ = random.Random(seed)
    points = []
    for _ in range(count):
        box = random_.choice(boxes)
        points.append(
            (
                random_.uniform(box.x0, box.x1),
                random_.uniform(box.y0, box.y1),
                random_.uniform(box.z0, box.z1),
            )
        )
    return points


def _check(boxes: list[Box], view: View, seed: int, may_cut: list[bool] | None = None, rays: int = 60) -> int:
    order = paint_order(boxes, view, may_cut or [])
    pieces = [box for _, box in order]  # already in the order in which they are painted
    crossings = 0
    for through in _rays(boxes, seed, rays):
        spans = _spans(pieces, through, view)
        for (first, enter, leave), (second, enter_too, leave_too) in itertools.combinations(spans, 2):
            if leave <= enter_too + 1e-6:
                assert first < second, "a nearer block is painted before a farther one"
                crossings += 1
            elif leave_too <= enter + 1e-6:
                assert second < first, "a nearer block is painted before a farther one"
                crossings += 1
    return crossings


@pytest.mark.parametrize("seed", range(6))
def test_no_nearer_block_is_painted_before_a_farther_one_in_random_rooms_from_24_angles(seed: int) -> None:
    boxes = _random_room(seed)
    crossings = sum(
        _check(boxes, view_from(angle, rise), seed, [True] * len(boxes))
        for angle in ANGLES
        for rise in RISES[: 1 + seed % 3]
    )
    assert crossings > 500  # the rays did find blocks behind each other


@pytest.mark.parametrize("seed", range(40))
def test_scattered_blocks_of_any_shape_are_in_order_too(seed: int) -> None:
    random_ = random.Random(seed)
    boxes: list[Box] = []
    while len(boxes) < 40:
        sizes = [random_.choice([0.05, 0.3, 1.5]) for _ in range(3)]
        one = _block(*(random_.uniform(0, 2) for _ in range(3)), *sizes)  # type: ignore[arg-type]
        if all(_apart(one, other) for other in boxes):
            boxes.append(one)
    angle = random_.uniform(0, math.tau)
    view = view_from(angle, random_.uniform(LOWEST, HIGHEST))
    assert _check(boxes, view, seed, [True] * len(boxes), rays=200) > 50


def _apart(first: Box, second: Box) -> bool:
    return (
        first.x1 <= second.x0 or second.x1 <= first.x0 or first.y1 <= second.y0 or second.y1 <= first.y0
        or first.z1 <= second.z0 or second.z1 <= first.z0
    )  # fmt: skip


def test_a_ring_of_blocks_is_cut_open() -> None:
    view = view_from(math.pi / 4, math.atan(1 / math.sqrt(2)))
    found = None
    random_ = random.Random(5)
    for _ in range(20000):
        long = [(3.0, 0.4, 0.4), (0.4, 3.0, 0.4), (0.4, 0.4, 3.0)]
        boxes = [_block(*(random_.uniform(-1.5, 1.5) for _ in range(3)), *size) for size in long]
        table = hides(boxes, view)
        around = (table[0, 1] and table[1, 2] and table[2, 0]) or (
            table[1, 0] and table[2, 1] and table[0, 2]
        )
        if around and all(_apart(a, b) for a, b in itertools.combinations(boxes, 2)):
            found = boxes
            break
    assert found is not None
    order = paint_order(found, view, [True, True, True])
    assert len(order) == 4  # one cut is enough
    assert _check(found, view, 1, [True, True, True], rays=2000) > 100
    assert sum(_volume(box) for _, box in order) == pytest.approx(sum(map(_volume, found)))
    whole = paint_order(found, view, [False, False, False])
    assert sorted(number for number, _ in whole) == [0, 1, 2]  # nothing is lost where nothing may be cut


def _volume(box: Box) -> float:
    return (box.x1 - box.x0) * (box.y1 - box.y0) * (box.z1 - box.z0)


def test_blocks_that_only_touch_do_not_hide_each_other_both_ways() -> None:
    boxes = [_block(0, 0, 0, 1, 1, 1), _block(1, 0, 0, 1, 1, 1), _block(0, 0, 1, 1, 1, 1)]
    for angle in ANGLES:
        table = hides(boxes, view_from(angle, 0.6))
        assert not (table & table.T).any()


def test_blocks_in_one_place_still_give_an_order() -> None:
    boxes = [_block(0, 0, 0, 1, 1, 1), _block(0.2, 0.1, 0.1, 1, 1, 1), _block(0, 0, 0, 1, 1, 1)]
    for angle in ANGLES:
        order = paint_order(boxes, view_from(angle, 0.6), [True, True, True])
        assert {number for number, _ in order} == {0, 1, 2}


def test_nothing_gives_nothing() -> None:
    assert paint_order([], view_from(0.0, 0.5)) == []
    assert covered([], [], view_from(0.0, 0.5)) == []
    assert covered([(0.0, 0.0, 0.0)], [], view_from(0.0, 0.5)) == [False]


def test_a_point_is_covered_just_when_a_ray_to_the_viewer_meets_a_block() -> None:
    boxes = _random_room(3)
    random_ = random.Random(0)
    points = [(random_.uniform(0, 5), random_.uniform(0, 5), 0.0) for _ in range(200)]
    for angle in ANGLES[::5]:
        view = view_from(angle, 0.5)
        for point, hidden in zip(points, covered(points, boxes, view), strict=True):
            ahead = [
                leave for _, enter, leave in _spans(boxes, point, view) if leave > max(enter, 0.0) + 2e-3
            ]
            if hidden:
                assert ahead
            else:
                assert ahead == []
