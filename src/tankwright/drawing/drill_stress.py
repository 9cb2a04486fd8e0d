"""What a drill sheet says of the stress at its hole: screened, in full where that was done, and where less is asked."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from tankwright.display import words
from tankwright.drawing.colour import INK, QUIET, WINE, Colour
from tankwright.drawing.measured import measured_off
from tankwright.finding import Number
from tankwright.room.model import Pane
from tankwright.systems.glass_full_model import FullPane, HoleMap
from tankwright.systems.glass_model import GlassResult, PaneScreen
from tankwright.units import Dimensionless, Metre, Pascal

CAUTION: Final = (
    "A screening: drilled annealed glass lies outside the published standards of glass; clamping, scratches, chips and "
    "silicone are not in it. The tank's maker, your local code and an engineer stand before it."
)
NOT_COMPUTED: Final = (
    "A screening of the place only: stress in the glass at the hole is not computed here. Ask the maker of the tank, "
    "or whoever sells the glass, whether this pane may be drilled there."
)
TOO_MUCH: Final = (
    "More than such glass is worked with for years: another place, thicker glass or the maker's word before anybody "
    "drills here."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class DrillStress:
    """A drilled pane as it was screened; in full and mapped where somebody asked for that."""

    screen: PaneScreen
    full: FullPane | None = None
    found: HoleMap | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One paragraph: its text and how it is written."""

    text: str
    colour: Colour = INK
    bold: bool = False
    small: bool = False


def drill_stresses(
    result: GlassResult | None, full: Iterable[FullPane] = (), maps: Iterable[HoleMap] = ()
) -> Mapping[tuple[str, Pane], DrillStress]:
    """By kind of tank and pane, as filled the worst, what is known of the stress at its hole.

    >>> drill_stresses(None)
    {}
    """
    made: dict[tuple[str, Pane], DrillStress] = {}
    known = {(one.case.kind, one.case.pane, one.case.tanks): one for one in full if one.solved}
    drawn = {(one.case.kind, one.case.pane, one.case.tanks): one for one in maps if one.status == "solved"}
    for one in result.panes if result is not None else ():
        key = (one.case.kind, one.case.pane, one.case.tanks)
        if one.case.holes:
            made.setdefault(key[:2], DrillStress(screen=one, full=known.get(key), found=drawn.get(key)))
    return made


def stress_rows(stress: DrillStress | None, display: str) -> Iterator[Row]:
    """What is written of it, most important first."""
    if stress is None or not stress.screen.holes:
        yield Row(text=NOT_COMPUTED, colour=QUIET, small=True)
        return
    strength = _w(stress.screen.strengths.working_edge.value, "stress", display)
    quick = max(stress.screen.holes, key=lambda one: one.use)
    told, use = (
        f"quick {_figure(quick.stress, quick.use, display)}; in full not worked out",
        stress.screen.use,
    )
    if stress.full is not None and stress.full.holes:
        whole = max(stress.full.holes, key=lambda one: one.use)
        told = f"in full {_figure(whole.stress, whole.use, display)}; quick {_figure(quick.stress, quick.use, display)}"
        use = stress.full.use
    yield Row(text=f"Stress at the hole's rim, of {strength} worked with there: {told}.", bold=True)
    if use > 1.0:
        yield Row(text=TOO_MUCH, colour=WINE, bold=True)
    yield from _better(stress, display)
    yield Row(text=CAUTION, colour=QUIET, small=True)


def _better(stress: DrillStress, display: str) -> Iterator[Row]:
    """Where less is asked of the glass: by the map where there is one, else by the quick screening."""
    case = stress.screen.case
    best = stress.found.best if stress.found is not None else None
    if stress.found is not None and best is not None and best.use is not None:
        now = stress.found.present
        if now is not None and (now.x, now.y) == (best.x, best.y):
            yield Row(text="Of all places that were tried the least is asked of the glass here.")
            return
        place = _place(case.pane, (best.from_left, best.below_rim), display)
        yield Row(text=f"Least asked of the glass: {place}, {_share(best.use, display)} in full.")
    elif stress.screen.better is not None:
        better = stress.screen.better
        place = _place(case.pane, (better.from_left, better.below_rim), display)
        yield Row(
            text=f"Less asked of the glass: {place}, about {_share(better.use, display)} by the quick screening."
        )


def _place(pane: Pane, at: tuple[Metre, Metre], display: str) -> str:
    """A place as a plan says it: from the left as one stands before the tank."""
    unit = "" if display == "US" else " mm"
    across, down = (measured_off(one, display) + unit for one in at)
    end = "from the front" if pane in ("left", "right") else "from the tank's left"
    return f"{across} {end}, {down} {'from the back' if pane == 'base' else 'below the rim'}"


def _figure(stress: Pascal, use: Dimensionless, display: str) -> str:
    return f"{_w(stress, 'stress', display)}, {_w(use, 'share', display)}"


def _share(use: Dimensionless, display: str) -> str:
    return f"{_w(use, 'share', display)} of the strength"


def _w(value: float, dimension: str, display: str) -> str:
    return words(Number(value, dimension), display)
