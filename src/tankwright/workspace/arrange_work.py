"""What fits in the room of a plan, searched for when it is asked for and kept by what it rests on: the text of the
plan, the price lists beside it, and how long to look.

A proposal is taken with `live.edit(proposal.change, ...)`: one revision, undone in one step.
"""

from __future__ import annotations

import hashlib
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import replace
from threading import Lock
from typing import Final, Literal

from tankwright.arranging.model import Arrangements, Effort, Prices, Proposal
from tankwright.arranging.search import arrange
from tankwright.arranging.trial import priced_apart
from tankwright.plan.models import Plan, Wish
from tankwright.room.layout import lay_out
from tankwright.takeoff.purchase_model import Row
from tankwright.workspace.opened import Opened
from tankwright.workspace.parts_work import Beside, files_beside, work_out
from tankwright.workspace.parts_work import mark_of as parts_mark

Progress = Callable[[int, int], None]

MAIN: Final = frozenset({"tank", "glass", "timber", "steel", "board"})
"""Kinds of article without whose price a tank or a rack has none, beside a rack bought as one; the rest is small."""

_SECONDS: Final = 2.0
_KEPT: Final = 6
_WORKED: Final[OrderedDict[str, Arrangements]] = OrderedDict()
_LOCK: Final = Lock()


def mark_of(opened: Opened, effort: Effort | None = None) -> str:
    """What the arrangements of a plan rest on, in short; "" for a plan that was not worked out."""
    mark = parts_mark(opened)
    wish = opened.plan.wish if opened.plan is not None else None
    return hashlib.sha256(f"{mark}\0{wish!r}\0{effort or Effort()}".encode()).hexdigest() if mark else ""


def known_arrangements(mark: str) -> Arrangements | None:
    """The arrangements of plans with that mark, when they were searched for before."""
    with _LOCK:
        if mark not in _WORKED:
            return None
        _WORKED.move_to_end(mark)
        return _WORKED[mark]


def proposed(mark: str, number: int) -> Proposal | None:
    """That proposal of the arrangements with that mark; None where they are not known any more."""
    known = known_arrangements(mark)
    return next((one for one in known.proposals if one.number == number), None) if known is not None else None


def worked_out_arrangements(
    opened: Opened, progress: Progress | None = None, *, effort: Effort | None = None
) -> Arrangements | None:
    """What fits in a plan's room, searched for unless it is known; None for a plan that was not laid out itself.

    `progress` is told again and again while it searches; what it raises stops the search at once.
    """
    if opened.plan is None or opened.room is None or opened.read is None:
        return None
    mark = mark_of(opened, effort)
    found = known_arrangements(mark)
    if found is None:
        prices = prices_of(opened, progress)
        found = arrange(
            opened.plan, opened.room, opened.read.text, prices=prices, effort=effort, progress=progress
        )
        with _LOCK:
            _WORKED[mark] = found
            while len(_WORKED) > _KEPT:
                _WORKED.popitem(last=False)
    return found


def prices_of(opened: Opened, progress: Progress | None = None) -> Prices:
    """What one tank and one rack of each kind of the wish costs by the plan's prices and lists; nothing is worked out
    where the plan prices nothing."""
    plan = opened.plan
    assert plan is not None
    beside = files_beside(opened)
    wish = plan.wish or Wish()
    if wish.best != "cost" and not beside.prices and not (plan.buy is not None and plan.buy.sold):
        return Prices()
    tanks = [one.kind for one in wish.tanks] or list(plan.tank_kind)
    racks = list(wish.racks or plan.rack_kind)
    of_tanks: dict[str, float] = {}
    of_racks: dict[str, float] = {}
    unknown: list[str] = []
    currency = ""
    asked: tuple[tuple[Literal["tank", "rack"], list[str], dict[str, float]], ...]
    asked = (("tank", tanks, of_tanks), ("rack", racks, of_racks))
    for what, kinds, prices in asked:
        for kind in dict.fromkeys(kinds):
            if progress is not None:
                progress(0, 1)
            alone, many = priced_apart(plan, what, kind)
            price, missing, said = _price(opened, alone, many, beside)
            currency = said or currency
            if price is None:
                unknown.append(f"{what} {kind}" + (f" ({missing})" if missing else ""))
            else:
                prices[kind] = price
    return Prices(tanks=of_tanks, racks=of_racks, currency=currency, unknown=tuple(unknown))


def _price(opened: Opened, alone: Plan, many: int, beside: Beside) -> tuple[float | None, str, str]:
    """One of many alike, what of it has no price, and the currency."""
    trial = replace(opened, plan=alone, room=lay_out(alone).room, study=None, findings=(), mistakes=())
    climate = opened.plan.climate if opened.plan is not None else None
    worked = work_out(trial, beside, currency=(climate.currency or "") if climate else "", seconds=_SECONDS)
    if worked is None or not worked.purchase.rows:
        return None, "", ""
    missing = [row.article for row in worked.purchase.rows if row.buy and row.price is None and _is_main(row)]
    if missing:
        return None, ", ".join(dict.fromkeys(missing)), worked.purchase.currency
    return worked.purchase.cost / many, "", worked.purchase.currency


def _is_main(row: Row) -> bool:
    return row.kind in MAIN or row.article.startswith("rack ")
