"""The life of a brood as a page shows it: worked out once for a state of the logbook, worded, drawn."""

from __future__ import annotations

from dataclasses import dataclass, replace

from markupsafe import Markup

from tankwright.display import sentence
from tankwright.drawing.chart import ON_PAGE, ChartTable, chart_table, draw_chart
from tankwright.drawing.chart_model import Chart
from tankwright.drawing.chart_table import to_read
from tankwright.drawing.fry_charts import growth_chart, survival_chart
from tankwright.drawing.screen_svg import to_screen_svg
from tankwright.husbandry.growth import GrowthFit
from tankwright.report.brood import growth_lines, hatch_line, kin_line, number_words, survival_lines
from tankwright.web.page import View
from tankwright.workspace.brood_work import REPORTED, BroodLife, brood_life, line_survival


@dataclass(frozen=True, slots=True, kw_only=True)
class BroodShown:
    """A brood's life in sentences and two charts; `numbers` are the days a report asks for, and how many there were."""

    stock: str
    lived: tuple[str, ...]
    grew: tuple[str, ...]
    numbers: tuple[tuple[str, str], ...]
    survival: tuple[Markup, ChartTable]
    growth: tuple[Markup, ChartTable] | None


def brood_shown(view: View, stock: str) -> BroodShown | None:
    """The life of the brood of that id; None for a stock that is no brood, and while nothing was ever kept."""
    book = view.log.kept
    found = book.stock(stock) if book is not None else None
    if book is None or found is None:
        return None

    def make(_: object) -> BroodShown | None:
        life = brood_life(book, found, view.log.now(), kin=False)
        if life is not None and found.line:
            life = replace(life, kin=kin)
        return _shown(life, view.display) if life is not None else None

    newest = view.log_state[0]
    kin = view.made_once.keep(
        view.snapshot, ("kin", found.line, newest), lambda _: line_survival(book, found.line)
    )
    name = ("brood", stock, view.display, newest, view.log.now().date())
    return view.made_once.keep(view.snapshot, name, make)


def _shown(life: BroodLife, display: str) -> BroodShown:
    lived = [
        *([hatch_line(life.hatched)] if life.hatched is not None else []),
        *survival_lines(life.course, life.table),
    ]
    if life.kin is not None:
        lived.append(kin_line(life.kin, life.line, REPORTED))
    fit = life.fit if isinstance(life.fit, GrowthFit) else None
    return BroodShown(
        stock=life.stock.id, lived=tuple(sentence(line.text, line.numbers, display) for line in lived),
        grew=tuple(sentence(line.text, line.numbers, display) for line in growth_lines(life.fit, life.gain)),
        numbers=tuple((f"{one.day:.0f}", number_words(one)) for one in life.numbers),
        survival=_drawn(survival_chart(life.table), "survival"),
        growth=_drawn(growth_chart(life.sizes, fit, display), "growth") if life.sizes else None,
    )  # fmt: skip


def _drawn(chart: Chart, name: str) -> tuple[Markup, ChartTable]:
    drawn = to_screen_svg(draw_chart(chart, *ON_PAGE), name=f"brood-{name}", classes=("chart",))
    return Markup(drawn), to_read(chart_table(chart))
