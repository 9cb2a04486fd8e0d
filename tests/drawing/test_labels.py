"""Labels: every code is read back, stands beside the name it is of, and is not printed for nobody."""

from __future__ import annotations

from pathlib import Path

import pytest
import zxingcpp
from PIL import Image, ImageDraw

from tankwright.drawing.labels import tank_address, tank_cards, tank_labels
from tankwright.drawing.model import Drawing, Group, Rectangle, Text, bounds, walk
from tankwright.workspace.opened import open_plan

_opened = open_plan(Path(__file__).parents[2] / "examples" / "cellar_mended.toml").room
assert _opened is not None
ROOM = _opened
LAN = "http://fishroom.local:8321"
DOTS = 300 / 25.4  # a mm, of a usual printer


def _labels(sheets: tuple[Drawing, ...]) -> list[Group]:
    return [
        one
        for sheet in sheets
        for one in walk(sheet.parts)
        if isinstance(one, Group) and one.id.startswith("label-")
    ]


def _read(label: Group) -> list[str]:
    """The label's filled rectangles as a printer puts them on paper, read as a phone would."""
    left, top, right, bottom = bounds(label)
    image = Image.new("L", (round((right - left) * DOTS), round((bottom - top) * DOTS)), 255)
    pen = ImageDraw.Draw(image)
    for one in walk(label.parts):
        if isinstance(one, Rectangle) and one.look.fill:
            x0, y0 = round((one.x - left) * DOTS), round((one.y - top) * DOTS)
            x1, y1 = round((one.x + one.width - left) * DOTS), round((one.y + one.height - top) * DOTS)
            pen.rectangle((x0, y0, x1 - 1, y1 - 1), fill=one.look.fill)
    return [found.text for found in zxingcpp.read_barcodes(image)]


@pytest.mark.parametrize(
    ("draw", "size"), [(tank_labels, (63.5, 38.1)), (tank_labels, (50.0, 25.0)), (tank_cards, (92.0, 70.0))]
)
def test_every_code_says_the_address_of_the_tank_it_stands_beside(
    draw: object, size: tuple[float, float]
) -> None:
    assert callable(draw)
    labels = _labels(draw(ROOM, paper="A4", size=size, base_url=LAN))
    assert [label.place for label in labels] == [tank.id for tank in ROOM.tanks]
    for label in labels:
        written = [one.text for one in walk(label.parts) if isinstance(one, Text)]
        assert label.place in written
        assert _read(label) == [f"{LAN}/t/{label.place}"]


def test_a_label_is_as_large_as_was_asked() -> None:
    for label in _labels(tank_labels(ROOM, size=(70.0, 37.0))):
        left, top, right, bottom = bounds(label)
        assert (right - left, bottom - top) == pytest.approx((70.1, 37.1))  # its line counted in


def test_the_name_is_the_largest_thing_written() -> None:
    for label in _labels(tank_labels(ROOM, base_url=LAN)):
        sizes = {one.text: one.size for one in walk(label.parts) if isinstance(one, Text)}
        assert sizes[label.place] == max(sizes.values())
        assert sizes[label.place] > 8.0


@pytest.mark.parametrize(
    "url", ["", "http://localhost:8321", "http://127.0.0.1:8321", "http://[::1]:8321", "fishroom"]
)
def test_no_code_is_printed_for_an_address_no_phone_reaches(url: str) -> None:
    assert tank_address(url, "A1") == ""
    for label in _labels(tank_labels(ROOM, base_url=url)):
        assert _read(label) == []
        assert not any(isinstance(one, Group) and "code" in one.classes for one in label.parts)


def test_a_name_is_escaped_as_the_app_does() -> None:
    assert tank_address(f"{LAN}/", "A/1 ü") == f"{LAN}/t/A%252F1%20%C3%BC"


@pytest.mark.parametrize("size", [(400.0, 40.0), (40.0, 400.0), (5.0, 5.0)])
def test_labels_that_do_not_fit_are_refused(size: tuple[float, float]) -> None:
    with pytest.raises(ValueError, match="do not fit"):
        tank_labels(ROOM, size=size)


def test_a_label_sheet_of_usual_labels_holds_three_across() -> None:
    first = tank_labels(ROOM)[0]
    places = {round(bounds(label)[0], 3) for label in _labels((first,))}
    assert len(places) == 3
