"""The cards for paper: one page each, nothing cut, type as large as there is room for, in the app and as a file."""

from __future__ import annotations

import io
from dataclasses import replace
from functools import cache
from typing import Any, Final

import httpx
import pypdf
import pytest
from playwright.sync_api import Page as Tab

from tankwright.faults.model import Faults, Harm, HarmKind, Outcome
from tankwright.report.cards import DoorCard, WorstFault
from tankwright.report.cards_absence import AbsenceSheet, LevelRow
from tankwright.report.model import SummaryLine
from tankwright.study import Study
from tankwright.web.card_fit import ABSENCE_SIZES, DOOR_SIZES, fit_of
from tankwright.web.cards import CardName, card_file, card_shown
from tankwright.web.rendering import STATIC
from tankwright.workspace.opened import open_plan

from ..conftest import OpenDesk, OpenPage, OpenRoom
from ..rooms import EXAMPLES, Room

MM: Final = 72 / 25.4  # points of a PDF in a millimetre
NAMES: Final[tuple[CardName, ...]] = ("door", "absence")
SIZES: Final = {"metric": (210.0, 297.0), "US": (215.9, 279.4)}
LONG: Final = "Aquarium of the great Wels, left behind the boiler"


@cache
def study_of(name: str) -> Study:
    study = open_plan(EXAMPLES / f"{name}.toml").study
    assert study is not None
    return study


def outcome(fault: str, group: str, kind: HarmKind, time: float) -> Outcome:
    return Outcome(
        fault=fault, group=group, clock=0.0, season="usual",
        first=Harm(time=time, kind=kind, where="A1", earliest=time, latest=time), seen=4e4, told="", gap=4e4,
        absence=2e5, floor=0.0, floor_absence=None, depth=0.0, finite=True, tanks=(), tanks_absence=(), fish=0.0,
    )  # fmt: skip


FAULTS: Final = Faults(
    stated_gap=True,
    outcomes=(
        outcome("pane of A1 fails", "pane fails", "floor", 0.0),
        outcome(
            "power cut while feed drip runs, its valve stays open", "one cause, several faults", "oxygen", 4e3
        ),
        outcome("device one RCD tripped", "device tripped", "floor", 300.0),
        outcome("feed drip off its fitting", "feed off its fitting", "floor", 66.0),
        outcome("overflow of A3 blocked", "overflow blocked", "floor", 9e3),
    ),
)


@pytest.fixture
def tab(context: OpenDesk) -> Tab:
    tab: Tab = context().open("about:blank")
    return tab


def pages(tab: Tab) -> list[Any]:
    return list(pypdf.PdfReader(io.BytesIO(tab.pdf(prefer_css_page_size=True, print_background=True))).pages)


def overrun(tab: Tab) -> float:
    """How far what a card holds reaches under its page, and whether anything leaves it sideways, in dots."""
    tab.emulate_media(media="print")
    return float(tab.evaluate(
        "() => { const card = document.querySelector('.card'), page = card.getBoundingClientRect();"
        " return Math.max(...[...card.querySelectorAll('*')].map(one => { const box = one.getBoundingClientRect();"
        " return Math.max(box.bottom - page.bottom, box.right - page.right); })); }"
    ))  # fmt: skip


@pytest.mark.parametrize(
    ("example", "faults"),
    [("cellar_mended", None), ("cellar_mended", FAULTS), ("garage", FAULTS), ("hall", FAULTS)],
)
@pytest.mark.parametrize("name", NAMES)
def test_a_card_is_one_page_with_nothing_cut(
    tab: Tab, example: str, name: CardName, faults: Faults | None
) -> None:
    study = study_of(example)
    tab.set_content(card_file(name, study, faults, "plan.toml, 2026-11-28"))
    printed = pages(tab)
    assert len(printed) == 1
    wide, high = SIZES[study.room.display]
    box = printed[0].mediabox
    assert (float(box.width) / MM, float(box.height) / MM) == pytest.approx((wide, high), abs=0.3)
    assert overrun(tab) < 0.0
    assert "plan.toml, 2026-11-28" in printed[0].extract_text()


def test_the_door_card_is_in_big_type() -> None:
    for example in ("cellar_mended", "garage", "hall"):
        # 11 points: capitals of 2.8 mm, which normal eyes read from a metre and more
        assert DOOR_SIZES[card_shown("door", study_of(example), FAULTS).fit - 1] >= 11.0


