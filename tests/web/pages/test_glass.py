"""The page of glass: every pane, a hole moved by hand, by keys or by two typed measures, as one edit that can be taken
back; the full check and the map asked for by forms; nothing written by who may only look."""

from __future__ import annotations

import re
import time
from pathlib import Path
from typing import Final

import pytest
from playwright.sync_api import Page as Tab
from playwright.sync_api import expect

from tankwright.plan.changes import SetValue
from tankwright.plan.changes_glass import MoveHole
from tankwright.systems import glass_map
from tankwright.web.access import Access, PeopleInMemory
from tankwright.web.pages.glass import step_of
from tankwright.workspace import glass_work, passwords

from ..chrome import Scales, axe, none
from ..conftest import OpenDesk, OpenPage, OpenRoom
from ..conventions.at_work import edits, ready, saved, shows
from ..rooms import Room
from .reader import NO_TANKS, SMALL, Reader, Seen, example, plain

HEAVIEST: Final = 150_000
FLANGED: Final = SMALL.replace('below_rim = "65 mm"', 'below_rim = "65 mm", flange = "45 mm"')
AT_THE_CUBES: Final = "/glass?kind=cube&pane=back"


@pytest.fixture(autouse=True)
def _few_and_here(monkeypatch: pytest.MonkeyPatch) -> None:
    """A few tanks are worked out sooner than further processes start; maps are of a few places."""
    monkeypatch.setattr("tankwright.workspace.glass_work.os.cpu_count", lambda: 1)
    monkeypatch.setattr(glass_work, "_PANES", glass_work._Memory(40))
    monkeypatch.setattr(glass_work, "_MAPS", glass_work._Memory(12))
    whole = glass_map.map_places
    monkeypatch.setattr(glass_map, "map_places", lambda *about: whole(*about)[:2] + whole(*about)[-8:])


@pytest.fixture
def reader(tmp_path: Path) -> Reader:
    return Reader(tmp_path, FLANGED)


def tried(seen: Seen) -> str:
    """What the page, or the piece of it, says of the place of the hole."""
    return plain(seen.markup.partition('id="tried"')[2].partition("<figure")[0].partition(">")[2])


def worked(reader: Reader, kind: str, address: str = AT_THE_CUBES) -> str:
    """The page once a slow work is done that its form started."""
    assert reader.post("/work", {"do": "start", "kind": kind, "back": address}).status == 303
    end = time.monotonic() + 60.0
    while time.monotonic() < end:
        seen = reader.see(address)
        if "data-running" not in seen.markup:
            return seen.markup
        time.sleep(0.05)
    raise AssertionError("it never came to its end")


# --- what is shown ------------------------------------------------------------------------------------------


def test_every_pane_of_every_kind_stands_with_its_stress_and_the_drilled_one_is_shown_closely(
    reader: Reader,
) -> None:
    seen = reader.see("/glass")
    assert seen.row("panes", "back pane 1 hole")[1:3] == ["5 mm", "1.98 MPa"]
    assert [plain(one) for one in re.findall(r'<h2 id="pane-title">.*?</h2>', seen.markup, re.DOTALL)] == [
        "cube, back pane 5 mm glass, seen from outside"
    ]
    assert "not an approval" in seen.text
    assert "1.98 MPa worst stress, at the hole" in tried(seen)
    assert "75 mm" in seen.part("pane")


def test_another_pane_is_shown_when_it_is_asked_for_and_one_there_is_none_of_is_no_error(
    reader: Reader,
) -> None:
    base = reader.see("/glass?kind=cube&pane=base")
    assert "cube, base" in plain(base.part("pane"))
    assert "Try it there" not in base.part("pane"), "it has no hole"
    assert 'tabindex="0"' not in base.part("pane")
    for asked in ("kind=die", "kind=cube&pane=lid", "hole=99", "hole=x", "across=1&down="):
        assert reader.see(f"/glass?{asked}").status == 200


def test_a_place_is_tried_by_two_typed_measures_and_nothing_is_written(reader: Reader) -> None:
    seen = reader.see(f"{AT_THE_CUBES}&across=15 cm&down=20 mm")
    told = tried(seen)
    assert told.startswith("1.98 MPa ")
    assert "less than one hole's diameter of glass to the edge" in told
    assert "Tried at 15 cm from the left and 20 mm below the rim" in told
    assert "Write it into the plan" in seen.text
    assert reader.plan_text == FLANGED


