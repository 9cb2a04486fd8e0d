"""Slow work asked for and stopped by a form: `POST /work`, and back to its page, which shows how far it is."""

from __future__ import annotations

from fastapi import FastAPI, Form, Request
from starlette.responses import PlainTextResponse, RedirectResponse, Response

from tankwright.web.access import may, who
from tankwright.web.login import local_path
from tankwright.web.shared import Shared


def add_work_routes(app: FastAPI, shared: Shared) -> None:
    """`POST /work` with `do` start (and `kind`) or cancel (and `job`), and the page to go back to."""

    @app.post("/work", include_in_schema=False)
    def _work(
        request: Request, do: str = Form(""), kind: str = Form(""), job: str = Form(""), back: str = Form("/")
    ) -> Response:
        person = who(request.scope)
        if person is None or not may(person, "look"):
            return PlainTextResponse("Your name may not do this.", 403)
        number = shared.live.snapshot.good_number
        if do == "cancel":
            shared.jobs.cancel(job)
        elif do == "start" and number is not None:
            try:
                shared.jobs.start(kind, number)
            except KeyError:
                return PlainTextResponse("There is no such work.", 400)
        shared.hub.announce(shared.live.snapshot.number)
        return RedirectResponse(local_path(back), 303)
