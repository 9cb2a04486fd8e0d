"""The stress in a pane as a field of colours in steps, seen from outside: where it peaks, how much, what it may be.

Colours are shares of what the glass is worked with away from edges; the bar beside the pane names each step in stress,
with the strength of a free edge or a hole's rim marked on it. Where it peaks has a number, and the line of that number
under the picture says the rest.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np

from tankwright.display import figures, words
from tankwright.drawing.colour import INK, QUIET, USE, step_for
from tankwright.drawing.isobands import Floats
from tankwright.drawing.measured import measured_off
from tankwright.drawing.model import (
    Bounds,
    Drawing,
    Look,
    Point,
    Rectangle,
    Shape,
    Text,
    fitting_size,
    line,
)
from tankwright.drawing.page import written
from tankwright.drawing.pane_view import (
    CAUTION,
    SIDE,
    UNDER,
    PaneView,
    braces,
    cross,
    drilled,
    how_held,
    outline,
    pane_name,
    ring,
    scale_for,
    water_line,
)
from tankwright.drawing.stress_field import (
    BAR,
    INSET,
    Field,
    bands,
    bar,
    enlarged,
    grid_field,
    hits,
    values,
)
from tankwright.finding import Number
from tankwright.systems.glass import plate_of
from tankwright.systems.glass_full_model import FullPane
from tankwright.systems.glass_model import PaneCase, PaneHole, PaneScreen, Strengths
from tankwright.units import Dimensionless, Metre, Pascal

WIDTH: Final = 180.0
BENT: Final = (
    "It bends more than half its thickness: plate theory without stretching is left, the true stress is lower and the "
    "true picture another."
)
_TALLEST: Final = 92.0
_ACROSS, _UP = 61, 41  # points of a field of the series
_WORTH_TELLING: Final = 0.005
_TOP: Final = {False: "along the free top edge", True: "in the strip along the top"}
_NARROW: Final = 100.0  # mm; words beside what hangs down right of the pane need so much
_AWAY: Final = ((0.0, 1.0), (1.0, 0.3), (-1.0, 0.3), (0.75, 0.75), (-0.75, 0.75), (0.0, -1.0), (0.75, -0.75),
                (-0.75, -0.75))  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Peak:
    """A place where the stress peaks: in the pane's frame, how much, its share of the strength there, what it is."""

    at: tuple[Metre, Metre]
    stress: Pascal
    strength: Pascal
    what: str

    @property
    def use(self) -> Dimensionless:
        """The share of the strength that is used."""
        return self.stress / self.strength if self.strength > 0 else 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class _Picture:
    """What is drawn of a pane besides its field; `enlarged` is the hole shown larger."""

    case: PaneCase
    strengths: Strengths
    peaks: tuple[Peak, ...]
    enlarged: PaneHole | None = None


def draw_stress(full: FullPane, *, display: str = "metric", width: float = WIDTH) -> Drawing:
    """A pane worked out in full, its holes in it. A pane that was not solved is drawn bare, and says so."""
    case, solution = full.case, full.solution
    if not full.solved:
        bare = _Picture(case=case, strengths=full.strengths, peaks=())
        return _drawn(bare, None, (f"Not computed: {full.status}.",), display, width)
    edge = full.strengths.working_edge.value
    peaks = [
        Peak(at=one.at, stress=one.stress, strength=edge, what="at the hole's rim") for one in full.holes
    ]
    away = "away from holes and free edges" if full.holes else "away from free edges"
    if not (full.edge > 0.0 and _on_top(case, full.surface_at)):
        surface = full.strengths.working_surface.value
        peaks.append(Peak(at=full.surface_at, stress=full.surface, strength=surface, what=away))
    if full.edge > 0.0:
        at = _top_peak(case, solution.nodes, solution.stress)
        peaks.append(
            Peak(
                at=at,
                stress=full.edge,
                strength=edge,
                what=_TOP[full.solution.strip > full.solution.top_edge],
            )
        )
    field = Field(nodes=solution.nodes, triangles=solution.triangles, stress=solution.stress)
    rows = [
        f"Worked out in full by finite elements ({solution.element}, {solution.unknowns} unknowns). It bends "
        f"{_w(full.sag, 'length', display)} at the most, with the water still."
    ]
    raised = max((one.thickness_factor for one in full.holes), default=1.0) - 1.0
    if raised >= _WORTH_TELLING:
        rows.append(
            f"At the rim {_w(raised, 'share', display)} more is told than the field shows: what the published raiser "
            "has for glass as thick as this beside its hole, and thin plates do not."
        )
    if full.screen is not None:
        rows.append(_beside(full.screen, display))
    if not full.linear:
        rows.append(BENT)
    worst = max(full.holes, key=lambda one: one.stress, default=None)
    picture = _Picture(
        case=case, strengths=full.strengths, peaks=_ranked(peaks), enlarged=worst.hole if worst else None
    )
    return _drawn(picture, field, tuple(rows), display, width)


