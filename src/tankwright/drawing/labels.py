"""Labels and cards for tanks: the name as large as it gets, what stands there, and where a name of this computer in the
house's network is known, a square code that opens the tank's page on a phone.

A code is only printed beside the name it stands for, and never for an address that works on this computer alone.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import lru_cache
from typing import Final
from urllib.parse import quote, urlsplit

from tankwright.display import words
from tankwright.drawing.colour import INK, QUIET
from tankwright.drawing.model import Drawing, Group, Look, Rectangle, Shape, Text, fitting_size, line, shifted
from tankwright.drawing.page import NO_NOTES, Notes, Page, numbered
from tankwright.drawing.paper import Paper
from tankwright.drawing.svg import identifier
from tankwright.finding import Number
from tankwright.room.model import Room, Tank

LABEL: Final = (63.5, 38.1)
"""mm; a usual size of adhesive labels, common practice."""

CARD: Final = (92.0, 70.0)
"""mm; four to eight on a sheet."""

QUIET_ZONE: Final = 4
"""Modules left white around a code. Source: ISO/IEC 18004, from memory."""

BLACK: Final = "#000000"
WHITE: Final = "#ffffff"
_CUT: Final = Look(stroke=QUIET, width=0.1, dash=(1.0, 1.0))
_GAP: Final = 2.5
_EDGE: Final = 6.0  # mm; what a printer leaves white at the most
_ALONE: Final = frozenset({"localhost", "127.0.0.1", "::1", "0.0.0.0"})


def tank_address(base_url: str, tank: str) -> str:
    """What a tank's code says; empty where `base_url` is none, or one that no other machine reaches.

    >>> tank_address("http://fishroom.local:8321", "A 1"), tank_address("http://127.0.0.1:8321", "A1")
    ('http://fishroom.local:8321/t/A%201', '')
    """
    parts = urlsplit(base_url)
    if parts.scheme not in ("http", "https") or not parts.hostname or parts.hostname in _ALONE:
        return ""
    return f"{base_url.rstrip('/')}/t/{quote(tank, safe='').replace('%2F', '%252F')}"


def tank_labels(
    room: Room,
    *,
    paper: Paper = "A4",
    size: tuple[float, float] = LABEL,
    base_url: str = "",
    notes: Notes = NO_NOTES,
) -> tuple[Drawing, ...]:
    """A label for every tank, several to a sheet standing upright, `size` mm each. ValueError where none fits."""
    title = f"{room.title}: tank labels"
    return _sheets(room, title, paper, size, notes, lambda tank: _label(tank, size, base_url))


def tank_cards(
    room: Room,
    *,
    paper: Paper = "A4",
    size: tuple[float, float] = CARD,
    base_url: str = "",
    notes: Notes = NO_NOTES,
) -> tuple[Drawing, ...]:
    """A card for every tank, with lines to write on. ValueError where none fits."""
    title = f"{room.title}: tank cards"
    return _sheets(room, title, paper, size, notes, lambda tank: _card(room, tank, size, base_url))


def _sheets(
    room: Room,
    title: str,
    paper: Paper,
    size: tuple[float, float],
    notes: Notes,
    draw: Callable[[Tank], Iterator[Shape]],
) -> tuple[Drawing, ...]:
    wide, tall = size
    page = Page(paper=paper, title=title, notes=notes, upright=True,
                said=(f"{wide:g} × {tall:g} mm each; cut along the dashed lines",))  # fmt: skip
    across = int((page.size[0] - 2 * _EDGE + _GAP) // (wide + _GAP))
    down = int((page.bottom - page.top + _GAP) // (tall + _GAP))
    if across < 1 or down < 1 or min(size) < 12.0:
        raise ValueError(
            f"labels of {wide:g} by {tall:g} mm do not fit a sheet of {paper}, or are too small to be read"
        )
    each = across * down
    pages = [room.tanks[start : start + each] for start in range(0, len(room.tanks), each)]
    left = (page.size[0] - across * (wide + _GAP) + _GAP) / 2
    made = []
    for number, tanks in enumerate(pages, start=1):
        shapes: list[Shape] = []
        for place, tank in enumerate(tanks):
            x = left + (place % across) * (wide + _GAP)
            y = page.top + (place // across) * (tall + _GAP)
            frame = Rectangle(x=0, y=0, width=wide, height=tall, look=_CUT)
            parts = tuple(shifted(one, x, y) for one in (frame, *draw(tank)))
            shapes.append(
                Group(
                    parts=parts, id=identifier("label", tank.id), place=tank.id, title=f"label of {tank.id}"
                )
            )
        sheet = Page(
            paper=paper, title=numbered(title, number, len(pages)), notes=notes, upright=True, said=page.said
        )
        made.append(sheet.drawn(shapes, scale=1.0, bar=True))
    return tuple(made)


def _label(tank: Tank, size: tuple[float, float], base_url: str) -> Iterator[Shape]:
    wide, tall = size
    address = tank_address(base_url, tank.id)
    side = min(tall - 3.0, wide * 0.45) if address else 0.0
    room = wide - side - 5.0
    if address:
        yield from code(address, (wide - side - 1.5, (tall - side) / 2), side)
    big = fitting_size(tank.id, room, most=tall * 0.5, bold=True)
    small = min(3.4, tall * 0.1)
    yield Text(at=(2.5, tall * 0.14 + big * 0.75), text=tank.id, size=big, colour=INK, bold=True)
    y = tall - 2.0
    for text in (tank.zone, tank.kind):
        if text:
            fitted = fitting_size(text, room, most=small, least=1.0)
            if fitted:
                yield Text(at=(2.5, y), text=text, size=fitted, colour=INK if text == tank.kind else QUIET)
            y -= small * 1.4


def _card(room: Room, tank: Tank, size: tuple[float, float], base_url: str) -> Iterator[Shape]:
    wide, tall = size
    yield from _label(tank, (wide, tall * 0.46), base_url)
    y = tall * 0.46 + 4.5
    volume = words(Number(tank.water_volume, "volume"), room.display)
    below = words(Number(tank.rim - tank.level, "length"), room.display)
    facts = f"rack {tank.rack}, shelf {tank.shelf}; {volume} of water, {below} below the rim"
    yield Text(at=(2.5, y), text=facts, size=fitting_size(facts, wide - 5.0, most=2.6), colour=INK)
    for name in ("fish", "since", "notes"):
        y += (tall - tall * 0.46 - 8.0) / 3
        yield Text(at=(2.5, y), text=name, size=2.2, colour=QUIET)
        yield line((12.0, y + 0.5), (wide - 2.5, y + 0.5), Look(stroke=QUIET, width=0.2))


def code(text: str, corner: tuple[float, float], side: float) -> Iterator[Shape]:
    """A square code of `text`, `side` mm with its white border, at error level Q (a quarter may be lost)."""
    rows = _modules(text)
    module = side / (len(rows) + 2 * QUIET_ZONE)
    x0, y0 = corner
    parts: list[Shape] = [Rectangle(x=x0, y=y0, width=side, height=side, look=Look(fill=WHITE))]
    for down, row in enumerate(rows):
        start = None
        for across, dark in enumerate([*row, 0]):
            if dark and start is None:
                start = across
            elif not dark and start is not None:
                parts.append(
                    Rectangle(
                        x=x0 + (QUIET_ZONE + start) * module, y=y0 + (QUIET_ZONE + down) * module,
                        width=(across - start) * module, height=module, look=Look(fill=BLACK),
                    )
                )  # fmt: skip
                start = None
    yield Group(parts=tuple(parts), classes=("code",), title=text)


@lru_cache(maxsize=2048)  # a tank has the same code on its label and on its card
def _modules(text: str) -> tuple[tuple[int, ...], ...]:
    import segno  # noqa: PLC0415 - only who prints labels needs it

    return tuple(tuple(row) for row in segno.make_qr(text, error="q", boost_error=False).matrix)


__all__ = ["CARD", "LABEL", "code", "tank_address", "tank_cards", "tank_labels"]
