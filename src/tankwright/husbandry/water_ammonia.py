"""Ammonia at the tank's own pH and warmth: how much of what was tested is the poisonous gas, and whether that is much.

Judged only with a pH and a temperature that were tested near it; without them nothing is said of it, which is not well.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from tankwright.husbandry.water_limits import Standing
from tankwright.husbandry.water_readings import WaterReading
from tankwright.physics.ammonia import (
    ammonia_acute_criterion,
    ammonia_chronic_criterion,
    unionised_ammonia_fraction,
)
from tankwright.physics.ranges import OutsideValidRange

NITROGEN_OF_AMMONIUM: Final = 14.007 / 18.039
"""kg of nitrogen a kg of ammonium, in which kits tell all ammonia. Source: molar masses."""

GAS_OF_NITROGEN: Final = 17.031 / 14.007
"""kg of NH3 a kg of its nitrogen. Source: molar masses."""

HARM: Final = 5.0e-5
"""kg/m3 (0.05 mg/L) of NH3, above which it harms. Source: University of Florida IFAS, FA-16."""

OLD: Final = timedelta(days=7)
"""How far from the ammonia test a pH or a temperature may have been tested. Our choice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AmmoniaJudged:
    """What an ammonia test means. Concentrations kg/m3, `gas` of NH3 as (low, value, high), `nitrogen` of all of it.

    `missing` says what was not there to judge it by ("" where it was judged); `acute` and `chronic` are the limits of
    total ammonia nitrogen, None outside what they are given for. `ph` and `temperature` are the tests it was judged by.
    """

    reading: WaterReading
    nitrogen: tuple[float, float, float]
    standing: Standing = "not judged"
    missing: str = ""
    gas: tuple[float, float, float] | None = None
    ph: WaterReading | None = None
    temperature: WaterReading | None = None
    acute: float | None = None
    chronic: float | None = None


def ammonia_judged(
    reading: WaterReading, ph: Sequence[WaterReading], temperature: Sequence[WaterReading]
) -> AmmoniaJudged:
    """An ammonia test judged by the nearest pH and temperature of its tank.

    Source: Emerson and others (1975) for the share of the gas, IFAS FA-16 for what harms, US EPA 822-R-13-001 for the
    two limits; see `physics.ammonia`. Salts are left out, which reads high, so careful.

    >>> from datetime import UTC
    >>> at = datetime(2026, 8, 2, tzinfo=UTC)
    >>> test = WaterReading(at=at, value=5e-4, low=4e-4, high=7.5e-4)
    >>> ammonia_judged(test, (), ()).missing
    'pH and temperature were never tested'
    >>> ph, warm = (WaterReading(at=at, value=value, low=value, high=value) for value in (8.2, 299.0))
    >>> judged = ammonia_judged(test, (ph,), (warm,))
    >>> judged.standing, round(judged.gas[1] * 1000, 3)  # mg/L of NH3
    ('past want', 0.047)
    """
    nitrogen = tuple(NITROGEN_OF_AMMONIUM * one for one in (reading.low, reading.middle, reading.high))
    low, value, high = nitrogen
    with_ph, with_warmth = nearest(ph, reading.at), nearest(temperature, reading.at)
    missing = _missing(reading.at, (("pH", with_ph), ("temperature", with_warmth)))
    if missing and high * GAS_OF_NITROGEN <= HARM:  # were all of it the gas, it would not harm
        return AmmoniaJudged(reading=reading, nitrogen=(low, value, high), standing="inside")
    blank = AmmoniaJudged(
        reading=reading, nitrogen=(low, value, high), missing=missing, ph=with_ph, temperature=with_warmth
    )
    if missing or with_ph is None or with_warmth is None:
        return blank
    try:
        shares = tuple(
            unionised_ammonia_fraction(ph=acid, temperature=warm)
            for acid, warm in (
                (with_ph.low, with_warmth.low), (with_ph.middle, with_warmth.middle), (with_ph.high, with_warmth.high),
            )
        )  # fmt: skip
    except OutsideValidRange as error:
        return AmmoniaJudged(
            reading=reading, nitrogen=(low, value, high), missing=f"no formula holds there: {error}", ph=with_ph,
            temperature=with_warmth,
        )  # fmt: skip
    gas = (
        shares[0] * low * GAS_OF_NITROGEN,
        shares[1] * value * GAS_OF_NITROGEN,
        shares[2] * high * GAS_OF_NITROGEN,
    )
    acute, chronic = _criteria(with_ph.middle, with_warmth.middle)
    return AmmoniaJudged(
        reading=reading, nitrogen=(low, value, high), gas=gas, ph=with_ph, temperature=with_warmth, acute=acute,
        chronic=chronic, standing=_standing(gas, (low, value, high), acute, chronic),
    )  # fmt: skip


def nearest(readings: Sequence[WaterReading], moment: datetime) -> WaterReading | None:
    """The reading nearest in time to a moment; of two as near the earlier.

    >>> nearest((), datetime(2026, 8, 2))
    """
    return min(readings, key=lambda one: (abs(one.at - moment), one.at), default=None)


def _missing(moment: datetime, found: Sequence[tuple[str, WaterReading | None]]) -> str:
    never = [name for name, one in found if one is None]
    old = [name for name, one in found if one is not None and abs(one.at - moment) > OLD]
    parts = []
    if never:
        parts.append(f"{' and '.join(never)} {'was' if len(never) == 1 else 'were'} never tested")
    if old:
        days = OLD.days
        parts.append(
            f"{' and '.join(old)} {'was' if len(old) == 1 else 'were'} not tested within {days} days of it"
        )
    return ", and ".join(parts)


def _criteria(ph: float, temperature: float) -> tuple[float | None, float | None]:
    careful = max(ph, 6.5)  # the limits' table begins there; below it ammonia harms less
    try:
        return (
            ammonia_acute_criterion(ph=careful, temperature=temperature),
            ammonia_chronic_criterion(ph=careful, temperature=temperature),
        )
    except OutsideValidRange:
        return None, None


def _standing(
    gas: tuple[float, float, float],
    nitrogen: tuple[float, float, float],
    acute: float | None,
    chronic: float | None,
) -> Standing:
    """What harms at once is a hazard; over the mean of thirty days it is more than is wanted."""
    if gas[1] > HARM or (acute is not None and nitrogen[1] > acute):
        return "past hazard"
    if chronic is not None and nitrogen[1] > chronic:
        return "past want"
    if gas[2] > HARM or (chronic is not None and nitrogen[2] > chronic):
        return "may be past"
    return "inside"
