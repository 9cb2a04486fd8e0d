"""What every page says and how: errors beside their fields, units, workings, empty states, local time."""

from __future__ import annotations

import html
import re
from pathlib import Path
from typing import Final

import pytest
from playwright.sync_api import Locator, expect
from playwright.sync_api import Page as Tab

from tankwright.drawing.results import LAYERS
from tankwright.web.page import Page
from tankwright.web.pages.all import PAGES

from ..conftest import OpenDesk, OpenPage, OpenRoom
from ..pages.reader import NO_TANKS, OUTFALL, SMALL, Reader, Seen, example, plain
from ..rooms import Room
from .at_work import FROM_WEST, TWO_RACKS, enter, field, form, ready, saved, shows

ADDRESSES: Final = (
    "/", "/?at=A3", "/?at=A", "/?layer=layout", "/?layer=load", "/look", "/air", "/feed", "/drain", "/load", "/power",
    "/assumed", "/racks", "/t/A3", "/print",
)  # fmt: skip
CHANGEABLE: Final = (
    "/?at=A3",
    "/?at=A",
    "/air",
    "/feed",
    "/drain",
    "/load",
    "/power",
    "/assumed",
    "/settings",
)


@pytest.fixture(scope="module")
def cellar(tmp_path_factory: pytest.TempPathFactory) -> Reader:
    """A plan no test of this file changes."""
    return Reader(tmp_path_factory.mktemp("cellar"), example("cellar_mended"))


@pytest.fixture(scope="module")
def in_us(tmp_path_factory: pytest.TempPathFactory) -> Reader:
    reader = Reader(tmp_path_factory.mktemp("us"), example("cellar_mended"))
    assert reader.send("/settings", change="value", path="/display", typed="US").status == 303
    return reader


# --- errors -------------------------------------------------------------------------------------------------


def fields_of(seen: Seen) -> list[tuple[str, str]]:
    """Pointer and value of every text field of the plan on a page."""
    found = re.findall(r'<form[^>]*id="form(/[^"]*)".*?</form>', seen.markup, re.DOTALL)
    rows = []
    for pointer in found:
        value = re.search(
            r'<input id="[^"]*" name="typed" type="text"[^>]*? value="([^"]*)"', seen.field(pointer)
        )
        if value:
            rows.append((html.unescape(pointer), html.unescape(value[1])))
    return rows


@pytest.mark.parametrize("address", CHANGEABLE)
def test_errors_every_field_keeps_what_it_cannot_take_with_the_reason_tied_to_it(
    address: str, cellar: Reader
) -> None:
    text = cellar.plan_text
    fields = fields_of(cellar.see(address))
    refused = 0
    for pointer, now in fields:
        typed = "12 bananas" if re.match(r"[\d.]+ ?[a-z°%]", now) or not now else f"{now}\x07"
        answer = cellar.send(address, change="value", path=pointer, typed=typed)
        if answer.status == 303:  # a name may be anything
            back = cellar.send(address, change="undo")
            assert back.status == 303
            continue
        refused += 1
        said = answer.field(pointer)
        name = f"field{pointer}"
        assert answer.status == 422, pointer
        assert f'aria-invalid="true" aria-describedby="{html.escape(name)}-error"' in said
        assert re.search(rf'<p class="error" id="{re.escape(html.escape(name))}-error"', said)
        assert f'value="{html.escape(typed)}"' in said or "\x07" in typed
        assert len(plain(said[said.index('<p class="error"') :])) > 10
        assert answer.markup.count('aria-invalid="true"') == 1, "and no other field is wrong"
    assert refused >= len(fields) // 2
    assert cellar.plan_text == text


