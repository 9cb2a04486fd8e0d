"""A drawing as SVG inside a page: colours by token, as few bytes as it takes, nothing it would need a style for.

What several shapes of a group share stands on the group; lines in a row that look alike are one path.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import lru_cache
from itertools import groupby
from typing import Final

from tankwright.drawing.colour import FAINT, Colour, mark
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
from tankwright.finding import Severity

_Attributes = dict[str, str]
_START: Final[_Attributes] = {
    "fill": "none", "stroke": "none", "stroke-width": ".25", "stroke-dasharray": "none", "stroke-linecap": "butt",
    "font-size": "2.4", "font-weight": "bold", "text-anchor": "middle",
}  # fmt: skip
"""What stands on the `<svg>` itself: most of a drawing's writing is so."""

_AS_EVER: Final = ("stroke", "stroke-dasharray", "stroke-linecap")  # what SVG takes unsaid
_WRITING: Final = ("font-size", "font-weight", "text-anchor")
_WORTH: Final = 2  # shapes that must share a value before their group says it


def to_screen_svg(
    drawing: Drawing,
    *,
    label: str = "",
    classes: Iterable[str] = (),
    data: Iterable[tuple[str, str]] = (),
    name: str = "drawing",
    hidden: bool = False,
) -> str:
    """The drawing as an inline `<svg>` without size, script or style; the page's style sheet gives its tokens.

    `label` is what a screen reader calls it (the drawing's title when empty), `data` are further attributes.
    `hidden` is for a sample beside its words, which needs no name. `name` must be unique on the page: ids of
    patterns and signs begin with it. Group ids are left out, so that they clash with none of the page.

    >>> to_screen_svg(Drawing(width=10, height=5, scale=1, title="a < b", description=""))
    '<svg class="drawing" role="img" aria-label="a &lt; b" viewBox="0 0 10 5"></svg>'
    """
    writer = _Writer(name)
    writer.all(drawing.parts, _START)
    body = "".join(writer.out)
    role = "group" if writer.linked else "img"
    said = 'aria-hidden="true"' if hidden else f'role="{role}" aria-label={quoted(label or drawing.title)}'
    more = "".join(f" {key}={quoted(value)}" for key, value in data)
    silent = _AS_EVER if "<text" in body else (*_AS_EVER, *_WRITING)
    start = {key: value for key, value in _START.items() if key not in silent} if body else {}
    return (
        f'<svg class="{" ".join(("drawing", *classes))}" {said} '
        f'viewBox="0 0 {number(drawing.width)} {number(drawing.height)}"{more}{_written(start)}>'
        f"{writer.definitions()}{body}</svg>"
    )


@lru_cache(maxsize=32_768)  # sizes and places of a drawing come again and again, and in the next drawing too
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


def _tenth(value: float) -> str:
    """A place or size of writing or a sign, where a tenth of a unit is fine enough."""
    return number(round(value, 1))


def paint(colour: str) -> str:
    """A colour of the table as its token, another as it is, "" as none.

    >>> paint(FAINT), paint("#123456"), paint("")
    ('var(--d-faint)', '#123456', 'none')
    """
    return f"var(--d-{colour.token})" if isinstance(colour, Colour) else colour or "none"


