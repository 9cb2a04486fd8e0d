"""The values a plan assumes, fitted to readings of its room by weighted least squares, with their uncertainty.

What the readings cannot tell stays as assumed, and what its band could do to the fitted values is part of their
uncertainty: no fitted value is surer than what stays assumed allows.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tankwright.building.fitted import Fitted, FittedValue, KeptValue
from tankwright.building.fitting_scale import Scale, scales_of
from tankwright.building.fitting_words import about_fit
from tankwright.building.measurable import RESTS_ON
from tankwright.building.point import Reading, TestPoint
from tankwright.building.trying import Tries
from tankwright.plan.models import Plan
from tankwright.study import Study

Numbers = NDArray[np.float64]

DETERMINED: Final = 2.0
"""A value is fitted when its interval comes out at least so many times narrower than its band."""
ODD: Final = 4.0
"""Standard deviations from what all others say beyond which a reading is set aside."""
MOST_ODD: Final = 0.25
"""Share of the readings that may be set aside; beyond it something else is wrong."""
STEP: Final = 0.02
"""Step of a slope of a value that is fitted, in usual distances of what it may be."""
BAND: Final = 1.0
"""Step of a slope of a value that stays assumed: what its band does, not what a hair's breadth of it would."""
TOLERANCES: Final = 2.0
"""A tolerance is two standard deviations of a reading."""
_MOST_ROUNDS: Final = 16
_USUAL_TRIES: Final = 10
"""Times a fit tries the room, for each value it may fit: seen on the examples, and only told while one waits."""


@dataclass(slots=True)
class _Task:
    """Readings, what they are of, and the room that is tried."""

    tries: Tries
    points: list[TestPoint]
    read: Numbers
    sigma: Numbers
    scales: list[Scale]
    progress: Callable[[int, int], None] | None = None
    evaluations: int = 0

    def predicted(self, at: Numbers, names: Sequence[str] | None = None) -> Numbers:
        """What would be read with values at scaled places `at`; NaN where the room does not work out."""
        trial = {scale.row.key: scale.value(place) for scale, place in zip(self.scales, at, strict=True)}
        self.evaluations += 1
        if self.progress is not None:
            usual = _USUAL_TRIES * len(self.scales)
            self.progress(self.evaluations, max(usual, self.evaluations + 1))
        found = self.tries.values(trial)
        names = [point.id for point in self.points] if names is None else names
        return np.array([found.get(name, self.tries.base.get(name, math.nan)) for name in names])

    def slopes(
        self,
        at: Numbers,
        which: Sequence[int],
        step: float,
        names: Sequence[str] | None = None,
        *,
        both: bool = True,
    ) -> Numbers:
        """How what is read moves with each scaled value, one column a value: differences to both sides, or to one."""
        here = None if both else self.predicted(at, names)
        columns = []
        for index in which:
            places, ends = [], []
            for side in (step, -step) if here is None else (step if at[index] < 0.0 else -step,):
                moved = at.copy()
                moved[index] = self.scales[index].inside(at[index] + side)
                places.append(moved[index])
                ends.append(self.predicted(moved, names))
            if here is not None:
                places.append(at[index])
                ends.append(here)
            columns.append((ends[0] - ends[1]) / (places[0] - places[1]))
        return np.array(columns).T if columns else np.empty((len(self.points if names is None else names), 0))


@dataclass(slots=True)
class _State:
    """Where a fit stands: places of all values, which of them are fitted, and which readings count."""

    at: Numbers
    chosen: list[int]
    rest: list[int]
    aside: list[int]
    own: Numbers
    others: Numbers
    beyond: list[int]
    why_not: str = ""

    def kept(self) -> list[int]:
        """Those that stay as assumed."""
        return [index for index in range(len(self.at)) if index not in self.chosen]


