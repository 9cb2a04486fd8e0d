"""Every page, whatever it shows: it opens, complains of nothing, everyone can read it, no text becomes markup."""

from __future__ import annotations

import html
import re
from dataclasses import dataclass
from typing import Final

import httpx
import pytest
from playwright.sync_api import Page as Tab
from playwright.sync_api import expect

from tankwright.drawing.results import LAYERS
from tankwright.web.page import Page
from tankwright.web.pages.all import PAGES

from .chrome import SIZES, Desk, Scales, Size, axe, none
from .conftest import OpenDesk, OpenPage, OpenRoom
from .markup import marked_plan
from .rooms import EXAMPLE, EXAMPLES, Room

HEAVIEST: Final = 150_000  # bytes over the line, everything cold; "any page < 150 kB"

# What stands for a name in the address of a page ("/tank/{tank}"), from the example.
STANDS_FOR: Final = {
    "tank": "A3", "rack": "A", "drain": "main", "feed": "drip", "air": "ring", "board": "air",
    "number": "1", "a": "1", "b": "1", "fault": "pane%20of%20A3%20fails",
    "sheet": "level%20A", "part": "A", "round": "1", "line": "1", "stock": "1",
}  # fmt: skip
every_page = pytest.mark.parametrize("which", PAGES, ids=lambda page: page.name)


def address(page: Page) -> str:
    """Where a page is, with a name of the example in each brace."""
    return re.sub(r"\{(\w+)\}", lambda brace: STANDS_FOR[brace.group(1)], page.path)


@pytest.fixture(scope="module")
def served(rooms: OpenRoom) -> Room:
    return rooms()


def ready(tab: Tab) -> Tab:
    """Wait until the scripts have taken over and the letters are there."""
    tab.wait_for_selector("html[data-live]")
    tab.evaluate("document.fonts.ready.then(() => true)")
    return tab


# --- each page, at each size -----------------------------------------------------------------------------------


@pytest.mark.parametrize("size", ["desktop", "phone"])
@every_page
def test_a_page_is_sound(which: Page, size: Size, served: Room, context: OpenDesk) -> None:
    desk: Desk = context(size=size)
    tab = desk.context.new_page()
    scales = Scales(tab)
    tab.goto(served.url + address(which))
    ready(tab)
    assert desk.watch.hosts == {"127.0.0.1"}
    assert 0 < scales.weight < HEAVIEST
    expect(tab.locator("body")).to_have_attribute("data-page", which.name)
    expect(tab.locator("h1")).to_have_count(1)
    assert tab.locator("h1").inner_text().strip()
    assert len(tab.title()) > 4
    expect(tab.locator("html")).to_have_attribute("lang", "en")
    assert not scrolls_sideways(tab)
    none(axe(tab))
    tab.emulate_media(color_scheme="dark")
    none(axe(tab, "color-contrast", "link-in-text-block"))
    if size == "desktop":
        width, height = SIZES["tablet"]
        tab.set_viewport_size({"width": width, "height": height})
        assert not scrolls_sideways(tab)
    none(desk.watch.complaints)


def scrolls_sideways(tab: Tab) -> bool:
    return bool(tab.evaluate("document.documentElement.scrollWidth > innerWidth"))


@every_page
def test_a_page_works_without_scripts(which: Page, served: Room, context: OpenDesk) -> None:
    tab = context(scripts=False).open(served.url + address(which))
    with_scripts = ready(context().open(served.url + address(which)))
    headings = "h1, h2, h3"
    assert tab.locator(headings).all_inner_texts() == with_scripts.locator(headings).all_inner_texts()
    assert tab.evaluate(FORMS_WITHOUT_A_BUTTON) == []


# A button that is not drawn can't be pressed; one in a closed <details> can, since that opens without scripts.
# A form that is not drawn itself waits for a link to show it.
FORMS_WITHOUT_A_BUTTON: Final = """() => {
    const drawn = (element) => !element || (getComputedStyle(element).display !== "none"
        && getComputedStyle(element).visibility !== "hidden" && drawn(element.parentElement));
    const sends = (one) => one.type === "submit" || one.type === "image";
    const pressed = (form) => [...form.elements].some((one) => sends(one) && drawn(one));
    return [...document.forms].filter((form) => drawn(form) && !pressed(form)).map((form) => form.id || form.action);
}"""


@every_page
def test_a_page_can_be_walked_with_the_keyboard_and_shows_where_one_is(
    which: Page, served: Room, page: OpenPage
) -> None:
    tab = ready(page(served.url + address(which)))
    tab.keyboard.press("Tab")
    tab.wait_for_function("() => document.activeElement.getAttribute('href') === '#main'")
    for step in range(12):
        tab.keyboard.press("Tab")
        if tab.evaluate("document.activeElement === document.body"):
            assert step > 0, "and then the page is over"
            break
        assert tab.evaluate(SEEN), tab.evaluate("document.activeElement.outerHTML.slice(0, 200)")


# What has the focus is drawn otherwise than without it, itself or a part of it.
SEEN: Final = """() => {
    const one = document.activeElement;
    const looks = () => [one, ...one.querySelectorAll("*")].map((part) => {
        const style = getComputedStyle(part);
        const { outline, boxShadow, stroke, strokeWidth, fill, textDecoration } = style;
        return [outline, boxShadow, stroke, strokeWidth, fill, textDecoration].join();
    }).join("|");
    const box = one.getBoundingClientRect();
    const focused = looks();
    one.blur();
    const plain = looks();
    one.focus({ focusVisible: true, preventScroll: true });
    return box.width > 1 && box.height > 1 && focused !== plain;
}"""


