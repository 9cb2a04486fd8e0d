"""What a drill sheet says of the stress at its hole: screened, in full where that was done, and where less is asked."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Final, TypeVar

from tankwright.display import words
from tankwright.drawing.colour import INK, QUIET, WINE, Colour
from tankwright.drawing.measured import measured_off
from tankwright.finding import Number
from tankwright.room.model import Pane
from tankwright.systems.glass_full_model import FullPane, HoleFull, HoleMap
from tankwright.systems.glass_model import GlassResult, HoleScreen, PaneCase, PaneScreen
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


_Hole = TypeVar("_Hole", HoleScreen, HoleFull)


@dataclass(frozen=True, slots=True, kw_only=True)
class DrillStress:
    """A drilled pane as it was screened; in full and mapped, one hole or several, where somebody asked for that."""

    screen: PaneScreen
    full: FullPane | None = None
    found: HoleMap | None = None
    more_found: tuple[HoleMap, ...] = ()

    def map_of(self, index: int | None) -> HoleMap | None:
        """The map of one hole of the pane, counted as its case counts them; with no index the one there is."""
        maps = (*((self.found,) if self.found is not None else ()), *self.more_found)
        return next((one for one in maps if index is None or one.index == index), None)


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
    drawn: dict[tuple[str, Pane, tuple[str, ...]], dict[int, HoleMap]] = {}
    for one_map in maps:
        if one_map.status == "solved":
            case = one_map.case
            drawn.setdefault((case.kind, case.pane, case.tanks), {})[one_map.index] = one_map
    for one in result.panes if result is not None else ():
        key = (one.case.kind, one.case.pane, one.case.tanks)
        if one.case.holes:
            mapped = [each for _, each in sorted(drawn.get(key, {}).items())]
            stress = DrillStress(screen=one, full=known.get(key), found=mapped[0] if mapped else None)
            made.setdefault(key[:2], replace(stress, more_found=tuple(mapped[1:])))
    return made


def stress_rows(stress: DrillStress | None, display: str, index: int | None = None) -> Iterator[Row]:
    """What is written of it, most important first: of one hole of the pane, counted as its case counts them, or of
    the one of which most is asked."""
    screens = _of_hole(stress.screen.holes, stress.screen.case, index) if stress is not None else []
    if stress is None or not screens:
        yield Row(text=NOT_COMPUTED, colour=QUIET, small=True)
        return
    strength = _w(stress.screen.strengths.working_edge.value, "stress", display)
    quick = max(screens, key=lambda one: one.use)
    told, use = (
        f"quick {_figure(quick.stress, quick.use, display)}; in full not worked out",
        stress.screen.use,
    )
    wholes = _of_hole(stress.full.holes, stress.full.case, index) if stress.full is not None else []
    if stress.full is not None and wholes:
        whole = max(wholes, key=lambda one: one.use)
        told = f"in full {_figure(whole.stress, whole.use, display)}; quick {_figure(quick.stress, quick.use, display)}"
        use = stress.full.use
    yield Row(text=f"Stress at the hole's rim, of {strength} worked with there: {told}.", bold=True)
    if use > 1.0:
        yield Row(text=TOO_MUCH, colour=WINE, bold=True)
    yield from _better(stress, display, index)
    yield Row(text=CAUTION, colour=QUIET, small=True)


def _of_hole(holes: tuple[_Hole, ...], case: PaneCase, index: int | None) -> list[_Hole]:
    """What was found at one hole of a case, at all of them without an index."""
    if index is None:
        return list(holes)
    wanted = case.holes[index : index + 1]
    return [one for one in holes if one.hole in wanted]


def _better(stress: DrillStress, display: str, index: int | None) -> Iterator[Row]:
    """Where less is asked of the glass: by the map where there is one, else by the quick screening."""
    case = stress.screen.case
    found = stress.map_of(index)
    best = found.best if found is not None else None
    worst = max(stress.screen.holes, key=lambda one: one.stress)
    if found is not None and best is not None and best.use is not None:
        now = found.present
        if now is not None and (now.x, now.y) == (best.x, best.y):
            yield Row(text="Of all places that were tried the least is asked of the glass here.")
            return
        place = _place(case.pane, (best.from_left, best.below_rim), display)
        yield Row(text=f"Least asked of the glass: {place}, {_share(best.use, display)} in full.")
    elif stress.screen.better is not None and worst in _of_hole(stress.screen.holes, case, index):
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
