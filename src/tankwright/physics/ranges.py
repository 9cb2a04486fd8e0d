"""The limits of published formulas, and the one error that says a formula was used outside them."""

from __future__ import annotations


class OutsideValidRange(ValueError):  # noqa: N818 - it names the state, as every caller reads it
    """A formula was asked for a value outside the range in which its source states it.

    Carries `quantity` (argument name), `value`, `low`, `high` and `unit` (SI symbol) for a finding to show.

    >>> OutsideValidRange("slope", 2.0, 0.0, 0.5, "1").quantity
    'slope'
    """

    def __init__(self, quantity: str, value: float, low: float, high: float, unit: str) -> None:
        self.quantity = quantity
        self.value = value
        self.low = low
        self.high = high
        self.unit = unit
        shown = "" if unit == "1" else f" {unit}"
        super().__init__(f"{quantity} = {value:g}{shown} lies outside {low:g} to {high:g}{shown}")


def require(name: str, value: float, low: float, high: float, unit: str) -> None:
    """Raise `OutsideValidRange` unless low <= value <= high; not-a-number is always outside.

    >>> require("depth_share", 0.5, 0.0, 1.0, "1")
    >>> require("depth_share", 1.5, 0.0, 1.0, "1")
    Traceback (most recent call last):
    tankwright.physics.ranges.OutsideValidRange: depth_share = 1.5 lies outside 0 to 1
    """
    if not low <= value <= high:
        raise OutsideValidRange(name, value, low, high, unit)
