"""One tank as a cell: coloured by its result, named, with its numbers as far as they fit."""

from __future__ import annotations

from typing import Final

from tankwright.drawing.colour import GLASS, INK, LINE, SCALES, WATER, Step, mark, step_for
from tankwright.drawing.model import Group, Hatching, Look, Rectangle, Shape, Text, fitting_size
from tankwright.drawing.results import DrawnResults, DrawnTank
from tankwright.drawing.svg import identifier
from tankwright.room.model import Tank

Cell = tuple[float, float, float, float]
_LEAST_ID = (
    0.6  # mm; a name is always written, however small the scale, so that it can be found and read on a screen
)

_READABLE: Final = 1.55  # mm


def fill_of(results: DrawnResults, drawn: DrawnTank | None) -> Step | None:
    """The colour step of a tank's result; None when there is no data, or the layer has no colours."""
    if results.scale == "none" or drawn is None or drawn.share is None:
        return None
    return step_for(drawn.share, SCALES[results.scale])


def has_no_data(results: DrawnResults, drawn: DrawnTank | None) -> bool:
    """True when the layer has colours and this tank has no number to colour."""
    return results.scale != "none" and (drawn is None or drawn.share is None)


def spoken(tank: Tank, results: DrawnResults) -> str:
    """A tank as it is read out: "B3, 87 % of the air it needs"."""
    drawn = results.tank(tank.id)
    if drawn is not None and drawn.title:
        return f"{tank.id}, {drawn.title}"
    return f"{tank.id}, not computed" if results.scale != "none" else f"{tank.id}, {tank.kind}"


def tank_group(
    view: str,
    tank: Tank,
    results: DrawnResults,
    cell: Cell,
    *,
    lying: bool = False,
    upright: bool = False,
    readable: float = 0.0,
) -> Group:
    """A tank as a plain cell with its id and, where it fits, its figure beside it.

    `lying` puts id and figure on one line; `upright` turns them to read upwards along the rack; a figure
    smaller than `readable` is left out.
    """
    x, y, width, height = cell
    drawn = results.tank(tank.id)
    step = fill_of(results, drawn)
    fill, ink = (step.fill, step.text) if step else (WATER if results.scale == "none" else GLASS, INK)
    dash = () if tank.state == "stands" else (1.2, 0.8)
    outline = Look(fill=fill, stroke=LINE, width=0.25, dash=dash)
    parts: list[Shape] = [Rectangle(x=x, y=y, width=width, height=height, look=outline)]
    if has_no_data(results, drawn):
        parts.append(Hatching(x=x, y=y, width=width, height=height))
    run, across = (height, width) if upright else (width, height)
    figure = drawn.figure if drawn is not None and lying else ""
    flag = results.mark(tank.id)
    size = min(2.2, across * 0.45)
    taken = (
        size * 1.1 if flag is not None else 0.0
    )  # the sign stands at the end of the cell; text keeps clear
    middle = (
        (x + width / 2, y + (height + taken) / 2) if upright else (x + (width - taken) / 2, y + height / 2)
    )
    parts.extend(
        _texts(tank.id, figure, middle, (run - taken, across), ink, upright, max(_READABLE, readable))
    )
    if flag is not None:
        parts.append(mark(flag.severity, (x + width - size * 0.6, y + size * 0.6), size, flag.title))
    return Group(
        parts=tuple(parts), id=identifier(view, tank.id), classes=("tank",), place=tank.id,
        title=spoken(tank, results),
    )  # fmt: skip


def _texts(
    name: str,
    figure: str,
    middle: tuple[float, float],
    size: tuple[float, float],
    ink: str,
    upright: bool,
    least: float,
) -> tuple[Shape, ...]:
    """Id and figure on one line, else in two, if both fit at a readable size; else the id alone."""
    run, across = size
    most = min(2.7, across * (0.62 if least <= _READABLE else 0.78))
    room = run * (0.86 if least <= _READABLE else 0.92)
    text = f"{name}  {figure}" if figure else name
    fitted = fitting_size(text, room, most=most, least=least, bold=True)
    x, y = middle
    if figure:  # a short tank may have more room for two rows than for one long one
        most_row = min(2.4, across * 0.44)
        rows = [fitting_size(row, room, most=most_row, least=least, bold=True) for row in (name, figure)]
        if min(rows) > fitted:
            apart = max(rows) * 0.6
            return tuple(
                _row(row, (x, y), size_, ink, upright, aside=side * apart)
                for row, size_, side in zip((name, figure), rows, (-1, 1), strict=True)
            )
    if not fitted:
        text = name
        fitted = max(fitting_size(text, room, most=most, bold=True), _LEAST_ID)
    return (_row(text, (x, y), fitted, ink, upright),)


def _row(
    text: str, middle: tuple[float, float], size: float, ink: str, upright: bool, *, aside: float = 0.0
) -> Text:
    """A row about a point, moved `aside` downwards, or to the right where it reads upwards."""
    (x, y), shift = middle, aside + size * 0.36
    at, turn = ((x + shift, y), 270.0) if upright else ((x, y + shift), 0.0)
    return Text(at=at, text=text, size=size, colour=ink, anchor="middle", bold=True, turn=turn)
