"""The ancestors of a stock, a column a generation: each stock in its box with its inbreeding, parents who are not known
hatched, sets as the bracket that joins fathers (above) and mothers (below)."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from tankwright.drawing.colour import GLASS, INK, PAPER, QUIET, TEAL
from tankwright.drawing.model import (
    Drawing,
    Group,
    Hatching,
    Look,
    Polyline,
    Rectangle,
    Shape,
    Text,
    fitting_size,
    text_width,
)
from tankwright.husbandry.ancestry import Ancestor, Parents

_BOX: Final = (40.0, 11.0)  # mm
_ACROSS: Final = 14.0  # mm between columns
_DOWN: Final = 2.2  # mm between boxes
_EDGE: Final = 2.0
_HEAD: Final = 6.0
_SIZES: Final = (3.0, 2.3)
_HEADS: Final = ("", "parents", "grandparents", "great-grandparents")


@dataclass(frozen=True, slots=True, kw_only=True)
class AncestorWords:
    """What stands in the box of a stock: its name, what is said of it ("F 12 %"), whether it is a founder, where a
    press on it leads."""

    name: str
    said: str = ""
    founder: bool = False
    link: str = ""


@dataclass(slots=True)
class _Hand:
    """The drawing as it grows: shapes, how far down it is, which stocks were drawn with their parents."""

    words: Mapping[str, AncestorWords]
    shapes: list[Shape]
    y: float
    shown: set[str]
    deepest: int = 0
    boxes: int = 0
    unknown: int = 0


def draw_ancestry(tree: Ancestor, words: Mapping[str, AncestorWords], *, title: str) -> Drawing:
    """An ancestry as it is read: the stock at the left, its parents in the next column, theirs in the one after.

    A stock that has its parents drawn once is drawn without them when it comes again.

    >>> tree = Ancestor(stock="a")
    >>> draw_ancestry(tree, {"a": AncestorWords(name="Blue 1", founder=True)}, title="Blue 1").width > 40
    True
    """
    hand = _Hand(words=words, shapes=[], y=_EDGE + _HEAD, shown=set())
    _drawn(hand, tree, 0)
    width = 2 * _EDGE + (hand.deepest + 1) * _BOX[0] + hand.deepest * _ACROSS
    height = hand.y + _EDGE - _DOWN
    heads = [
        Text(at=(_left(n), _EDGE + 3.0), text=_head(n), size=2.3, colour=QUIET)
        for n in range(1, hand.deepest + 1)
    ]
    ground = Rectangle(x=0, y=0, width=width, height=height, look=Look(fill=PAPER))
    unknown = f", {hand.unknown} of them not known" if hand.unknown else ""
    return Drawing(
        width=width,
        height=height,
        scale=1.0,
        title=title,
        description=f"{_many(hand.boxes - 1, 'ancestor')} in {_many(hand.deepest, 'generation')}{unknown}",
        parts=(ground, *heads, *hand.shapes),
    )


def _many(count: int, of: str) -> str:
    return f"{count} {of}{'' if count == 1 else 's'}"


def _head(generation: int) -> str:
    return _HEADS[generation] if generation < len(_HEADS) else f"{generation} generations back"


def _left(column: int) -> float:
    return _EDGE + column * (_BOX[0] + _ACROSS)


def _drawn(hand: _Hand, one: Ancestor, column: int) -> float:
    """Draw an ancestor with all behind it; the height of the middle of its box."""
    hand.deepest = max(hand.deepest, column)
    again = bool(one.stock) and one.stock in hand.shown and bool(one.sets)
    if one.sets and not again:
        hand.shown.add(one.stock)
    middles: list[tuple[float, Parents, list[float]]] = []
    if not again:
        for parents in one.sets:
            ends = [_drawn(hand, each, column + 1) for each in (*parents.fathers, *parents.mothers)]
            middles.append(((min(ends) + max(ends)) / 2, parents, ends))
    if middles:
        middle = sum(at for at, _, _ in middles) / len(middles)
    else:
        middle = hand.y + _BOX[1] / 2
        hand.y += _BOX[1] + _DOWN
    hand.shapes.extend(_box(hand, one, column, middle, again=again))
    for at, parents, ends in middles:
        hand.shapes.extend(_bracket(column, middle, at, ends, parents, several=len(middles) > 1))
    return middle


def _box(hand: _Hand, one: Ancestor, column: int, middle: float, *, again: bool) -> Iterator[Shape]:
    """The box of an ancestor: who, how many and what share, how inbred."""
    hand.boxes += 1
    x, y, (wide, tall) = _left(column), middle - _BOX[1] / 2, _BOX
    known = hand.words.get(one.stock) if one.stock else None
    if known is None:
        hand.unknown += 1
        who = {"male": "father not known", "female": "mother not known"}.get(one.sex, "not known")
        over = text_width(who, _SIZES[1]) + 1.6
        parts: tuple[Shape, ...] = (
            Rectangle(x=x, y=y, width=wide, height=tall, look=Look(fill=PAPER, stroke=QUIET, width=0.25)),
            Hatching(x=x, y=y, width=wide, height=tall),
            Rectangle(x=x + 1.2, y=middle - 2.2, width=over, height=4.0, look=Look(fill=PAPER)),
            Text(at=(x + 2.0, middle + 0.6), text=who, size=_SIZES[1], colour=INK),
        )  # fmt: skip
        yield Group(parts=parts, title=who)
        return
    about = _about(one)
    said = " · ".join(part for part in (about, known.said) if part)
    more = _more(one, known, again=again)
    name = _shortened(known.name, wide - 3.0)
    size = fitting_size(name, wide - 3.0, most=_SIZES[0], bold=True)
    look = Look(fill=GLASS, stroke=INK if column == 0 else TEAL, width=0.5 if column == 0 else 0.3,
                dash=(1.2, 0.8) if known.founder else ())  # fmt: skip
    rows: list[Shape] = [
        Rectangle(x=x, y=y, width=wide, height=tall, look=look, radius=0.8),
        Text(at=(x + 1.5, y + 3.7), text=name, size=size, colour=INK, bold=True),
    ]
    for row, (text, colour) in enumerate(((said, INK), (more, QUIET))):
        if text:
            fit = fitting_size(text, wide - 3.0, most=_SIZES[1])
            rows.append(Text(at=(x + 1.5, y + 6.8 + 2.9 * row), text=text, size=fit, colour=colour))
    yield Group(
        parts=tuple(rows),
        title=", ".join(part for part in (known.name, said, more) if part),
        link=known.link,
    )


def _shortened(name: str, width: float) -> str:
    """A name with its end cut off where it would be too small to read; its whole is in the title of its box."""
    shown = name
    while len(shown) > 1 and not fitting_size(shown, width, most=_SIZES[0], least=_SIZES[1], bold=True):
        shown = f"{shown.rstrip('…')[:-1].rstrip()}…"
    return shown


def _about(one: Ancestor) -> str:
    """How many fish of it were in the set, and what share of the young is theirs."""
    parts = []
    if one.count is not None and (one.count > 1 or one.sex):
        sex = one.sex if one.sex else "fish"
        parts.append(f"{one.count} {sex}{'s' if one.count > 1 and one.sex else ''}")
    if one.share < 0.995:
        parts.append(f"{100 * one.share:.0f} %")
    return ", ".join(parts)


def _more(one: Ancestor, known: AncestorWords, *, again: bool) -> str:
    if again:
        return "its parents stand above"
    if known.founder:
        return "founder"
    return "more behind it" if one.cut else ""


def _bracket(
    column: int, middle: float, at: float, ends: list[float], parents: Parents, *, several: bool
) -> Iterator[Shape]:
    """The line from a box to the boxes of its parents; with its share when there are several sets."""
    start, end = _left(column) + _BOX[0], _left(column + 1)
    knee = start + (0.35 if several else 0.5) * _ACROSS
    joint = start + 0.6 * _ACROSS if several else knee
    look = Look(stroke=QUIET, width=0.3)
    yield Polyline(points=((start, middle), (knee, middle), (knee, at), (joint, at)), look=look)
    if len(ends) > 1:
        yield Polyline(points=((joint, min(ends)), (joint, max(ends))), look=look)
    for one in ends:
        yield Polyline(points=((joint, one), (end, one)), look=look)
    if several:
        text = f"{100 * parents.share:.0f} %"
        yield Rectangle(
            x=knee - 0.2, y=at - 3.2, width=text_width(text, 2.0), height=2.6, look=Look(fill=PAPER)
        )
        yield Text(at=(knee, at - 1.0), text=text, size=2.0, colour=QUIET)
    if not parents.breeding_set:
        yield Text(at=(start + 0.6, at - 0.8), text="taken from", size=1.9, colour=QUIET)
