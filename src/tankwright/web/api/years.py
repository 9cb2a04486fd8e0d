"""The year of the plan, once a job has worked it out."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any, Final

from fastapi import APIRouter, Request
from starlette.responses import Response

from tankwright.checks.heat_year import check_year
from tankwright.report.year import json_year
from tankwright.web.api.asking import Looker
from tankwright.web.api.described import COMPUTED, UNCHANGED
from tankwright.web.api.problems import ProblemError
from tankwright.web.api.results import Chosen, OfNumber
from tankwright.web.api.shared import Here
from tankwright.workspace.years import known_year, mark_of

router = APIRouter(tags=["room"])

_YEAR: Final[Mapping[int | str, dict[str, Any]]] = {
    **COMPUTED,
    **UNCHANGED,
    200: {
        **UNCHANGED[200],
        "description": "The year, of the same shape as `tankwright year --json`",
        "content": {"application/json": {"schema": {"$ref": "#/components/schemas/Year"}}},
    },
}


@router.get("/year", responses=dict(_YEAR))
def read_year(request: Request, here: Here, _: Looker, number: OfNumber = None) -> Response:
    """The year as `tankwright year --json` gives it: energy by month and use, cost, rows, damp, measures.

    It is there once a job of kind `year` has worked it out, for this revision or for one that warmth cannot tell from
    it; until then 404.
    """
    chosen = Chosen(here, number)
    room = chosen.room
    mark = here.made_once.keep(chosen.snapshot, "year mark", mark_of)
    year = known_year(mark) if mark else None
    if year is None:
        raise ProblemError(
            "not-found", 'This year was not worked out yet: POST /jobs with {"kind": "year"} and ask again.'
        )
    unchanged = chosen.unchanged(request)
    if unchanged is not None:
        return unchanged
    told = json_year(room, year, check_year(room, year))
    return chosen.answer(json.dumps(told, ensure_ascii=False, allow_nan=False, separators=(",", ":")))
