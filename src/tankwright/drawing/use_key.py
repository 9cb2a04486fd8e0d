"""The key to a share of strength: every colour that is used on a picture, with its words."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from tankwright.drawing.colour import INK, PAPER, QUIET, USE, step_for
from tankwright.drawing.model import Hatching, Look, Point, Rectangle, Shape, Text, text_width

_SIZE = 2.2
_SWATCH = 6.0


def use_key(
    shares: Iterable[float | None], at: Point, width: float, *, missing: str = "not computed"
) -> tuple[tuple[Shape, ...], float]:
    """Swatches side by side, in rows no wider than `width`; None among the shares is hatched. And the page height
    the next line may stand at.

    >>> shapes, below = use_key((0.3, 0.31, None), (0.0, 0.0), 100.0)
    >>> [one.text for one in shapes if isinstance(one, Text)], below
    (['20 to 40 %', 'not computed'], 5.0)
    """
    told = tuple(shares)
    used = {step_for(one, USE).name for one in told if one is not None}
    rows: list[tuple[str, str]] = [(step.words, step.fill) for step in USE if step.name in used]
    if None in told:
        rows.append((missing, ""))
    shapes: list[Shape] = []
    x, y = at[0] + 0.1, at[1]
    for words, fill in rows:
        wide = _SWATCH + 1.4 + text_width(words, _SIZE) + 4.0
        if x > at[0] + 1.0 and x + wide > at[0] + width:
            x, y = at[0] + 0.1, y + 5.0
        shapes += _swatch(x, y, fill)
        shapes.append(Text(at=(x + _SWATCH + 1.4, y + 2.5), text=words, size=_SIZE, colour=INK))
        x += wide
    return tuple(shapes), y + 5.0


def _swatch(x: float, y: float, fill: str) -> Iterator[Shape]:
    if fill:
        yield Rectangle(x=x, y=y, width=_SWATCH, height=3.2, look=Look(fill=fill, stroke=INK, width=0.2))
        return
    yield Rectangle(x=x, y=y, width=_SWATCH, height=3.2, look=Look(fill=PAPER, stroke=QUIET, width=0.2))
    yield Hatching(x=x, y=y, width=_SWATCH, height=3.2)
