"""The page of racks and floor against the study, what it takes into the plan, and what it does not know."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tankwright.checks.load import FLOOR_VALUES
from tankwright.display import words
from tankwright.finding import Number
from tankwright.systems.racks_model import RacksResult, RackStrength
from tankwright.systems.racks_sections import sections_that_hold
from tankwright.web.access import Access, PeopleInMemory

from .reader import NO_TANKS, Reader, Seen, example, plain

JOISTS = 'joists = { section = "45 mm x 195 mm C24", every = "40 cm", run = "north-south" }\n'


def with_joists(text: str) -> str:
    assert 'floor = "slab"' in text
    return text.replace('floor = "slab"', f'floor = "timber"\nfloor_limit = "1.5 kPa"\n{JOISTS}', 1)


@pytest.fixture(scope="module")
def mended(tmp_path_factory: pytest.TempPathFactory) -> Reader:
    return Reader(tmp_path_factory.mktemp("mended"), example("cellar_mended"))


@pytest.fixture(scope="module")
def attic(tmp_path_factory: pytest.TempPathFactory) -> Reader:
    return Reader(tmp_path_factory.mktemp("attic"), with_joists(example("cellar_mended")))


@pytest.fixture
def cellar(tmp_path: Path) -> Reader:
    return Reader(tmp_path, example("cellar"))


def racks_of(reader: Reader) -> RacksResult:
    study = reader.good.study
    assert study is not None
    assert study.racks is not None
    return study.racks


def rack(reader: Reader, name: str) -> RackStrength:
    return next(one for one in racks_of(reader).racks if one.rack == name)


def said(value: float, dimension: str) -> str:
    return words(Number(value, dimension))


def rows(page: Seen, part: str) -> list[list[str]]:
    found = re.findall(r"<tr\b.*?</tr>", page.part(part), re.DOTALL)
    return [[plain(cell) for cell in re.findall(r"<t[dh]\b.*?</t[dh]>", row, re.DOTALL)] for row in found]


# --- one rack --------------------------------------------------------------------------------------------------------


def test_every_part_says_what_it_comes_to_what_it_may_and_what_governs(mended: Reader) -> None:
    page = mended.see("/strength?rack=A")
    shown = rows(page, "parts")
    for beam in rack(mended, "A").beams:
        worst = beam.worst
        assert worst is not None
        assert beam.sag_now is not None
        assert beam.sag_later is not None
        deep = beam.part == "bearer"
        row = [
            worst.check, said(worst.demand, worst.dimension), said(worst.allowed, worst.dimension),
            *([said(beam.sag_now, "length"), said(beam.sag_later, "length")] if deep else []),
        ]  # fmt: skip
        assert any(one[6 : 6 + len(row)] == row for one in shown), (beam.part, beam.shelf, beam.index, row)


def test_every_upright_says_what_comes_down_and_what_it_may_bear(mended: Reader) -> None:
    shown = rows(mended.see("/strength?rack=A"), "uprights")
    posts = rack(mended, "A").posts
    assert len(shown) == 1 + len(posts)
    for post in posts:
        assert post.worst is not None
        row = next(one for one in shown if one[0] == f"{post.upright + 1}, {post.side}")
        assert row[1] == said(post.force, "force")
        assert row[2:4] == [said(post.worst.share, "share"), said(post.worst.allowed, "force")]


def test_every_figure_of_parts_uprights_and_water_lines_opens_a_working_that_says_the_same(
    mended: Reader,
) -> None:
    page = mended.see("/strength?rack=A")
    tables = "".join(page.part(part) for part in ("parts", "uprights", "levels", "sections", "sideways"))
    names = dict(re.findall(r'<a class="num[^"]*" href="[^"]*" data-figure="([^"]+)"[^>]*>(.*?)</a>', tables))
    assert len(names) > 60
    for name in ("racks.A.bearer.1.1.2.bending", "racks.A.board.1.1.1.shear", "racks.A.foot.1.front",
                 "racks.A.bearer.1.1.2.now", "racks.A.tilt.A2.later", "racks.try.1.sag"):  # fmt: skip
        assert name in names
        working = mended.see(f"/strength?rack=A&why={name}")
        assert plain(working.part("why")), name
        assert 'class="formula"' in working.part("why")
    told = plain(mended.see("/strength?rack=A&why=racks.A.bearer.1.1.2.now").part("why"))
    assert plain(names["racks.A.bearer.1.1.2.now"]) in told


def test_what_rests_on_the_assumed_damp_looks_assumed_until_it_is_said(tmp_path: Path) -> None:
    reader = Reader(tmp_path, example("cellar_mended"))
    reader.send("/strength?rack=A", change="value", path="/rack_kind/three_high/mass", typed="50 kg")
    figure = r'class="num( assumed)?" href="[^"]*" data-figure="racks\.A\.bearer\.1\.1\.2\.bending"'
    assert re.findall(figure, reader.see("/strength?rack=A").part("parts")) == [" assumed"]
    reader.send(
        "/strength?rack=A", change="value", path="/rack_kind/three_high/timber/service_class", typed="2"
    )
    page = reader.see("/strength?rack=A")
    assert re.findall(figure, page.part("parts")) == [""]
    assert "assumed: say how damp" not in page.text


def test_the_picture_states_how_much_larger_sags_are_drawn(mended: Reader) -> None:
    front = mended.see("/strength?rack=A").part("rack")
    assert re.search(r"Sags are drawn \d+ times as large as they are", plain(front))
    assert 'class="drawing rack-loads"' in front


def test_by_which_code_and_in_which_damp_it_is_judged_is_said(mended: Reader) -> None:
    text = plain(mended.see("/strength?rack=A").part("built"))
    assert "C24 EN 338:2016" in text
    assert "EN 1995-1-1" in text
    assert "kmod 0.6" in text
    assert "the weight 1.35 times" in text
    assert "Service class 2 (assumed" in text
    assert "Rules of limit state" in text


def test_the_other_racks_are_links_and_a_name_that_is_none_is_told(mended: Reader) -> None:
    page = mended.see("/strength?rack=C")
    tabs = re.findall(r'<a href="/strength\?rack=(\w+)"( aria-current="true")?>', page.part("rack"))
    assert sorted(name for name, _ in tabs) == sorted(one.rack for one in racks_of(mended).racks)
    assert [name for name, current in tabs if current] == ["C"]
    assert 'There is no rack "Z9"' in mended.see("/strength?rack=Z9").text


def test_what_tips_it_and_what_keeps_it_from_leaning_is_said(mended: Reader) -> None:
    one, text = rack(mended, "A"), plain(mended.see("/strength?rack=A").part("sideways"))
    assert one.tip_worst is not None
    assert one.tip_full is not None
    for value in (one.sway_push, one.tip_worst, one.tip_full):
        assert said(value, "force") in text
    assert "a board across its back, a tie to the wall" in text


def test_a_frame_that_nothing_holds_says_so(cellar: Reader) -> None:
    cellar.send("/strength?rack=A", change="value", path="/rack/id=A/tied_to_wall", typed="false")
    text = plain(cellar.see("/strength?rack=A").part("sideways"))
    assert "Nothing in the plan keeps it from leaning" in text
    assert "It is not tied" in text


# --- what section would do -------------------------------------------------------------------------------------------


def test_sections_hold_for_every_rack_of_the_kind_and_the_cheapest_stands_first(mended: Reader) -> None:
    room, study = mended.good.room, mended.good.study
    assert room is not None
    assert study is not None
    assert study.load is not None
    masses = {one.tank: one.total for one in study.load.tanks}
    shown = rows(mended.see("/strength?rack=D"), "sections")
    held = [row[0] for row in shown if row[0].startswith("45")]
    assert held[0].startswith("45 mm x 95 mm C24"), "it has a price, the others have none"
    for row in shown:
        name = row[0].removesuffix(" as it is")
        if not name.startswith("45"):
            continue
        worst = []
        for place in room.racks:
            if place.kind == "three_high":
                (tried,) = sections_that_hold(room, place, masses, (name,))
                assert tried.strength is not None
                assert tried.sag is not None
                worst.append((tried.strength.share, tried.sag.share))
        assert row[2] == said(max(one for one, _ in worst), "share"), (
            "the worst rack of the kind, not this one alone"
        )
        assert row[4] == said(max(two for _, two in worst), "share")
    assert "would not do" in plain(mended.see("/strength?rack=D").part("sections"))
    assert next(row for row in shown if row[0] == "45x70 mm C24")[4].rstrip(" %") > "100"


def test_a_section_is_taken_in_one_step_and_comes_back_in_one(cellar: Reader) -> None:
    before = cellar.plan_text
    assert 'name="section" value="45x95 C24"' in cellar.see("/strength?rack=A").part("sections")
    assert (
        cellar.send("/strength?rack=A", change="bearers", kind="three_high", section="45x95 C24").status
        == 303
    )
    page = cellar.see("/strength?rack=A")
    assert 'timber = { uprights = "45x95 C24", bearers = "45x95 C24" }' in cellar.plan_text
    assert page.row("sections", "45x95 C24 as it is")
    assert cellar.send("/strength?rack=A", change="undo").status == 303
    assert cellar.plan_text == before


def test_a_sentence_is_written_out_before_its_parts_can_be_changed(cellar: Reader) -> None:
    page = cellar.see("/strength?rack=A")
    assert "45x95 C24 uprights, 45x70 C24 bearers" in page.part("values")
    assert "/rack_kind/three_high/timber/bearers" not in page.markup
    cellar.send("/strength?rack=A", change="bearers", kind="three_high", section="")
    assert 'value="45x70 C24"' in cellar.see("/strength?rack=A").field("/rack_kind/three_high/timber/bearers")


def test_what_is_no_section_is_refused_beside_the_list(cellar: Reader) -> None:
    answer = cellar.send("/strength?rack=A", change="bearers", kind="three_high", section="a plank")
    assert answer.status == 422
    assert "is no section" in plain(answer.part("sections"))


# --- sags read -------------------------------------------------------------------------------------------------------


def test_a_reading_is_added_stands_beside_what_is_worked_out_and_goes_again(cellar: Reader) -> None:
    fields = {
        "rack": "A",
        "shelf": "1",
        "bearer": "front",
        "sag": "3",
        "measured": "2026-11-20",
        "days": "60 days",
    }
    path = "/rack/id=A/sag"
    assert cellar.send("/strength?rack=A", change="sag", path=path, **fields).status == 303
    (compared,) = rack(cellar, "A").readings
    row = cellar.see("/strength?rack=A").row("sags", "1")
    assert row[1:6] == ["front", "3 mm", "2026-11-20", "60 days", said(compared.expected, "length")]
    assert row[6].startswith(said(compared.share, "share"))
    cellar.send("/strength?rack=A", change="remove", path=path, index="0")
    assert rack(cellar, "A").readings == ()
    assert "None yet." in plain(cellar.see("/strength?rack=A").part("sags"))


def test_a_reading_that_cannot_be_is_refused_in_its_form_with_what_was_typed(cellar: Reader) -> None:
    answer = cellar.send("/strength?rack=A", change="sag", path="/rack/id=A/sag", rack="A", shelf="2", bearer="back",
                         sag="deep", measured="2026-11-20", days="")  # fmt: skip
    assert answer.status == 422
    form = answer.part("add-sag")
    assert "is not a number with a unit" in plain(form)
    assert 'value="deep"' in form
    assert "<option selected>2</option>" in form


# --- the floor -------------------------------------------------------------------------------------------------------


def test_the_floor_stands_beside_the_limit_and_what_codes_say_and_gets_no_verdict(attic: Reader) -> None:
    floor = next(one for one in racks_of(attic).floors if one.space == "cellar")
    part = plain(attic.see("/strength?rack=A").part("floor"))
    for value in (floor.average, floor.heaviest_footprint, 1500.0, *(one.pressure for one in FLOOR_VALUES)):
        assert said(value, "floor_load") in part
    assert said(max(foot.force for foot in floor.feet), "force") in part
    for word in ("safe", "passes", "certified", "approved", " fine"):
        assert word not in part.lower()


def test_joists_are_a_load_sheet(attic: Reader) -> None:
    floor = next(one for one in racks_of(attic).floors if one.space == "cellar")
    assert len(floor.joists) > 5
    page = attic.see("/strength?rack=A")
    shown = rows(page, "floor")
    for joist in floor.joists:
        row = next(one for one in shown if one[0] == str(joist.index + 1) and len(one) == 5)
        assert joist.sag_now is not None
        assert row[2:] == [
            said(joist.moment, "bending_moment"), said(joist.design_moment, "bending_moment"),
            said(joist.sag_now, "length"),
        ]  # fmt: skip
        brought = re.findall(r"\b[A-Z] (\S+ k?N) at ", row[1])
        newtons = sum(float(one.split()[0]) * (1000 if "k" in one.split()[1] else 1) for one in brought)
        weight = sum((each.end - each.start) * each.load for each in joist.patches)
        assert newtons == pytest.approx(weight, rel=0.01)
    working = attic.see(f"/strength?rack=A&why=racks.cellar.joist.{floor.joists[0].index + 1}.moment")
    assert "by racks alone" in plain(working.part("why"))


def test_a_timber_floor_without_joists_is_not_computed_and_says_what_to_write(cellar: Reader) -> None:
    assert "A floor on the ground was not worked out" in cellar.see("/strength?rack=A").text
    cellar.send("/strength?rack=A", change="value", path="/room/cellar/floor", typed="timber")
    text = plain(cellar.see("/strength?rack=A").part("floor"))
    assert "Not computed: this floor may hang" in text
    sent = cellar.send("/strength?rack=A", change="joists", path="/room/cellar/joists", room="cellar",
                       section="45x195 C24", every="40 cm", run="north-south", span="")  # fmt: skip
    assert sent.status == 303
    page = cellar.see("/strength?rack=A")
    assert "Joists, as an engineer reads them" in page.text
    assert 'value="40 cm"' in page.field("/room/cellar/joists/every")


def test_what_is_hollow_is_said_and_a_foot_over_it_is_told(cellar: Reader) -> None:
    foot = next(one for one in racks_of(cellar).floors[0].feet if one.rack == "A")
    at = (f"{foot.x - 0.1:.3f} m", f"{foot.y - 0.1:.3f} m")
    cellar.send("/strength?rack=A", change="void", path="/room/cellar/voids", room="cellar", name="hatch", x=at[0],
                y=at[1], across="20 cm", deep="20 cm")  # fmt: skip
    page = cellar.see("/strength?rack=A")
    assert "stands over hatch" in plain(page.part("floor"))
    assert 'value="20 cm"' in page.field("/room/cellar/voids/0/size/0")
    assert "RACKS-11" in page.part("findings")


# --- what is not known -----------------------------------------------------------------------------------------------


def test_a_rack_nobody_described_looks_not_computed_and_says_what_to_write(cellar: Reader) -> None:
    page = cellar.see("/strength?rack=E")
    assert "neither what it is built of nor a maker&#39;s rating is said" in page.part("unbuilt")
    assert "[rack_kind.narrow]\ntimber = {" in page.part("unbuilt")
    assert 'class="none" data-figure="racks.E.worst"' in page.part("figures")
    assert "LOAD-05" in page.part("findings")
    assert [row[2] for row in rows(page, "uprights")[1:]] == ["not computed"] * 4
    assert "The plan does not say what they are built of: tried as timber of grade C24" in page.text


def test_bought_racks_go_by_their_rating_in_the_readers_units(tmp_path: Path) -> None:
    reader = Reader(tmp_path, example("garage"))
    page = reader.see("/strength?rack=N1")
    one = rack(reader, "N1")
    assert one.rated_share is not None
    assert said(one.rated_share, "share") in plain(page.part("figures"))
    assert "Only its maker's rating is held against its shelves" in plain(page.part("unbuilt"))
    assert "SPF No.2" in page.part("unbuilt")
    assert 'id="sections"' not in page.markup, "no bearers of bought shelving are tried"
    assert "psf" in plain(page.part("floor"))
    assert "kPa" not in plain(page.part("floor"))


def test_a_grade_that_is_missing_is_said_and_nothing_of_it_is_shared_out(tmp_path: Path) -> None:
    text = example("cellar").replace("45x70 C24 bearers", "45x70 bearers")
    reader = Reader(tmp_path, text)
    page = reader.see("/strength?rack=A")
    assert "Not computed: no grade is known of its bearers" in page.text
    assert "not known, so not computed" in page.text
    assert 'class="chip use-' not in page.part("parts")
    assert "not computed" in plain(page.part("parts"))


def test_a_room_without_racks_says_what_will_be_here(tmp_path: Path) -> None:
    page = Reader(tmp_path, NO_TANKS).see("/strength")
    assert page.status == 200
    assert "No rack stands in the room yet" in page.text


def test_the_page_of_a_hall_shows_one_rack_and_stays_small(tmp_path: Path) -> None:
    reader = Reader(tmp_path, example("hall"))
    page = reader.see("/strength?rack=R007")
    assert len(page.markup.encode()) < 150_000
    assert plain(page.part("rack")).startswith("Rack R007")
    assert page.part("rack").count("R007-") == 12 * page.part("rack").count("R007-01")
    assert 'rel="next"' in page.markup
    assert 'rel="prev"' in page.markup


def test_who_may_only_look_sees_all_of_it_and_changes_nothing(tmp_path: Path) -> None:
    people = PeopleInMemory()
    people.put("Lu", "looker", "correct horse 1")
    reader = Reader(tmp_path, example("cellar"), Access(people, secret=b"s" * 32))
    reader.post("/login", {"name": "Lu", "password": "correct horse 1", "next": "/"})
    page = reader.see("/strength?rack=A")
    assert "45x95 C24" in plain(page.part("sections"))
    for change in ("bearers", "sag", "joists", "void"):
        assert f'value="{change}"' not in page.markup
    assert reader.send("/strength", change="bearers", kind="three_high", section="45x95 C24").status == 403


def test_the_load_page_leads_here(mended: Reader) -> None:
    assert 'href="/strength"' in mended.see("/load").part("caution")