def draw_plain_stress(screen: PaneScreen, *, display: str = "metric", width: float = WIDTH) -> Drawing:
    """A pane screened: its field without holes, and beside it what the published raiser makes of it at each hole."""
    case, edge = screen.case, screen.strengths.working_edge.value
    surface = screen.strengths.working_surface.value
    plate = plate_of(case, case.head)
    across, up = np.linspace(0.0, case.length, _ACROSS), np.linspace(0.0, case.height, _UP)
    field = grid_field(plate.tension(across, up), across, up)
    peaks = [
        Peak(at=(one.hole.x, one.hole.y), stress=one.stress, strength=edge,
             what=f"at the hole's rim, by a factor of {figures(one.factor * one.edge_factor)} on the plain pane")
        for one in screen.holes
    ]  # fmt: skip
    if not (screen.edge > 0.0 and _on_top(case, screen.plain_at)):
        peaks.append(
            Peak(at=screen.plain_at, stress=screen.plain, strength=surface, what="in the plain pane")
        )
    if screen.edge > 0.0:
        at = _top_peak(case, field.nodes, field.stress)
        peaks.append(Peak(at=at, stress=screen.edge, strength=edge, what="along the free top edge"))
    rows = [
        "Screened with Levy's series; the field is that of the pane without holes or braces. It bends "
        f"{_w(screen.deflection, 'length', display)} at the most, with the water still."
    ]
    if not screen.linear:
        rows.append(BENT)
    picture = _Picture(case=case, strengths=screen.strengths, peaks=_ranked(peaks))
    return _drawn(picture, field, tuple(rows), display, width)


def _ranked(peaks: list[Peak]) -> tuple[Peak, ...]:
    """What uses the most of its strength first."""
    return tuple(sorted(peaks, key=lambda one: -one.use))


def _w(value: float, dimension: str, display: str) -> str:
    return words(Number(value, dimension), display)


def _beside(screen: PaneScreen, display: str) -> str:
    """The quick screening, to be held against the full check."""
    holes = ", ".join(_w(one.stress, "stress", display) for one in screen.holes)
    at = f", {holes} at the hole's rim" if screen.holes else ""
    return f"The quick screening of the same pane: {_w(screen.plain, 'stress', display)} without holes{at}."


def _on_top(case: PaneCase, at: tuple[Metre, Metre]) -> bool:
    """Whether a place lies on the top edge, which is then told as such."""
    return at[1] > case.height * 0.999


def _top_peak(case: PaneCase, nodes: Floats, stress: Floats) -> tuple[Metre, Metre]:
    """Where along its top edge the stress is largest."""
    top = np.nonzero(nodes[:, 1] > case.height - 1e-6)[0]
    if not len(top):
        return case.length / 2, case.height
    worst = top[int(np.argmax(stress[top]))]
    return float(nodes[worst, 0]), float(nodes[worst, 1])


def _drawn(
    picture: _Picture,
    field: Field | None,
    rows: tuple[str, ...],
    display: str,
    width: float,
) -> Drawing:
    case = picture.case
    title, said = pane_name(case), _said(case, display)
    shapes: list[Shape] = [
        Text(at=(0.0, 4.6), text=title, size=fitting_size(title, width, most=4.6, bold=True), colour=INK,
             bold=True)
    ]  # fmt: skip
    made, y = written(said, (0.0, 9.2), width, size=2.4, colour=QUIET)
    shapes += made
    scale = scale_for(case, (width - SIDE - BAR, _TALLEST))
    view = PaneView(case=case, left=SIDE, top=y + 1.0, scale=scale)
    shapes += _pane(picture, field, view, display)
    aside, low = _aside(picture, field, view, display)
    shapes += aside
    under = view.box[3] + UNDER + 5.0
    room = width if low < under - 3.0 or view.box[2] < _NARROW else view.box[2]
    made, y = _told(picture.peaks, under if room < width else max(under, low + 5.0), room, display)
    shapes += made
    for row in (*rows, CAUTION):
        made, y = written(row, (0.0, y), room, size=2.3, colour=QUIET)
        shapes += made
        y += 0.5
    y = max(y, low + 1.0)
    return Drawing(
        width=width, height=y, scale=scale, title=f"stress in {title}",
        description=" ".join((said, *rows, CAUTION)), parts=tuple(shapes),
    )  # fmt: skip


