"""The air: where each run works, its taps one by one, and all of them set in one step."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import fmean
from typing import Final, Literal

from markupsafe import Markup

from tankwright.drawing.air_chart import air_chart
from tankwright.drawing.chart import ON_PAGE, chart_table, draw_chart
from tankwright.drawing.colour import step_for
from tankwright.drawing.screen_svg import to_screen_svg
from tankwright.room.model import AirRun, Room, TapPlace
from tankwright.systems.air_model import AirResult, AirRunResult, TapAir
from tankwright.systems.air_settings import Tried, as_it_stands, try_openings
from tankwright.web.page import Page, View
from tankwright.web.plan_values import FieldGroup, air_fields, plan_of, pump_fields
from tankwright.workspace.opened import Opened

MOST_ROWS: Final = 60
"""Taps on one page: each has a form of its own, and more would make a heavy page."""

Order = Literal["tank", "share", "opening"]
ORDERS: Final[tuple[Order, ...]] = ("tank", "share", "opening")

Table = tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]


@dataclass(frozen=True, slots=True, kw_only=True)
class TapRow:
    """A tank's tap. `base` names its workings ("A3.air"). `first` is the tank's first tap, which bears the field: a
    plan says one opening for all taps of a tank. `step` is the colour of its share; `open` False when it is shut."""

    tank: str
    tap: str
    base: str
    first: bool
    open: bool
    reached: bool
    flow: float
    wanted: float | None
    share: float
    step: str
    pressure: float | None
    depth: float
    opening: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """The least and the most share of what it wants that any tank of a run gets, and what its pump works at."""

    least: float
    least_tank: str
    most: float
    most_tank: str
    pressure: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Balance:
    """All taps of a run at their balancing settings: what the form sends, and what it would come to (`after` None:
    that could not be worked out). No pump is to work over `limit`. `done` when the taps stand so already."""

    openings: str
    shut: str
    taps: int
    spare: int
    before: Spread
    after: Spread | None
    limit: float
    done: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class RunShown:
    """One run as the page shows it; `solved` is None when it could not be worked out, and `why` says why not."""

    run: AirRun
    solved: AirRunResult | None
    why: str
    chart: Markup
    table: Table
    rows: tuple[TapRow, ...]
    spare_open: int
    spare_shut: int
    balance: Balance | None


def show(view: View) -> Mapping[str, object]:
    """Every run of the plan; none means that the page offers to begin."""
    runs = view.made_once.keep(view.snapshot, "air page", shown_runs) or ()
    order: Order = next((one for one in ORDERS if one == view.query.get("order")), "tank")
    room, study = view.room, view.study
    return {
        "runs": runs,
        "groups": _groups(view, room) if room else (),
        "pumps": _curves(view, room) if room else (),
        "orders": ORDERS,
        "order": order,
        "rows_of": {one.run.id: in_order(one.rows, order) for one in runs},
        "start": first_row(view.query.get("from", "")),
        "most_rows": MOST_ROWS,
        "without": study.air.without_air if study and study.air else (),
    }


def first_row(asked: str) -> int:
    """The index of the first row of a page of a long table, of what its address says.

    >>> first_row("61"), first_row(""), first_row("-3"), first_row("x")
    (60, 0, 0, 0)
    """
    number = int(asked) if asked.isascii() and asked.isdigit() and len(asked) < 7 else 1
    return max(0, number - 1) // MOST_ROWS * MOST_ROWS


def in_order(rows: Sequence[TapRow], order: Order) -> tuple[TapRow, ...]:
    """The rows by their tanks as the plan has them, or by what is least first."""
    if order == "share":
        return tuple(sorted(rows, key=lambda row: row.share))
    if order == "opening":
        return tuple(sorted(rows, key=lambda row: row.opening))
    return tuple(rows)


def shown_runs(opened: Opened) -> tuple[RunShown, ...]:
    """Every air run of a worked-out plan."""
    room, study = opened.room, opened.study
    if room is None or study is None or study.air is None:
        return ()
    rows = tap_rows(room, study.air)
    solved = {one.run: one for one in study.air.runs}
    missing = dict(study.air.not_computed)
    made: list[RunShown] = []
    for run in room.airs:
        result = solved.get(run.id)
        spare = [tap.open for tap in run.taps if tap.tank is None]
        own = rows[run.id]
        chart = air_chart(result, room.pumps, room.display) if result else None
        drawn = (
            to_screen_svg(draw_chart(chart, *ON_PAGE), name=f"chart-{len(made)}", classes=("chart",))
            if chart
            else ""
        )
        made.append(RunShown(
            run=run, solved=result, why=missing.get(f"air {run.id}", ""),
            chart=Markup(drawn), table=chart_table(chart) if chart else ((), ()),
            rows=own, spare_open=sum(spare), spare_shut=len(spare) - sum(spare),
            balance=balance(run, result, own) if result else None,
        ))  # fmt: skip
    return tuple(made)


# --- taps -------------------------------------------------------------------------------------------------------


def tap_rows(room: Room, air: AirResult) -> Mapping[str, tuple[TapRow, ...]]:
    """The tanks' taps of every run, in the order of the room's tanks."""
    solved = {run.run: run for run in air.runs}
    place = {tank.id: number for number, tank in enumerate(room.tanks)}
    seen: dict[str, int] = {}
    found: dict[str, tuple[TapRow, ...]] = {}
    for run in room.airs:
        result = solved.get(run.id)
        told = {tap.tap: tap for tap in result.taps} if result else {}
        order = [tap.tap for tap in result.taps] if result else []
        taps = {tap.id: tap for tap in run.taps if tap.tank is not None}
        named = [taps[name] for name in order if name in taps]
        named += [tap for tap in taps.values() if tap.id not in told]
        rows = []
        for tap in named:
            tank = tap.tank or ""
            seen[tank] = seen.get(tank, 0) + 1
            rows.append(_row(tap, tank, told.get(tap.id), seen[tank]))
        rows.sort(key=lambda row: (place.get(row.tank, len(place)), row.base))
        found[run.id] = tuple(rows)
    return found


def _row(tap: TapPlace, tank: str, solved: TapAir | None, number: int) -> TapRow:
    wanted = tap.flow_wanted.value if tap.flow_wanted else None
    share = (solved.share or 0.0) if solved else 0.0
    return TapRow(
        tank=tank,
        tap=tap.id,
        base=f"{tank}.air" + (str(number) if number > 1 else ""),
        first=number == 1,
        open=tap.open,
        reached=solved is None or solved.reached,
        flow=solved.flow if solved else 0.0,
        wanted=wanted,
        share=share,
        step=step_for(share).fill.token,
        pressure=solved.ring_pressure if solved else None,
        depth=tap.water_depth,
        opening=1.0 if tap.opening is None else tap.opening.value,
    )


# --- all taps in one step ------------------------------------------------------------------------------------------


def balance(run: AirRun, solved: AirRunResult, rows: Sequence[TapRow]) -> Balance | None:
    """What setting every tap of a run would do; None for a run without settings."""
    wanted: dict[str, list[float]] = {}
    for tap in solved.taps:
        if tap.tank is not None and tap.opening is not None:
            wanted.setdefault(tap.tank, []).append(tap.opening)
    told = {
        row.tank: f"{100 * fmean(wanted[row.tank]):.3g}"
        for row in rows if row.first and row.open and row.tank in wanted
    }  # fmt: skip
    before = spread(as_it_stands(solved))
    if not told or before is None:
        return None
    openings = {tank: float(share) / 100 for tank, share in told.items()}
    spare = sum(tap.open for tap in run.taps if tap.tank is None)
    now = {row.tank: row.opening for row in rows if row.first}
    done = not spare and all(abs(now[tank] - share) < 5e-4 + 1e-3 * share for tank, share in openings.items())
    tried = None if done else try_openings(run, solved, openings, shut_spare=True)
    return Balance(
        openings="\n".join(f"{tank}={share}" for tank, share in told.items()),
        shut=run.id if spare else "",
        taps=len(openings),
        spare=spare,
        before=before,
        after=spread(tried) if tried else None,
        limit=solved.limit_pressure,
        done=done,
    )


def spread(tried: Tried) -> Spread | None:
    """How unequal the tanks of a run are served; None without a tank."""
    shares = [(share, tap.tank or "") for tap, share in tried.shares]
    if not shares:
        return None
    least, most = min(shares, key=lambda one: one[0]), max(shares, key=lambda one: one[0])
    return Spread(
        least=least[0], least_tank=least[1], most=most[0], most_tank=most[1], pressure=tried.pressure
    )


# --- values of the plan ----------------------------------------------------------------------------------------------


def _groups(view: View, room: Room) -> tuple[FieldGroup, ...]:
    groups = [group for run in room.airs for group in air_fields(view, run)]
    named = {pump for run in room.airs for pump in run.pumps}
    groups += [pump_fields(view, pump) for pump in room.pumps if pump.id in named]
    return tuple(groups)


def _curves(view: View, room: Room) -> tuple[tuple[str, int], ...]:
    """The pumps of the air as the text has them now, each with the points of its curve."""
    plan = plan_of(view)
    named = dict.fromkeys(pump for run in room.airs for pump in run.pumps)
    return tuple((name, len(plan.pump[name].curve)) for name in named if plan and name in plan.pump)


PAGE = Page(name="air", path="/air", title="Air", template="air.html", show=show, group="system", layer="air")
