"""The API as an app of its own, which the app of the pages mounts under the prefix."""

from __future__ import annotations

from functools import cache
from typing import Any

from fastapi import FastAPI

from tankwright import __version__
from tankwright.web.api import changes, history, jobs, life, logbook, plan, results, years
from tankwright.web.api.described import DESCRIPTION, describe
from tankwright.web.api.problems import answer_with_problems
from tankwright.web.api.shared import PREFIX, Shared

ROUTERS = (
    plan.router,
    changes.router,
    results.router,
    years.router,
    history.router,
    logbook.router,
    life.router,
    jobs.router,
)
TAGS = {
    "plan": "The plan as it stands.",
    "changes": "Changes of the plan, each upon the revision it was made from and each done once.",
    "room": "What follows from the plan.",
    "history": "What the plan was.",
    "logbook": "What was measured, seen and done at the tanks.",
    "jobs": "Slow work.",
}


class _Api(FastAPI):
    def openapi(self) -> dict[str, Any]:
        """The description of the API, made once."""
        return describe(self)


def build_api(shared: Shared | None = None) -> FastAPI:
    """The API over what the app holds; without it only to be described."""
    api = _Api(
        title="tankwright", version=__version__, description=DESCRIPTION, docs_url=None, redoc_url=None,
        openapi_url="/openapi.json", servers=[{"url": PREFIX}], root_path_in_servers=False,
        openapi_tags=[{"name": name, "description": about} for name, about in TAGS.items()],
        redirect_slashes=False,
    )  # fmt: skip
    api.state.shared = shared
    answer_with_problems(api, [route for router in ROUTERS for route in router.routes])
    for router in ROUTERS:
        api.include_router(router)
    return api


@cache
def described() -> dict[str, Any]:
    """The description of the API, for pages about it."""
    return build_api().openapi()