@pytest.mark.parametrize(("typed", "said"), [
    ("13 kg", "is a mass, not a length"),
    ("60", 'Wanted: .*"?60 cm'),
    ("sixty", "Wanted: .*cm"),
    ("-5 cm", ""),
    ("99 km", ""),
    ("1e999 m", ""),
    ("6O cm", ""),
])  # fmt: skip
def test_errors_say_what_is_allowed_with_its_unit(typed: str, said: str, tmp_path: Path) -> None:
    reader = Reader(tmp_path, TWO_RACKS.replace('from_west = "50 cm"\noff', 'off_wall = "5 cm"\n#off'))
    pointer = "/tank_kind/cube/outside/0"
    answer = reader.send("/?at=A1", change="value", path=pointer, typed=typed)
    if typed == "60":  # a bare number takes the unit that stands there
        assert answer.status == 303
        assert '"60 cm", "30 cm"' in reader.plan_text
        return
    assert answer.status == 422
    told = plain(answer.field(pointer))
    assert re.search(said, told), told
    assert re.search(r"\d ?(cm|mm|m|in|ft)\b", told.split("Outside length", 1)[1]), told


@pytest.mark.parametrize(("address", "pointer", "texts"), [
    ("/?at=A1", "/tank_kind/cube/outside/0", ("30,5 cm", "30.5 cm", "30,5", "30.5", "305 mm", "0,305 m")),
    ("/?at=A", FROM_WEST, ("62,5 cm", "62.5 cm", "62,5")),
])  # fmt: skip
def test_errors_comma_and_point_are_the_same(
    address: str, pointer: str, texts: tuple[str, ...], tmp_path: Path
) -> None:
    reader = Reader(tmp_path, TWO_RACKS)
    values = set()
    for typed in texts:
        reader.send(address, change="value", path=pointer, typed=typed)
        room = reader.good.room
        assert room
        values.add((round(room.tanks[0].box.x1 - room.tanks[0].box.x0, 6), round(room.racks[0].box.x0, 6)))
        assert reader.send(address, change="undo").status == 303
    assert len(values) == 1


@pytest.mark.parametrize("typed", ["35", "35,0", "35 deg", "35°", "35.0 °"])
def test_errors_an_elbow_and_a_tap_take_comma_point_and_unit(typed: str, tmp_path: Path) -> None:
    reader = Reader(tmp_path, example("cellar_mended"))
    assert reader.send("/?at=A3", change="elbow", tank="A3", typed=typed).status == 303
    assert 'angle = "35 deg"' in reader.plan_text
    share = typed.replace("°", "").replace("deg", "").strip() + ("" if typed == "35" else " %")
    assert reader.send("/?at=A3", change="tap", tank="A3", typed=share).status == 303
    assert re.search(r'air_opening = "35(\.0)? %"', reader.plan_text)


@pytest.mark.parametrize(("change", "typed", "part"), [
    ("elbow", "12 bananas", "elbow-A3"), ("elbow", "500", "elbow-A3"), ("elbow", "", "elbow-A3"),
    ("tap", "12 bananas", "tap-A3"), ("tap", "140", "tap-A3"),
])  # fmt: skip
def test_errors_an_elbow_and_a_tap_say_what_they_cannot_take_beside_themselves(
    change: str, typed: str, part: str, cellar: Reader
) -> None:
    answer = cellar.send("/?at=A3", change=change, tank="A3", typed=typed)
    if not typed:  # nothing typed takes the exception out, and there is none
        assert answer.status in (303, 422)
        return
    assert answer.status == 422
    said = answer.part(part)
    assert f'value="{typed}"' in said
    assert 'aria-invalid="true"' in said
    assert re.search(r"\d ?(deg|°|%)", plain(said[said.index('class="error"') :]))


# --- units --------------------------------------------------------------------------------------------------

METRIC_ONLY: Final = re.compile(
    r"\d (?:kPa|Pa|bar|L/h|L/day|L|mL|cm|mm|m|m²|m³|kg|kg/m³|m/s|cm/s|°C|kN|N)(?![\w/])(?! (?:or|ISO|EN|PE))"
)  # a gram is none of them: fish, feed and doses under an ounce are weighed in it everywhere
BARE: Final = re.compile(r"[-−]?\d[\d.,]*")


