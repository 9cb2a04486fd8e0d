"""The air's two equations, heat and moisture, with the machines that hold it within limits.

Both are straight lines here: a0 + a1 t + a2 w + heat d = 0 (W) and b0 + b1 t + b2 w - d = 0 (kg/s), with the
air's temperature t, its humidity w, and the water d taken out of it. Plain arithmetic for the loop of `step`.
"""

from __future__ import annotations

Balance = tuple[float, float, float, float, float, float]
"""a0, a1, a2, b0, b1, b2."""

Dryer = tuple[float, float, float, float]
"""Heat given to the air for each kg taken out, largest rate, and the line w0 + w1 t it holds the humidity under."""

BOUNDLESS = 1e30


def free_air(balance: Balance, dryer: Dryer) -> tuple[float, float, float]:
    """Temperature, humidity and drying where the temperature is free.

    >>> free_air((10.0, -1.0, 0.0, 1.0, 0.0, -50.0), (0.0, 1.0, 0.01, 0.0))  # it would be 0.02 undried
    (10.0, 0.01, 0.5)
    """
    a0, a1, a2, b0, b1, b2 = balance
    heat, limit, w0, w1 = dryer
    det = a1 * b2 - a2 * b1
    t = (a2 * b0 - a0 * b2) / det
    w = (b1 * a0 - a1 * b0) / det
    if limit <= 0.0 or w <= w0 + w1 * t:
        return t, w, 0.0
    t = -(a0 + a2 * w0 + heat * (b0 + b2 * w0)) / (a1 + a2 * w1 + heat * (b1 + b2 * w1))
    w = w0 + w1 * t
    d = b0 + b1 * t + b2 * w
    if d <= limit:
        return t, w, d
    a0 += heat * limit
    b0 -= limit
    return (a2 * b0 - a0 * b2) / det, (b1 * a0 - a1 * b0) / det, limit


def held_air(t: float, balance: Balance, dryer: Dryer) -> tuple[float, float]:
    """Humidity and drying where the temperature is held."""
    b0, b1, b2 = balance[3], balance[4], balance[5]
    limit, line = dryer[1], dryer[2] + dryer[3] * t
    w = -(b0 + b1 * t) / b2
    if limit <= 0.0 or w <= line:
        return w, 0.0
    d = b0 + b1 * t + b2 * line
    if d <= limit:
        return line, d
    return -(b0 - limit + b1 * t) / b2, limit


def free_climate(balance: Balance, dryer: Dryer, fog: Dryer) -> tuple[float, float, float, float]:
    """Temperature, humidity, drying and what then still falls out as fog, the temperature free."""
    t, w, d = free_air(balance, dryer)
    if w <= fog[2] + fog[3] * t:
        return t, w, d, 0.0
    a0, a1, a2, b0, b1, b2 = balance
    t, w, drops = free_air((a0 + dryer[0] * d, a1, a2, b0 - d, b1, b2), fog)
    return t, w, d, drops


def held_climate(t: float, balance: Balance, dryer: Dryer, fog: Dryer) -> tuple[float, float, float, float]:
    """Humidity, drying, fog and the plant heat that holds the temperature."""
    a0, a1, a2, b0, b1, b2 = balance
    w, d = held_air(t, balance, dryer)
    drops = 0.0
    if w > fog[2] + fog[3] * t:
        w, drops = held_air(t, (a0, a1, a2, b0 - d, b1, b2), fog)
    return w, d, drops, -(a0 + a1 * t + a2 * w + dryer[0] * d + fog[0] * drops)


def settled_climate(
    balance: Balance,
    dryer: Dryer,
    fog: Dryer,
    plant: tuple[float, float, float, float],
) -> tuple[float, float, float, float, float]:
    """Temperature, humidity, drying, fog and plant heat.

    `plant` is the least heat (cooling, negative), the most, and the temperatures between which they hold the air.
    """
    least, most, warm, cool = plant
    t, w, d, drops = free_climate(balance, dryer, fog)
    if t < warm and most > 0.0:
        hold, bound = warm, most
    elif t > cool and least < 0.0:
        hold, bound = cool, least
    else:
        return t, w, d, drops, 0.0
    w, d, drops, q = held_climate(hold, balance, dryer, fog)
    if abs(q) <= abs(bound):
        return hold, w, d, drops, q
    a0, a1, a2, b0, b1, b2 = balance
    t, w, d, drops = free_climate((a0 + bound, a1, a2, b0, b1, b2), dryer, fog)
    return t, w, d, drops, bound


def switched(on: float, temperature: float, low: float, high: float) -> float:
    """Whether a thermostat with a dead band is on: 1 below it, 0 above it, in it as before.

    >>> switched(1.0, 299.0, 298.0, 300.0)
    1.0
    """
    if temperature < low:
        return 1.0
    if temperature > high:
        return 0.0
    return on
