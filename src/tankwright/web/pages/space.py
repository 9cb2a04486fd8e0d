"""Fry space: tanks that fry will need in the next weeks, the chance to run out, when to decide, what it rests on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from markupsafe import Markup

from tankwright.display import sentence, words
from tankwright.drawing.chart import ON_PAGE, ChartTable, chart_table, draw_chart
from tankwright.drawing.fry_charts import fry_space_chart
from tankwright.drawing.screen_svg import to_screen_svg
from tankwright.finding import Number
from tankwright.husbandry.calendar_words import date_words, days_words
from tankwright.husbandry.changes_around import Change
from tankwright.husbandry.fry_backtest import PastWeek
from tankwright.husbandry.fry_model import DensityBand, FryForecast, in_ten
from tankwright.husbandry.spawning import SetRhythm
from tankwright.report.fry import (
    CAUTION,
    cause_words,
    main_causes,
    past_words,
    rate_numbers,
    summary_fry,
    week_words,
)
from tankwright.web.page import Page, View
from tankwright.workspace.fry_rules import MOST_BANDS
from tankwright.workspace.fry_work import BACK, FrySpace, fry_space

FORM: Final = "fry:"
"""What the name of a field's error begins with."""
_RHYTHMS: Final = {
    "usual": "as usual", "quiet": "gone quiet", "not known": "too few spawns to say", "never": "never spawned",
    "ended": "parted",
}  # fmt: skip
_MOST_CHANGES: Final = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class WeekRow:
    """A week as it is read."""

    begins: str
    tanks: str
    water: str
    out: str
    is_worst: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class RateRow:
    """A rate of a line as it is read: its middle, between what eight broods in ten lie, and where it is from."""

    says: str
    middle: str
    ends: str
    told: str
    is_own: bool
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SetRow:
    """A breeding set as it is read."""

    label: str
    spawns: int
    usual: str
    since: str
    rhythm: str
    is_quiet: bool
    changes: tuple[Change, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BandRow:
    """A row of the form of densities: its number, what is typed in both its fields."""

    number: int
    up_to: str
    per_litre: str


def show(view: View) -> Mapping[str, object]:
    """The forecast as of this hour, and with `past` in the address how past weeks did."""
    space = _space(view)
    error = {name.removeprefix(FORM): one for name, one in view.errors.items() if name.startswith(FORM)}
    if space is None:
        return {"space": None, "error": error}
    told = space.forecast
    sent = next((one.sent for one in error.values()), None)
    return {
        "space": space, "told": told, "error": error, "caution": CAUTION, "in_ten": in_ten, "date_words": date_words,
        "summary": tuple(sentence(line.text, line.numbers, view.display) for line in summary_fry(told)),
        "chart": _chart(told), "weeks": _weeks(view, told),
        "causes": tuple(cause_words(told, one) for one in main_causes(told)),
        "hold": tuple(dict.fromkeys(one.label for one in told.ask.coming if one.id in told.hold)),
        "sets": tuple(_set(space, one.label or one.id, rhythm) for one, rhythm in space.rhythms),
        "rates": tuple((space.line_name(line), _rates(view, told, line)) for line in _lines(told)),
        "past": past_words(space.past) if _asks_past(view) else "", "past_weeks": tuple(map(_past, space.past.weeks)),
        "bands": _bands(view, space, sent), "sent": sent, "is_own": bool(space.kept.rules.density),
        "is_kept": "kept" in view.query, "chosen": {one.label for one in told.ask.tanks},
        "raised": {one.id for one, _ in space.rhythms} - set(space.kept.left_out),
    }  # fmt: skip


def _asks_past(view: View) -> bool:
    return view.query.get("past", "") == "1"


def _space(view: View) -> FrySpace | None:
    """Made once for what the logbook holds, the rules, the hour, and the back-test where it is asked for."""
    if view.log.kept is None:
        return None
    now = view.log.now()
    try:
        rules = (view.log.folder / "fry.json").stat().st_mtime_ns
    except OSError:
        rules = 0
    back = BACK if _asks_past(view) else 0
    name = ("fry space", view.log_state[0], f"{now:%Y-%m-%d %H}", rules, back)
    return view.made_once.keep(view.snapshot, name, lambda _: fry_space(view.log, now, back=back))


def _chart(told: FryForecast) -> tuple[Markup, ChartTable]:
    chart = fry_space_chart(told)
    return Markup(to_screen_svg(draw_chart(chart, *ON_PAGE), name="fry", classes=("chart",))), chart_table(
        chart
    )


def _weeks(view: View, told: FryForecast) -> tuple[WeekRow, ...]:
    return tuple(
        WeekRow(
            begins=date_words(week.begins), tanks=week_words(week), water=view.words(week.volume_middle, "volume"),
            out=in_ten(week.chance_out) if told.ask.tanks else "", is_worst=week.number == told.out_week,
        )
        for week in told.weeks
    )  # fmt: skip


def _lines(told: FryForecast) -> tuple[str, ...]:
    return tuple(
        dict.fromkeys([*(one.line for one in told.ask.standing), *(one.line for one in told.ask.coming)])
    )


def _rates(view: View, told: FryForecast, line: str) -> tuple[RateRow, ...]:
    def say(number: Number) -> str:
        return words(number, view.display)

    return tuple(
        RateRow(
            says=says, middle=say(middle), ends=f"{say(low)} to {say(high)}" if rate.spread else "", told=rate.told,
            is_own=rate.own > 0, source=rate.kind.source,
        )
        for says, rate, middle, low, high in rate_numbers(told.ask.rates_of(line))
    )  # fmt: skip


def _set(space: FrySpace, label: str, rhythm: SetRhythm) -> SetRow:
    return SetRow(
        label=label, spawns=rhythm.spawns, usual=days_words(rhythm.usual) if rhythm.usual is not None else "",
        since=days_words(rhythm.since), rhythm=_RHYTHMS[rhythm.rhythm], is_quiet=rhythm.rhythm == "quiet",
        changes=space.changes.get(rhythm.breeding_set, ())[:_MOST_CHANGES],
    )  # fmt: skip


def _past(one: PastWeek) -> tuple[str, str, str, bool]:
    band = f"{one.middle:.0f} ({one.low:.0f} to {one.high:.0f})"
    return date_words(one.begins), band, f"{one.came:.0f}", one.is_within


def _bands(view: View, space: FrySpace, sent: Mapping[str, str] | None) -> tuple[BandRow, ...]:
    """The rows as they were typed, or as they are kept, or as they usually are; then empty ones."""
    if sent is not None:
        return tuple(
            BandRow(number=n, up_to=sent.get(f"up_to_{n}", ""), per_litre=sent.get(f"per_litre_{n}", ""))
            for n in range(MOST_BANDS)
        )
    bands: tuple[DensityBand, ...] = space.forecast.ask.density
    rows = [
        BandRow(
            number=n,
            up_to="" if one.up_to is None else view.words(one.up_to, "length"),
            per_litre=f"{one.per_litre:g}",
        )
        for n, one in enumerate(bands)
    ]
    rows += [BandRow(number=n, up_to="", per_litre="") for n in range(len(rows), MOST_BANDS)]
    return tuple(rows[:MOST_BANDS])


PAGE = Page(name="space", path="/space", title="Fry space", template="space.html", show=show, group="life")
