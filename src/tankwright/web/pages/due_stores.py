"""Foods that grow, treatments that run and spares that are kept: what is ready, what may not leave, what is short."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Final

from tankwright.husbandry.cultures import FOODS
from tankwright.husbandry.treatments import CAUTION
from tankwright.web.page import Page, View
from tankwright.web.texts import N_
from tankwright.workspace.disk import utcnow
from tankwright.workspace.round_stores import stores_of

STATES: Final = {
    "not yet": N_("not yet"), "may be ready": N_("may be ready"), "ready": N_("ready"),
    "past its best": N_("past its best"), "running": N_("runs"), "withdrawal": N_("withdrawal"), "over": N_("over"),
}  # fmt: skip


def show(view: View) -> Mapping[str, object]:
    """What goes on, and the forms."""
    now = utcnow()
    stores = stores_of(view.log, now)
    return {
        "cultures": tuple((one, one.state(now)) for one in stores.cultures), "foods": FOODS, "spares": stores.spares,
        "running": tuple((one, one.state(now)) for one in stores.running), "over": stores.over[:10], "now": now,
        "caution": CAUTION, "states": STATES, "findings": stores.findings, "day": _day, "until": until_words,
        "place_label": lambda name: stores.labels.get(name, ""), "can": view.may("enter"),
        "sent": next((one.sent for one in view.errors.values()), {}), "kept": view.query.get("kept", "")[:80],
        "told": view.query.get("told", "")[:600],
        "tanks": tuple(tank.id for tank in view.room.tanks) if view.room else (),
    }  # fmt: skip


def _day(moment: datetime) -> str:
    return f"{moment:%Y-%m-%d}"


def until_words(moment: datetime, now: datetime) -> str:
    """How long from now on, or ago, in hours or days.

    >>> from datetime import UTC
    >>> until_words(datetime(2026, 8, 3, 6, tzinfo=UTC), datetime(2026, 8, 2, 6, tzinfo=UTC))
    'in 24 h'
    """
    hours = (moment - now) / timedelta(hours=1)
    told = f"{abs(hours):.0f} h" if abs(hours) < 72 else f"{abs(hours) / 24:.0f} days"
    return f"in {told}" if hours >= 0 else f"{told} ago"


PAGE: Final = Page(
    name="due_stores",
    path="/due/stores",
    title="Foods, treatments, spares",
    template="due_stores.html",
    show=show,
)
