"""A rack's front with what it carries: tanks with their masses, bearers as they sag, what comes down at every foot.

Bearers are coloured by the share of what they may bear that is used, with the number beside it. Sags are drawn so many
times larger than they are as the picture says.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from tankwright.display import words
from tankwright.drawing.colour import GLASS, INK, LINE, PAPER, QUIET, TEAL, USE, WINE, WOOD, step_for
from tankwright.drawing.fronts import SHELF
from tankwright.drawing.model import (
    Drawing,
    Group,
    Hatching,
    Look,
    Point,
    Polyline,
    Rectangle,
    Shape,
    Text,
    bounds,
    fitting_size,
    line,
    shifted,
    text_width,
    union,
)
from tankwright.drawing.page import written
from tankwright.drawing.svg import identifier
from tankwright.drawing.use_key import use_key
from tankwright.finding import Number
from tankwright.room.boxes import along_span
from tankwright.room.model import RackPlace, Room, Tank
from tankwright.systems.racks_model import BeamResult, PostResult, RackStrength, Use
from tankwright.units import Kilogram, Metre

CAUTION: Final = (
    "A screening for someone licensed to judge. Joints, screws, notches and the wall a rack is tied to are not in it; "
    "for bought shelving its maker's rating stands before it."
)
SCALES: Final = {
    "metric": (10.0, 12.5, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0), "US": (12.0, 16.0, 24.0, 32.0, 48.0, 64.0),
}  # fmt: skip
WIDTH: Final = 180.0
_TALLEST: Final = 150.0
_LARGER: Final = (1, 2, 5, 10, 20, 50, 100, 200, 500)
_DEEPEST: Final = 6.0  # mm on the page, of the largest sag
_THICK: Final = 0.07  # m, where nothing says how deep a bearer is
_SIDE: Final = 24.0  # mm left of the front
_ARROW: Final = (1.7, 0.75)
_NO_DATA: Final = Look(stroke=QUIET, width=0.2)
_UNDER_FLOOR: Final = 0.9


@dataclass(frozen=True, slots=True, kw_only=True)
class _Front:
    """A front on the page: its left end at `left`, its floor at y = 0, sags `larger` times as large as they are."""

    rack: RackPlace
    scale: float
    larger: int

    def mm(self, length: Metre) -> float:
        return length * 1000.0 / self.scale

    def at(self, along: Metre, height: Metre) -> Point:
        """A point along the front and above the floor under it."""
        return self.mm(along), -self.mm(height)


def draw_rack_loads(
    room: Room,
    rack: RackPlace,
    strength: RackStrength,
    masses: Mapping[str, Kilogram],
    *,
    scale: float | None = None,
) -> Drawing:
    """One rack under its tanks, at the largest usual scale that fits a column, or at the one that is asked for.

    `masses` are those of the tanks, filled; one that is missing is not written.
    """
    display = room.display
    usual = SCALES.get(display, SCALES["metric"])
    top = max([rack.box.z1 - rack.box.z0, *(tank.rim - rack.box.z0 for tank in _tanks(room, rack))])
    least = max(rack.length * 1000.0 / (WIDTH - 2 * _SIDE), top * 1000.0 / _TALLEST)
    chosen = scale or next((one for one in usual if one >= least), least)
    front = _Front(rack=rack, scale=chosen, larger=_larger(strength, chosen))
    parts = tuple(_front(room, front, strength, masses))
    left, high, right, low = union(tuple(bounds(one) for one in parts))
    title = f"Rack {rack.id} under its tanks"
    said = _said(strength, front)
    width = max(WIDTH, right - left)
    shapes: list[Shape] = [
        Text(at=(0.0, 4.6), text=title, size=fitting_size(title, width, most=4.6, bold=True), colour=INK,
             bold=True)
    ]  # fmt: skip
    made, y = written(said, (0.0, 9.2), width, size=2.4, colour=QUIET)
    shapes += made
    shapes.append(
        Group(
            parts=tuple(shifted(one, -left, y + 1.0 - high) for one in parts),
            id=identifier("loads", rack.id), place=rack.id, title=title,
        )
    )  # fmt: skip
    y += low - high + 5.0
    for told in _told(strength, display):
        made, y = written(told, (0.0, y), width, size=2.6)
        shapes += made
        y += 0.6
    worsts = [one.worst for one in _bearers(strength)] + [one.worst for one in strength.posts]
    shares = [one.share if one is not None else None for one in worsts]
    key, y = use_key(shares, (0.0, y - 1.0), width)
    shapes += key
    made, y = written(CAUTION, (0.0, y + 2.2), width, size=2.3, colour=QUIET)
    shapes += made
    return Drawing(
        width=width, height=y, scale=chosen, title=title, description=f"{said} {CAUTION}", parts=tuple(shapes)
    )  # fmt: skip


def _w(value: float, dimension: str, display: str) -> str:
    return words(Number(value, dimension), display)


def _tanks(room: Room, rack: RackPlace) -> tuple[Tank, ...]:
    return tuple(tank for tank in room.tanks if tank.rack == rack.id)


def _larger(strength: RackStrength, scale: float) -> int:
    """How many times larger sags are drawn: as much as keeps the largest within its room on the page."""
    most = max((_most(one) for one in _bearers(strength)), default=0.0) * 1000.0 / scale
    return max((n for n in _LARGER if n * most <= _DEEPEST), default=1) if most > 0.0 else 1


def _most(beam: BeamResult) -> Metre:
    """How far a bearer sags at the most, now or after years."""
    return max(beam.sag_now or 0.0, beam.sag_later or 0.0)


def _deep(beam: BeamResult) -> Metre:
    """How deep a bearer is drawn."""
    section = beam.member.section if beam.member is not None else None
    return section.wide if section is not None else _THICK


def _bearers(strength: RackStrength) -> tuple[BeamResult, ...]:
    return tuple(one for one in strength.beams if one.part == "bearer")


def _said(strength: RackStrength, front: _Front) -> str:
    larger = "as they are" if front.larger == 1 else f"{front.larger} times as large as they are"
    sags = (
        f" Sags are drawn {larger}: the bearer as it stands now, dashed after years."
        if any(one.sag_now for one in _bearers(strength))
        else ""
    )
    judged = "" if strength.judged else " Not computed: nothing says what it is built of."
    several = any(one.index for one in _bearers(strength))
    counted = (
        " Of a shelf's bearers the one that uses the most is told; counted from the front." if several else ""
    )
    return (
        f"Its front at 1:{front.scale:g} when printed at full size; tanks filled and furnished."
        + sags
        + counted
        + judged
    )


def _told(strength: RackStrength, display: str) -> Iterator[str]:
    """What the front cannot show: tipping, leaning, a rating."""
    if strength.rated_share is not None:
        yield f"Heaviest shelf: {_w(strength.rated_share, 'share', display)} of its maker's rating."
    pull = strength.tip_worst if strength.tip_worst is not None else strength.tip_full
    if pull is not None:
        full = (
            "" if strength.tip_full is None else f", {_w(strength.tip_full, 'force', display)} as it stands"
        )
        yield (
            f"A level pull forward at its highest loaded shelf that begins to tip it: {_w(pull, 'force', display)} "
            f"with only that shelf full{full}."
        )
    if strength.leans:
        yield (
            "Nothing keeps it from leaning sideways: no brace, board or tie is described. Its uprights are judged as "
            "if they stood free up to their highest loaded shelf."
        )
    elif strength.leans is None:
        yield "Whether anything keeps it from leaning sideways is not said."
    if strength.would_hold:
        yield f"The smallest usual section that stays within what it may bear for its bearers: {strength.would_hold}."


def _front(
    room: Room, front: _Front, strength: RackStrength, masses: Mapping[str, Kilogram]
) -> Iterator[Shape]:
    rack, display = front.rack, room.display
    ground = rack.box.z0
    for index, pair in enumerate(rack.uprights):
        yield from _upright(front, index, pair, strength)
    for tank in _tanks(room, rack):
        yield from _tank(front, tank, ground, masses.get(tank.id), display)
    for number, height in enumerate(rack.shelves, start=1):
        (x, y), wide = front.at(0.0, height), front.mm(rack.length)
        yield line((x, y), (x + wide, y), Look(stroke=QUIET, width=0.15, dash=(1.0, 0.8)))
        if all(one.shelf != number for one in _bearers(strength)):
            thick = rack.shelf_thickness.value if rack.shelf_thickness is not None else SHELF
            tall = min(front.mm(thick), -y)
            yield Rectangle(x=x, y=y, width=wide, height=tall, look=Look(fill=WOOD))
            yield Hatching(x=x, y=y, width=wide, height=tall)
            yield Rectangle(x=x, y=y, width=wide, height=tall, look=Look(stroke=LINE, width=0.3))
        label = f"shelf {number}"
        yield Text(at=(x - 2.0, y + 0.8), text=label, size=2.3, colour=INK, anchor="end", bold=True)
        yield Text(
            at=(x - 2.0, y + 3.6), text=_w(height, "length", display), size=1.9, colour=QUIET, anchor="end"
        )
    for shelf, bay in dict.fromkeys((one.shelf, one.bay) for one in _bearers(strength)):
        here = [one for one in _bearers(strength) if (one.shelf, one.bay) == (shelf, bay)]
        yield from _bay(front, here, display)
    wide = front.mm(rack.length)
    yield line((-3.0, 0.0), (wide + 3.0, 0.0), Look(stroke=LINE, width=0.6))
    yield from _feet(front, strength, display)
    if strength.sway_push > 0.0 and rack.shelves:
        yield from _sway(front, strength, display)


def _arrow(tip: Point, way: Point, length: float, colour: str) -> Iterator[Shape]:
    """An arrow that ends at a tip; `way` is the direction it points in."""
    (x, y), (dx, dy) = tip, way
    long, half = _ARROW
    back = (x - dx * long, y - dy * long)
    yield line((x - dx * length, y - dy * length), back, Look(stroke=colour, width=0.45))
    yield Polyline(
        points=(tip, (back[0] - dy * half, back[1] + dx * half), (back[0] + dy * half, back[1] - dx * half)),
        closed=True, look=Look(fill=colour),
    )  # fmt: skip


def _tank(front: _Front, tank: Tank, ground: Metre, mass: Kilogram | None, display: str) -> Iterator[Shape]:
    """A tank as an outline with its water, its name, its mass, and an arrow for its weight."""
    start, end = along_span(front.rack.box, front.rack.facing, tank.box)
    x, y = front.at(start, tank.box.z1 - ground)
    wide, tall = front.mm(end - start), front.mm(tank.box.z1 - tank.box.z0)
    dash = () if tank.state == "stands" else (1.4, 0.9)
    yield Rectangle(
        x=x, y=y, width=wide, height=tall, look=Look(fill=GLASS, stroke=QUIET, width=0.25, dash=dash)
    )
    surface = front.at(0.0, tank.level - ground)[1]
    yield line((x, surface), (x + wide, surface), Look(stroke=TEAL, width=0.25))
    foot = (x + wide / 2, y + tall - 0.4)
    long = min(5.0, tall * 0.3)
    yield from _arrow(foot, (0.0, 1.0), long, INK)
    room = wide * 0.92
    name = fitting_size(tank.id, room, most=min(3.6, tall * 0.26), bold=True)
    told = "" if mass is None else _w(mass, "mass", display)
    under = fitting_size(told, room, most=min(2.6, tall * 0.2))
    low = foot[1] - long - 1.0
    yield Text(at=(foot[0], low), text=told, size=under, colour=INK, anchor="middle")
    yield Text(
        at=(foot[0], low - under * 1.25), text=tank.id, size=name, colour=INK, anchor="middle", bold=True
    )


def _upright(front: _Front, index: int, pair: tuple[Metre, Metre], strength: RackStrength) -> Iterator[Shape]:
    """An upright in the colour of what it uses of its strength; hatched where that is not known."""
    rack = front.rack
    top = max([rack.box.z1 - rack.box.z0, *rack.shelves])
    x, y = front.at(pair[0], top)
    wide, tall = max(front.mm(pair[1] - pair[0]), 0.8), front.mm(top)
    worst = _worst_post(strength, index)
    fill = WOOD if worst is None else step_for(worst.share, USE).fill
    yield Rectangle(x=x, y=y, width=wide, height=tall, look=Look(fill=fill))
    if worst is None:
        yield Hatching(x=x, y=y, width=wide, height=tall)
    yield Rectangle(x=x, y=y, width=wide, height=tall, look=Look(stroke=LINE, width=0.3))


def _worst_post(strength: RackStrength, index: int) -> Use | None:
    uses = [one.worst for one in strength.posts if one.upright == index]
    return max((one for one in uses if one is not None), key=lambda one: one.share, default=None)


def _bay(front: _Front, bearers: list[BeamResult], display: str) -> Iterator[Shape]:
    """The bearers of one shelf between two uprights: the one that uses the most in its colour, sagging; the numbers
    under it."""
    ruling = max(bearers, key=lambda one: (one.worst.share if one.worst else -1.0, one.sag_now or 0.0))
    shelf, bay = ruling.shelf, ruling.bay
    rack = front.rack
    pair = rack.uprights[bay - 1 : bay + 1]
    if len(pair) != 2 or not 1 <= shelf <= len(rack.shelves):
        return
    middles = [(one + other) / 2 for one, other in pair]
    left = (middles[0] + middles[1] - ruling.span) / 2
    height = rack.shelves[shelf - 1]
    thick = max(front.mm(_deep(ruling)), 1.2)
    larger = _over_floor(front, ruling, height, thick)
    curve = ruling.curve or ((0.0, 0.0), (ruling.span, 0.0))

    def line_of(times: float, down: float) -> list[Point]:
        drawn = []
        for x, w in curve:
            at = front.at(left + x, height)
            drawn.append((at[0], at[1] + down + front.mm(w * larger) * times))
        return drawn

    worst = ruling.worst
    look = Look(fill=WOOD if worst is None else step_for(worst.share, USE).fill, stroke=LINE, width=0.3)
    over, under = line_of(1.0, 0.0), line_of(1.0, thick)
    yield Polyline(points=(*over, *reversed(under)), closed=True, look=look)
    if worst is None:
        yield from (line(one, other, _NO_DATA) for one, other in zip(over[1:], under, strict=False))
    later = 1.0
    if ruling.sag_now and ruling.sag_later is not None:
        later = ruling.sag_later / ruling.sag_now
        yield Polyline(
            points=tuple(line_of(later, thick)), look=Look(stroke=INK, width=0.25, dash=(1.2, 0.7))
        )
    low = max(y for _, y in line_of(max(later, 1.0), thick)) + 0.8
    if low + 5.6 > 0.0:  # no room over the floor: under its line
        low = max(low, _UNDER_FLOOR)
    count = 1 + max(one.index for one in bearers)
    rows = list(_bay_rows(ruling, count, display))
    if larger != front.larger:
        rows[-1] += f" (drawn {larger} times)"
    yield from _numbers(rows, (front.at(left, 0.0)[0], low), front.mm(ruling.span))


def _over_floor(front: _Front, beam: BeamResult, height: Metre, thick: float) -> int:
    """As often larger as all of the rack, or less where it would come through the floor."""
    room = front.mm(height) - thick - 0.4
    return max((n for n in _LARGER if n <= front.larger and front.mm(n * _most(beam)) <= room), default=1)


def _bay_rows(ruling: BeamResult, count: int, display: str) -> Iterator[str]:
    """The share and of what, and how far it sags."""
    worst = ruling.worst
    which = f", bearer {ruling.index + 1} of {count}" if count > 1 else ""
    yield (
        f"not computed{which}"
        if worst is None
        else f"{_w(worst.share, 'share', display)} {worst.check}{which}"
    )
    if ruling.sag_now is not None:
        later = "" if ruling.sag_later is None else f", {_w(ruling.sag_later, 'length', display)} later"
        yield f"sags {_w(ruling.sag_now, 'length', display)}{later}"


def _numbers(rows: Sequence[str], at: Point, wide: float) -> Iterator[Shape]:
    """Rows under a bearer in the middle of its width, on paper of their own."""
    middle, y = at[0] + wide / 2, at[1]
    for number, told in enumerate(rows):
        bold = number == 0
        size = fitting_size(told, wide - 3.0, most=2.3 if bold else 2.1, bold=bold)
        half = text_width(told, size, bold=bold) / 2 + 0.5
        tall = size * 1.25
        yield Rectangle(x=middle - half, y=y, width=2 * half, height=tall, look=Look(fill=PAPER))
        yield Text(at=(middle, y + size * 0.95), text=told, size=size, colour=INK, anchor="middle", bold=bold)
        y += tall


def _feet(front: _Front, strength: RackStrength, display: str) -> Iterator[Shape]:
    """Under every upright what comes down at its front and at its back foot, and what it uses of its strength."""
    middles = [front.mm((start + end) / 2) for start, end in front.rack.uprights]
    for index, x in enumerate(middles):
        posts = sorted(
            (one for one in strength.posts if one.upright == index), key=lambda one: one.side, reverse=True
        )
        if not posts:
            continue
        room = min((abs(x - other) for other in middles if other != x), default=40.0) - 2.0
        yield from _arrow((x, 0.6), (0.0, -1.0), 5.0, TEAL)
        y = 8.2
        for told, bold in _foot_rows(posts, _worst_post(strength, index), display):
            size = fitting_size(told, max(room, 6.0), most=2.2, bold=bold)
            yield Text(at=(x, y), text=told, size=size, colour=INK, anchor="middle", bold=bold)
            y += 2.8


def _foot_rows(posts: list[PostResult], worst: Use | None, display: str) -> Iterator[tuple[str, bool]]:
    if worst is None:
        yield "not computed", True
    else:
        yield f"{_w(worst.share, 'share', display)} {worst.check}", True
    for post in sorted(posts, key=lambda one: one.side, reverse=True):
        yield f"{post.side} {_w(post.force, 'force', display)}", False


def _sway(front: _Front, strength: RackStrength, display: str) -> Iterator[Shape]:
    """The level push a frame out of plumb has to bear, at its highest shelf from the left."""
    height = max(front.rack.shelves)
    x, y = front.at(0.0, height)
    colour = WINE if strength.leans else INK
    yield from _arrow((x - 1.0, y - 4.0), (1.0, 0.0), 12.0, colour)
    told = f"sways {_w(strength.sway_push, 'force', display)}"
    yield Text(at=(x - 2.0, y - 5.4), text=told, size=2.1, colour=colour, anchor="end")
