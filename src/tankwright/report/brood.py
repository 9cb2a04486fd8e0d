"""The life of a brood in words: numbers at the days a report asks for, what lived, how it grew, and its kin."""

from __future__ import annotations

from collections.abc import Iterator

from tankwright.finding import Number
from tankwright.husbandry.between_broods import AcrossBroods
from tankwright.husbandry.brood_counts import HatchShare, NumberAt
from tankwright.husbandry.brood_course import Bounded, BroodCourse
from tankwright.husbandry.growth import GrowthFit
from tankwright.report.model import SummaryLine


def number_words(one: NumberAt) -> str:
    """How many there were at a day, and how that is known.

    >>> number_words(NumberAt(day=30, how="between counts", number=85.0, low=80.0, high=90.0))
    '80 to 90 (between counts)'
    >>> number_words(NumberAt(day=60, how="not known", why="that day is still to come"))
    'not known: that day is still to come'
    """
    if one.number is None or one.low is None or one.high is None:
        return f"not known: {one.why}"
    low, high = f"{one.low:.0f}", f"{one.high:.0f}"
    return f"{low if low == high else f'{low} to {high}'} ({one.how})"


def start_words(course: BroodCourse) -> str:
    """How many there were at first.

    >>> start_words(BroodCourse(stock="s", origin=None, worst=(), best=()))
    '0'
    """
    low, high = course.start
    return str(low) if low == high else f"{low} to {high} (guessed)"


def survival_lines(course: BroodCourse, table: tuple[Bounded, ...]) -> Iterator[SummaryLine]:
    """What is known of who lived, and what is not."""
    yield SummaryLine(f"at first {start_words(course)}; seen dead {course.total('dead')}, taken out alive"
                      f" {course.total('withdrawn')}")  # fmt: skip
    low, high = course.unknown
    if high:
        many = str(low) if low == high else f"{low} to {high}"
        yield SummaryLine(
            f"missing, and nobody knows how: {many}. Both ends are told: all of them dead, all alive elsewhere"
        )
    if table:
        last = table[-1]
        same = abs(last.worst.share - last.best.share) < 5e-4
        text = f"alive after {last.day:.0f} days: {{best}}" if same else (
            f"alive after {last.day:.0f} days: {{worst}} to {{best}}"
        )  # fmt: skip
        yield SummaryLine(
            text + ", with chance {low} to {high}; of this brood, not of broods like it",
            (("worst", Number(last.worst.share, "share")), ("best", Number(last.best.share, "share")),
             ("low", Number(last.low, "share")), ("high", Number(last.high, "share"))),
        )  # fmt: skip


def kin_line(kin: AcrossBroods, line: str, days: float) -> SummaryLine:
    """How the broods of a line differ; of one alone nothing can be said."""
    if kin.low is None or kin.high is None:
        return SummaryLine(
            f"broods of {line or 'no line'} alive at {days:.0f} days: {{share}} of the one that was counted so long;"
            " one says nothing of how broods differ", (("share", Number(kin.share, "share")),),
        )  # fmt: skip
    return SummaryLine(
        f"broods of {line or 'no line'} alive at {days:.0f} days: {{share}} over {kin.broods} broods; the mean of many"
        " lies between {low} and {high}, the brood as the unit",
        (("share", Number(kin.share, "share")), ("low", Number(kin.low, "share")), ("high", Number(kin.high, "share"))),
    )  # fmt: skip


def hatch_line(hatched: HatchShare) -> SummaryLine:
    """What share of the eggs hatched."""
    numbers = tuple((name, Number(getattr(hatched, name), "share")) for name in ("share", "low", "high"))
    if hatched.low == hatched.high:
        return SummaryLine("of its eggs {share} hatched", numbers[:1])
    return SummaryLine("of its eggs {share} hatched, {low} to {high} by what was guessed", numbers)


def growth_lines(fit: GrowthFit | str, gain: float | None) -> Iterator[SummaryLine]:
    """How it grew, and whether where it ends can be told."""
    if gain is not None:
        yield SummaryLine("it grows by {gain} a day in the mean", (("gain", Number(gain, "length")),))
    if isinstance(fit, str):
        yield SummaryLine(fit)
        return
    if fit.asymptote is None:
        yield SummaryLine(f"where growth ends is not told: {fit.refused}")
    else:
        yield SummaryLine(
            f"{fit.curve} curve: it ends at {{end}}, give or take {{error}}",
            (("end", Number(fit.asymptote, "length")), ("error", Number(fit.errors[0], "length"))),
        )  # fmt: skip
