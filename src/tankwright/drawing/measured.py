"""A length as it is measured off with a rule, for working drawings.

`display` tells what a reader wants to know, to three figures; this is what a builder sets out by.
"""

from __future__ import annotations

import math
from typing import Final

from tankwright.units import convert

MEASURED_IN: Final = {"metric": "all measures in millimetres", "US": "all measures in feet and inches"}
"""What `measured_off` leaves to be said once on a drawing."""


def measured_off(metres: float, display: str = "metric", *, fine: bool = False) -> str:
    """Whole millimetres, or feet and inches to the eighth, for a drawing that says its unit once (`MEASURED_IN`).

    `fine` is to half a millimetre, under 50 mm to a tenth, and to the sixteenth of an inch.

    >>> measured_off(1.0484), measured_off(0.0765, fine=True), measured_off(1.0484, "US")
    ('1048', '76.5', '3\\' 5 1/4"')
    >>> measured_off(0.0765, "US", fine=True), measured_off(0.0)
    ('3"', '0')
    """
    sign = "−" if metres < -1e-9 else ""
    if display != "US":
        millimetres = convert(abs(metres), "m", "mm")
        step = 10 if millimetres < 50.0 else 2  # a caliper shows tenths, a rule halves
        near = f"{round(millimetres * step) / step:.1f}".removesuffix(".0") if fine else f"{millimetres:.0f}"
        return sign + near
    parts = 16 if fine else 8
    feet, left = divmod(round(convert(abs(metres), "m", "in") * parts), 12 * parts)
    whole, part = divmod(left, parts)
    shared = math.gcd(part, parts)
    pieces = [str(whole)] if whole or not part else []
    if part:
        pieces.append(f"{part // shared}/{parts // shared}")
    return sign + (f"{feet}' " if feet else "") + f'{" ".join(pieces)}"'
