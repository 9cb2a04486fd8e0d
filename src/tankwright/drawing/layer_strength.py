"""The layers of glass and of racks: what share of what it may bear each tank's glass, and what carries it, uses."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator
from typing import Final

from tankwright.display import words
from tankwright.drawing.results import DrawnResults, DrawnTank
from tankwright.finding import Number
from tankwright.room.model import Tank
from tankwright.study import Study
from tankwright.systems.glass_model import GlassResult, PaneScreen
from tankwright.systems.racks_model import BeamResult, RacksResult, RackStrength, Use

GLASS: Final = (
    "share of the strength it is worked with that a tank's glass uses, at its worst pane; a screening"
)
RACKS: Final = "share of what it may bear that what carries a tank uses; a screening"
_SIDES: Final = {"front", "back", "left", "right"}
_ENOUGH_TO_SAY: Final = 0.8  # a use from here on is shown though other panes of the tank are not known
_WHERE: Final = {"surface": "", "edge": ", at its free edge", "hole": ", at its hole"}


def draw_glass(study: Study) -> DrawnResults:
    """Every tank by the pane that uses most of its strength.

    A tank of which a side could not be worked out has no colour unless another of its panes asks too much already.

    >>> from tankwright.room.model import Room
    >>> draw_glass(Study(room=Room(title="", display="metric", spaces=(), racks=(), tanks=()))).scale
    'use'
    """
    result, display = study.glass, study.room.display
    if result is None:
        return DrawnResults(layer="glass", about=GLASS, scale="use")
    panes: dict[str, list[PaneScreen]] = defaultdict(list)
    for one in result.panes:
        for name in one.case.tanks:
            panes[name].append(one)
    tanks = tuple(_glass_of(tank, panes.get(tank.id, []), display) for tank in study.room.tanks)
    rows = tuple(_glass_figures(result, display))
    return DrawnResults(
        layer="glass", about=GLASS, scale="use", tanks=tanks, figures=tuple((name, told) for name, told, _ in rows),
        workings=tuple(working for _, _, working in rows),
    )  # fmt: skip


def _glass_of(tank: Tank, panes: list[PaneScreen], display: str) -> DrawnTank:
    worst = max(panes, key=lambda one: one.use, default=None)
    if worst is None:
        return DrawnTank(id=tank.id, share=None, figure="", title="its glass was not worked out")
    known = {one.case.pane for one in panes}
    base = "base" in known or tank.base_on == "bed"
    missing = sorted(_SIDES - known) + ([] if base else ["base"])
    figure = _w(worst.use, "share", display)
    where = f"{worst.case.pane}{_WHERE[worst.governs]}"
    told = f"{figure} of the strength it is worked with, in its {where}"
    if missing:
        told += f"; not worked out: {', '.join(missing)}"
    if missing and worst.use < _ENOUGH_TO_SAY:
        return DrawnTank(id=tank.id, share=None, figure=figure, detail="not all known", title=told)
    return DrawnTank(id=tank.id, share=worst.use, figure=figure, detail=where, title=told)


def _glass_figures(result: GlassResult, display: str) -> Iterator[tuple[str, str, str]]:
    """Name, value and working of each live figure."""
    worst = max(result.panes, key=lambda one: one.use, default=None)
    if worst is None:
        return
    stem = _stem(result, worst)
    pane = f"{worst.case.kind}, {worst.case.pane}"
    yield (
        f"of its strength in {pane}{_WHERE[worst.governs]}, the most",
        _w(worst.use, "share", display),
        f"{stem}.use",
    )
    bowed = max(result.panes, key=lambda one: one.deflection)
    name = f"bows {bowed.case.kind}, {bowed.case.pane}, the most"
    yield name, _w(bowed.deflection, "length", display), f"{_stem(result, bowed)}.bow"


def _stem(result: GlassResult, wanted: PaneScreen) -> str:
    """The beginning of the names of a pane's workings, as `explain.glass` gives them."""
    case = wanted.case
    first = result.of(case.kind, case.pane)[0] is wanted
    return f"glass.{case.kind}.{case.pane}" + ("" if first else f".{case.tanks[0]}")


