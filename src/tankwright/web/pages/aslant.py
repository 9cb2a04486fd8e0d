"""The room as one sees it standing before it, from a bearing and a height that the address holds."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from markupsafe import Markup

from tankwright.drawing.legend import legend
from tankwright.drawing.orbit import HIGHEST, LOWEST, USUAL, draw_orbit, quarter_from
from tankwright.drawing.screen_svg import to_screen_svg
from tankwright.web.drawings import Swatch
from tankwright.web.page import Page, View
from tankwright.web.sheets import sheet_of

STEP: Final = 15  # degrees a step to the left or right goes round
RISE: Final = 9  # degrees a step up or down
LEAST: Final = math.ceil(math.degrees(LOWEST))
MOST: Final = math.floor(math.degrees(HIGHEST))
_USUAL: Final = (round(math.degrees(USUAL[0])), round(math.degrees(USUAL[1])))
_PLAN_ONLY: Final = "shelves side by side"  # a line of the plan's legend that is not seen from aslant


@dataclass(frozen=True, slots=True, kw_only=True)
class Aim:
    """Where one looks from, in whole degrees: a compass bearing, and how high over the horizon."""

    bearing: int
    height: int

    @property
    def quarter(self) -> str:
        """The nearest quarter of the compass."""
        return quarter_from(math.radians(self.bearing))


def aim_of(bearing: str, height: str) -> Aim:
    """What an address says, kept within what can be drawn; what it does not say is the usual view.

    >>> aim_of("", ""), aim_of("-30", "120"), aim_of("1e99", "flat")
    (Aim(bearing=150, height=32), Aim(bearing=330, height=90), Aim(bearing=150, height=32))
    """
    return Aim(
        bearing=_degrees(bearing, _USUAL[0]) % 360,
        height=min(max(_degrees(height, _USUAL[1]), LEAST), MOST),
    )


def _degrees(text: str, otherwise: int) -> int:
    try:
        value = float(text.strip().replace(",", "."))
    except ValueError:
        return otherwise
    return round(value) if math.isfinite(value) and abs(value) <= 1e6 else otherwise


_FIGURES: Final[Mapping[str, tuple[str, ...]]] = {
    "layout": ("clear_above", "reach", "freeboard", "elbow", "hole"),
    "air": ("air",),
    "feed": ("feed",),
    "drain": ("freeboard", "elbow", "overflow", "spill"),
    "load": ("mass", "water_mass", "glass", "load"),
    "power": ("air", "feed"),
    "oxygen": ("oxygen",),
}
"""The beginnings of the names, after a tank's own, of what belongs to a layer."""


def short_figures(figures: tuple[tuple[str, str], ...], layer: str) -> tuple[tuple[str, str], ...]:
    """Of a sheet's figures those of a layer; all of a thing that has none there.

    >>> short_figures((("air", "A3.air"), ("mass", "A3.mass")), "load")
    (('mass', 'A3.mass'),)
    """
    wanted = _FIGURES.get(layer, ())
    own = tuple(one for one in figures if one[1].partition(".")[2].startswith(wanted))
    return own or figures


def show(view: View) -> Mapping[str, object]:
    """The room from where the address says, the ways to turn it, and the sheet of what is chosen."""
    aim = aim_of(view.query.get("from", ""), view.query.get("height", ""))
    chosen = view.query.get("at", "")
    sheet = sheet_of(view, chosen) if chosen else None
    results = view.results()
    items = tuple(one for one in legend(results) if not one.words.startswith(_PLAN_ONLY))
    return {
        "layers": view.layers,
        "results": results,
        "aim": aim,
        "limits": (LEAST, MOST),
        "turns": _turns(view, aim),
        "drawing": _drawn(view, aim, chosen),
        "legend": tuple(Swatch(swatch=Markup(one.swatch), words=one.words) for one in items),
        "sheet": sheet,
        "figures": short_figures(sheet.figures, view.layer) if sheet else (),
        "lost": chosen if chosen and sheet is None else "",
    }


def _turns(view: View, aim: Aim) -> tuple[tuple[str, str, str], ...]:
    """Name, sign and address of each step from here; "" for an address where there is no further to go."""

    def to(bearing: int, height: int) -> str:
        return view.url(None, **{"from": bearing % 360, "height": height})

    higher, lower = min(aim.height + RISE, MOST), max(aim.height - RISE, LEAST)
    return (
        ("to the left", "←", to(aim.bearing + STEP, aim.height)),
        ("to the right", "→", to(aim.bearing - STEP, aim.height)),
        ("higher", "↑", to(aim.bearing, higher) if higher != aim.height else ""),
        ("lower", "↓", to(aim.bearing, lower) if lower != aim.height else ""),
    )


def _drawn(view: View, aim: Aim, chosen: str) -> Markup | None:
    """Drawn anew each time: a room that is turned shows every angle once."""
    if view.room is None:
        return None
    drawing = draw_orbit(
        view.room, view.results(), azimuth=math.radians(aim.bearing), elevation=math.radians(aim.height),
        link=lambda place: view.url(at=place, why=None), chosen=chosen,
    )  # fmt: skip
    label = f"{drawing.title}: {drawing.description}"
    return Markup(to_screen_svg(drawing, label=label, classes=("orbit",), name="orbit"))


PAGE = Page(name="aslant", path="/look", title="3-D", template="aslant.html", show=show, group="room")
