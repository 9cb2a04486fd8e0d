"""Slow work: one job for one question, seen from outside, ended when asked, never in an edit's way."""

from __future__ import annotations

import threading
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from tankwright.workspace.jobs import Job, Jobs, Progress
from tankwright.workspace.opened import Opened
from tankwright.workspace.shelf import Shelf

from .rooms import ROOM, live, put

EXAMPLES = Path(__file__).parents[2] / "examples"


@dataclass
class Plans:
    """Every number is the same small plan; number 0 is none."""

    idle: threading.Event = field(default_factory=threading.Event)
    opened: Opened = field(default_factory=lambda: Shelf(Path("plan.toml")).open(ROOM))

    def __post_init__(self) -> None:
        self.idle.set()

    def opened_at(self, number: int) -> Opened | None:
        return self.opened if number else None


@dataclass
class Work:
    """Three trials, each let go by the test."""

    go: threading.Semaphore = field(default_factory=lambda: threading.Semaphore(0))
    ran: int = 0

    def __call__(self, opened: Opened, progress: Progress) -> str:
        assert opened.room is not None
        self.ran += 1
        for trial in range(3):
            progress(trial, 3)
            assert self.go.acquire(timeout=10)
        return "worked out"


def end(jobs: Jobs, job: Job) -> Job:
    ended = jobs.wait(job.id, 10)
    assert ended is not None
    assert ended.state in ("done", "cancelled", "failed")
    return ended


def reached(jobs: Jobs, job: Job, done: int) -> None:
    for _ in range(1000):
        seen = jobs.get(job.id)
        if seen is not None and seen.state == "running" and seen.done == done and seen.of == 3:
            return
        jobs.wait(job.id, 0.01)
    raise AssertionError("it never came so far")


def test_a_job_shows_how_far_it_is_and_keeps_its_result() -> None:
    work = Work()
    jobs = Jobs(Plans(), {"slow": work})
    job = jobs.start("slow", 1)
    assert (job.kind, job.number) == ("slow", 1)
    reached(jobs, job, 0)
    work.go.release()
    reached(jobs, job, 1)
    work.go.release(2)
    done = end(jobs, job)
    assert (done.state, done.done, done.of, done.result) == ("done", 3, 3, "worked out")
    assert jobs.start("slow", 1) == done
    assert work.ran == 1
    jobs.close()


def test_a_question_asked_twice_is_one_job() -> None:
    work = Work()
    jobs = Jobs(Plans(), {"slow": work})
    first = jobs.start("slow", 1)
    assert jobs.start("slow", 1).id == first.id
    assert len(jobs.list()) == 1
    work.go.release(3)
    end(jobs, first)
    assert work.ran == 1
    jobs.close()


def test_a_job_is_cancelled_at_its_next_trial_and_can_be_asked_for_again() -> None:
    work = Work()
    jobs = Jobs(Plans(), {"slow": work})
    job = jobs.start("slow", 1)
    reached(jobs, job, 0)
    cancelled = jobs.cancel(job.id)
    assert cancelled is not None
    assert cancelled.state == "cancelled"
    again = jobs.start("slow", 1)
    assert again.state == "waiting"
    work.go.release(4)
    assert end(jobs, again).state == "done"
    assert work.ran == 2
    assert jobs.cancel("nothing") is None
    assert jobs.cancel(job.id) == jobs.get(job.id)
    jobs.close()


def test_a_job_that_waits_is_cancelled_at_once() -> None:
    work = Work()
    jobs = Jobs(Plans(), {"slow": work})
    running = jobs.start("slow", 1)
    reached(jobs, running, 0)
    waiting = jobs.start("slow", 2)
    jobs.cancel(waiting.id)
    assert end(jobs, waiting).state == "cancelled"
    work.go.release(6)
    end(jobs, running)
    assert work.ran == 1
    jobs.close()


def test_a_job_steps_aside_while_an_edit_is_on_its_way() -> None:
    plans, work = Plans(), Work()
    work.go.release(3)
    plans.idle.clear()
    jobs = Jobs(plans, {"slow": work})
    job = jobs.start("slow", 1)
    reached(jobs, job, 0)
    seen = jobs.wait(job.id, 0.2)
    assert seen is not None
    assert (seen.state, seen.done) == ("running", 0)
    plans.idle.set()
    assert end(jobs, job).state == "done"
    jobs.close()


def test_results_of_the_newest_revisions_are_kept() -> None:
    work = Work()
    work.go.release(100)
    jobs = Jobs(Plans(), {"slow": work})
    for number in range(1, 6):
        end(jobs, jobs.start("slow", number))
    assert [job.number for job in jobs.list()] == [5, 4, 3]
    assert jobs.get("slow-1") is None
    jobs.close()


def fail(opened: Opened, progress: Progress) -> object:
    raise ZeroDivisionError


def test_a_job_that_breaks_or_has_no_plan_says_so_and_the_next_one_runs() -> None:
    work = Work()
    work.go.release(3)
    jobs = Jobs(Plans(), {"slow": work, "broken": fail})
    assert end(jobs, jobs.start("broken", 1)).state == "failed"
    assert end(jobs, jobs.start("slow", 0)).state == "failed"
    assert end(jobs, jobs.start("slow", 1)).state == "done"
    with pytest.raises(KeyError):
        jobs.start("unknown", 1)
    jobs.close()


def test_closing_ends_what_runs() -> None:
    work = Work()
    jobs = Jobs(Plans(), {"slow": work})
    job = jobs.start("slow", 1)
    reached(jobs, job, 0)
    work.go.release()
    jobs.close()
    assert end(jobs, job).state == "cancelled"
    assert jobs.start("slow", 9).state == "cancelled"


def test_the_assumptions_of_a_live_plan_are_ranked_beside_its_edits(tmp_path: Path) -> None:
    plan = live(tmp_path, (EXAMPLES / "garage.toml").read_text("utf-8"))
    jobs = Jobs(plan)
    job = jobs.start("assumptions", 1)
    put(plan, plan.snapshot.text + "\n# a remark\n")
    done = end(jobs, job)
    assert done.state == "done"
    assert done.done == done.of > 10
    assert done.result == plan.snapshot.read.consequences()
    jobs.close()
