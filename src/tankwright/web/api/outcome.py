"""What became of a change, as an answer; and whether a key that came before was sent with the same change."""

from __future__ import annotations

from collections.abc import Mapping

from starlette.responses import Response

from tankwright.plan.changes import Change
from tankwright.web.api.plan import display_of
from tankwright.web.api.problems import ProblemError, mistakes
from tankwright.web.api.shapes import Written
from tankwright.workspace.live import Applied, Conflict, LivePlan, Outcome
from tankwright.workspace.outcomes import NOT_STORED
from tankwright.workspace.revisions import Revision

Asked = Change | Mapping[str, str]
"""A change of the text, or the fields of a step ("undo", "redo", "restore")."""


def told(live: LivePlan, outcome: Outcome, asked: Asked) -> Response:
    """The answer to a change. Raises ProblemError for one that was not made."""
    now = outcome.snapshot
    if isinstance(outcome, Conflict):
        more = {"yours": outcome.yours, "theirs": outcome.theirs, "number": now.number}
        raise ProblemError("old-revision", more=more, headers={"ETag": f'"{now.number}"'})
    display = display_of(now)
    if not isinstance(outcome, Applied):
        stored = all(one.code != NOT_STORED for one in outcome.findings)
        raise ProblemError(
            "refused" if stored else "not-stored", mistakes=mistakes(outcome.findings, display),
            more={"number": now.number},
        )  # fmt: skip
    number = outcome.number
    made = next(iter(live.revisions(1, number + 1)), None)
    if outcome.repeated and not _is_same(live, made, number, asked):
        raise ProblemError("key-used", f"This key made revision {number}, from another change.")
    opened = now.read if number == now.number else live.opened_at(number)
    known = made is not None and made.number == number
    written = Written(
        number=number, repeated=outcome.repeated,
        hash=made.hash if made is not None and known else now.hash,
        at=made.at if made is not None and known else now.at,
        who=made.who if made is not None and known else now.who,
        what=made.what if made is not None and known else now.what,
        mistakes=mistakes(opened.mistakes if opened else (), display),
    )  # fmt: skip
    body = written.model_dump_json(by_alias=True)
    return Response(body, headers={"ETag": f'"{number}"'}, media_type="application/json")


def _is_same(live: LivePlan, made: Revision | None, number: int, asked: Asked) -> bool:
    """True unless it can be told that the revision was made by something else."""
    if made is None or made.number != number:
        return True
    after = live.text_at(number)
    if isinstance(asked, Mapping):
        if asked["change"] != "restore":
            return made.kind == asked["change"]
        return after is None or after == live.text_at(int(asked["number"]))
    if (
        after is None or asked.apply(after).text == after
    ):  # an edit that changed nothing has no revision of its own
        return True
    before = live.text_at(number - 1) if number > 1 else ""
    return made.kind in ("begin", "edit") and before is not None and asked.apply(before).text == after
