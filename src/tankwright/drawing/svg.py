"""A drawing as a standalone SVG file at its true size: no script, no style sheet, no other file needed."""

from __future__ import annotations

import re
from xml.sax.saxutils import escape, quoteattr

from tankwright.drawing.colour import hatch
from tankwright.drawing.model import Arc, Circle, Drawing, Group, Hatching, Look, Rectangle, Shape, Text

FONT = "'Noto Sans', 'DejaVu Sans', Verdana, sans-serif"


def to_svg(drawing: Drawing) -> str:
    """The drawing as SVG text; one user unit is one millimetre.

    >>> svg = to_svg(Drawing(width=10, height=5, scale=1, title="a < b", description=""))
    >>> 'width="10mm" height="5mm" viewBox="0 0 10 5"' in svg, "<title>a &lt; b</title>" in svg
    (True, True)
    """
    width, height = _number(drawing.width), _number(drawing.height)
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" '
        f'viewBox="0 0 {width} {height}" font-family="{FONT}">',
        f"<title>{escaped(drawing.title)}</title>",
        f"<desc>{escaped(drawing.description)}</desc>",
    ]
    for part in drawing.parts:
        lines.extend(_written(part, ""))
    lines.append("</svg>")
    return "\n".join(lines) + "\n"


def identifier(*words: str) -> str:
    """An XML id made of names an owner chose: letters and digits kept, anything else as its number.

    >>> identifier("front", "A 1"), identifier("front", "A_1")
    ('front-A_20_1', 'front-A_5f_1')
    """
    return "-".join(re.sub(r"[^A-Za-z0-9]", lambda match: f"_{ord(match[0]):x}_", word) for word in words)


def _written(shape: Shape, indent: str) -> list[str]:
    if isinstance(shape, Group):
        return _group(shape, indent)
    if isinstance(shape, Text):
        return [indent + _text_element(shape)]
    if isinstance(shape, Rectangle):
        place = f'x="{_number(shape.x)}" y="{_number(shape.y)}"'
        size = f'width="{_number(shape.width)}" height="{_number(shape.height)}"'
        corner = f' rx="{_number(shape.radius)}"' if shape.radius else ""
        return [f"{indent}<rect {place} {size}{corner}{_look(shape.look)}/>"]
    if isinstance(shape, Circle):
        (x, y), radius = shape.centre, _number(shape.radius)
        return [f'{indent}<circle cx="{_number(x)}" cy="{_number(y)}" r="{radius}"{_look(shape.look)}/>']
    if isinstance(shape, Arc):
        radius = _number(shape.radius)
        d = f"M {_pair(shape.start)} A {radius} {radius} 0 0 {int(shape.sweep)} {_pair(shape.end)}"
        return [f'{indent}<path d="{d}"{_look(shape.look)}/>']
    if isinstance(shape, Hatching):
        lines = hatch(shape.x, shape.y, shape.width, shape.height, shape.spacing)
        return [written for one in lines for written in _written(one, indent)]
    points = " ".join(f"{_number(x)},{_number(y)}" for x, y in shape.points)
    return [f'{indent}<{"polygon" if shape.closed else "polyline"} points="{points}"{_look(shape.look)}/>']


def _group(group: Group, indent: str) -> list[str]:
    names = {
        "id": group.id,
        "class": " ".join(group.classes),
        "data-layer": group.layer,
        "data-place": group.place,
    }
    attributes = "".join(f" {name}={quoted(value)}" for name, value in names.items() if value)
    tag = "g"
    if group.link:
        tag, attributes = "a", f" href={quoted(group.link)}{attributes}"
    lines = [f"{indent}<{tag}{attributes}>"]
    if group.title:
        lines.append(f"{indent} <title>{escaped(group.title)}</title>")
    for part in group.parts:
        lines.extend(_written(part, indent + " "))
    lines.append(f"{indent}</{tag}>")
    return lines


def _text_element(text: Text) -> str:
    x, y = text.at
    attributes = f'x="{_number(x)}" y="{_number(y)}" font-size="{_number(text.size)}" fill="{text.colour}"'
    if text.anchor != "start":
        attributes += f' text-anchor="{text.anchor}"'
    if text.bold:
        attributes += ' font-weight="bold"'
    if text.turn:
        attributes += f' transform="rotate({_number(text.turn)} {_number(x)} {_number(y)})"'
    return f"<text {attributes}>{escaped(text.text)}</text>"


def _look(look: Look) -> str:
    written = f' fill="{look.fill or "none"}"'
    if look.stroke and look.width > 0:
        written += f' stroke="{look.stroke}" stroke-width="{_number(look.width)}"'
        if look.dash:
            written += f' stroke-dasharray="{" ".join(_number(part) for part in look.dash)}"'
        if look.round_ends:
            written += ' stroke-linecap="round" stroke-linejoin="round"'
    return written


def _pair(point: tuple[float, float]) -> str:
    return f"{_number(point[0])} {_number(point[1])}"


def _number(value: float) -> str:
    """A coordinate to the thousandth of a millimetre: finer than any printer."""
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _legal(text: str) -> str:
    """Without the characters XML 1.0 does not allow at all."""
    return re.sub("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]", "\ufffd", text)


def escaped(text: str) -> str:
    """A text between tags."""
    return escape(_legal(text))


def quoted(text: str) -> str:
    """A text as an attribute's value, with its quotes."""
    return quoteattr(_legal(text))
