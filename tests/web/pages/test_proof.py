"""The wet test: sheets as one walks, a reading typed on a phone, its verdict, a file of readings, the fit and its way
into the plan."""

from __future__ import annotations

import csv
import io
import re
import time
from pathlib import Path
from random import Random
from typing import Final

import pytest
from playwright.sync_api import Locator, Page, expect

from tankwright.building.point import TestPoint as Point
from tankwright.building.points import expected_points
from tankwright.building.readings import in_unit
from tankwright.web.access import Access, PeopleInMemory
from tankwright.web.proof_sheets import MOST, as_fine, sheet_path, sheets_of, step_of
from tankwright.workspace.proof_work import fit_mark, known_fit, known_points, mark_of
from tankwright.workspace.readings_book import ReadingsBook

from ...building.proof_room import TEXT, plan_of, readings_of
from ..chrome import axe, none
from ..conftest import OpenDesk, OpenPage, OpenRoom
from ..relay import Relay
from .reader import NO_TANKS, Reader, Seen, example, plain

HEAVIEST: Final = 150_000  # bytes before they are packed
TALL: Final = 72  # dots; "main buttons >= 72 px"
PHONE: Final = 844
LEVELS: Final = "/proof/level"
FIRST: Final = f"{LEVELS}?kind=A1.level"


@pytest.fixture
def shed(tmp_path: Path) -> Reader:
    return Reader(tmp_path, TEXT)


def points_of(reader: Reader) -> dict[str, Point]:
    assert reader.good.study is not None
    return {one.id: one for one in expected_points(reader.good.study)}


def book(reader: Reader) -> ReadingsBook:
    return ReadingsBook(reader.path)


def read(reader: Reader, value: str, point: str = "A1.level", **more: str) -> Seen:
    sent = {"key": "k1", "kind": "reading", "point": point, "value": value, "back": FIRST, "page": FIRST}
    return reader.post("/reading", sent | more)


def verdict(page: Seen, number: int = 1) -> str:
    return plain(page.part(f"verdict-{number}"))


def filled(reader: Reader, seed: int = 5) -> bytes:
    """The sheet, read in a room whose pump gives less and whose outlets give more than the plan has it."""
    points = points_of(reader)
    hidden = {"pump.flow_share": 0.9, "feed.rate": 1.25 * 4.0 / 3.6e6, "air.tap_bore": 0.0021}
    truth = readings_of(plan_of(TEXT), tuple(points.values()), hidden, Random(seed))
    rows = [("point", "value", "unit")]
    rows += [
        (one.point, f"{in_unit(one.value, points[one.point].dimension, one.unit):.6g}", one.unit)
        for one in truth
        if points[one.point].kind in ("air", "drip", "level", "pump pressure")
    ]
    out = io.StringIO()
    csv.writer(out).writerows(rows)
    return out.getvalue().encode()


def upload(reader: Reader, raw: bytes, key: str = "u1") -> Seen:
    return reader.post("/readings.csv", {"key": key}, ("sheet.csv", raw))


# --- sheets ----------------------------------------------------------------------------------------------------------


def test_every_point_stands_on_one_sheet_by_hold_point_and_rack(tmp_path: Path) -> None:
    cellar = Reader(tmp_path, example("cellar_mended"))
    assert cellar.good.room is not None
    points = tuple(points_of(cellar).values())
    sheets = sheets_of(cellar.good.room, points)
    assert sorted(one.id for sheet in sheets for one in sheet.points) == sorted(one.id for one in points)
    assert len({sheet.name for sheet in sheets}) == len(sheets)
    assert max(len(sheet.points) for sheet in sheets) <= MOST
    holds = [sheet.when for sheet in sheets]
    assert sorted(holds, key=list(dict.fromkeys(holds)).index) == holds
    assert holds[0].startswith("as soon as it is laid")
    page = cellar.see("/proof")
    for sheet in sheets:
        assert f'href="{sheet.path}"' in page.markup
        seen = cellar.see(sheet.path)
        for one in sheet.points:
            assert f'data-kind="{one.id}"' in seen.markup
            for step in one.how:
                assert step in seen.text