@pytest.mark.parametrize(
    ("across", "down", "said"),
    [
        ("75 kg", "65 mm", "is a mass, not a length"),
        ("far", "65 mm", "far"),
        ("<b data-hit>", "65 mm", "<b data-hit>"),
    ],
)
def test_a_measure_that_is_none_is_told_with_what_is_wanted(
    across: str, down: str, said: str, reader: Reader
) -> None:
    seen = reader.see(f"{AT_THE_CUBES}&across={across}&down={down}")
    assert said in tried(seen)
    assert "Wanted" in tried(seen)
    assert "<b data-hit" not in seen.markup


def test_a_tried_place_is_written_as_one_edit_that_can_be_taken_back(reader: Reader) -> None:
    seen = reader.send(AT_THE_CUBES, change="hole", kind="cube", number="0", across="9 cm", down="70")
    assert seen.status == 303
    assert 'from_left = "9 cm", below_rim = "70 mm"' in reader.plan_text
    assert reader.send(AT_THE_CUBES, change="undo").status == 303
    assert reader.plan_text == FLANGED


def test_a_hand_sends_metres_and_the_plan_gets_the_owners_unit(reader: Reader) -> None:
    assert (
        reader.send(AT_THE_CUBES, change="hole", kind="cube", number="0", x="0.0912", y="0.0704").status
        == 303
    )
    assert 'from_left = "91 mm", below_rim = "70 mm"' in reader.plan_text


def test_what_cannot_be_written_is_told_beside_its_fields_with_what_was_typed(reader: Reader) -> None:
    seen = reader.send(AT_THE_CUBES, change="hole", kind="cube", number="0", across="9 kg", down="7 cm")
    assert seen.status == 422
    assert 'value="9 kg"' in seen.part("pane")
    assert 'aria-invalid="true"' in seen.part("pane")
    assert "is a mass, not a length" in seen.text
    assert reader.plan_text == FLANGED
    for wrong in ({"number": "x"}, {"number": "1000"}, {"number": "-1"}, {"kind": ""}):
        fields = {"kind": "cube", "number": "0", "x": "0.1", "y": "0.1"} | wrong
        assert reader.send(AT_THE_CUBES, change="hole", **fields).status in (400, 422)
    assert reader.send(AT_THE_CUBES, change="hole", kind="cube", number="0", x="0.1").status == 400
    assert reader.plan_text == FLANGED


def test_the_piece_for_a_moving_hand_is_small_and_says_the_same_as_the_page(reader: Reader) -> None:
    piece = reader.see("/glass/hole?kind=cube&pane=back&hole=0&x=0.15&y=0.065")
    assert piece.status == 200
    assert len(piece.markup) < 3000
    assert "<html" not in piece.markup
    whole = reader.see(f"{AT_THE_CUBES}&across=150 mm&down=65 mm")
    assert tried(piece) == tried(whole)
    for wrong in ("", "kind=cube", f"kind={'x' * 300}&x=0.1&y=0.1"):
        assert reader.see(f"/glass/hole?{wrong}").status == 400
    for odd in ("x=far&y=0.1", "x=-1&y=0.1", "x=1e9&y=1", "x=nan&y=nan", "x=900&y=900"):
        assert reader.see(f"/glass/hole?kind=cube&pane=back&hole=0&{odd}").status == 200
    assert reader.plan_text == FLANGED


def test_what_was_not_computed_is_told_with_what_to_measure(tmp_path: Path) -> None:
    seen = Reader(tmp_path, FLANGED.replace('temper = "annealed"', 'temper = "unknown"')).see("/glass")
    assert "Not computed" in seen.part("panes")
    assert "annealed or toughened" in seen.part("panes")
    assert seen.status == 200


def test_a_room_without_tanks_says_what_will_be_here(tmp_path: Path) -> None:
    seen = Reader(tmp_path, NO_TANKS).see("/glass")
    assert "what the water does to every pane" in seen.text


