"""The size of a finger: the outline of a bank card is brought to the size of a real one, so that 20 mm are 20 mm.

Kept in this browser alone: it is a thing of this screen.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from tankwright.web.page import Page, View

CARD: Final = (85.60, 53.98)
"""Width and height of a bank card, mm. Source: ISO/IEC 7810:2019, ID-1, from memory."""

BUTTON: Final = 20
"""Side of a main button, mm: larger ones gain nothing, smaller ones are slower and missed more. Source: H. A. Colle and
K. J. Hiszem (2004), Ergonomics 47, 1406, by its abstract; WCAG 2.2 asks for 24 to 44 px."""


def show(view: View) -> Mapping[str, object]:  # noqa: ARG001 - every page is given one
    """The card's sides and the button's."""
    return {"card": CARD, "button": BUTTON}


PAGE: Final = Page(
    name="finger", path="/finger", title="Size of the buttons", template="finger.html", show=show
)
