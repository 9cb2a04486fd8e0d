"""The laws of single links: what a pipe loses, what an outlet lets go, what a source brings.

Plain functions of numbers and flat sequences, so that they run interpreted and compiled (`engine`).
Each `_line` gives the straight line that stands for a law near a point: flow, head (potential above the
node's lift), gain.

Sources: friction as in the EPANET manual: Hagen-Poiseuille below Re 2000, E. J. Dunlop's cubic (1991) to
4000, P. K. Swamee and A. K. Jain (1976) above. Which quantity a point follows is this program's own choice.
"""

from __future__ import annotations

import math
from typing import Any

Floats = Any
"""A list of floats or a float64 array, one-dimensional."""

TOE_PRESSURE = 1e-3
"""Below this (Pa, 0.1 micrometre of water) an outlet law runs straight to zero, so its slope is finite."""

CORNER = 0.02
"""Half width of the rounded corner of a compensating outlet, as a share of its minimum pressure."""

BLOCKED = 1e-6
"""Gain kept by a blocked link, as a share of its open gain: it only steers the iteration, no flow remains."""

QUIET_FLOW = 1e-15
"""Change of flow a link may show at the end whatever the total is, m3/s (6e-11 L/min)."""


def pipe_loss(flow: float, law: Floats, base: int) -> tuple[float, float]:
    """Loss of potential (Pa) along a pipe and its derivative by the flow, in every regime of friction.

    `law[base:]` holds: Reynolds number per flow, laminar resistance, turbulent resistance without f, minor
    resistance, roughness share / 3.7, and the three upper coefficients of the cubic.
    """
    size = abs(flow)
    reynolds = law[base] * size
    minor = law[base + 3] * size
    if reynolds <= 2000.0:
        laminar = law[base + 1]
        return (laminar + minor) * flow, laminar + 2.0 * minor
    turbulent = law[base + 2] * size
    if reynolds < 4000.0:
        r = reynolds / 2000.0
        x2, x3, x4 = law[base + 5], law[base + 6], law[base + 7]
        # the cubic passes through 0.032 at r = 1, so its constant follows from the other three
        factor = 0.032 - x2 - x3 - x4 + r * (x2 + r * (x3 + r * x4))
        growth = r * (x2 + r * (2.0 * x3 + r * 3.0 * x4))  # df / d(ln q)
    else:
        y = 5.74 * math.exp(-0.9 * math.log(reynolds))
        inner = law[base + 4] + y
        root = -0.8685889638065035 * math.log(inner)  # 2 log10, so that f = 1 / root^2
        factor = 1.0 / (root * root)
        growth = -1.5634601348517063 * factor * y / (inner * root)  # 2 * 0.9 * 2 / ln 10
    slope = turbulent * (2.0 * factor + growth) + 2.0 * minor
    return (turbulent * factor + minor) * flow, slope


def pipe_flow(loss: float, law: Floats, base: int, guess: float) -> float:
    """The flow that loses `loss`: `pipe_loss` the other way round, by Newton's method in a bracket."""
    wanted = abs(loss)
    low = 0.0
    high = wanted / law[base + 1]  # no regime loses less than the laminar law
    q = abs(guess)
    if q >= high or q == 0.0:
        q = high
    for _ in range(100):
        at, slope = pipe_loss(q, law, base)
        if at > wanted:
            high = q
        else:
            low = q
        following = q - (at - wanted) / slope
        if following <= low or following >= high:
            following = 0.5 * (low + high)
        if abs(following - q) <= 1e-15 * q:
            break
        q = following
    return q if loss > 0.0 else -q


def pressure_of(head: float, squeeze: float) -> float:
    """Gauge pressure at a potential above the node's lift; `squeeze` is 1 / (2 ambient), 0 for a liquid."""
    inside = 1.0 + 4.0 * squeeze * head
    inside = max(inside, 0.0)
    return 2.0 * head / (1.0 + math.sqrt(inside))


