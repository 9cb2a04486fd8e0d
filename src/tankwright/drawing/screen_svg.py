"""A drawing as SVG inside a page: colours by token, as few bytes as it takes, nothing it would need a style for.

What several shapes of a group share stands on the group; lines in a row that look alike are one path.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from typing import Final

from tankwright.drawing.colour import FAINT, Colour
from tankwright.drawing.model import (
    Arc,
    Circle,
    Drawing,
    Group,
    Hatching,
    Look,
    Point,
    Polyline,
    Rectangle,
    Shape,
    Text,
)
from tankwright.drawing.svg import escaped, quoted

_Attributes = dict[str, str]
_START: Final[_Attributes] = {
    "fill": "none", "stroke": "none", "stroke-width": "1", "stroke-dasharray": "none", "stroke-linecap": "butt",
    "font-size": "", "font-weight": "normal", "text-anchor": "start",
}  # fmt: skip
_WORTH: Final = 2  # shapes that must share a value before their group says it


def to_screen_svg(
    drawing: Drawing,
    *,
    label: str = "",
    classes: Iterable[str] = (),
    data: Iterable[tuple[str, str]] = (),
    hatch_id: str = "hatch",
    hidden: bool = False,
) -> str:
    """The drawing as an inline `<svg>` without size, script or style; the page's style sheet gives its tokens.

    `label` is what a screen reader calls it (the drawing's title when empty), `data` are further attributes.
    `hidden` is for a sample beside its words, which needs no name. `hatch_id` must be unique on the page. Group
    ids are left out, so that they clash with none of the page.

    >>> to_screen_svg(Drawing(width=10, height=5, scale=1, title="a < b", description=""))
    '<svg class="drawing" role="group" aria-label="a &lt; b" viewBox="0 0 10 5" fill="none"></svg>'
    """
    names = " ".join(("drawing", *classes))
    more = "".join(f" {name}={quoted(value)}" for name, value in data)
    body: list[str] = []
    writer = _Writer(hatch_id, body)
    writer.all(drawing.parts, _START)
    pattern = _pattern(hatch_id) if writer.hatched else ""
    said = 'aria-hidden="true"' if hidden else f'role="group" aria-label={quoted(label or drawing.title)}'
    return (
        f'<svg class="{names}" {said} '
        f'viewBox="0 0 {number(drawing.width)} {number(drawing.height)}"{more} fill="none">'
        f"{pattern}{''.join(body)}</svg>"
    )


def number(value: float) -> str:
    """A coordinate to the hundredth of a unit, finer than a screen's dot.

    >>> number(0.304), number(-0.5), number(12.0), number(-0.001)
    ('.3', '-.5', '12', '0')
    """
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    if text.startswith("0."):
        return text[1:]
    if text.startswith("-0"):
        return "-" + text[2:] if len(text) > 2 else "0"
    return text


def paint(colour: str) -> str:
    """A colour of the table as its token, another as it is, "" as none.

    >>> paint(FAINT), paint("#123456"), paint("")
    ('var(--d-faint)', '#123456', 'none')
    """
    return f"var(--d-{colour.token})" if isinstance(colour, Colour) else colour or "none"


def _pattern(name: str) -> str:
    line = f'<path d="M.8 0v1.6" stroke="{paint(FAINT)}" stroke-width=".4"/>'
    return (
        f'<defs><pattern id="{name}" width="1.6" height="1.6" patternUnits="userSpaceOnUse" '
        f'patternTransform="rotate(45)">{line}</pattern></defs>'
    )


class _Writer:
    """Writes shapes one after another, knowing what they inherit."""

    def __init__(self, hatch_id: str, out: list[str]) -> None:
        self.hatch, self.out, self.hatched = hatch_id, out, False

    def all(self, parts: tuple[Shape, ...], inherited: Mapping[str, str]) -> None:
        """Shapes in their order, neighbours of one look as one path."""
        path: list[str] = []
        open_look: Look | None = None
        for shape in parts:
            if isinstance(shape, (Polyline, Arc)):
                if open_look is not None and shape.look != open_look:
                    self._path(path, open_look, inherited)
                    path = []
                open_look = shape.look
                path.append(_polyline(shape) if isinstance(shape, Polyline) else _arc(shape))
                continue
            if open_look is not None:
                self._path(path, open_look, inherited)
                path, open_look = [], None
            self._one(shape, inherited)
        if open_look is not None:
            self._path(path, open_look, inherited)

    def _path(self, path: list[str], look: Look, inherited: Mapping[str, str]) -> None:
        self.out.append(f'<path d="{"".join(path)}"{_changed(_looks(look), inherited)}/>')

    def _one(self, shape: Shape, inherited: Mapping[str, str]) -> None:
        if isinstance(shape, Group):
            self._group(shape, inherited)
        elif isinstance(shape, Text):
            x, y = number(shape.at[0]), number(shape.at[1])
            turn = (
                f' transform="rotate({number((shape.turn + 180) % 360 - 180)} {x} {y})"' if shape.turn else ""
            )
            look = _changed(_text_looks(shape), inherited)
            self.out.append(f'<text x="{x}" y="{y}"{turn}{look}>{escaped(shape.text)}</text>')
        elif isinstance(shape, Rectangle):
            corner = f' rx="{number(shape.radius)}"' if shape.radius else ""
            look = _changed(_looks(shape.look), inherited)
            self.out.append(f"<rect {_block(shape)}{corner}{look}/>")
        elif isinstance(shape, Hatching):
            self.hatched = True
            look = _changed({"fill": f"url(#{self.hatch})", "stroke": "none"}, inherited)
            self.out.append(f"<rect {_block(shape)}{look}/>")
        elif isinstance(shape, Circle):
            x, y = number(shape.centre[0]), number(shape.centre[1])
            look = _changed(_looks(shape.look), inherited)
            self.out.append(f'<circle cx="{x}" cy="{y}" r="{number(shape.radius)}"{look}/>')

    def _group(self, group: Group, inherited: Mapping[str, str]) -> None:
        names = {"class": " ".join(group.classes), "data-place": group.place}
        written = "".join(f" {name}={quoted(value)}" for name, value in names.items() if value)
        written += "".join(f" {name}={quoted(value)}" for name, value in group.data)
        tag = "g"
        if group.link:
            tag, written = "a", f" href={quoted(group.link)}{written}"
            if group.title:
                written += f" aria-label={quoted(group.title)}"
        shared = _shared(group.parts, inherited)
        if tag == "g" and not written and not shared and not group.title:
            self.all(group.parts, inherited)
            return
        self.out.append(f"<{tag}{written}{_written(shared)}>")
        if group.title and tag == "g":
            self.out.append(f"<title>{escaped(group.title)}</title>")
        self.all(group.parts, {**inherited, **shared} if shared else inherited)
        self.out.append(f"</{tag}>")


def _shared(parts: tuple[Shape, ...], inherited: Mapping[str, str]) -> _Attributes:
    """What is shorter to say once on a group than on its shapes."""
    counts: dict[str, Counter[str]] = {}
    for shape in parts:
        if isinstance(shape, Group):
            continue
        known = (
            _text_looks(shape)
            if isinstance(shape, Text)
            else {}
            if isinstance(shape, Hatching)
            else _looks(shape.look)
        )
        for name, value in known.items():
            counts.setdefault(name, Counter())[value] += 1
    shared: _Attributes = {}
    for name, counter in counts.items():
        value, times = counter.most_common(1)[0]
        if value != inherited[name] and times >= _WORTH and times - 1 > counter.get(inherited[name], 0):
            shared[name] = value
    return shared


def _looks(look: Look) -> _Attributes:
    known = {"fill": paint(look.fill), "stroke": "none"}
    if look.stroke and look.width > 0:
        known["stroke"] = paint(look.stroke)
        known["stroke-width"] = number(look.width)
        known["stroke-dasharray"] = " ".join(number(part) for part in look.dash) or "none"
        known["stroke-linecap"] = "round" if look.round_ends else "butt"
    return known


def _text_looks(text: Text) -> _Attributes:
    """A text never has a stroke: the style sheet says so for all of them."""
    return {
        "fill": paint(text.colour), "font-size": number(text.size), "text-anchor": text.anchor,
        "font-weight": "bold" if text.bold else "normal",
    }  # fmt: skip


def _changed(known: Mapping[str, str], inherited: Mapping[str, str]) -> str:
    return _written({name: value for name, value in known.items() if inherited[name] != value})


def _written(known: Mapping[str, str]) -> str:
    return "".join(f' {name}="{value}"' for name, value in known.items())


def _block(shape: Rectangle | Hatching) -> str:
    x, y = number(shape.x), number(shape.y)
    return f'x="{x}" y="{y}" width="{number(shape.width)}" height="{number(shape.height)}"'


def _pair(point: Point) -> str:
    return f"{number(point[0])} {number(point[1])}"


def _polyline(shape: Polyline) -> str:
    first, *others = shape.points
    steps: list[str] = [f"M{_pair(first)}"]
    before = first
    for point in others:
        if abs(point[1] - before[1]) < 1e-6:
            steps.append(f"H{number(point[0])}")
        elif abs(point[0] - before[0]) < 1e-6:
            steps.append(f"V{number(point[1])}")
        else:
            steps.append(f"L{_pair(point)}")
        before = point
    return "".join(steps) + ("z" if shape.closed else "")


def _arc(shape: Arc) -> str:
    radius = number(shape.radius)
    return f"M{_pair(shape.start)}A{radius} {radius} 0 0 {int(shape.sweep)} {_pair(shape.end)}"