def _pane(picture: _Picture, field: Field | None, view: PaneView, display: str) -> Iterator[Shape]:
    """The pane with its field, water, holes and peaks."""
    case, strength = picture.case, picture.strengths.working_surface.value
    if field is not None:
        yield from bands(view, field, strength)
    yield from water_line(view)
    yield from drilled(
        view,
        [
            (
                one.x,
                one.y,
                one.diameter.value,
                one.flange.value if one.flange else None,
                one.diameter.is_assumed,
            )
            for one in case.holes
        ],
    )
    yield from outline(view, display)
    yield from braces(view)
    taken: list[Bounds] = []
    for one in case.holes:
        (x, y), radius = view.at(one.x, one.y), max(view.mm(one.diameter.value) / 2, 0.3) + 0.6
        taken.append((x - radius, y - radius, x + radius, y + radius))
    for number, peak in enumerate(picture.peaks, start=1):
        yield from _marked(view, number, view.at(*peak.at), taken)
    if field is not None:
        yield from values(view, field, strength, display, taken)


def _aside(
    picture: _Picture, field: Field | None, view: PaneView, display: str
) -> tuple[tuple[Shape, ...], float]:
    """Right of the pane: the bar of colours, and the hole with the most stress enlarged."""
    strengths = picture.strengths
    most = strengths.working_surface.value if field is None else float(field.stress.max(initial=0.0))
    x = view.box[2] + 6.0
    shapes, low = bar(
        (x, view.top), max(most, *(one.stress for one in picture.peaks), 0.0), strengths, display
    )
    if field is None or picture.enlarged is None:
        return shapes, low
    low += 6.0
    said = Text(at=(x, low), text="the hole, enlarged", size=2.2, colour=INK)
    inset = enlarged(view, field, strengths.working_surface.value, picture.enlarged, (x, low + 1.4))
    return (*shapes, said, *inset), low + 1.4 + INSET


def _told(peaks: tuple[Peak, ...], y: float, width: float, display: str) -> tuple[tuple[Shape, ...], float]:
    """A line for each peak: its number, the colour of its share, how much, where, of what."""
    shapes: list[Shape] = []
    for number, peak in enumerate(peaks, start=1):
        shapes += ring(number, (1.9, y - 0.9))
        share, strength = _w(peak.use, "share", display), _w(peak.strength, "stress", display)
        told = (
            f"{_w(peak.stress, 'stress', display)} {peak.what}: {share} of the {strength} worked with there"
        )
        look = Look(fill=step_for(peak.use, USE).fill, stroke=INK, width=0.2)
        shapes.append(Rectangle(x=5.0, y=y - 2.6, width=5.0, height=3.2, look=look))
        made, y = written(told, (11.5, y), width - 11.5, size=2.7, bold=number == 1)
        shapes += made
        y += 0.9
    return tuple(shapes), y


def _said(case: PaneCase, display: str) -> str:
    thick = measured_off(case.thickness.value, display, fine=True) + ("" if display == "US" else " mm")
    assumed = " (assumed)" if case.thickness.is_assumed else ""
    water = "" if case.pane == "base" else f"; water {_w(case.head, 'length', display)} over its lower edge"
    return (
        f"Seen from OUTSIDE the tank{', from underneath' if case.pane == 'base' else ''}. {thick} thick{assumed}, "
        f"{how_held(case)}{water}."
    )


def _marked(view: PaneView, number: int, at: Point, taken: list[Bounds]) -> Iterator[Shape]:
    """A peak: a cross at its place, its number in a ring where nothing else is."""
    yield from cross(at)
    taken.append((at[0] - 1.2, at[1] - 1.2, at[0] + 1.2, at[1] + 1.2))
    left, top, right, bottom = view.box
    for far in (4.2, 6.5, 9.5, 13.0):
        for dx, dy in _AWAY:
            x, y = at[0] + dx * far, at[1] + dy * far
            box = (x - 2.1, y - 2.1, x + 2.1, y + 2.1)
            inside = box[0] >= left and box[1] >= top and box[2] <= right and box[3] <= bottom
            if inside and not any(hits(box, other) for other in taken):
                taken.append(box)
                yield line(at, (x, y), Look(stroke=INK, width=0.25))
                yield from ring(number, (x, y))
                return
    yield from ring(number, (at[0], at[1] + 4.2))