def test_a_card_full_to_its_limits_still_fits(tab: Tab) -> None:
    line = SummaryLine(f"{LONG}, {LONG}")
    shown = card_shown("door", study_of("cellar_mended"), None)
    card = shown.card
    assert isinstance(card, DoorCard)
    worst = tuple(
        WorstFault(
            name=LONG[:60],
            harm=SummaryLine("oxygen down to the trouble level from 11 h 59 min"),
            action=LONG * 2,
        )
        for _ in range(5)
    )
    full = replace(
        card, title=LONG, water=replace(card.water, lines=(line,) * 5), power=replace(card.power, lines=(line,) * 6),
        outfalls=replace(card.outfalls, lines=(line,) * 3), told=replace(card.told, lines=(line,) * 3), worst=worst,
        order=replace(card.order, lines=(line,) * 8), battery=replace(card.battery, lines=(line,) * 3),
    )  # fmt: skip
    fit = fit_of(full, "a4", shown.tell)
    assert fit > shown.fit
    tab.set_content(rendered(replace(shown, card=full, fit=fit)))
    assert len(pages(tab)) == 1
    assert overrun(tab) < 0.0
    tab.set_content(rendered(replace(shown, card=full, fit=1)))
    assert overrun(tab) > 0.0  # so that what would be cut is seen


def test_an_absence_sheet_full_to_its_limits_still_fits(tab: Tab) -> None:
    shown = card_shown("absence", study_of("cellar_mended"), None)
    card = shown.card
    assert isinstance(card, AbsenceSheet)
    levels = tuple(replace(card.levels[0], kind=LONG[:16], tanks=LONG * 2) for _ in range(8))
    assert all(isinstance(one, LevelRow) for one in levels)
    full = replace(
        card, title=LONG, levels=levels, warmth=(replace(card.warmth[0], tanks=LONG * 2),) * 6, columns=12, more=True,
        feeding=(replace(card.feeding[0], tanks=LONG * 2),) * 10, left_out=7,
    )  # fmt: skip
    fit = fit_of(full, "a4", shown.tell)
    assert fit <= len(ABSENCE_SIZES)
    tab.set_content(rendered(replace(shown, card=full, fit=fit)))
    assert len(pages(tab)) == 1
    assert overrun(tab) < 0.0


def rendered(shown: object) -> str:
    from tankwright.web.rendering import environment  # noqa: PLC0415 - only here is a card made by hand

    style = (STATIC / "cards.css").read_text(encoding="utf-8")
    return environment().get_template("card_file.html").render(shown=shown, note="", style=style)


def test_the_style_sheet_has_the_sizes_that_cards_are_fitted_to() -> None:
    style = (STATIC / "cards.css").read_text(encoding="utf-8")
    for kind, sizes in (("door", DOOR_SIZES), ("absence", ABSENCE_SIZES)):
        for number, size in enumerate(sizes, start=1):
            assert f".card.{kind}.fit-{number} {{ font-size: {size:g}pt; }}" in style
        assert f".card.{kind}.fit-{len(sizes) + 1} " not in style


def test_a_file_asks_for_nothing_from_outside() -> None:
    html = card_file("door", study_of("cellar_mended"), None, "note")
    for sign in ("http:", "https:", "src=", "url(", "@import", "<script", "<link"):
        assert sign not in html


def test_names_of_the_plan_are_never_markup() -> None:
    study = study_of("cellar_mended")
    room = replace(study.room, title="<b>Cellar</b> & {time}")
    html = card_file("door", replace(study, room=room), None, "<i>")
    assert "<b>Cellar" not in html
    assert "&lt;b&gt;Cellar&lt;/b&gt; &amp; {time}" in html
    assert "<i>" not in html


# --- in the app --------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def served(rooms: OpenRoom) -> Room:
    return rooms()


@pytest.mark.parametrize("name", NAMES)
def test_a_card_page_prints_as_the_file_does(served: Room, page: OpenPage, name: str) -> None:
    tab = page(f"{served.url}/print/{name}")
    printed = pages(tab)
    assert len(printed) == 1
    text = printed[0].extract_text()
    assert "plan 1" in text
    assert "Sheets of the room" not in text  # the page's own words stay on the screen
    assert overrun(tab) < 0.0


def test_the_print_page_leads_to_the_cards(served: Room) -> None:
    page = httpx.get(f"{served.url}/print").text
    assert 'href="/print/door"' in page
    assert 'href="/print/absence"' in page