def test_lengths_are_in_the_readers_units(tmp_path: Path) -> None:
    seen = Reader(
        tmp_path, FLANGED.replace('title = "Two tanks"', 'title = "Two tanks"\ndisplay = "US"')
    ).see("/glass")
    assert "psi" in tried(seen)
    assert 'data-display="US"' in seen.markup


def test_a_better_place_at_the_same_height_is_named_and_led_to_in_the_owners_unit(tmp_path: Path) -> None:
    middle = SMALL.replace('from_left = "75 mm"', 'from_left = "5 7/8 in"')
    reader = Reader(tmp_path, middle.replace('sides = "5 mm"', 'sides = "4 mm"'))
    better = reader.see(AT_THE_CUBES).part("better")
    leads_to = re.search(r'href="([^"]+)"', better)
    assert leads_to
    assert "%20in&amp;down=65%20mm" in leads_to[1]
    seen = reader.see(leads_to[1].replace("&amp;", "&").partition("#")[0])
    before, after = re.findall(r"([\d.]+) MPa", tried(seen))[:2]
    assert float(after) < float(before)


def test_the_page_of_a_hall_is_not_too_heavy(tmp_path: Path) -> None:
    assert len(Reader(tmp_path, example("hall")).see("/glass").markup) < HEAVIEST


def test_a_share_of_strength_has_a_colour_of_the_scale() -> None:
    assert [step_of(one) for one in (0.1, 0.99, 1.01, 9.0, None)] == [
        "use-1",
        "use-5",
        "use-6",
        "use-8",
        "none",
    ]


# --- slow work ----------------------------------------------------------------------------------------------


def test_panes_are_checked_in_full_when_a_form_asks_for_it(reader: Reader) -> None:
    assert "not yet" in plain(reader.see(AT_THE_CUBES).part("panes"))
    markup = worked(reader, "glass")
    assert "not yet" not in markup
    assert 'id="full"' in markup
    assert "Check every pane in full" not in markup, "all is known"
    back = reader.see(AT_THE_CUBES).row("panes", "back pane 1 hole")
    assert back[5] == "1.89 MPa"


def test_a_map_is_made_and_its_best_place_is_taken_by_a_form(tmp_path: Path) -> None:
    middle = FLANGED.replace('from_left = "75 mm"', 'from_left = "15 cm"')
    reader = Reader(tmp_path, middle)
    markup = worked(reader, "hole_map:cube")
    assert "Where the hole could go" in markup
    best = re.search(r'name="x" value="([\d.]+)"><input type="hidden" name="y" value="([\d.]+)"', markup)
    assert best
    seen = reader.send(AT_THE_CUBES, change="hole", kind="cube", number="0", x=best[1], y=best[2])
    assert seen.status == 303
    assert reader.plan_text != middle
    again = reader.see(AT_THE_CUBES)
    assert "Make the map of places" not in again.text, "the map holds wherever the hole is"
    assert "The hole is at the best place that was tried" in again.text


