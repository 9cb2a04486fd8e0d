"""Pieces of the full work on glass, as they are sent to processes: a pane, or some places of a hole."""

from __future__ import annotations

from dataclasses import dataclass

from tankwright.systems.glass_full_model import FullPane, HoleSpot, HoleSurroundings
from tankwright.systems.glass_model import PaneCase, PaneScreen, Strengths
from tankwright.units import Metre


@dataclass(frozen=True, slots=True, kw_only=True)
class PanePiece:
    """One pane to check in full."""

    case: PaneCase
    strengths: Strengths
    screen: PaneScreen | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SpotsPiece:
    """Some places of a hole of a pane."""

    case: PaneCase
    strengths: Strengths
    around: HoleSurroundings
    places: tuple[tuple[Metre, Metre], ...]
    index: int


def check_pane(piece: PanePiece) -> FullPane:
    """The pane by finite elements."""
    from tankwright.systems.glass_full import full_check  # noqa: PLC0415 - the engine is heavy

    return full_check(piece.case, piece.strengths, piece.screen)


def try_places(piece: SpotsPiece) -> tuple[HoleSpot, ...]:
    """What the pane comes to with its hole at each of the places."""
    from tankwright.systems.glass_full import map_spots  # noqa: PLC0415 - the engine is heavy

    return tuple(map_spots(piece.case, piece.strengths, piece.around, piece.places, piece.index))