def test_a_point_says_what_should_come_how_it_is_measured_and_where_care_is_wanted(tmp_path: Path) -> None:
    cellar = Reader(tmp_path, example("cellar_mended"))
    level = cellar.see(sheet_path("level A", "A3.level"))
    assert "water below the rim of tank A3: 41 mm ± 3" in level.text
    assert "Hold a ruler upright at the elbow" in level.text
    assert 'href="/?at=A3"' in level.markup
    trip = cellar.see("/proof/trip")
    assert "at most 300 ms" in trip.text
    assert "your local code and licensed people decide" in trip.text


def test_a_hall_shows_its_racks_and_stays_light(tmp_path: Path) -> None:
    hall = Reader(tmp_path, example("hall"))
    page = hall.see("/proof")
    assert len(page.markup) < HEAVIEST
    assert "0 of 1818" in page.text
    paths = re.findall(r'href="(/proof/[^"]+)"', page.markup)
    assert len(hall.see(paths[20]).markup) < HEAVIEST / 2
    assert "not worked out" in plain(page.part("bands"))


@pytest.mark.parametrize("text", [NO_TANKS, 'title = "x"\n', "= nonsense"])
def test_a_plan_with_nothing_to_measure_says_what_will_be_here(tmp_path: Path, text: str) -> None:
    reader = Reader(tmp_path, text)
    page = reader.see("/proof")
    assert page.status == 200
    assert "Here will be what to measure" in page.text
    assert reader.see("/readings.csv").status == 404
    assert reader.see("/proof/level").status == 200


def test_a_plan_with_mistakes_shows_the_test_of_the_last_good_one(shed: Reader) -> None:
    shed.path.write_text(TEXT + "[nonsense\n", "utf-8")
    shed.live.reread()
    shed.live.reread()
    assert "See the mistakes" in shed.see("/proof").text
    assert "A1" in plain(shed.see(FIRST).part("point-1"))
    assert read(shed, "42").status == 303


def test_a_sheet_the_plan_has_not_is_said(shed: Reader) -> None:
    assert "The plan has no such sheet." in shed.see("/proof/level%20Z").text


# --- one reading, without scripts ------------------------------------------------------------------------------------


def test_a_reading_is_kept_and_its_verdict_stands_large(shed: Reader) -> None:
    assert verdict(shed.see(FIRST)) == "not read"
    answer = read(shed, "42,5")
    assert (answer.status, answer.leads_to) == (303, FIRST)
    page = shed.see(FIRST)
    assert verdict(page) == "within"
    assert 'value="42.5"' in page.part("point-1")
    assert "1 of " in plain(page.part("progress"))
    read(shed, "55", key="k2")
    assert verdict(shed.see(FIRST)) == "water 14 mm too low"
    read(shed, "1 in", key="k3")
    assert verdict(shed.see(FIRST)) == "water 15 mm too high"
    assert [one.typed for one in book(shed).all()] == ["42,5", "55", "1 in"]


def test_a_form_sent_twice_is_one_reading_and_one_filled_anew_another(shed: Reader) -> None:
    read(shed, "42")
    read(shed, "42")
    assert len(book(shed).all()) == 1
    read(shed, "43")  # gone back to, and filled in anew
    assert book(shed).standing()["A1.level"].typed == "43"


def test_a_reading_is_taken_back_by_a_form_of_its_page(shed: Reader) -> None:
    read(shed, "42")
    form = re.search(r'name="undoes" value="([^"]+)"', shed.see(FIRST).part("point-1"))
    assert form is not None
    read(shed, "", key="k2", kind="undo", undoes=form[1])
    assert verdict(shed.see(FIRST)) == "not read"
    answer = read(shed, "", key="k3", kind="undo", undoes="never")
    assert answer.status == 422
    assert "not there to take back" in answer.text


@pytest.mark.parametrize(
    ("typed", "said"), [("4 bar", "a pressure"), ("-2", "cannot be"), ("wet", "not a number")]
)
def test_what_cannot_be_is_refused_beside_its_field_and_kept(shed: Reader, typed: str, said: str) -> None:
    answer = read(shed, typed)
    assert answer.status == 422
    assert f'value="{typed}"' in answer.markup
    assert said in plain(answer.part("value-1-error"))
    assert "Wanted:" in plain(answer.part("value-1-error"))
    assert book(shed).all() == ()


def test_an_unknown_point_a_missing_key_and_a_moment_that_is_none_are_refused(shed: Reader) -> None:
    assert read(shed, "42", point="Z9.level").status == 422
    assert read(shed, "42", key="").status == 422
    assert read(shed, "42", happened="yesterday").status == 422
    assert book(shed).all() == ()