def test_work_that_failed_for_a_pane_is_told(reader: Reader, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(_: object) -> None:
        raise MemoryError("no room")

    monkeypatch.setattr(glass_work, "check_pane", fail)
    markup = worked(reader, "glass")
    assert "Not worked out in full: cube, back pane: MemoryError: no room" in plain(markup)
    assert "Check every pane in full" in markup, "it may be tried again"


# --- who may what -------------------------------------------------------------------------------------------


def test_who_may_only_look_gets_no_handle_and_no_form_that_writes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(passwords, "COST", 2**4)
    monkeypatch.setattr(passwords, "LANES", 1)
    people = PeopleInMemory()
    people.put("Ada", "looker", "four plain words")
    reader = Reader(tmp_path, FLANGED, Access(people, secret=b"s" * 32))
    assert reader.see("/glass/hole?kind=cube&x=0.1&y=0.1").status == 303, "nobody sees anything"
    reader.post("/login", {"name": "Ada", "password": "four plain words"})
    seen = reader.see(f"{AT_THE_CUBES}&across=15 cm&down=65 mm")
    assert 'class="bore"' not in seen.markup
    assert "Write it into the plan" not in seen.text
    assert "Try it there" in seen.text
    assert reader.see("/glass/hole?kind=cube&pane=back&hole=0&x=0.1&y=0.1").status == 200
    refused = reader.send(AT_THE_CUBES, change="hole", kind="cube", number="0", x="0.1", y="0.1")
    assert refused.status == 403
    assert reader.plan_text == FLANGED


# --- by hand ------------------------------------------------------------------------------------------------


@pytest.fixture
def served(room: OpenRoom) -> Room:
    return room(FLANGED)


def take(tab: Tab, across: float, down: float) -> None:
    """Take the hole with the pointer and carry it so many metres over the page, without letting go."""
    box = tab.locator(".bore").bounding_box()
    assert box
    scale = tab.evaluate(
        """() => { const svg = document.querySelector(".bore").closest("svg");
                   return svg.getScreenCTM().a * Number(svg.dataset.scale); }"""
    )
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    tab.mouse.move(x, y)
    tab.mouse.down()
    for part in (0.25, 0.6, 1.0):
        tab.mouse.move(x + across * scale * part, y + down * scale * part)


def test_a_hole_that_is_dragged_shows_its_stress_at_once_and_is_one_edit_that_can_be_taken_back(
    served: Room, page: OpenPage
) -> None:
    tab = ready(page(served.url + AT_THE_CUBES))
    take(tab, -0.075, 0.0)
    expect(tab.locator(".clearances text").first).to_have_text("150 mm")
    expect(tab.locator("#tried")).to_contain_text("Tried at 15 cm from the left")
    expect(tab.locator("#tried .was")).to_have_text("1.98 MPa")
    expect(tab.locator("#announce")).to_contain_text("150 mm from the left, 65 mm below the rim: ")
    assert served.plan_path.read_text("utf-8") == FLANGED, "nothing is written while it is held"
    tab.mouse.up()
    shows(tab, 2)
    saved(tab)
    assert edits(served.live) == ['tank kind cube: hole.from_left "75 mm" -> "150 mm"']
    figure = tab.locator('#tried [data-figure="pane.worst"]')
    expect(figure.locator(".was")).to_have_text("1.98 MPa")
    expect(tab.locator(".clearances")).to_have_count(0)
    tab.keyboard.press("Control+z")
    shows(tab, 3)
    saved(tab)
    assert served.plan_path.read_text("utf-8") == FLANGED


def test_what_is_against_a_place_is_told_while_it_is_held_and_escape_puts_it_back(
    served: Room, page: OpenPage
) -> None:
    tab = ready(page(served.url + AT_THE_CUBES))
    take(tab, 0.0, -0.06)
    expect(tab.locator("#tried .against")).to_contain_text("to the edge")
    tab.keyboard.press("Escape")
    expect(tab.locator("#announce")).to_have_text("Put back.")
    expect(tab.locator("#tried .against")).to_have_count(0)
    expect(tab.locator("#tried")).not_to_contain_text("Tried at")
    tab.mouse.up()
    assert edits(served.live) == []


def test_a_hole_stays_inside_its_pane_however_far_the_hand_goes(served: Room, page: OpenPage) -> None:
    tab = ready(page(served.url + AT_THE_CUBES))
    take(tab, -5.0, 0.0)
    expect(tab.locator(".clearances text").first).to_have_text("286 mm")
    tab.keyboard.press("Escape")
    tab.mouse.up()


def test_keys_move_it_as_one_sees_it_and_a_rest_is_one_edit(served: Room, page: OpenPage) -> None:
    tab = ready(page(served.url + AT_THE_CUBES))
    bore = tab.locator(".bore")
    bore.focus()
    for key in ("ArrowLeft", "ArrowLeft", "Shift+ArrowLeft", "ArrowDown"):
        tab.keyboard.press(key)  # the back is seen mirrored: leftwards is away from the tank's left
    expect(tab.locator(".clearances text").first).to_have_text("99 mm")
    tab.keyboard.press("Enter")
    shows(tab, 2)
    saved(tab)
    assert edits(served.live) == [
        'tank kind cube: hole.from_left "75 mm" -> "99 mm", hole.below_rim "65 mm" -> "67 mm"'
    ]
    expect(bore, "one can go on from there").to_be_focused()
    bore.press("ArrowRight")
    shows(tab, 3)  # a rest without a key lets go of it
    saved(tab)
    assert len(edits(served.live)) == 2


def test_a_place_that_was_tried_by_typing_is_left_behind_when_a_hand_moves_it(
    served: Room, page: OpenPage
) -> None:
    tab = ready(page(f"{served.url}{AT_THE_CUBES}&across=10 cm&down=8 cm"))
    expect(tab.locator(".was-there")).to_have_count(1)
    tab.locator(".bore").press("ArrowLeft")
    tab.keyboard.press("Enter")
    shows(tab, 2)
    saved(tab)
    expect(tab.locator(".was-there")).to_have_count(0)
    assert "across" not in tab.url
    assert edits(served.live) == [
        'tank kind cube: hole.from_left "75 mm" -> "102 mm", hole.below_rim "65 mm" -> "80 mm"'
    ]


def test_another_change_meanwhile_does_not_lose_the_moved_hole_and_a_hole_moved_elsewhere_is_told(
    served: Room, page: OpenPage
) -> None:
    tab = ready(page(served.url + AT_THE_CUBES, expect=("answer 409", "409")))
    tab.locator(".bore").press("ArrowLeft")
    served.live.edit(SetValue(("title",), "Mine"), base=1, key="t", who="Bob")
    tab.keyboard.press("Enter")
    shows(tab, 3)
    saved(tab)
    assert 'from_left = "77 mm"' in served.plan_path.read_text("utf-8"), "they do not touch each other"
    tab.locator(".bore").press("ArrowLeft")
    served.live.edit(MoveHole("cube", 0.12, 0.1), base=3, key="h", who="Bob")
    tab.keyboard.press("Enter")
    expect(tab.locator("main .error").first).to_contain_text("somebody else changed the plan")
    assert 'from_left = "120 mm"' in served.plan_path.read_text("utf-8"), "theirs stands"


def test_without_scripts_a_place_is_tried_and_written_by_forms(served: Room, context: OpenDesk) -> None:
    tab = context(scripts=False).open(served.url + AT_THE_CUBES)
    tab.get_by_role("textbox", name="from the left").fill("9 cm")
    tab.get_by_role("textbox", name="below the rim").fill("7 cm")
    tab.get_by_role("button", name="Try it there").click()
    expect(tab.locator("#tried")).to_contain_text("Tried at 90 mm from the left and 70 mm below the rim")
    tab.get_by_role("button", name="Write it into the plan").click()
    expect(tab.locator("body")).to_have_attribute("data-number", "2")
    assert 'from_left = "9 cm", below_rim = "7 cm"' in served.plan_path.read_text("utf-8")
    tab.get_by_role("button", name="Undo").click()
    assert served.plan_path.read_text("utf-8") == FLANGED


@pytest.mark.parametrize("size", ["desktop", "phone"])
def test_with_its_pictures_the_page_is_sound_and_not_too_heavy(
    size: str, served: Room, context: OpenDesk
) -> None:
    desk = context(size=size)
    tab = desk.context.new_page()
    scales = Scales(tab)
    tab.goto(f"{served.url}{AT_THE_CUBES}&across=15 cm&down=2 cm")
    ready(tab)
    for button in ("Check every pane in full", "Make the map of places"):
        tab.get_by_role("button", name=button).click()
        expect(tab.get_by_role("button", name=button)).to_have_count(0)
        expect(tab.locator("[data-running]")).to_have_count(0)
    expect(tab.locator("#full svg.stress")).to_have_count(1)
    expect(tab.locator("#map svg.map")).to_have_count(1)
    before = scales.weight
    tab.reload()
    ready(tab)
    assert scales.weight - before < HEAVIEST
    assert not tab.evaluate("document.documentElement.scrollWidth > innerWidth")
    none(axe(tab))
    tab.emulate_media(color_scheme="dark")
    none(axe(tab, "color-contrast", "link-in-text-block"))


def test_on_a_phone_the_hole_is_large_enough_for_a_finger(served: Room, page: OpenPage) -> None:
    tab = ready(page(served.url + AT_THE_CUBES, size="phone"))
    box = tab.locator(".bore").bounding_box()
    assert box
    assert min(box["width"], box["height"]) >= 24
