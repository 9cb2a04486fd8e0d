"""What every sheet must keep to: nothing outside the page, no text over another, the bar 100 mm long."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from tankwright.drawing.model import Bounds, Drawing, Group, Rectangle, Text, bounds, walk

TOUCHING = (
    0.05  # mm by which two boxes may overlap: `text_width` is an upper estimate, so letters still are apart
)
_CELL = 40.0


def outside(drawing: Drawing) -> list[str]:
    """What reaches over the edge of the page."""
    found = []
    for shape in walk(drawing.parts):
        left, top, right, bottom = bounds(shape)
        if left < -1e-6 or top < -1e-6 or right > drawing.width + 1e-6 or bottom > drawing.height + 1e-6:
            found.append(f"{type(shape).__name__} {getattr(shape, 'text', '')} at {bounds(shape)}")
    return found


def overlapping(drawing: Drawing) -> list[str]:
    """Pairs of texts that lie over each other."""
    texts = [one for one in walk(drawing.parts) if isinstance(one, Text) and one.text.strip()]
    boxes = [bounds(text) for text in texts]
    cells: dict[tuple[int, int], list[int]] = defaultdict(list)
    pairs = set()
    for index, box in enumerate(boxes):
        for cell in _cells(box):
            for other in cells[cell]:
                if _cross(box, boxes[other]):
                    pairs.add((other, index))
            cells[cell].append(index)
    return [
        f"{texts[one].text!r} over {texts[other].text!r} at {boxes[one][:2]}" for one, other in sorted(pairs)
    ]


def _cells(box: Bounds) -> Iterator[tuple[int, int]]:
    left, top, right, bottom = (int(edge // _CELL) for edge in box)
    for x in range(left, right + 1):
        for y in range(top, bottom + 1):
            yield x, y


def _cross(first: Bounds, second: Bounds) -> bool:
    wide = min(first[2], second[2]) - max(first[0], second[0])
    tall = min(first[3], second[3]) - max(first[1], second[1])
    return wide > TOUCHING and tall > TOUCHING


def unwritten(drawing: Drawing) -> list[str]:
    """Texts of no size, which nobody reads."""
    return [one.text for one in walk(drawing.parts) if isinstance(one, Text) and one.text and one.size < 1.0]


def bar_length(drawing: Drawing) -> float | None:
    """The length in mm of the bar on the foot; None without one."""
    for group in walk(drawing.parts):
        if isinstance(group, Group) and group.id == "hundred":
            ground = group.parts[0]
            assert isinstance(ground, Rectangle)
            return ground.width
    return None


def faults(drawing: Drawing) -> list[str]:
    """Everything that is wrong with a sheet."""
    return [*outside(drawing), *overlapping(drawing), *(f"too small: {text}" for text in unwritten(drawing))]


def said(drawing: Drawing) -> list[str]:
    """Every text on a sheet."""
    return [one.text for one in walk(drawing.parts) if isinstance(one, Text)]
