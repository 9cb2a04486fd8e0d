"""The room's drawing for a page: made once for each state, layer and choice."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from tankwright.drawing.results import LOG_LAYERS, Layer
from tankwright.drawing.screen import draw_screen
from tankwright.web.page import View
from tankwright.workspace.opened import Opened


@dataclass(frozen=True, slots=True, kw_only=True)
class Swatch:
    """One entry of the legend: its sign and its words."""

    swatch: Markup
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """Plan and fronts as inline SVG, what the colours mean, and the legend."""

    plan: Markup
    fronts: Markup
    about: str
    legend: tuple[Swatch, ...]


def screen_drawing(view: View, *, chosen: str = "", layer: Layer | None = None) -> Drawn | None:
    """The live drawing of a layer with its links leading back to this page; None while there is no room."""
    shown = layer or view.layer
    movable = view.may("edit")

    def make(opened: Opened) -> Drawn | None:
        if opened.room is None:
            return None
        drawn = draw_screen(
            opened.room, view.results(shown), link=lambda place: view.url(at=place, why=None), chosen=chosen,
            movable=movable,
        )  # fmt: skip
        legend = tuple(Swatch(swatch=Markup(item.swatch), words=item.words) for item in drawn.legend)
        return Drawn(plan=Markup(drawn.plan), fronts=Markup(drawn.fronts), about=drawn.about, legend=legend)

    told = view.log_state if shown in LOG_LAYERS else ()  # it changes while the plan stands still
    return view.made_once.keep(
        view.snapshot, ("screen", shown, told, chosen, movable, view.url(at=None, why=None)), make
    )