def test_who_may_only_look_reads_the_sheets_and_changes_nothing(tmp_path: Path) -> None:
    people = PeopleInMemory()
    people.put("Lu", "looker", "correct horse 1")
    shed = Reader(tmp_path, TEXT, Access(people, secret=b"s" * 32))
    shed.post("/login", {"name": "Lu", "password": "correct horse 1", "next": "/"})
    page = shed.see(FIRST)
    assert page.status == 200
    assert "/reading" not in page.markup
    assert read(shed, "42").status == 403
    assert upload(shed, b"point,value\nA1.level,42 mm\n").status == 403
    assert shed.post("/readings/write", {"base": "1", "key": "k", "mark": "m"}).status == 403
    assert shed.post("/readings/take-back", {"batch": "b"}).status == 403
    assert "/readings/write" not in shed.see("/proof").markup
    assert book(shed).all() == ()


# --- files -----------------------------------------------------------------------------------------------------------


def test_the_sheet_comes_as_a_table_and_filled_in_goes_back(shed: Reader) -> None:
    read(shed, "42")
    text = shed.see("/readings.csv").markup.removeprefix("\ufeff")
    rows = list(csv.DictReader(io.StringIO(text, newline="")))
    assert [row["point"] for row in rows] == list(points_of(shed))
    assert {row["point"]: row["value"] for row in rows if row["value"]} == {"A1.level": "42"}
    answer = upload(
        shed, text.replace("A2.level,water below the rim of tank A2,42,mm,,", "A2.level,,,mm,41,").encode()
    )
    assert answer.leads_to.startswith("/proof?taken=")
    standing = book(shed).standing()
    assert set(standing) <= {"A1.level", "A2.level"}
    assert len(book(shed).all()) == len(standing)  # what stood already is not stored again


def test_every_mistake_of_a_file_is_told_at_once_and_the_rest_is_taken_and_can_be_taken_back(
    shed: Reader,
) -> None:
    raw = b"point,value,unit\nA1.level,42,mm\nA9.level,1,mm\nA2.level,5 bar,\nA3.level,7,\nA4.level,43,mm\nA5.level,9,t"
    answer = upload(shed, raw)
    assert answer.status == 422
    told = plain(answer.part("file-errors"))
    for line in (3, 4, 5, 7):
        assert f"line {line}:" in told
    assert set(book(shed).standing()) == {"A1.level", "A4.level"}
    batch = re.search(r'name="batch" value="(\w+)"', answer.markup)
    assert batch is not None
    assert upload(shed, raw).status == 422  # sent again: stored once
    assert len(book(shed).all()) == 2
    back = shed.post("/readings/take-back", {"batch": batch[1]})
    assert back.leads_to == "/proof?back=2#csv"
    assert book(shed).standing() == {}
    assert shed.post("/readings/take-back", {"batch": ""}).status == 422


@pytest.mark.parametrize("raw", [b"", b"\xff\xfe\x00nonsense", b"a,b\n1,2\n", b"x" * 1_000_001])
def test_a_file_that_is_no_sheet_is_refused_in_words(shed: Reader, raw: bytes) -> None:
    answer = upload(shed, raw)
    assert answer.status == 422
    assert plain(answer.part("file-errors"))
    assert book(shed).all() == ()


# --- what they say ---------------------------------------------------------------------------------------------------


def job(reader: Reader, kind: str) -> None:
    reader.post("/work", {"do": "start", "kind": kind, "back": "/proof"})
    end = time.monotonic() + 60.0
    while "data-running" in reader.see("/proof").markup:
        assert time.monotonic() < end
        time.sleep(0.02)


def test_bands_come_when_they_were_worked_out(tmp_path: Path) -> None:
    reader = Reader(tmp_path, TEXT.replace("drawn in one evening", "drawn in two"))
    assert known_points(mark_of(reader.good)) is None
    assert "Work out how far off" in reader.see("/proof").text
    assert "assumed" not in plain(reader.see("/proof/drip?kind=A1.drip").part("point-1"))
    job(reader, "proof")
    assert known_points(mark_of(reader.good)) is not None
    assert "Work out how far off" not in reader.see("/proof").text
    assert re.search(r"assumed \d+ to \d+ mL/min", reader.see("/proof/drip?kind=A1.drip").text)