@pytest.mark.parametrize("address", ADDRESSES)
def test_units_every_figure_shows_its_unit(address: str, cellar: Reader) -> None:
    markup = re.sub(r"<(?:small|form)\b.*?</(?:small|form)>", "", cellar.see(address).markup, flags=re.DOTALL)
    cells = re.findall(
        r'<(?:td|th) [^>]*class="n"[^>]*>(.*?)</t[dh]>|<dd\b[^>]*>(.*?)</dd>', markup, re.DOTALL
    )
    bare = {plain(one or other) for one, other in cells if BARE.fullmatch(plain(one or other))}
    of_one = {  # a count, or of the dimension one, as its heading says
        "/?layer=layout": {"38"},
        "/air": {one for one in bare if one.isdigit()},  # how many taps more
        "/load": {one for one in bare if "." in one and float(one) < 10},  # height over depth
        "/?at=A": {one for one in bare if "." in one and float(one) < 10},
        "/assumed": {one for one in bare if float(one) <= 2 or one == "165000"},  # a factor; J/K by its name
        "/?at=A3": {one for one in bare if 6.0 < float(one) < 9.0},  # a pH
    }
    assert bare <= of_one.get(address, set())
    if address in ("/", "/air", "/feed", "/drain", "/load", "/power"):
        assert cells


@pytest.mark.parametrize("address", ADDRESSES)
def test_units_a_reader_of_us_units_meets_no_metric_figure(address: str, in_us: Reader) -> None:
    markup = re.sub(r"<(?:input|textarea|option)[^>]*>", "", in_us.see(address).markup)
    text = plain(re.sub(r"(?s)<small.*?</small>|<p class=\"where\".*?</p>", "", markup))
    found = [text[max(0, at.start() - 30) : at.end() + 20] for at in METRIC_ONLY.finditer(text)]
    allowed = ("100 mm", "ISO", "EN ", "PE", "sold as", "75 to 90 cm", "10 W on a 10 A")
    assert [one for one in found if not any(word in one for word in allowed)] == []


def test_units_are_chosen_once_and_the_plan_keeps_what_was_typed(in_us: Reader, cellar: Reader) -> None:
    differ = [
        (old, new)
        for old, new in zip(cellar.plan_text.splitlines(), in_us.plan_text.splitlines(), strict=False)
        if old != new
    ]
    assert len(differ) == 1
    assert 'display = "US"' in differ[0][1]
    ours, theirs = cellar.good.study, in_us.good.study
    assert ours
    assert theirs
    assert ours.load
    assert theirs.load
    assert ours.load.total == theirs.load.total, "one value inside, whatever is shown"


def test_units_show_no_more_figures_than_are_known(cellar: Reader) -> None:
    for address in ADDRESSES:
        for one in re.findall(r'class="num[^"]*"[^>]*>(?:<[^>]*>)*([\d.,]+)', cellar.see(address).markup):
            digits = one.replace(".", "").replace(",", "").lstrip("0")
            assert len(digits.rstrip("0") if "." not in one else digits) <= 4, (address, one)


# --- provenance ---------------------------------------------------------------------------------------------


def test_provenance_a_figure_opens_formula_inputs_source_and_how_each_input_is_known(cellar: Reader) -> None:
    names = set()
    for address in ADDRESSES:
        names |= set(re.findall(r'href="([^"]*[?&;]why=[^"#]*)', cellar.see(address).markup))
    one_of_each = {re.sub(r"[A-Z]\d+\.", "T.", name): html.unescape(name) for name in sorted(names)}
    assert len(one_of_each) > 40
    known = set()
    for address in one_of_each.values():
        if not address.startswith(("/", "?")):
            continue
        why = cellar.see(address).part("why")
        assert '<p class="formula">' in why
        assert "Source:" in plain(why)
        assert why.count("<tr") >= 2, "a head and at least one input"
        known |= set(re.findall(r"\b(given|measured|assumed|computed)\b", plain(why)))
    assert known == {"given", "measured", "assumed", "computed"}


@pytest.mark.parametrize("layer", LAYERS)
def test_provenance_the_figures_over_the_drawing_open_their_workings(layer: str, cellar: Reader) -> None:
    shown = cellar.see(f"/?layer={layer}").part("figures")
    figures = re.findall(r"<dd\b.*?</dd>", shown, re.DOTALL)
    assert figures
    for one in figures:
        link = re.search(r'<a class="num[^"]*" href="([^"]*)#why"', one)
        if link is None:
            assert plain(one).isdigit(), "a plain count"
            continue
        why = cellar.see(html.unescape(link[1])).part("why")
        assert plain(one).removesuffix(" full") in plain(why)