class _Writer:
    """Writes shapes one after another, knowing what they inherit."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.out: list[str] = []
        self.hatched, self.linked = False, False
        self.signs: set[str] = set()

    def definitions(self) -> str:
        """The pattern and the signs that were used, once each."""
        made: list[str] = []
        if self.hatched:
            line = f'<path d="M.8 0v1.6" stroke="{paint(FAINT)}" stroke-width=".4"/>'
            made.append(
                f'<pattern id="{self.name}-hatch" width="1.6" height="1.6" patternUnits="userSpaceOnUse" '
                f'patternTransform="rotate(45)">{line}</pattern>'
            )
        for sign in sorted(self.signs):
            drawn = _Writer(self.name)
            drawn.all(mark(Severity(sign), (0.0, 0.0), 1.0).parts, _START)
            made.append(f'<g id="{self._id(sign)}"{_written(_START)}>{"".join(drawn.out)}</g>')
        return f"<defs>{''.join(made)}</defs>" if made else ""

    def _id(self, sign: str) -> str:
        return f"{self.name}-{sign.replace(' ', '-')}"

    def all(self, parts: tuple[Shape, ...], inherited: Mapping[str, str]) -> None:
        """Shapes in their order, neighbours of one look as one path."""
        for look, row in groupby(parts, key=_line_look):
            shapes = list(row)
            if look is None or (len(shapes) == 1 and isinstance(shapes[0], Rectangle)):
                for shape in shapes:
                    self._one(shape, inherited)
            else:
                straight = not look.fill and all(_is_straight(shape) for shape in shapes)
                self._path([_steps(shape) for shape in shapes], look, inherited, straight=straight)

    def _path(
        self,
        path: list[str],
        look: Look,
        inherited: Mapping[str, str],
        names: str = "",
        *,
        straight: bool = False,
    ) -> None:
        known = _looks(look)
        if straight:  # has no inside, whatever fill it inherits
            known = {name: value for name, value in known.items() if name != "fill"}
        self.out.append(f'<path{names} d="{"".join(path)}"{_changed(known, inherited)}/>')

    def _one(self, shape: Shape, inherited: Mapping[str, str]) -> None:
        if isinstance(shape, Group):
            self._group(shape, inherited)
        elif isinstance(shape, Text):
            x, y = _tenth(shape.at[0]), _tenth(shape.at[1])
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
            look = _changed({"fill": f"url(#{self.name}-hatch)", "stroke": "none"}, inherited)
            self.out.append(f"<rect {_block(shape)}{look}/>")
        elif isinstance(shape, Circle):
            x, y = number(shape.centre[0]), number(shape.centre[1])
            look = _changed(_looks(shape.look), inherited)
            self.out.append(f'<circle cx="{x}" cy="{y}" r="{number(shape.radius)}"{look}/>')

    def _sign(self, group: Group, sign: tuple[str, Point, float]) -> None:
        """A sign drawn elsewhere, shown here; without what it would inherit."""
        severity, (x, y), size = sign
        self.signs.add(severity)
        title = f"<title>{escaped(group.title)}</title>" if group.title else ""
        place = f"translate({_tenth(x)} {_tenth(y)})scale({_tenth(size)})"
        self.out.append(
            f'<use class="{group.classes[0]}" href="#{self._id(severity)}" transform="{place}">{title}</use>'
        )

    def _group(self, group: Group, inherited: Mapping[str, str]) -> None:
        if group.sign is not None:
            self._sign(group, group.sign)
            return
        names = {"class": " ".join(group.classes), "data-place": group.place}
        written = "".join(f" {name}={quoted(value)}" for name, value in names.items() if value)
        written += "".join(f" {name}={quoted(value)}" for name, value in group.data)
        tag = "g"
        self.linked = self.linked or any(
            name == "tabindex" for name, _ in group.data
        )  # a handle: no mere picture
        if group.link:
            self.linked = True
            tag, written = "a", f" href={quoted(group.link)}{written}"
            if group.title:
                written += f" aria-label={quoted(group.title)}"
        shared = _shared(group.parts, inherited)
        if tag == "g" and len(group.parts) == 1 and isinstance(group.parts[0], Polyline) and not group.title:
            one = group.parts[0]
            self._path([_polyline(one)], one.look, inherited, written, straight=_is_straight(one))
            return
        if tag == "g" and not written and not shared and not group.title:
            self.all(group.parts, inherited)
            return
        self.out.append(f"<{tag}{written}{_written(shared)}>")
        if group.title and tag == "g":
            self.out.append(f"<title>{escaped(group.title)}</title>")
        self.all(group.parts, {**inherited, **shared} if shared else inherited)
        self.out.append(f"</{tag}>")


def _shared(parts: tuple[Shape, ...], inherited: Mapping[str, str]) -> _Attributes:
    """What is shorter to say once on a group than on its shapes, and on those of the groups right under it."""
    counts: dict[tuple[str, str], int] = {}
    for shape in parts:
        for one in shape.parts if isinstance(shape, Group) and shape.sign is None else (shape,):
            for item in _known(one).items():
                counts[item] = counts.get(item, 0) + 1
    most: dict[str, tuple[int, str]] = {}
    for (name, value), times in counts.items():
        if times >= _WORTH and times > most.get(name, (0, ""))[0]:
            most[name] = (times, value)
    return {
        name: value
        for name, (times, value) in most.items()
        if value != inherited[name] and times - 1 > counts.get((name, inherited[name]), 0)
    }


def _line_look(shape: Shape) -> Look | None:
    """How a shape looks that can share a path with its neighbours."""
    if isinstance(shape, (Polyline, Arc)) or (isinstance(shape, Rectangle) and not shape.radius):
        return shape.look
    return None


def _steps(shape: Shape) -> str:
    if isinstance(shape, Rectangle):
        wide = number(shape.width)
        return f"M{number(shape.x)} {number(shape.y)}h{wide}v{number(shape.height)}h-{wide}z"
    return _arc(shape) if isinstance(shape, Arc) else _polyline(shape) if isinstance(shape, Polyline) else ""


def _known(shape: Shape) -> Mapping[str, str]:
    if isinstance(shape, (Group, Hatching)):
        return {}
    if isinstance(shape, Text):
        return _text_looks(shape)
    known = _looks(shape.look)
    return {name: value for name, value in known.items() if name != "fill"} if _is_straight(shape) else known


def _is_straight(shape: Shape) -> bool:
    return isinstance(shape, Polyline) and len(shape.points) == 2 and not shape.look.fill


@lru_cache(maxsize=4096)
def _looks(look: Look) -> Mapping[str, str]:
    known = {"fill": paint(look.fill), "stroke": "none"}
    if look.stroke and look.width > 0:
        known["stroke"] = paint(look.stroke)
        known["stroke-width"] = number(look.width)
        known["stroke-dasharray"] = " ".join(number(part) for part in look.dash) or "none"
        known["stroke-linecap"] = "round" if look.round_ends else "butt"
    return known


def _text_looks(text: Text) -> Mapping[str, str]:
    """A text never has a stroke: the style sheet says so for all of them."""
    return {
        "fill": paint(text.colour), "font-size": _tenth(text.size), "text-anchor": text.anchor,
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
    if len(others) == 1:
        across, down = number(others[0][0] - first[0]), number(others[0][1] - first[1])
        way = f"h{across}" if down == "0" else f"v{down}" if across == "0" else f"l{across} {down}"
        return f"M{_pair(first)}{way}"
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