def draw_racks(study: Study) -> DrawnResults:
    """Every tank by the bearers under it, or by its rack's rating where only that is said.

    >>> from tankwright.room.model import Room
    >>> draw_racks(Study(room=Room(title="", display="metric", spaces=(), racks=(), tanks=()))).tanks
    ()
    """
    result, display = study.racks, study.room.display
    if result is None:
        return DrawnResults(layer="racks", about=RACKS, scale="use")
    racks = {one.rack: one for one in result.racks}
    tanks = tuple(_carried(tank, racks.get(tank.rack), display) for tank in study.room.tanks)
    rows = tuple(_rack_figures(result, display))
    return DrawnResults(
        layer="racks", about=RACKS, scale="use", tanks=tanks, figures=tuple((name, told) for name, told, _ in rows),
        workings=tuple(working for _, _, working in rows),
    )  # fmt: skip


def _carried(tank: Tank, rack: RackStrength | None, display: str) -> DrawnTank:
    if rack is None:
        return DrawnTank(id=tank.id, share=None, figure="", title="it stands on no rack")
    under = [
        beam for beam in rack.beams if beam.part == "bearer" and any(one.tank == tank.id for one in beam.patches)
    ]  # fmt: skip
    uses = [(one, beam) for beam in under for one in beam.uses]
    if uses:
        use, beam = max(uses, key=lambda pair: pair[0].share)
        figure = _w(use.share, "share", display)
        sag = "" if beam.sag_later is None else f"sags {_w(beam.sag_later, 'length', display)}"
        told = f"the bearers under it use {figure} of what they may bear in {use.check}"
        return DrawnTank(
            id=tank.id, share=use.share, figure=figure, detail=use.check,
            title=f"{told}, {sag} after years" if sag else told,
        )  # fmt: skip
    if rack.rated_share is not None:
        figure = _w(rack.rated_share, "share", display)
        return DrawnTank(
            id=tank.id, share=rack.rated_share, figure=figure, detail="of its rating",
            title=f"the heaviest shelf of rack {rack.rack} carries {figure} of its maker's rating",
        )  # fmt: skip
    return DrawnTank(
        id=tank.id, share=None, figure="", title=f"what carries it in rack {rack.rack} is not known"
    )


def _rack_figures(result: RacksResult, display: str) -> Iterator[tuple[str, str, str]]:
    """Name, value and working of each live figure."""
    yield from _bearer_figures(result, display)
    tipping = [(one.tip_worst, one.rack) for one in result.racks if one.tip_worst is not None]
    if tipping:
        pull, rack = min(tipping)
        yield (
            f"of level pull begins to tip rack {rack}, only its top full, the least", _w(pull, "force", display),
            f"racks.{rack}.tip",
        )  # fmt: skip


def _bearer_figures(result: RacksResult, display: str) -> Iterator[tuple[str, str, str]]:
    for name, checks, what in (
        (
            "bearer",
            ("bending", "shear", "bearing"),
            "{check} of a bearer of rack {rack}: {share} of what it may bear",
        ),
        ("sag", ("sag",), "sag of a bearer of rack {rack} after years: {share} of what is usual"),
    ):
        found = _worst(result.racks, checks)
        if found is None:
            continue
        use, beam = found
        if not math.isfinite(use.demand):
            continue
        label = what.format(check=use.check, rack=beam.rack, share=_w(use.share, "share", display))
        yield label, _w(use.demand, use.dimension, display), f"racks.{beam.rack}.{name}"


def _worst(racks: Iterable[RackStrength], checks: tuple[str, ...]) -> tuple[Use, BeamResult] | None:
    found = [
        (use, beam)
        for rack in racks
        for beam in rack.beams
        if beam.part == "bearer"
        for use in beam.uses
        if use.check in checks
    ]
    return max(found, key=lambda pair: pair[0].share, default=None)


def _w(value: float, dimension: str, display: str) -> str:
    return words(Number(value, dimension), display)