def test_provenance_what_is_assumed_looks_different_in_figures_workings_and_fields(
    cellar: Reader, context: OpenDesk, rooms: OpenRoom
) -> None:
    served = rooms()
    tab = context().open(f"{served.url}/?at=A3&why=A3.air")
    line = "(one) => getComputedStyle(one).textDecorationLine + getComputedStyle(one).textDecorationStyle"
    assumed = tab.locator("#sheet a.num.assumed").first.evaluate(line)
    sure = tab.locator("#sheet a.num:not(.assumed)").first.evaluate(line)
    assert assumed != sure
    expect(tab.locator("#sheet a.num.assumed").first).to_have_attribute("title", re.compile(" assumed$"))
    expect(tab.locator("#why tr.assumed")).not_to_have_count(0)
    tab.goto(f"{served.url}/air")
    expect(tab.locator("input.assumed").first).to_have_css("border-style", "dashed")
    expect(tab.locator(".field input:not(.assumed)").first).to_have_css("border-style", "solid")
    expect(tab.locator("small.assumed").first).to_have_text("assumed; type your own", use_inner_text=True)


def test_provenance_what_was_not_computed_is_said_and_never_looks_like_fine(cellar: Reader) -> None:
    reader = cellar.see("/power").markup
    assert '<span class="none">not computed</span>' in reader


# --- empty states -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("plan", "address", "said"), [
    (SMALL, "/air", "No air is described"), (SMALL, "/feed", "No feed is described"),
    (SMALL, "/drain", "No drain is described"), (SMALL + OUTFALL, "/drain", "No drain is described"),
    (SMALL, "/power", "names no circuit"), (NO_TANKS, "/load", "No tank stands in the room yet"),
    (NO_TANKS, "/", "No tank stands in the room yet"), (NO_TANKS, "/racks", "as soon as the plan has one"),
])  # fmt: skip
def test_empty_states_say_what_will_be_here_and_hold_the_one_button_that_starts_it(
    plan: str, address: str, said: str, tmp_path: Path
) -> None:
    reader = Reader(tmp_path, plan)
    markup = reader.see(address).markup
    (empty,) = re.findall(r'<section class="empty".*?</section>', markup, re.DOTALL)
    assert said in plain(empty)
    assert len(re.findall(r'class="button"|<button', empty)) == 1
    start = re.search(r'<a class="button" href="([^"]+)"', empty)
    if start:
        assert reader.see(start[1]).status == 200
        return
    fields = {
        html.unescape(n): html.unescape(v)
        for n, v in re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', empty)
    }
    if 'name="typed" type="text"' in empty:
        fields["typed"] = "10 A"
    assert reader.send(**fields).status == 303
    assert '<section class="empty"' not in reader.see(address).markup, "and then it has begun"


@pytest.mark.parametrize("which", [one for one in PAGES if one.group], ids=lambda one: one.name)
def test_empty_states_without_a_plan_every_page_leads_to_its_beginning(which: Page, tmp_path: Path) -> None:
    answer = Reader(tmp_path, "").see(which.path)
    assert (answer.status, answer.leads_to) in ((303, "/start"), (200, ""))


# --- time ---------------------------------------------------------------------------------------------------


def test_time_is_stored_in_utc_and_shown_as_the_wall_clock_of_the_reader(
    room: OpenRoom, context: OpenDesk
) -> None:
    served = room(TWO_RACKS)
    for zone, hours in (("Europe/Berlin", (1, 2)), ("Pacific/Auckland", (12, 13))):
        desk = context(timezone_id=zone)
        tab = ready(desk.open(f"{served.url}/?at=A"))
        enter(tab, FROM_WEST, f"{50 + hours[0]} cm")
        saved(tab)
        at = served.live.snapshot.at
        assert at.utcoffset().total_seconds() == 0
        shown = tab.locator("#foot time").inner_text()
        clocks = {f"{(at.hour + one) % 24:02}:{at.minute:02}" for one in hours}
        assert any(clock in shown for clock in clocks), shown
    assert re.search(r'"at": ?"[\d-]+T[\d:.]+(\+00:00|Z)"', history(served))
    without = context(scripts=False).open(f"{served.url}/history")
    expect(without.locator("#revision-3 time")).to_contain_text("UTC")


