"""A new filter growing in: ammonia eaters first, nitrite eaters after them, day by day.

Two steps of Monod growth. Amounts are nitrogen; biomass is volatile solids, both in kg a m3 of tank water. Nitrogen
that goes into biomass is left out, as it is some per cent.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from operator import mul
from typing import Final

DAY = 86400.0
_GAS_CONSTANT = 8.314462618  # J/(mol K)


@dataclass(frozen=True, slots=True, kw_only=True)
class Nitrifier:
    """One kind of bacteria: fastest growth (1/s) at a temperature, and how it bends."""

    growth: float
    growth_temperature: float
    activation_energy: float
    yielded: float
    half_saturation: float
    oxygen_half_saturation: float
    decay: float

    def growth_at(self, temperature: float, oxygen: float) -> float:
        """Growth, 1/s, with plenty of food, at a temperature in K and an oxygen in kg/m3.

        Source: Arrhenius and Monod, textbook forms.

        >>> round(NITRIFIERS_SLOW[0].growth_at(299.15, 1e9) * DAY, 3)
        0.376
        """
        warmth = self.activation_energy / _GAS_CONSTANT * (1.0 / self.growth_temperature - 1.0 / temperature)
        return self.growth * math.exp(warmth) * oxygen / (self.oxygen_half_saturation + oxygen)


def nitrifiers_measured_at(temperature: float) -> tuple[Nitrifier, Nitrifier]:
    """Ammonia and nitrite eaters, if the published growth was measured at this temperature, in K.

    Source: growth 0.54 and 0.67 1/d and yields 0.14 and 0.072: Blackburne and others (2007), Water Environment
    Research 79, 2437, whose temperature was not seen, probably 30 °C; activation energies 68 and 44 kJ/mol:
    Vannecke and Volcke, appendix in Biotechnology and Bioengineering; half saturations 1 mg/L nitrogen
    and 0.5 mg/L oxygen and decay 0.05 1/d: activated sludge models, from memory.

    >>> round(nitrifiers_measured_at(293.15)[0].growth_at(299.15, 1e9) * DAY, 3)
    0.945
    """

    def kind(*, growth: float, activation_energy: float, yielded: float) -> Nitrifier:
        return Nitrifier(
            growth=growth / DAY, growth_temperature=temperature, activation_energy=activation_energy,
            yielded=yielded, half_saturation=1e-3, oxygen_half_saturation=0.5e-3, decay=0.05 / DAY,
        )  # fmt: skip

    return (
        kind(growth=0.54, activation_energy=68e3, yielded=0.14),
        kind(growth=0.67, activation_energy=44e3, yielded=0.072),
    )


NITRIFIERS_SLOW: Final = nitrifiers_measured_at(303.15)
NITRIFIERS_FAST: Final = nitrifiers_measured_at(293.15)
"""Both ends of the band."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NitrifierCourse:
    """How a filter grew in: times in s, nitrogen in kg/m3.

    `cycled_at` is when ammonia and nitrite were both below the limit for good (nought when they never rose above
    it, infinite when they had not come down at the end); the peaks are times.
    """

    times: tuple[float, ...]
    ammonia: tuple[float, ...]
    nitrite: tuple[float, ...]
    nitrate: tuple[float, ...]
    ammonia_peak_at: float
    nitrite_peak_at: float
    cycled_at: float