def fit(
    plan: Plan,
    study: Study,
    points: Sequence[TestPoint],
    readings: Sequence[Reading],
    keys: Sequence[str] | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> Fitted:
    """The assumed values of a plan that readings of its room determine. `keys` are those to try, all by default.
    `progress` is told how often the room was tried, of about how often it will be.

    Source: weighted least squares with some values only considered (Schmidt), odd readings found by Baarda's test,
    after textbooks of adjustment; from memory.
    """
    known = {point.id: point for point in points}
    used = [one for one in readings if one.point in known and known[one.point].tolerance > 0.0]
    used = [one for one in used if known[one.point].kind not in ("rise", "trip")]
    kinds = frozenset(known[one.point].kind for one in used)
    wanted = {key for kind in kinds for key in RESTS_ON[kind]}
    scales = scales_of(study.room, wanted if keys is None else wanted & set(keys))
    if not used or not scales:
        why = (
            "there is no reading it could be told from" if not used else "nothing it rests on is only assumed"
        )
        return _nothing(len(used), why)
    task = _Task(
        tries=Tries(plan, study, kinds),
        points=[known[one.point] for one in used],
        read=np.array([one.value for one in used]),
        sigma=np.array([known[one.point].tolerance / TOLERANCES for one in used]),
        scales=scales,
        progress=progress,
    )
    return _fitted(task, points)


def _fitted(task: _Task, points: Sequence[TestPoint]) -> Fitted:
    start = np.zeros(len(task.scales))
    at_start = task.predicted(start)
    everything = range(len(task.scales))
    slopes = task.slopes(start, everything, BAND)
    usable = np.isfinite(at_start) & np.isfinite(slopes).all(axis=1)
    aside = [int(i) for i in np.flatnonzero(~usable)]
    rest = [i for i in range(len(task.points)) if i not in aside]
    if not rest:
        return _nothing(len(task.points), "the room cannot be worked out as the plan stands")
    chosen = _determined(slopes[rest] / task.sigma[rest, None])
    state = _State(start.copy(), chosen, rest, aside, slopes[:, chosen], slopes, [])
    most_aside = len(aside) + MOST_ODD * len(task.points)
    for _ in range(_MOST_ROUNDS):
        kept = state.kept()
        state.at[kept] = 0.0
        edge = _least(task, state)
        if state.why_not:
            break
        if edge:
            state.beyond += edge
            state.chosen = [i for i in state.chosen if i not in edge]
            continue
        state.own = task.slopes(state.at, state.chosen, STEP)
        state.others = task.slopes(state.at, kept, BAND)
        wide = _too_wide(task, state)
        if wide is not None:
            state.chosen.remove(wide)
            continue
        odd = _odd(task, state) if len(state.aside) + 1 <= most_aside else None
        if odd is None:
            break
        state.aside.append(odd)
        state.rest.remove(odd)
    else:
        state.why_not = "readings and values to fit did not come to agree"
    return _told(task, points, at_start, state)


def _determined(slopes: Numbers) -> list[int]:
    """Which values the readings tell apart, best told first: each by what the ones before leave of its slopes.

    Slopes are in standard deviations of a reading for one of the band, so a length of 2 halves the band.
    """
    left: Numbers = slopes.copy()
    chosen: list[int] = []
    while len(chosen) < min(left.shape):
        lengths = np.linalg.norm(left, axis=0)
        best = int(np.argmax(lengths))
        if not lengths[best] >= DETERMINED:
            break
        chosen.append(best)
        unit = left[:, best] / lengths[best]
        left -= np.outer(unit, unit @ left)
        left[:, chosen] = 0.0
    return sorted(chosen)


def _least(task: _Task, state: _State) -> list[int]:
    """Puts the fitted values where the room comes nearest to the readings; those that ran to their end are named."""
    if not state.chosen:
        return []
    from scipy.optimize import least_squares  # noqa: PLC0415 - heavy, and only a fit needs it

    sigma, read, rest = task.sigma[state.rest], task.read[state.rest], state.rest

    def whole(places: Numbers) -> Numbers:
        moved: Numbers = state.at.copy()
        moved[state.chosen] = places
        return moved

    def far(places: Numbers) -> Numbers:
        away: Numbers = (task.predicted(whole(places))[rest] - read) / sigma
        return np.where(np.isfinite(away), away, 1e3)

    def slopes(places: Numbers) -> Numbers:
        found: Numbers = (
            task.slopes(whole(places), state.chosen, STEP / 10.0, both=False)[rest] / sigma[:, None]
        )
        return np.where(np.isfinite(found), found, 0.0)

    low, high = np.array([task.scales[i].bounds for i in state.chosen]).T
    inside = np.clip(state.at[state.chosen], low + 1e-6, high - 1e-6)
    result = least_squares(
        far, inside, jac=slopes, bounds=(low, high), xtol=1e-6, ftol=1e-7, gtol=1e-7, max_nfev=40
    )
    state.at = whole(result.x)
    if not result.success or not np.isfinite(result.cost):
        state.why_not = "the search did not come to rest"
    at_end = (
        (result.x - low < 1e-3) | (result.active_mask < 0),
        (high - result.x < 1e-3) | (result.active_mask > 0),
    )
    return [
        index
        for number, index in enumerate(state.chosen)
        if any(at_end[side][number] and not task.scales[index].ends[side] for side in (0, 1))
    ]


def _gain(task: _Task, state: _State) -> tuple[Numbers, Numbers]:
    """How the fitted values move with each reading, and their covariance: by the readings' own errors and by what
    stays assumed, which is not fitted and still moves them.
    """
    rows = state.rest
    own, others = state.own[rows] / task.sigma[rows, None], state.others[rows] / task.sigma[rows, None]
    gain: Numbers = np.asarray(np.linalg.pinv(own), dtype=np.float64)
    pulled = gain @ others
    return gain, gain @ gain.T + pulled @ pulled.T


def _too_wide(task: _Task, state: _State) -> int | None:
    """The fitted value whose interval is hardly narrower than its band and holds the value assumed, the widest; None
    when all are told well.
    """
    if not state.chosen:
        return None
    _, spread = _gain(task, state)
    gains = []
    for index, variance in zip(state.chosen, np.diag(spread), strict=True):
        scale, reach = task.scales[index], 1.96 * math.sqrt(max(variance, 0.0))
        low, high = sorted((scale.value(state.at[index] - reach), scale.value(state.at[index] + reach)))
        assumed = low <= scale.value(0.0) <= high
        gains.append(scale.narrower(low, high) if assumed else math.inf)
    worst = int(np.argmin(gains))
    return state.chosen[worst] if gains[worst] < DETERMINED else None


def _odd(task: _Task, state: _State) -> int | None:
    """The reading farthest from what all the others say, where that is too far; None when all go together."""
    rows = state.rest
    left = (task.read - task.predicted(state.at))[rows] / task.sigma[rows]
    hidden = _hidden(task, state)
    own = np.diag(hidden)
    seen = own > 1e-6  # a reading nothing checks cannot be odd
    times = np.abs(hidden @ left) / np.sqrt(np.where(seen, own, 1.0)) * seen
    worst = int(np.argmax(times))
    return rows[worst] if times[worst] > ODD else None


def _hidden(task: _Task, state: _State) -> Numbers:
    """The weights left of the readings, in their own standard deviations, once all values may take what they like:
    the fitted ones freely, the others within their bands.
    """
    rows = state.rest
    own, others = state.own[rows] / task.sigma[rows, None], state.others[rows] / task.sigma[rows, None]
    inverse: Numbers = np.asarray(np.linalg.inv(np.eye(len(rows)) + others @ others.T), dtype=np.float64)
    if own.size:
        across = inverse @ own
        inverse -= across @ np.linalg.pinv(own.T @ across) @ across.T
    return inverse


def _told(task: _Task, points: Sequence[TestPoint], at_start: Numbers, state: _State) -> Fitted:
    rows, converged = state.rest, not state.why_not
    before = (task.read - at_start)[rows] / task.sigma[rows]
    after = (task.read - task.predicted(state.at))[rows] / task.sigma[rows]
    chi_square, widened, condition = 0.0, 1.0, 1.0
    freedom = len(rows) - len(state.chosen)
    values: tuple[FittedValue, ...] = ()
    kept: tuple[KeptValue, ...] = ()
    if converged:
        chi_square = float(after @ _hidden(task, state) @ after)
        widened = math.sqrt(max(1.0, chi_square / freedom)) if freedom > 0 else 1.0
        kept = _kept(task, points, state)
    if converged and state.chosen:
        _, spread = _gain(task, state)
        singular = np.linalg.svd(state.own[rows] / task.sigma[rows, None], compute_uv=False)
        condition = float(singular[0] / singular[-1])
        reach = _reach(freedom, widened)
        values = tuple(
            _value(task.scales[index], float(state.at[index]), widened * math.sqrt(spread[i, i]), reach)
            for i, index in enumerate(state.chosen)
        )
    made = Fitted(
        values=values,
        kept=kept,
        readings=len(task.points),
        freedom=freedom,
        chi_square=chi_square,
        widened=widened,
        set_aside=tuple(task.points[i].id for i in state.aside),
        condition=condition,
        misfit=(float(np.sqrt(np.mean(before**2))), float(np.sqrt(np.mean(after**2)))),
        converged=converged,
        why_not=state.why_not,
        evaluations=task.evaluations,
        findings=(),
    )
    return about_fit(made)


def _reach(freedom: int, widened: float) -> float:
    """Standard uncertainties to either end of 95 %: Student's where the scatter of the readings itself was used."""
    from scipy.special import ndtri, stdtrit  # noqa: PLC0415 - heavy, and only a fit needs it

    return float(stdtrit(freedom, 0.975) if widened > 1.0 else ndtri(0.975))


def _value(scale: Scale, place: float, standard: float, reach: float) -> FittedValue:
    low, high = sorted((scale.value(place - reach * standard), scale.value(place + reach * standard)))
    return FittedValue(
        row=scale.row,
        before=scale.value(0.0),
        value=scale.value(place),
        standard=(high - low) / (2.0 * reach),
        low=low,
        high=high,
        in_band=scale.row.low <= high and low <= scale.row.high,
    )


def _kept(task: _Task, points: Sequence[TestPoint], state: _State) -> tuple[KeptValue, ...]:
    """What stays assumed: beside what it hides, and the unread point that would tell most of it."""
    read = {point.id for point in task.points}
    unread = [point for point in points if point.id not in read and point.tolerance > 0.0]
    names = [point.id for point in unread]
    sigma = np.array([point.tolerance / TOLERANCES for point in unread])
    rows = state.rest
    own, others = state.own[rows] / task.sigma[rows, None], state.others[rows] / task.sigma[rows, None]
    made = []
    for number, index in enumerate(state.kept()):
        beside, would, length = "", "", float(np.linalg.norm(others[:, number]))
        if state.chosen and length >= DETERMINED:
            alike = np.abs(others[:, number] @ own) / np.maximum(np.linalg.norm(own, axis=0), 1e-300)
            beside = task.scales[state.chosen[int(np.argmax(alike))]].row.key
        if names:
            moves = np.abs(task.slopes(state.at, [index], BAND, names)[:, 0]) / sigma
            moves = np.where(np.isfinite(moves), moves, 0.0)
            best = int(np.argmax(moves))
            would = names[best] if moves[best] >= DETERMINED else ""
        scale = task.scales[index]
        made.append(
            KeptValue(
                row=scale.row,
                value=scale.value(0.0),
                beside=beside,
                would=would,
                beyond=index in state.beyond,
            )
        )
    return tuple(made)


def _nothing(readings: int, why: str) -> Fitted:
    return about_fit(
        Fitted(
            values=(), kept=(), readings=readings, freedom=0, chi_square=0.0, widened=1.0, set_aside=(), condition=1.0,
            misfit=(0.0, 0.0), converged=False, why_not=why, evaluations=0, findings=(),
        )
    )  # fmt: skip