def test_readings_stand_worst_first_with_their_place_and_what_they_have_in_common(shed: Reader) -> None:
    upload(shed, filled(shed))
    page = shed.see("/proof")
    rows = re.findall(r'<tr class="(\w+)">', page.part("readings"))
    assert {"low", "high"} & set(rows[:3])
    assert rows[-1] == "within"
    assert 'href="/?at=A1&amp;layer=' in page.markup
    assert "all 6" in plain(page.part("findings"))


def test_the_fit_is_shown_written_as_one_step_and_taken_out_by_one(shed: Reader) -> None:
    upload(shed, filled(shed))
    assert "Fit what was assumed" in shed.see("/proof").text
    job(shed, "fit")
    page = shed.see("/proof")
    fit = known_fit(fit_mark(shed.good, book(shed).standing()))
    assert fit is not None
    assert fit.fitted is not None
    assert fit.fitted.values
    told = plain(page.part("fitted"))
    assert all(one.row.what in told for one in fit.fitted.values)
    if fit.fitted.kept:
        assert fit.fitted.kept[0].row.what in plain(page.part("kept"))
    form = dict(re.findall(r'name="(base|key|mark)" value="([^"]+)"', page.part("write")))
    before = shed.live.snapshot.number
    answer = shed.post("/readings/write", form)
    assert answer.leads_to == f"/proof?written={len(fit.fitted.values)}#fit"
    assert shed.post("/readings/write", form).status == 303  # the same form again
    assert shed.live.snapshot.number == before + 1
    assert shed.plan_text.count("measured = ") == len(fit.fitted.values)
    assert "drawn in one evening" in shed.plan_text
    after = shed.see(answer.leads_to)
    assert "written into the plan" in after.text
    assert "Shown is a fit from before" in after.text
    assert 'id="write"' not in after.markup
    shed.send("/proof", change="undo")
    assert shed.plan_text == TEXT


def test_a_fit_of_a_plan_that_changed_meanwhile_is_not_written(shed: Reader) -> None:
    upload(shed, filled(shed))
    job(shed, "fit")
    form = dict(re.findall(r'name="(base|key|mark)" value="([^"]+)"', shed.see("/proof").part("write")))
    shed.send("/proof", change="value", path="/pump/p/height", typed="1.9 m")
    answer = shed.post("/readings/write", form)
    assert answer.status == 409
    assert "changed since this fit was made; nothing was written" in plain(answer.part("write-error"))
    assert "measured = " not in shed.plan_text
    shed.send("/proof", change="undo")
    read(shed, "42", key="one more")
    assert shed.post("/readings/write", form).status == 409
    assert shed.post("/readings/write", {"base": "x", "key": "k"}).status == 400


def test_a_step_of_a_reading_is_a_round_part_of_its_tolerance(shed: Reader) -> None:
    for point in points_of(shed).values():
        step = step_of(point)
        tolerance = in_unit(point.tolerance, point.dimension, point.unit)
        assert f"{step:e}"[0] in "125"
        assert step <= max(tolerance, abs(in_unit(point.value, point.dimension, point.unit)) / 20)
    assert as_fine(0.0, 5.0) == "0"


# --- with a thumb ----------------------------------------------------------------------------------------------------


def ready(tab: Page) -> Page:
    tab.wait_for_selector("html[data-live]")
    return tab


def shown(tab: Page) -> Locator:
    return tab.locator(".point:visible")


def type_in(tab: Page, value: str) -> None:
    shown(tab).locator("input[name=value]").fill(value)
    shown(tab).get_by_role("button", name="Save").click()


def test_on_a_phone_one_types_sees_the_verdict_goes_on_takes_back_and_finds_it_again(
    room: OpenRoom, page: OpenPage
) -> None:
    served = room(TEXT)
    tab = ready(page(served.url + LEVELS, size="phone"))
    expect(shown(tab).locator("h2")).to_contain_text("A1")
    type_in(tab, "60")
    expect(shown(tab).locator(".verdict")).to_have_text("water 19 mm too low")
    expect(tab.locator("#progress")).to_contain_text("1 of ")
    shown(tab).get_by_role("link", name="Next: A2").click()
    expect(shown(tab).locator("h2")).to_contain_text("A2")
    shown(tab).get_by_label("more").click()
    expect(shown(tab).locator("input[name=value]")).to_have_value("42")
    shown(tab).get_by_role("button", name="Save").click()
    expect(shown(tab).locator(".verdict")).to_have_text("within")
    expect(tab.locator("#progress")).to_contain_text("2 of ")
    tab.locator("#undo button").click()
    expect(tab.locator("#progress")).to_contain_text("1 of ")
    expect(shown(tab).locator(".verdict")).to_have_text("not read")
    tab.goto(served.url + FIRST)
    expect(ready(tab).locator(".point:visible .verdict")).to_have_text("water 19 mm too low")
    expect(shown(tab).locator("input[name=value]")).to_have_value("60")


