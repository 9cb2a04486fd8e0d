"""What the readings of a room have in common, and what that points to: findings with a reason and what to do."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from statistics import median
from typing import Final

from tankwright.building.comparing import Comparison, Outcome
from tankwright.building.patterns_along import Step, far_end
from tankwright.building.patterns_words import ALONE, SINGLE, WHOLE, Said
from tankwright.building.point import Kind
from tankwright.finding import Finding, Number, Severity

FEW: Final = 3
"""Readings of one run or rack below which nothing can be told of them together."""
LONE: Final = 4.0
"""Standard deviations by which one must lie off the others to be named alone."""
ROBBED: Final = 1.5
"""Standard deviations by which both neighbours of one that is high must be low for it to rob them."""
APART: Final = 1.6
"""Times the others' share by which one must differ to be named alone where all are off."""
LEAST_EXPECTED: Final = 0.05
"""Share of the usual flow below which an outlet is left out: it gives next to nothing as the plan stands."""


def explain(comparisons: Iterable[Comparison]) -> tuple[Finding, ...]:
    """The patterns in a set of readings, worst first; what there are too few readings for is said too.

    >>> explain(())
    ()
    """
    everything = tuple(comparisons)
    read = [one for one in everything if one.reading is not None]
    found: list[Finding] = []
    for kind in ("air", "drip"):
        for run in dict.fromkeys(one.point.run for one in read if one.point.kind == kind):
            of_run = [one for one in everything if one.point.kind == kind and one.point.run == run]
            found += _flows(kind, run, of_run, read)
    found += _levels([one for one in everything if one.point.kind == "level"])
    found += [_single(one) for one in read if one.point.kind in SINGLE and _off(one)]
    order = list(Severity)
    return tuple(sorted(found, key=lambda one: (order.index(one.severity), one.code, one.subject)))


def _off(one: Comparison) -> bool:
    return one.outcome in (Outcome.LOW, Outcome.HIGH) and not one.assumed


def _flows(kind: Kind, run: str, of_run: Sequence[Comparison], read: Sequence[Comparison]) -> list[Finding]:
    usual = median(one.point.value for one in of_run)
    known = [
        one
        for one in of_run
        if one.reading is not None and one.point.value > LEAST_EXPECTED * usual and one.point.value > 0.0
    ]
    if len(known) < FEW:
        return [_too_few(f"{kind} of {run}", len(known), len(of_run))]
    known.sort(key=lambda one: (one.point.along or 0.0, one.point.id))
    shares = [one.share for one in known]
    sigmas = [max(one.point.tolerance / one.point.value / 2.0, 1e-6) for one in known]
    step = far_end([one.point.along or 0.0 for one in known], shares, sigmas)
    found = []
    if step is not None:
        found.append(_far(kind, run, known, step))
    middles = step.model if step is not None else [median(shares)] * len(known)
    whole = None
    if step is None:
        whole = _whole(kind, run, known, middles[0], 2.0 * median(sigmas), read)
        found += [whole] if whole is not None else []
    away = [(share - middle) / sigma for share, middle, sigma in zip(shares, middles, sigmas, strict=True)]
    if whole is not None:  # what moves all moves those under deep water more: only far ones are alone in it
        away = [
            times if not 1.0 / APART < share / middle < APART else 0.0
            for times, share, middle in zip(away, shares, middles, strict=True)
        ]
    return found + _alone(kind, known, away)


