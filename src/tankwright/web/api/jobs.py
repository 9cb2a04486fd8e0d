"""Slow work: started, looked at while it goes on, ended. Asked for twice it is one job, so it needs no key."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated, Final, cast

from fastapi import APIRouter, Path, Response

from tankwright.report.whole import json_consequence
from tankwright.sensitivity import Consequence
from tankwright.web.api.asking import Looker
from tankwright.web.api.described import COMPUTED, FINDING, READING, refusals
from tankwright.web.api.problems import ProblemError
from tankwright.web.api.results import Chosen
from tankwright.web.api.shapes import Job, JobList
from tankwright.web.api.shared import PREFIX, Here, announce
from tankwright.web.api.wanted import JobWanted
from tankwright.workspace.jobs import Job as Seen

router = APIRouter(tags=["jobs"])
RANKING: Final = "assumptions"
_Id = Annotated[str, Path(min_length=1, max_length=80, description="its name", examples=["assumptions-41"])]


def _told(job: Seen) -> Job:
    ranked = (
        cast(Iterable[Consequence], job.result) if job.result is not None and job.kind == RANKING else None
    )
    return Job(
        id=job.id, kind=job.kind, number=job.number, state=job.state, done=job.done, of=job.of,
        result=None if ranked is None else [json_consequence(one) for one in ranked],
    )  # fmt: skip


_STARTED = {
    **COMPUTED,
    **refusals("not-json", "unreadable", "not-found", "no-plan", "not-worked-out", "too-large"),
    202: {
        "description": "The job, as far as it is",
        "headers": {"Location": {"description": "where to look at it", "schema": {"type": "string"}}},
    },
}


@router.post("/jobs", status_code=202, response_model=Job, responses=_STARTED)
def start_job(here: Here, _: Looker, wanted: JobWanted, response: Response) -> object:
    """Have every assumption tried at both ends of its band, for their ranking, or a year worked out, for `/year`."""
    chosen = Chosen(here, wanted.number)
    _room = chosen.room
    job = here.jobs.start(wanted.kind, chosen.number)
    announce(here)
    response.headers["Location"] = f"{PREFIX}/jobs/{job.id}"
    return _told(job)


@router.get("/jobs", response_model=JobList, responses=READING)
def list_jobs(here: Here, _: Looker) -> object:
    """The jobs of the last few revisions; results are kept with the server, not on the disk."""
    return JobList(jobs=[_told(one) for one in here.jobs.list()])


@router.get("/jobs/{job}", response_model=Job, responses=FINDING)
def read_job(here: Here, _: Looker, job: _Id) -> object:
    """A job, as far as it is."""
    found = here.jobs.get(job)
    if found is None:
        raise ProblemError("not-found", "There is no such job.")
    return _told(found)


@router.delete("/jobs/{job}", response_model=Job, responses=FINDING)
def cancel_job(here: Here, _: Looker, job: _Id) -> object:
    """End a job that is not done; one that is done keeps its result."""
    found = here.jobs.cancel(job)
    if found is None:
        raise ProblemError("not-found", "There is no such job.")
    announce(here)
    return _told(found)
