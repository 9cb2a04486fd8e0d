"""Sheets to scale: each with its pieces, sizes and marks, its cuts numbered in their order, what is left hatched.

What does not fit into its piece is numbered and told under the sheet, with every cut and where it is; what does not
fit there goes on to the next page. All sheets of a plan have one scale; where there are several ways to cut them, they
stand side by side. Sheets cut in the same places are one drawing, whatever the marks of their pieces.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

from tankwright.display import printable
from tankwright.drawing.colour import FAINT, INK, PAPER, QUIET, WOOD
from tankwright.drawing.measured import MEASURED_IN, measured_off
from tankwright.drawing.model import (
    Bounds,
    Drawing,
    Group,
    Hatching,
    Look,
    Rectangle,
    Shape,
    Text,
    bounds,
    fitting_size,
    line,
    lines_of,
    shifted,
    text_width,
)
from tankwright.drawing.paper import MARGIN, PAPERS, Paper, foot
from tankwright.takeoff.sheet_model import CutSheet, Placed, SheetPlan
from tankwright.units import Metre

_TOP: Final = 19.0  # mm of title and legend
_HEAD: Final = 5.0  # mm over a sheet for which it is
_SIDE: Final = 5.0  # mm beside and under a sheet for its own sizes
_KEY: Final = 3.4  # mm from line to line under a sheet
_KEY_SIZE: Final = 2.3
_LEAST_KEY: Final = 22.0  # mm kept for the lines under a sheet
_GAP: Final = 7.0  # mm between two side by side
_CROWDED: Final = 12  # pieces on a sheet; more are not told apart at half the width
_BETWEEN: Final = 4.0  # mm between two rows
_SIZE, _LEAST = 2.8, 1.6
_SCALES: Final = (1, 2, 2.5, 5, 7.5, 10, 12.5, 15, 20, 25, 30, 40, 50, 75, 100, 200, 500, 1000)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Page:
    """What all pages of a plan share."""

    title: str
    size: tuple[float, float]
    scale: float
    kerf: Metre
    display: str
    across: int

    @property
    def inner(self) -> float:
        return self.size[0] - 2 * MARGIN

    @property
    def cell(self) -> float:
        """What one sheet and the lines under it have of the width."""
        return _cell(self.inner, self.across)

    @property
    def top(self) -> float:
        """Where the first sheet of a page may begin."""
        return MARGIN + _TOP

    @property
    def bottom(self) -> float:
        return self.size[1] - MARGIN - 2.0

    def mm(self, length: Metre) -> float:
        """A length on paper."""
        return length * 1000.0 / self.scale

    def said(self, *sides: Metre) -> str:
        """Sides as they are measured off."""
        return " × ".join(measured_off(side, self.display, fine=True) for side in sides)


def sheet_diagrams(
    plan: SheetPlan,
    *,
    title: str,
    paper: Paper = "A4",
    display: str = "metric",
    notes: tuple[str, str] | None = ("", ""),
) -> tuple[Drawing, ...]:
    """The pages of a plan of sheets, lying, those cut alike once; none of a plan without sheets. `notes` are date and
    revision for the foot, None where a book writes its own.

    >>> sheet_diagrams(SheetPlan(), title="Foam")
    ()
    """
    if not plan.sheets:
        return ()
    wide, tall = PAPERS[paper]
    ways = list(_alike(plan.sheets))
    crowded = max(len(one.pieces) for one, _ in ways) > _CROWDED
    across = 1 if crowded or len(ways) == 1 else 2
    room = (
        _cell(wide - 2 * MARGIN, across) - _SIDE,
        (tall - 2 * MARGIN - _TOP) / across - _HEAD - _SIDE - _LEAST_KEY / across,
    )
    sides = [_lying(one) for one in plan.sheets]
    least = max(max(w / room[0], h / room[1]) for w, h in sides) * 1000.0
    scale = next((one for one in _SCALES if one >= least), least)
    page = _Page(
        title=printable(title), size=(wide, tall), scale=scale, kerf=plan.kerf, display=display, across=across
    )
    pages = _poured(page, plan, ways)
    return tuple(
        _drawn(page, shapes, ("", "", "") if notes is None else (*notes, f"page {number} of {len(pages)}"))
        for number, shapes in enumerate(pages, 1)
    )


def _cell(inner: float, across: int) -> float:
    return (inner - _GAP * (across - 1)) / across


def _poured(page: _Page, plan: SheetPlan, ways: Sequence[tuple[CutSheet, int]]) -> list[list[Shape]]:
    """The sheets in rows over pages; lines that do not fit under a sheet go on to a page of their own."""
    pages: list[list[Shape]] = []
    column, y, deepest = 0, page.bottom, page.bottom
    for number, (sheet, times) in enumerate(ways, 1):
        shapes: list[Shape] = []
        lines = _sheet(page, sheet, f"Sheet {number}: {times} × {_name(page, sheet)}", number, shapes)
        under = _HEAD + page.mm(_lying(sheet)[1]) + _SIDE + _KEY
        tall = under + _KEY * len(lines)
        if column in (0, page.across):
            column, y = 0, deepest
        if y + tall > page.bottom and y > page.top:
            pages.append(list(_top(page, plan)))
            column, y, deepest = 0, page.top, page.top
        fit = max(int((page.bottom - y - under) / _KEY) + 1, 0)
        shapes += _key(lines[:fit], under)
        x = MARGIN + column * (page.cell + _GAP)
        pages[-1] += [shifted(one, x, y) for one in shapes]
        deepest = max(deepest, y + tall + _BETWEEN)
        column += 1
        while lines := lines[fit:]:
            under = _HEAD + _KEY
            fit = int((page.bottom - page.top - under) / _KEY)
            more = (_heading(page, f"Sheet {number}, continued"), *_key(lines[:fit], under))
            pages.append([*_top(page, plan), *(shifted(one, MARGIN, page.top) for one in more)])
            column, deepest = 0, page.bottom
    return pages


def _lying(sheet: CutSheet) -> tuple[Metre, Metre]:
    return sheet.stock.width, sheet.stock.height


def _alike(sheets: Sequence[CutSheet]) -> Iterator[tuple[CutSheet, int]]:
    """Each way a sheet is cut, and how often; where only the marks of a piece differ, it has them all."""
    ways: dict[CutSheet, list[CutSheet]] = {}
    for one in sheets:
        bare = replace(one, pieces=tuple(replace(piece, label="") for piece in one.pieces))
        ways.setdefault(bare, []).append(one)
    for bare, same in ways.items():
        marks = (
            Counter(labels) for labels in zip(*([p.label for p in one.pieces] for one in same), strict=True)
        )
        pieces = tuple(replace(piece, label=_marks(of)) for piece, of in zip(bare.pieces, marks, strict=True))
        yield replace(bare, pieces=pieces), len(same)


def _marks(of: Counter[str]) -> str:
    if len(of) == 1:
        return next(iter(of))
    return ", ".join(f"{count} × {label}" if count > 1 else label for label, count in of.items() if label)


def _name(page: _Page, sheet: CutSheet) -> str:
    size = page.said(*_lying(sheet))
    name = f"{sheet.stock.name}, {size}" if sheet.stock.name else size
    return f"offcut {name}" if sheet.stock.offcut else name


def _drawn(page: _Page, shapes: list[Shape], notes: tuple[str, str, str]) -> Drawing:
    ground = Rectangle(x=0, y=0, width=page.size[0], height=page.size[1], look=Look(fill=PAPER))
    return Drawing(
        width=page.size[0], height=page.size[1], scale=page.scale, title=f"{page.title}: sheets",
        description=f"Each sheet with its pieces and cuts at 1:{page.scale:g}. {MEASURED_IN[page.display]}.",
        parts=(ground, *shapes, *foot(notes, page.size, bar=True)),
    )  # fmt: skip


def _top(page: _Page, plan: SheetPlan) -> Iterator[Shape]:
    """Title, and what the marks mean."""
    title = f"{page.title}: sheets"
    size = fitting_size(title, page.inner, most=4.2, bold=True)
    yield Text(at=(MARGIN, MARGIN + 4.2), text=title, size=size, colour=INK, bold=True)
    yield line((MARGIN, MARGIN + 6.4), (MARGIN + page.inner, MARGIN + 6.4), Look(stroke=INK, width=0.4))
    proved = "proved optimal" if plan.proved_optimal else "not proved optimal"
    saw = f"a saw cut of {page.said(page.kerf)}" if page.kerf else "a cut that takes nothing away"
    said = (
        f"1:{page.scale:g}, {MEASURED_IN[page.display]}; a dark line is {saw}, from edge to edge in the order of the "
        f"numbers; hatched is left over and worth keeping; {proved}"
    )
    size = fitting_size(said, page.inner, most=2.5)
    yield Text(at=(MARGIN, MARGIN + 11.2), text=said, size=size, colour=QUIET)


def _heading(page: _Page, text: str) -> Text:
    size = fitting_size(text, page.cell, most=3.2, bold=True)
    return Text(at=(0.0, 3.0), text=text, size=size, colour=INK, bold=True)


def _sheet(page: _Page, sheet: CutSheet, heading: str, number: int, shapes: list[Shape]) -> list[str]:
    """Draw one sheet into `shapes`, from (0, 0); the lines that stand under it."""
    wide, tall = page.mm(sheet.stock.width), page.mm(sheet.stock.height)
    left, low = _SIDE, _HEAD + tall
    shapes.append(_heading(page, printable(heading)))

    def box(x: Metre, y: Metre, width: Metre, height: Metre, look: Look) -> Rectangle:
        return Rectangle(
            x=left + page.mm(x),
            y=low - page.mm(y + height),
            width=page.mm(width),
            height=page.mm(height),
            look=look,
        )

    parts: list[Shape] = []
    if sheet.trim:
        parts.append(box(0, 0, sheet.stock.width, sheet.stock.height, Look(fill=FAINT)))
        inside = sheet.stock.width - 2 * sheet.trim, sheet.stock.height - 2 * sheet.trim
        parts.append(box(sheet.trim, sheet.trim, *inside, Look(fill=PAPER)))
    texts: list[Text] = []
    for rest in sheet.offcuts:
        frame = box(rest.x, rest.y, rest.width, rest.height, Look())
        parts.append(Hatching(x=frame.x, y=frame.y, width=frame.width, height=frame.height))
        parts += _ground(texts, _words(frame, (page.said(rest.width, rest.height),)))
    keyed: list[tuple[int, Placed]] = []
    for place, piece in enumerate(sheet.pieces, 1):
        frame = box(piece.x, piece.y, piece.width, piece.height, Look(fill=WOOD))
        parts.append(frame)
        said = page.said(piece.width, piece.height), printable(piece.label)
        words = _words(frame, tuple(one for one in said if one))
        if not words:
            keyed.append((place, piece))
            words = _words(frame, (str(place),), least=1.2)
        texts += words
        parts += words
    for cut in sheet.cuts:
        parts.append(_saw(page, cut.upright, cut.at, cut.start, cut.end, left, low))
    outline = Look(stroke=INK, width=0.25)
    parts.append(replace(box(0, 0, sheet.stock.width, sheet.stock.height, outline)))
    taken = [bounds(text) for text in texts]
    for place, cut in enumerate(sheet.cuts, 1):
        parts += _numbered(page, place, (cut.upright, cut.at, cut.start, cut.end), (left, low), taken)
    across, up = page.said(sheet.stock.width), page.said(sheet.stock.height)
    parts.append(
        Text(at=(left + wide / 2, low + 3.2), text=across, size=fitting_size(across, wide, most=2.4), colour=INK,
             anchor="middle")
    )  # fmt: skip
    parts.append(
        Text(at=(left - 1.4, low - tall / 2), text=up, size=fitting_size(up, tall, most=2.4), colour=INK,
             anchor="middle", turn=270)
    )  # fmt: skip
    shapes.append(Group(parts=tuple(parts), id=f"sheet-{number}", classes=("cut",), title=printable(heading)))
    return _lines(page, sheet, keyed)


def _saw(
    page: _Page, upright: bool, at: Metre, start: Metre, end: Metre, left: float, low: float
) -> Rectangle:  # fmt: skip
    """A cut in its true width, and where it takes nothing away as thin as a line is seen."""
    width, long = max(page.mm(page.kerf), 0.2), page.mm(end - start)
    if upright:
        return Rectangle(
            x=left + page.mm(at), y=low - page.mm(end), width=width, height=long, look=Look(fill=INK)
        )
    return Rectangle(
        x=left + page.mm(start), y=low - page.mm(at) - width, width=long, height=width, look=Look(fill=INK)
    )


def _words(frame: Rectangle, said: tuple[str, ...], *, least: float = _LEAST) -> list[Text]:
    """Lines in the middle of a rectangle, upright where it is tall; nothing when they do not fit."""
    for turned in (False, True):
        wide, tall = (frame.height, frame.width) if turned else (frame.width, frame.height)
        most = min(_SIZE, (tall - 0.8) / (1.3 * len(said)))
        sizes = [
            fitting_size(one, wide - 1.2, most=max(most, 0.0), least=least, bold=not n)
            for n, one in enumerate(said)
        ]
        if all(sizes):
            break
    else:
        return []
    size = min(sizes)
    x, y = frame.x + frame.width / 2, frame.y + frame.height / 2
    down = [(number - (len(said) - 1) / 2) * 1.3 * size + 0.33 * size for number in range(len(said))]
    turn = 270.0 if turned else 0.0
    anchor: Literal["middle"] = "middle"
    return [
        Text(at=(x + off, y) if turned else (x, y + off), text=one, size=size, colour=INK, anchor=anchor, bold=not n,
             turn=turn)
        for n, (one, off) in enumerate(zip(said, down, strict=True))
    ]  # fmt: skip


def _ground(texts: list[Text], words: list[Text]) -> Iterator[Shape]:
    """Words on a hatched ground, on paper of their own."""
    texts += words
    for word in words:
        x0, y0, x1, y1 = bounds(word)
        yield Rectangle(
            x=x0 - 0.4, y=y0 - 0.2, width=x1 - x0 + 0.8, height=y1 - y0 + 0.4, look=Look(fill=PAPER)
        )
        yield word


def _numbered(
    page: _Page,
    place: int,
    cut: tuple[bool, Metre, Metre, Metre],
    corner: tuple[float, float],
    taken: list[Bounds],
) -> Iterator[Shape]:
    """The number of a cut on its line, at the first of several places that nothing else stands on."""
    upright, at, start, end = cut
    size, said = 2.0, str(place)
    wide, tall = text_width(said, size, bold=True) + 0.6, size + 0.5
    half = max(page.mm(page.kerf), 0.2) / 2
    for share in (0.06, 0.15, 0.3, 0.5, 0.7, 0.85, 0.94):
        along = page.mm(start + share * (end - start))
        x = corner[0] + (page.mm(at) + half if upright else along)
        y = corner[1] - (along if upright else page.mm(at) + half)
        spot = (x - wide / 2, y - tall / 2, x + wide / 2, y + tall / 2)
        outside = (
            spot[0] < corner[0] or spot[3] > corner[1] or page.mm(end - start) < (tall if upright else wide)
        )
        if outside or any(_meet(spot, other) for other in taken):
            continue
        taken.append(spot)
        yield Rectangle(x=spot[0], y=spot[1], width=wide, height=tall, look=Look(fill=INK), radius=0.6)
        yield Text(at=(x, y + 0.35 * size), text=said, size=size, colour=PAPER, anchor="middle", bold=True)
        return


def _meet(one: Bounds, other: Bounds) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def _lines(page: _Page, sheet: CutSheet, keyed: Sequence[tuple[int, Placed]]) -> list[str]:
    """What stands under a sheet: pieces that were only numbered, then the cuts in their order."""
    pieces = [
        printable(f"{place}: {page.said(piece.width, piece.height)} {piece.label}".rstrip())
        for place, piece in keyed
    ]
    cuts = [
        f"{place}: {'upright' if cut.upright else 'level'} at {page.said(cut.at)}"
        for place, cut in enumerate(sheet.cuts, 1)
    ]
    lines = _flowing(page, "Pieces ", pieces)
    return lines + _flowing(page, "Cuts, from the lower left corner of the whole sheet: ", cuts)


def _flowing(page: _Page, head: str, items: Sequence[str]) -> list[str]:
    lines: list[str] = []
    for item in items:
        longer = f"{lines[-1]};  {item}" if lines else head + item
        if lines and text_width(longer, _KEY_SIZE) <= page.cell:
            lines[-1] = longer
        else:
            lines += lines_of(item if lines else longer, page.cell, _KEY_SIZE)
    return [_shortened(one, page.cell) for one in lines]


def _shortened(text: str, width: float) -> str:
    while text_width(text, _KEY_SIZE) > width:
        text = f"{text[:-2]}…"
    return text


def _key(lines: Sequence[str], y: float) -> Iterator[Shape]:
    for number, told in enumerate(lines):
        yield Text(at=(0.0, y + number * _KEY), text=told, size=_KEY_SIZE, colour=INK)
