"""Panes checked in full and maps of their holes for JSON: millimetres and megapascals, units in the key names."""

from __future__ import annotations

from tankwright.report.glass import CAUTION
from tankwright.systems.glass_full_model import KEPT_OUT_WORDS, FullPane, HoleMap, HoleSpot
from tankwright.units import Metre, Pascal, convert


def json_full(panes: tuple[FullPane, ...], maps: tuple[HoleMap, ...] = ()) -> dict[str, object]:
    """All of it, the caution first; a pane that was not solved has a status and no numbers.

    >>> json_full(())["panes"]
    []
    """
    return {"caution": CAUTION, "panes": [_pane(one) for one in panes], "maps": [_map(one) for one in maps]}


def _pane(full: FullPane) -> dict[str, object]:
    case, screen, solution = full.case, full.screen, full.solution
    told: dict[str, object] = {
        "kind": case.kind,
        "pane": case.pane,
        "tanks": list(case.tanks),
        "thickness_mm": _mm(case.thickness.value),
        "held": case.held,
        "still_water_mm": _mm(case.head),
        "status": full.status,
    }
    if screen is not None:
        told["quick"] = {"worst_mpa": _mpa(screen.worst), "governs": screen.governs, "use_share": screen.use}
    if not full.solved:
        return told
    return told | {
        "worst_mpa": _mpa(full.worst),
        "governs": full.where,
        "use_share": full.use,
        "worst_at_mm": [_mm(one) for one in full.worst_at],
        "surface_mpa": _mpa(full.surface),
        "free_edge_mpa": _mpa(full.edge),
        "holes": [
            {**_drilled(full, one.hole.x, one.hole.y), "stress_mpa": _mpa(one.stress), "use_share": one.use}
            for one in full.holes
        ],
        "working_surface_mpa": _mpa(full.strengths.working_surface.value),
        "working_edge_mpa": _mpa(full.strengths.working_edge.value),
        "needed_mm": None if full.needed is None else _mm(full.needed),
        "sag_mm": _mm(full.sag),
        "linear": full.linear,
        "engine": {
            "element": solution.element,
            "unknowns": solution.unknowns,
            "residual": solution.residual,
            "load_n": solution.load,
            "reaction_n": solution.reaction,
        },
    }


def _drilled(full: FullPane, x: Metre, y: Metre) -> dict[str, object]:
    across, down = full.case.as_drilled(x, y)
    return {"across_mm": _mm(across), "down_mm": _mm(down)}


def _map(made: HoleMap) -> dict[str, object]:
    case = made.case
    return {
        "kind": case.kind,
        "pane": case.pane,
        "hole": made.index,
        "status": made.status,
        "diameter_mm": _mm(made.diameter.value),
        "without_this_hole_mpa": _mpa(made.plain),
        "present": None if made.present is None else _spot(made.present),
        "best": None if made.best is None else _spot(made.best),
        "best_at_any_level": None if made.best_any_level is None else _spot(made.best_any_level),
        "spots": [_spot(one) for one in made.spots],
    }


def _spot(one: HoleSpot) -> dict[str, object]:
    return {
        "across_mm": _mm(one.from_left),
        "down_mm": _mm(one.below_rim),
        "worst_mpa": None if one.worst is None else _mpa(one.worst),
        "rim_mpa": None if one.hole is None else _mpa(one.hole),
        "use_share": one.use,
        "kept_out": [KEPT_OUT_WORDS[why] for why in one.kept_out],
        "water_below_rim_mm": None if one.levels is None else [_mm(level) for level in one.levels],
    }


def _mm(length: Metre) -> float:
    return round(convert(length, "m", "mm"), 3)


def _mpa(stress: Pascal) -> float:
    return round(convert(stress, "Pa", "MPa"), 4)