def _whole(
    kind: Kind,
    run: str,
    known: Sequence[Comparison],
    middle: float,
    tolerance: float,
    read: Sequence[Comparison],
) -> Finding | None:
    """All low, or all high, beyond what one reading may be off."""
    if abs(middle - 1.0) <= tolerance or not math.isfinite(middle):
        return None
    low = middle < 1.0
    alike = sum(1 for one in known if (one.difference < 0.0) == low)
    if alike < 0.8 * len(known):
        return None
    told = WHOLE[kind, low]
    hint = ""
    if kind == "air":
        pump = next((one for one in read if one.point.kind == "pump pressure" and one.point.run == run), None)
        hint = _by_pressure(pump, low)
    elif kind == "drip":
        gauge = next(
            (one for one in read if one.point.kind == "feed pressure" and one.point.run == run), None
        )
        hint = _by_pressure(gauge, low)
    assumed = all(one.assumed or one.outcome is Outcome.WITHIN for one in known)
    severity = Severity.NOTE if assumed else Severity.WARNING
    if assumed:
        hint += " It lies in the band of what the plan assumes: the fit takes it up."
    return Finding(
        code=told.code, severity=severity, subject=run, text=told.text, reason=told.reason, remedy=told.remedy + hint,
        numbers=(("share", Number(middle, "share")), ("count", Number(len(known), "number"))),
        places=tuple(one.point.tank for one in known), rests_on=_rests_on(known),
    )  # fmt: skip


def _by_pressure(gauge: Comparison | None, low: bool) -> str:
    if gauge is None or gauge.reading is None:
        return " Read the pressure too: it tells what drives the flow from what holds it up."
    if not low:
        return ""
    if gauge.outcome is Outcome.LOW:
        return " The pressure is low as well, so it is on the side of what drives it, or it leaks."
    return " The pressure is not low, so what holds it up is at the outlets: taps, sponges, drippers."


def _far(kind: Kind, run: str, known: Sequence[Comparison], step: Step) -> Finding:
    before, after = known[step.before], known[step.before + 1]
    behind = known[step.before + 1 :]
    where = (
        f"falls off towards the far end of {run}" if step.gradual else f"falls between {before.point.tank} and "
        f"{after.point.tank} and stays low behind"
    )  # fmt: skip
    remedy = (
        "Look for a leak along it, or a pipe narrower than the plan says."
        if step.gradual
        else f"Look at the pipe between {before.point.tank} and {after.point.tank}: a kink, swarf, a valve half shut, "
        "a joint with cement inside, or a leak."
    )
    return Finding(
        code="PROOF-24", severity=Severity.WARNING, subject=run,
        text=f"{'air' if kind == 'air' else 'the drip'} {where}: {{near}} of what is expected before, {{far}} after",
        reason="outlets one after the other share one pipe: what they lose together is lost in it", remedy=remedy,
        numbers=(("near", Number(step.near, "share")), ("far", Number(step.far, "share"))),
        places=tuple(one.point.tank for one in behind), rests_on=_rests_on(known),
    )  # fmt: skip