def test_while_the_line_is_cut_the_verdict_comes_all_the_same_and_the_reading_arrives_once(
    room: OpenRoom, context: OpenDesk, relay: Relay
) -> None:
    served = room(TEXT)
    desk = context(size="phone", proxy=relay.proxy)
    desk.watch.expect("ERR_", "WebSocket", "request failed")
    tab = ready(desk.open(served.url + LEVELS))
    relay.cut()
    type_in(tab, "41")
    expect(shown(tab).locator(".verdict")).to_have_text("within")
    expect(tab.locator("#line")).to_contain_text("waits")
    shown(tab).get_by_role("link", name="Next: A2").click()
    type_in(tab, "50,5")
    expect(shown(tab).locator(".verdict")).to_have_text(re.compile("too low"))
    relay.restore()
    expect(tab.locator("#line")).to_have_text("All saved", timeout=30_000)
    expect(tab.locator("#progress")).to_contain_text("2 of ")
    stored = ReadingsBook(served.plan_path).all()
    assert [(one.point, one.typed) for one in stored] == [("A1.level", "41 mm"), ("A2.level", "50,5 mm")]


def test_a_unit_of_its_own_is_taken_and_one_that_cannot_be_is_set_apart(
    room: OpenRoom, context: OpenDesk
) -> None:
    desk = context(size="phone")
    desk.watch.expect("422")
    tab = ready(desk.open(room(TEXT).url + LEVELS))
    type_in(tab, "4.2 cm")
    expect(shown(tab).locator(".verdict")).to_have_text("within")
    type_in(tab, "4 bar")
    expect(tab.locator("#apart")).to_contain_text("is a pressure, not a length")
    expect(shown(tab).locator("input[name=value]")).to_have_value("4 bar")
    type_in(tab, "")
    expect(shown(tab).locator(".error")).to_contain_text("the number that was read")


def test_a_thumb_finds_its_buttons_and_everyone_can_read_it(rooms: OpenRoom, page: OpenPage) -> None:
    tab = ready(page(rooms(TEXT).url + LEVELS, size="phone"))
    for which in (
        shown(tab).get_by_role("button", name="Save"),
        shown(tab).get_by_role("link", name="Next"),
        shown(tab).get_by_label("more"),
        shown(tab).get_by_label("less"),
    ):
        box = which.bounding_box()
        assert box is not None
        assert box["height"] >= TALL - 0.5
        assert box["y"] + box["height"] <= PHONE
    none(axe(tab))
    tab.emulate_media(color_scheme="dark")
    none(axe(tab, "color-contrast"))


def test_with_readings_and_a_fit_the_page_can_be_read_by_everyone_and_writes(
    room: OpenRoom, page: OpenPage, tmp_path: Path
) -> None:
    sheet = tmp_path / "sheet.csv"
    sheet.write_bytes(filled(Reader(tmp_path, TEXT), seed=6))
    served = room(TEXT)
    tab = page(served.url + "/proof")
    tab.get_by_label("A sheet filled in").set_input_files(sheet)
    tab.get_by_role("button", name="Take its readings").click()
    tab.wait_for_selector("#readings")
    tab.get_by_role("button", name="Fit what was assumed").click()
    tab.wait_for_selector("#fitted", timeout=60_000)
    for width in (1440, 1024, 390):
        tab.set_viewport_size({"width": width, "height": 844})
        assert tab.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
    none(axe(tab))
    tab.emulate_media(color_scheme="dark")
    none(axe(tab, "color-contrast"))
    tab.get_by_role("button", name="Write these into the plan").click()
    expect(tab.locator("#fit")).to_contain_text("written into the plan")
    assert "measured = " in served.plan_path.read_text("utf-8")
