"""The critical-path method: when each task can begin at the earliest and must at the latest."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter
from operator import add, sub


@dataclass(frozen=True, slots=True, kw_only=True)
class Times:
    """Earliest and latest start and finish of a task. With the calendar of an engine that has one, moments of it."""

    earliest_start: float
    earliest_finish: float
    latest_start: float
    latest_finish: float

    @property
    def slack(self) -> float:
        """How much later it may begin without moving the end."""
        return self.latest_start - self.earliest_start


class Cycle(ValueError):  # noqa: N818 - it names what was found
    """Tasks wait for each other in a ring: `tasks` are those of one."""

    def __init__(self, tasks: tuple[str, ...]) -> None:
        self.tasks = tasks
        super().__init__(" -> ".join(tasks))


def critical_path(
    durations: Mapping[str, float],
    after: Mapping[str, Iterable[str]],
    *,
    lags: Mapping[tuple[str, str], float] | None = None,
    begin: float = 0.0,
    releases: Mapping[str, float] | None = None,
    forward: Callable[[float, float], float] = add,
    backward: Callable[[float, float], float] = sub,
) -> tuple[dict[str, Times], tuple[str, ...]]:
    """Times of every task, and the longest way through them.

    `after` names what comes before each task, `lags` what must pass between two of them: (earlier, later). No task
    begins before `begin`, nor before its own of `releases`.
    `forward(start, duration)` is the finish, `backward(finish, duration)` the latest start: plain sums, or a
    calendar's. Raises `Cycle` when tasks wait for each other.

    Source: forward and backward pass of Kelley and Walker, 1959, textbook form.

    >>> times, path = critical_path({"dig": 2.0, "pour": 1.0, "order": 1.0}, {"pour": ("dig", "order")})
    >>> path, times["order"].slack
    (('dig', 'pour'), 1.0)
    """
    order = in_order(durations, after)
    before = {task: tuple(dict.fromkeys(after.get(task, ()))) for task in durations}
    gaps, not_before = lags or {}, releases or {}
    start: dict[str, float] = {}
    finish: dict[str, float] = {}
    driver: dict[str, str | None] = {}
    for task in order:
        start[task], driver[task] = max(begin, not_before.get(task, begin)), None
        for earlier in before[task]:
            can = finish[earlier] + gaps.get((earlier, task), 0.0)
            if can > start[task] or (driver[task] is None and can >= start[task]):
                start[task], driver[task] = can, earlier
        finish[task] = forward(start[task], durations[task])
    if not order:
        return {}, ()
    last = max(order, key=finish.__getitem__)
    latest = dict.fromkeys(order, finish[last])
    for task in reversed(order):
        must = backward(latest[task], durations[task])
        for earlier in before[task]:
            latest[earlier] = min(latest[earlier], must - gaps.get((earlier, task), 0.0))
    path = [last]
    while (one := driver[path[-1]]) is not None:
        path.append(one)
    times = {
        task: Times(
            earliest_start=start[task], earliest_finish=finish[task],
            latest_start=backward(latest[task], durations[task]), latest_finish=latest[task],
        )
        for task in order
    }  # fmt: skip
    return times, tuple(reversed(path))


def in_order(tasks: Iterable[str], after: Mapping[str, Iterable[str]]) -> tuple[str, ...]:
    """The tasks so that each comes after what must come before it; `Cycle` when there is no such order, KeyError for
    one that waits for a task that is none.

    >>> in_order(("b", "a"), {"b": ("a",)})
    ('a', 'b')
    """
    known = tuple(tasks)
    sorter = TopologicalSorter({task: tuple(after.get(task, ())) for task in known})
    try:
        order = tuple(sorter.static_order())
    except CycleError as error:
        raise Cycle(tuple(error.args[1][:-1])) from None
    if len(order) > len(known):
        raise KeyError(next(iter(set(order) - set(known))))
    return order