def _alone(kind: Kind, known: Sequence[Comparison], away: Sequence[float]) -> list[Finding]:
    """The few that are off by themselves; many of them are no longer alone."""
    odd = [index for index, times in enumerate(away) if abs(times) > LONE and _off_at_all(known[index])]
    if len(odd) > max(1, len(known) // 4):
        return [
            Finding(
                code="PROOF-28", severity=Severity.WARNING, subject=known[0].point.run,
                text="{count} of {all} readings are off, each in its own way",
                numbers=(("count", Number(len(odd), "number")), ("all", Number(len(known), "number"))),
                reason="no one cause makes some low and others high without an order along the pipe",
                remedy="Set every tap as the plan has it, or read again more finely; then compare again.",
                places=tuple(known[index].point.tank for index in odd),
            )
        ]  # fmt: skip
    found = []
    for index in odd:
        one, high = known[index], away[index] > 0.0
        beside = [away[near] for near in (index - 1, index + 1) if 0 <= near < len(away)]
        robbed = high and len(beside) == 2 and sum(beside) / 2.0 < -ROBBED
        told = ALONE[kind, "robs" if robbed else "high" if high else "low"]
        found.append(_said(told, one, Number(one.share, "share")))
    return found


def _off_at_all(one: Comparison) -> bool:
    return one.outcome is not Outcome.WITHIN


def _levels(levels: Sequence[Comparison]) -> list[Finding]:
    found: list[Finding] = []
    read = [one for one in levels if one.reading is not None]
    if not read:
        return found
    if len(read) < FEW:
        return [_too_few("levels", len(read), len(levels))]
    sloped: dict[str, tuple[float, float]] = {}
    for rack in dict.fromkeys(one.point.rack for one in read):
        here = [one for one in read if one.point.rack == rack and one.point.beside is not None]
        tilt = _tilt(here)
        if tilt is None:
            continue
        slope, base = tilt
        sloped[rack] = tilt
        found.append(
            Finding(
                code="PROOF-27", severity=Severity.WARNING, subject=f"rack {rack}",
                text="its water levels run off along it, {slope} to the "
                     + ("right" if slope > 0.0 else "left") + " seen from its front",
                numbers=(("slope", Number(abs(slope), "slope")),),
                reason="levels set one by one do not step evenly: the rack is not level, or its holes were marked from "
                       "a line that was not",
                remedy="Put a long level on its shelf and along the rims; pack its feet before anything is full.",
                places=tuple(one.point.tank for one in here),
            )
        )  # fmt: skip
    rest = [one for one in read if one.point.rack not in sloped]
    middle = median(one.difference for one in rest) if len(rest) >= FEW else 0.0
    tolerance = median(one.point.tolerance for one in read)
    if abs(middle) > tolerance:
        found.append(
            Finding(
                code="PROOF-29", severity=Severity.WARNING, subject="all levels",
                text=f"stand {{by}} {'lower' if middle > 0.0 else 'higher'} than expected",
                numbers=(("by", Number(abs(middle), "length")),),
                reason="elbows of one kind turned alike, or a ruler held at another edge than the rim",
                remedy="Measure one tank again from the rim at its elbow; when it is so, say water_below_rim as read.",
                places=tuple(one.point.tank for one in rest), rests_on=_rests_on(rest),
            )
        )  # fmt: skip
    for one in read:
        slope, base = sloped.get(one.point.rack, (0.0, middle))
        away = one.difference - (base + slope * (one.point.beside or 0.0))
        if abs(away) > LONE * one.point.tolerance / 2.0 and _off_at_all(one):
            told = ALONE["level", "low" if away > 0.0 else "high"]
            found.append(_said(told, one, Number(abs(away), "length")))
    return found


def _tilt(here: Sequence[Comparison]) -> tuple[float, float] | None:
    """Slope and height of a line through a rack's differences, by the median of all pairs; None where none shows."""
    places = [one.point.beside or 0.0 for one in here]
    if len(here) < FEW + 1 or len({round(place, 2) for place in places}) < FEW:
        return None
    slopes = [
        (here[j].difference - here[i].difference) / (places[j] - places[i])
        for i in range(len(here))
        for j in range(i)
        if abs(places[j] - places[i]) > 0.01
    ]
    slope = median(slopes)
    base = median(one.difference - slope * place for one, place in zip(here, places, strict=True))
    mean = sum(places) / len(places)
    reach = math.sqrt(sum((place - mean) ** 2 for place in places))
    sigma = median(one.point.tolerance for one in here) / 2.0
    return (slope, base) if abs(slope) * reach > LONE * sigma else None


def _single(one: Comparison) -> Finding:
    told = SINGLE[one.point.kind][one.outcome is Outcome.LOW]
    assert one.reading is not None
    return _said(told, one, Number(one.reading.value, one.point.dimension))


def _said(told: Said, one: Comparison, number: Number) -> Finding:
    return Finding(
        code=told.code, severity=Severity.PROBLEM if one.point.ceiling else Severity.WARNING,
        subject=f"tank {one.point.tank}" if one.point.tank else one.point.id, text=told.text, reason=told.reason,
        remedy=told.remedy, numbers=(("number", number), ("expected", Number(one.point.value, one.point.dimension))),
        places=one.point.places, rests_on=one.point.rests_on,
    )  # fmt: skip


def _too_few(what: str, count: int, of: int) -> Finding:
    return Finding(
        code="PROOF-20", severity=Severity.NOTE, subject=what,
        text="not enough readings to tell a pattern: {count} of {of} that say something",
        numbers=(("count", Number(count, "number")), ("of", Number(of, "number"))),
        reason="one or two may be off by themselves; three or more show what they share",
        remedy="Read a few more, near and far.",
    )  # fmt: skip


def _rests_on(comparisons: Sequence[Comparison]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(key for one in comparisons for key in one.point.rests_on))
