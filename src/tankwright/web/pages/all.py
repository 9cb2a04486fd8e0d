"""Every page, in the order of the bar. A new page is one file and one line here."""

from __future__ import annotations

import re
from typing import Final
from urllib.parse import unquote

from tankwright.web.page import Page
from tankwright.web.pages import (
    air,
    api,
    aslant,
    assumptions,
    basket,
    board,
    book,
    bring,
    build,
    cards,
    cuts,
    drain,
    due,
    due_paper,
    due_stores,
    due_walk,
    due_work,
    fault,
    faults,
    feed,
    finger,
    fish,
    fish_card,
    fit,
    glass,
    happened,
    heat,
    helping,
    history,
    life,
    line,
    lines,
    load,
    oxygen,
    papers,
    parts,
    power,
    printing,
    proof,
    proof_sheet,
    quarantine,
    racks,
    room,
    settings,
    space,
    start,
    strength,
    tank,
    tank_fish,
    test_sheet,
    text,
    trace,
    water,
    waters,
    year,
)

PAGES: Final[tuple[Page, ...]] = (
    room.PAGE,
    aslant.PAGE,
    air.PAGE,
    feed.PAGE,
    drain.PAGE,
    load.PAGE,
    glass.PAGE,
    strength.PAGE,
    power.PAGE,
    water.PAGE,
    oxygen.PAGE,
    heat.PAGE,
    life.PAGE,
    year.PAGE,
    faults.PAGE,
    fault.PAGE,
    fit.PAGE,
    text.PAGE,
    assumptions.PAGE,
    history.PAGE,
    printing.PAGE,
    parts.PAGE,
    cuts.PAGE,
    basket.PAGE,
    build.PAGE,
    proof.PAGE,
    proof_sheet.PAGE,
    book.PAGE,
    cards.DOOR,
    cards.ABSENCE,
    racks.PAGE,
    due.PAGE,
    due_walk.PAGE,
    due_work.PAGE,
    due_stores.PAGE,
    due_paper.LIST,
    due_paper.SHEET,
    fish.PAGE,
    fish_card.PAGE,
    happened.PAGE,
    lines.PAGE,
    line.PAGE,
    space.PAGE,
    waters.PAGE,
    quarantine.PAGE,
    trace.PAGE,
    papers.PAGE,
    board.PAGE,
    bring.PAGE,
    finger.PAGE,
    tank.PAGE,
    tank_fish.PAGE,
    test_sheet.PAGE,
    settings.PAGE,
    api.PAGE,
    helping.PAGE,
    start.PAGE,
)


def find_page(path: str) -> tuple[Page, dict[str, str]] | None:
    """The page at a path, and the names in it.

    >>> find_page("/")[0].name, find_page("/nowhere")
    ('room', None)
    """
    for page in PAGES:
        pattern = re.sub(r"\\{(\w+)\\}", r"(?P<\1>[^/]+)", re.escape(page.path))
        match = re.fullmatch(pattern, path)
        if match is not None:
            return page, {name: unquote(value) for name, value in match.groupdict().items()}
    return None


def shown_in(group: str) -> tuple[Page, ...]:
    """The pages of one group of the bar."""
    return tuple(page for page in PAGES if page.group == group)
