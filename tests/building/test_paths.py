"""The critical-path method against a published exercise, networkx and what must always hold."""

from __future__ import annotations

import csv
from pathlib import Path

import networkx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.building.paths import Cycle, critical_path, in_order

PUBLISHED = Path(__file__).parents[1] / "published" / "critical_path_textbook.csv"
ROWS = list(csv.DictReader(PUBLISHED.read_text("utf-8").splitlines()[1:]))
DURATIONS = {row["activity"]: float(row["weeks"]) for row in ROWS}
AFTER = {row["activity"]: tuple(row["after"].split()) for row in ROWS}


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["activity"])
def test_every_time_of_the_published_exercise_is_as_printed(row: dict[str, str]) -> None:
    times, _ = critical_path(DURATIONS, AFTER)
    one = times[row["activity"]]
    assert one.earliest_start == float(row["earliest_start"])
    assert one.earliest_finish == float(row["earliest_finish"])
    assert one.latest_start == float(row["latest_start"])
    assert one.latest_finish == float(row["latest_finish"])
    assert one.slack == float(row["slack"])


def test_the_published_exercise_takes_15_weeks_by_the_published_path() -> None:
    times, path = critical_path(DURATIONS, AFTER)
    assert path == ("A", "C", "E", "G", "H")
    assert max(one.earliest_finish for one in times.values()) == 15.0


def test_a_lag_between_two_tasks_moves_what_follows_and_not_the_work() -> None:
    times, path = critical_path({"glue": 1.0, "fill": 1.0}, {"fill": ("glue",)}, lags={("glue", "fill"): 7.0})
    assert (times["glue"].earliest_finish, times["fill"].earliest_start) == (1.0, 8.0)
    assert (times["glue"].slack, path) == (0.0, ("glue", "fill"))


def test_a_task_does_not_begin_before_its_release() -> None:
    times, path = critical_path({"a": 1.0, "b": 1.0}, {"b": ("a",)}, releases={"b": 9.0})
    assert (times["b"].earliest_start, times["a"].slack, path) == (9.0, 8.0, ("b",))


def test_tasks_that_wait_for_each_other_are_named() -> None:
    with pytest.raises(Cycle) as caught:
        in_order("abc", {"a": ("b",), "b": ("a",)})
    assert set(caught.value.tasks) == {"a", "b"}


def test_a_task_that_waits_for_one_that_is_none_is_refused() -> None:
    with pytest.raises(KeyError):
        in_order("a", {"a": ("z",)})


def test_no_tasks_take_no_time() -> None:
    assert critical_path({}, {}) == ({}, ())


@st.composite
def networks(draw: st.DrawFn) -> tuple[dict[str, float], dict[str, tuple[str, ...]]]:
    count = draw(st.integers(1, 12))
    names = [f"t{number}" for number in range(count)]
    durations = {name: float(draw(st.integers(0, 9))) for name in names}
    after = {
        name: tuple(draw(st.sets(st.sampled_from(names[:place])))) if place else ()
        for place, name in enumerate(names)
    }
    return durations, after


@given(networks())
def test_the_length_is_that_of_networkx_and_the_path_has_no_slack(
    made: tuple[dict[str, float], dict[str, tuple[str, ...]]],
) -> None:
    durations, after = made
    times, path = critical_path(durations, after)
    graph = networkx.DiGraph()
    graph.add_nodes_from(durations)
    for name, before in after.items():
        graph.add_edges_from((one, name, {"weight": durations[one]}) for one in before)
    for name, long in durations.items():  # the last task's own time, on a way to an end of its own
        graph.add_edge(name, "end", weight=long)
    length = max(one.earliest_finish for one in times.values())
    assert length == networkx.dag_longest_path_length(graph)
    assert sum(durations[name] for name in path) == length
    assert all(times[name].slack == 0 for name in path)
    assert all(one.slack >= 0 for one in times.values())