def nitrifier_course(
    *,
    dose: float,
    seed: float,
    temperature: float,
    duration: float,
    limit: float = 0.25e-3,
    oxygen: float = 7e-3,
    capacity: float = math.inf,
    kinds: tuple[Nitrifier, Nitrifier] = NITRIFIERS_SLOW,
) -> NitrifierCourse:
    """The course of ammonia, nitrite and nitrate while a filter grows in on an even dose of ammonia.

    Inputs: dose in kg N/(m3 s), seed of each kind in kg/m3, temperature in K, duration in s, limit and oxygen in
    kg/m3, capacity of the media in kg N/(m3 s): the biomass stops growing where it could turn over that much.

    Source: two-step Monod growth with decay, of the activated sludge models; numbers as `nitrifiers_measured_at` says.

    >>> course = nitrifier_course(dose=2e-3 / DAY, seed=1e-5, temperature=299.15, duration=60 * DAY)
    >>> [round(at / DAY) for at in (course.ammonia_peak_at, course.nitrite_peak_at, course.cycled_at)]
    [17, 23, 26]
    """
    first, second = kinds
    growths = first.growth_at(temperature, oxygen), second.growth_at(temperature, oxygen)
    full = (  # biomass that turns over the capacity: a fourth power below, for a wall that is smooth but near
        first.yielded * capacity / growths[0],
        second.yielded * capacity / growths[1],
    )

    def change(state: tuple[float, ...]) -> tuple[float, ...]:
        ammonia, nitrite, eaters, nitrite_eaters = state
        grown = growths[0] * eaters * ammonia / (first.half_saturation + ammonia)
        nitrite_grown = growths[1] * nitrite_eaters * nitrite / (second.half_saturation + nitrite)
        oxidised = grown / first.yielded
        return (
            dose - oxidised,
            oxidised - nitrite_grown / second.yielded,
            grown * (1.0 - (eaters / full[0]) ** 4) - first.decay * eaters,
            nitrite_grown * (1.0 - (nitrite_eaters / full[1]) ** 4) - second.decay * nitrite_eaters,
        )

    times, states = integrate(change, (0.0, 0.0, seed, seed), duration, scale=(limit, limit, seed, seed))
    ammonia = tuple(max(state[0], 0.0) for state in states)
    nitrite = tuple(max(state[1], 0.0) for state in states)
    nitrate = tuple(
        max(dose * t - a - n, 0.0) for t, a, n in zip(times, ammonia, nitrite, strict=True)
    )  # what was dosed is somewhere
    return NitrifierCourse(
        times=times, ammonia=ammonia, nitrite=nitrite, nitrate=nitrate,
        ammonia_peak_at=times[ammonia.index(max(ammonia))], nitrite_peak_at=times[nitrite.index(max(nitrite))],
        cycled_at=max(_below_for_good(times, ammonia, limit), _below_for_good(times, nitrite, limit)),
    )  # fmt: skip


def _below_for_good(times: tuple[float, ...], values: tuple[float, ...], limit: float) -> float:
    above = [index for index, value in enumerate(values) if value > limit]
    if not above:
        return 0.0
    last = above[-1]
    if last == len(values) - 1:
        return math.inf
    share = (values[last] - limit) / (values[last] - values[last + 1])
    return times[last] + share * (times[last + 1] - times[last])


# Dormand and Prince's pair: each row weighs the slopes so far; the last row is the answer of the fifth order.
_WEIGHTS: Final = (
    (1 / 5,),
    (3 / 40, 9 / 40),
    (44 / 45, -56 / 15, 32 / 9),
    (19372 / 6561, -25360 / 2187, 64448 / 6561, -212 / 729),
    (9017 / 3168, -355 / 33, 46732 / 5247, 49 / 176, -5103 / 18656),
    (35 / 384, 0.0, 500 / 1113, 125 / 192, -2187 / 6784, 11 / 84),
)
_ERRORS: Final = (71 / 57600, 0.0, -71 / 16695, 71 / 1920, -17253 / 339200, 22 / 525, -1 / 40)


def integrate(
    change: Callable[[tuple[float, ...]], tuple[float, ...]],
    start: tuple[float, ...],
    duration: float,
    *,
    scale: tuple[float, ...],
    accuracy: float = 1e-4,
    longest_step: float = DAY / 2,
) -> tuple[tuple[float, ...], tuple[tuple[float, ...], ...]]:
    """Times and states of a system dy/dt = change(y), steps as long as the accuracy allows.

    `scale` is the size below which an error of each part no longer matters in itself.

    Source: J. R. Dormand and P. J. Prince (1980), Journal of Computational and Applied Mathematics 6, 19-26.

    >>> times, states = integrate(lambda y: (-y[0],), (1.0,), 1.0, scale=(1.0,), longest_step=0.25)
    >>> times[-1], round(states[-1][0], 5)
    (1.0, 0.36788)
    """
    times, states = [0.0], [start]
    time, state, step = 0.0, start, min(longest_step, duration) / 10.0
    slope = change(state)
    while time < duration:
        last = step >= duration - time
        step = duration - time if last else step
        slopes, here = [slope], state
        for row in _WEIGHTS:
            parts = zip(state, zip(*slopes, strict=True), strict=True)
            here = tuple([y + step * sum(map(mul, row, ks)) for y, ks in parts])
            slopes.append(change(here))
        worst = max(
            abs(step * sum(map(mul, _ERRORS, ks))) / (size + max(abs(y), abs(new)))
            for ks, size, y, new in zip(zip(*slopes, strict=True), scale, state, here, strict=True)
        )
        if worst <= accuracy:
            time = duration if last else time + step
            state, slope = here, slopes[-1]
            times.append(time)
            states.append(state)
        factor = 5.0 if worst == 0.0 else min(5.0, max(0.2, 0.9 * (accuracy / worst) ** 0.2))
        step = min(longest_step, step * factor)
    return tuple(times), tuple(states)