# --- the room's layers, sheets and workings -------------------------------------------------------------------------


@pytest.mark.parametrize("layer", LAYERS)
def test_a_layer_of_the_room_is_sound(layer: str, served: Room, page: OpenPage) -> None:
    tab = ready(page(f"{served.url}/?layer={layer}"))
    expect(tab.locator(".layers [aria-current]")).to_have_text(layer, use_inner_text=True)
    none(axe(tab))


@pytest.mark.parametrize("chosen", ["A3", "A"])
def test_the_sheet_of_a_thing_and_the_working_of_a_number_are_sound(
    chosen: str, served: Room, page: OpenPage
) -> None:
    tab = ready(page(f"{served.url}/?at={chosen}", size="phone"))
    figure = tab.locator("#sheet a.num").first
    figure.click()
    tab.wait_for_selector("#why")
    expect(tab).to_have_url(re.compile(r"why="))
    none(axe(tab))
    assert not scrolls_sideways(tab)


# --- every state a plan can be in -----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class State:
    """Texts the file holds one after the other."""

    name: str
    texts: tuple[str, ...]


def _example() -> str:
    return (EXAMPLES / f"{EXAMPLE}.toml").read_text("utf-8")


STATES: Final = (
    State(name="no file", texts=("",)),
    State(name="only a title", texts=('title = "Cellar"\n',)),
    State(name="not TOML", texts=("a = = 1\n",)),
    State(name="broken after it was good", texts=(_example(), _example() + "\n[[rack]\n")),
    State(name="a mistake after it was good", texts=(_example(), _example().replace('"5.2 m"', '"5.2 l"'))),
    State(name="one tank, nothing else", texts=(
        '[room.r]\nsize = { length = "3 m", width = "2 m", height = "2.4 m" }\n'
        '[tank_kind.t]\noutside = ["60 cm", "30 cm", "30 cm"]\n'
        '[rack_kind.k]\nlength = "80 cm"\ndepth = "40 cm"\nshelves = ["30 cm"]\n'
        '[[rack]]\nid = "A"\nkind = "k"\nroom = "r"\nat = ["1 m", "1 m"]\nfacing = "south"\n'
        'shelf.1 = [{ kind = "t", ids = "A1" }]\n',
    )),
)  # fmt: skip


@pytest.fixture(scope="module", params=STATES, ids=lambda state: state.name)
def in_a_state(request: pytest.FixtureRequest, rooms: OpenRoom) -> Room:
    first, *later = request.param.texts
    room = rooms(first)
    for text in later:
        room.plan_path.write_text(text, "utf-8")
        while not room.live.reread():
            pass
    return room


@every_page
def test_a_page_answers_in_every_state_of_the_plan(which: Page, in_a_state: Room) -> None:
    answer = httpx.get(in_a_state.url + address(which), follow_redirects=True)
    assert answer.status_code in (200, 404)
    assert "<h1" in answer.text
    assert "Traceback" not in answer.text
    if not in_a_state.live.snapshot.number:
        assert answer.url.path == "/start"


# --- markup in the texts of a plan -----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Marked:
    """A served plan with markup in its texts."""

    url: str
    texts: dict[str, str]


def _serve_marked(rooms: OpenRoom, *, spoilt: bool) -> Marked:
    plan = marked_plan(spoilt=spoilt)
    room = rooms(plan.plan)
    assert room.live.snapshot.good is not None
    return Marked(url=room.url, texts=plan.texts)


@pytest.fixture(scope="module")
def marked(rooms: OpenRoom) -> Marked:
    return _serve_marked(rooms, spoilt=False)


@pytest.fixture(scope="module")
def spoilt(rooms: OpenRoom) -> Marked:
    return _serve_marked(rooms, spoilt=True)


def test_markup_can_stand_in_most_texts_of_a_plan(marked: Marked) -> None:
    assert {key.rpartition("/")[2] for key in marked.texts} >= {
        "title",
        "name",
        "note",
        "lid",
        "made_of",
        "id",
        "to",
    }
    assert {key.split(".")[0] for key in marked.texts} >= {
        "room",
        "rack",
        "tank_kind",
        "drain",
        "feed",
        "air",
        "pump",
    }


def takes_no_markup(place: str, rack: str) -> None:
    for asked in ({}, {"at": rack}, {"at": "<b data-hit>", "layer": '"><b data-hit>', "why": "<i data-hit"}):
        answer = httpx.get(place, params=asked)
        assert answer.status_code == 200
        assert "<b data-hit" not in answer.text
        assert "<i data-hit" not in answer.text
        assert "data-hit=" in html.unescape(answer.text), "the room's name is on every page"


@every_page
def test_no_text_of_a_plan_becomes_markup(which: Page, marked: Marked, page: OpenPage) -> None:
    place = marked.url + address(which)
    takes_no_markup(place, marked.texts["rack.A"])
    tab = ready(page(place))
    expect(tab.locator("[data-hit]")).to_have_count(0)


@every_page
def test_no_text_that_stops_the_working_out_becomes_markup(which: Page, spoilt: Marked) -> None:
    takes_no_markup(spoilt.url + address(which), spoilt.texts["rack.A"])