def outlet_line(  # noqa: PLR0912, PLR0913, PLR0915, PLR0917 - compiled, and one law a piece
    kind: int,
    law: Floats,
    base: int,
    scale: float,
    squeeze: float,
    flow: float,
    previous: float,
    head: float,
    was_open: int,
) -> tuple[float, float, float, int]:
    """The straight line that stands for an outlet near (`flow`, `head`): flow, head, gain, open or not.

    `law[base:]` holds coefficient, exponent, threshold, compensating flow, minimum pressure, blocked gain.
    Kinds: 0 ordinary one-way, 1 ordinary, 2 compensating one-way, 3 compensating.
    """
    if scale <= 0.0:
        return 0.0, head, 0.0, 0
    exponent = law[base + 1]
    threshold = law[base + 2]
    least = law[base + 5] * scale
    pressure = pressure_of(head, squeeze)
    excess = pressure - threshold
    compensating = kind >= 2
    trusts_flow = was_open == 1 and (compensating or exponent <= 1.0)
    forward = flow > -QUIET_FLOW if trusts_flow else excess > 0.0
    sign = 1.0
    if not forward:
        if kind == 0 or kind == 2:  # noqa: PLR1714 - a tuple test would not compile to a plain comparison
            return 0.0, head, least, 0
        sign = -1.0
    q = abs(flow)
    d = abs(excess)
    if excess * sign < 0.0:
        d = 0.0
    if compensating:
        full = law[base + 3] * scale
        minimum = law[base + 4]
        exponent = 0.5
        coefficient = full / math.sqrt(minimum)
        by_flow = trusts_flow and q < full * 0.989
        if not by_flow and d > minimum * (1.0 - CORNER):
            if d >= minimum * (1.0 + CORNER):
                q = full
                slope = 0.0
            else:
                u = d / minimum
                over = u - 1.0 + CORNER
                share = math.sqrt(u - over * over / (4.0 * CORNER))
                q = full * share
                slope = full * (1.0 - over / (2.0 * CORNER)) / (2.0 * share * minimum)
            at = threshold + sign * d
            gain = slope / (1.0 + 2.0 * squeeze * at)
            gain = max(gain, least)
            return sign * q, at + squeeze * at * at, gain, 1
    else:
        coefficient = law[base] * scale
        # a very flat law overshoots in pressure when the flow rises, so it follows the pressure then
        by_flow = trusts_flow and (exponent >= 0.35 or q < abs(previous))
    toe = coefficient * math.sqrt(TOE_PRESSURE) if exponent == 0.5 else coefficient * TOE_PRESSURE**exponent
    if by_flow:
        if q <= toe:
            d = q * TOE_PRESSURE / toe
        elif exponent == 0.5:
            d = (q / coefficient) * (q / coefficient)
        elif exponent == 1.0:
            d = q / coefficient
        else:
            d = (q / coefficient) ** (1.0 / exponent)
    elif d <= TOE_PRESSURE:
        q = d * toe / TOE_PRESSURE
    elif exponent == 0.5:
        q = coefficient * math.sqrt(d)
    else:
        q = coefficient * d**exponent
    slope = toe / TOE_PRESSURE if d <= TOE_PRESSURE else exponent * q / d
    at = threshold + sign * d
    gain = slope / (1.0 + 2.0 * squeeze * at)
    gain = max(gain, least)
    return sign * q, at + squeeze * at * at, gain, 1


def source_line(
    pressures: Floats,
    flows: Floats,
    first: int,
    last: int,
    squeeze: float,
    flow: float,
    head: float,
    was: int,
) -> tuple[float, float, float, int]:
    """The straight line that stands for a source near `head`: inflow, head, how fast inflow falls, state.

    States: 1 open, 0 blocked by a higher pressure, 2 at the pressure where its flow ends. An open source that
    overshoots stops there first, so that with everything shut it stands at that pressure and not beyond.
    """
    pressure = pressure_of(head, squeeze)
    k = first
    while k < last - 2 and pressure > pressures[k + 1]:
        k += 1
    fall = (flows[k] - flows[k + 1]) / (pressures[k + 1] - pressures[k])
    inflow = flows[k] + fall * (pressures[k] - pressure)
    gain = fall / (1.0 + 2.0 * squeeze * pressure)
    if inflow >= 0.0:
        return inflow, head, gain, 1
    if was == 0 or (was == 2 and flow < -QUIET_FLOW):
        return 0.0, head, gain * BLOCKED, 0
    end = pressures[k + 1] + flows[k + 1] / fall
    return 0.0, end + squeeze * end * end, fall / (1.0 + 2.0 * squeeze * end), 2
