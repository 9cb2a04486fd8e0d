"""The first run: questions a tape measure answers, the room drawn as they are answered, and the plan written."""

from __future__ import annotations

from collections.abc import Mapping

from tankwright.web.first_run import first_run
from tankwright.web.page import Page, View


def show(view: View) -> Mapping[str, object]:
    """The state the answers in the address come to, and the mistakes a form that could not be written had."""
    run = first_run(view.query)
    sent = {name: error.text for name, error in view.errors.items()}
    return {
        "run": run,
        "mistakes": {**run.mistakes, **sent},
        "there": view.snapshot.number > 0,
        "worst": run.findings[:3],
    }


PAGE = Page(name="start", path="/start", title="A new room", template="start.html", show=show)