def history(served: Room) -> str:
    return (served.plan_path.with_suffix(".tankwright") / "revisions.jsonl").read_text("utf-8")


def test_time_an_hour_that_comes_twice_is_told_apart(room: OpenRoom, context: OpenDesk) -> None:
    served = room(TWO_RACKS)
    tab = ready(context(timezone_id="Europe/Berlin").open(f"{served.url}/"))
    shown = []
    for moment in ("2026-10-25T00:30:00+00:00", "2026-10-25T01:30:00+00:00", "2026-10-25T02:30:00+00:00"):
        tab.locator("#foot time").evaluate("(one, at) => one.setAttribute('datetime', at)", moment)
        tab.evaluate("() => document.dispatchEvent(new Event('repainted'))")
        shown.append(tab.locator("#foot time").inner_text())
    assert ["02:30" in one for one in shown] == [True, True, False]
    assert "03:30" in shown[2]
    assert shown[0] != shown[1], "summer time and then normal time"


# --- dark ---------------------------------------------------------------------------------------------------


def root(tab: Tab) -> Locator:
    return tab.locator("html")


@pytest.mark.parametrize("scripts", [True, False], ids=["with scripts", "without"])
def test_dark_follows_the_system_until_the_switch_is_pressed_and_then_keeps_to_it(
    scripts: bool, rooms: OpenRoom, context: OpenDesk
) -> None:
    served = rooms(TWO_RACKS)
    paper = "() => getComputedStyle(document.documentElement).backgroundColor"
    light_desk, dark_desk = context(theme="light", scripts=scripts), context(theme="dark", scripts=scripts)
    light, dark = light_desk.open(f"{served.url}/"), dark_desk.open(f"{served.url}/")
    bright, gloomy = light.evaluate(paper), dark.evaluate(paper)
    assert bright != gloomy
    for desk, tab, name, after in (
        (light_desk, light, "To dark", gloomy),
        (dark_desk, dark, "To light", bright),
    ):
        expect(tab.locator(".theme button:visible")).to_have_count(1)
        tab.get_by_role("button", name=name).click()
        expect(root(tab)).to_have_css("background-color", after)
        expect(root(desk.open(f"{served.url}/load"))).to_have_css("background-color", after)
        tab.locator(".theme button:visible").click()
        expect(root(tab)).not_to_have_css("background-color", after)


def test_dark_the_drawing_changes_with_the_page(rooms: OpenRoom, page: OpenPage) -> None:
    tab = page(f"{rooms(TWO_RACKS).url}/")
    fill = "() => getComputedStyle(document.querySelector('#drawing svg')).color"
    bright = tab.evaluate(fill)
    tab.emulate_media(color_scheme="dark")
    expect(tab.locator("#drawing svg").first).not_to_have_css("color", bright)


def test_print_the_page_itself_is_dark_ink_on_white_from_a_dark_screen(
    rooms: OpenRoom, page: OpenPage
) -> None:
    tab = page(f"{rooms(TWO_RACKS).url}/load", theme="dark")
    tab.emulate_media(media="print")
    expect(root(tab)).to_have_css("background-color", "rgb(255, 255, 255)")
    expect(tab.locator(".bar")).to_be_hidden()


def test_errors_in_the_browser_are_tied_to_the_field_and_said(room: OpenRoom, page: OpenPage) -> None:
    tab = ready(page(f"{room(TWO_RACKS).url}/?at=A", expect=("422",)))
    enter(tab, FROM_WEST, "13 kg")
    expect(field(tab, FROM_WEST)).to_have_attribute("aria-invalid", "true")
    tied = field(tab, FROM_WEST).get_attribute("aria-describedby") or "no name at all"
    expect(form(tab, FROM_WEST).locator(".error")).to_have_attribute("id", tied)
    expect(field(tab, FROM_WEST)).to_have_value("13 kg")
    expect(tab.locator("#announce")).to_contain_text("mass")
    expect(tab.locator("#saved")).to_have_text("One change was not taken: see why")
    shows(tab, 1)
