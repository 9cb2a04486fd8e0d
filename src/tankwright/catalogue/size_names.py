"""Sizes as a shop calls them."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from tankwright.units import Metre

INCH: Final = 0.0254
SIXTEENTHS: Final = 16
NEAR: Final = 1.5e-4
"""m from a sixteenth of an inch within which a size is called by it: an inch size that was rounded to millimetres."""


def size_name(size: Metre, display: str) -> str:
    """A size as a shop calls it, part of an article's name: millimetres, or inches where the plan is read in them.

    >>> size_name(0.018, "metric"), size_name(0.0286, "US"), size_name(0.0127, "US"), size_name(0.0995, "US")
    ('18 mm', '1 1/8 in', '1/2 in', '99.5 mm')
    """
    sixteenths = round(size / INCH * SIXTEENTHS)
    if display == "US" and sixteenths and abs(sixteenths * INCH / SIXTEENTHS - size) <= NEAR:
        whole, part = divmod(Fraction(sixteenths, SIXTEENTHS), 1)
        return " ".join(str(one) for one in (whole, part) if one) + " in"
    return f"{round(size * 1000.0, 1):g} mm"
