"""What a verdict on water or oxygen says to do is done, with the number as it is printed, and the verdict is gone."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace

import pytest

from tankwright.checks.oxygen import check_oxygen
from tankwright.checks.water import check_water
from tankwright.display import words
from tankwright.finding import Finding
from tankwright.plan.reading import read_plan_text
from tankwright.room.layout import lay_out
from tankwright.room.model import Room
from tankwright.systems.oxygen import solve_oxygen
from tankwright.systems.water import solve_water

from ..systems.oxygen_rooms import oxygen_room
from ..systems.water_rooms import CARBON, DRIP, PLAN, PURE, TAP, wants

Parts = dict[str, str]
CLEAN = TAP.replace("0.3 mg/L", "0 mg/L")
SOFT = CLEAN.replace('"12 °dH"', '"4 °dH"')
FISH = (
    '[[stock]]\ntanks = "A1..A4"\nspecies = "Danio rerio"\ncount = 5\neach = "0.5 g"\nfeed = "0.05 g/day"\n'
)


def plan(parts: Parts) -> Room:
    """A room of these parts: water, fish, wants, feed, more, and minutes and media of all its tanks."""
    more = "\n".join(parts.get(name, "") for name in ("water", "fish", "wants", "more"))
    text = PLAN.format(feed=parts.get("feed", ""), more=more)
    text = text.replace("minutes = 60", f"minutes = {parts.get('minutes', '60')}")
    if "media" in parts:
        text = text.replace("[tank_kind.box]", f'[tank_kind.box]\nfilter_media = "{parts["media"]}"')
    read = read_plan_text(text, "remedy.toml")
    assert read.plan is not None, [finding.text for finding in read.findings]
    room = lay_out(read.plan).room
    assert room is not None
    litres = float(parts.get("litres", "50")) * 1e-3
    return replace(room, tanks=tuple(replace(tank, water_volume=litres) for tank in room.tanks))


def found(parts: Parts) -> dict[str, Finding]:
    room = plan(parts)
    flow = float(parts.get("rate", "4")) / 3.6e6
    flows = {name: dict.fromkeys(tanks, flow) for name, tanks in DRIP.items()}
    for run in room.feeds:
        flows.setdefault(run.id, {outlet.tank: flow for outlet in run.outlets})
    claimed = {tank for name, tanks in flows.items() if name != "drip" for tank in tanks}
    flows["drip"] = {tank: one for tank, one in flows["drip"].items() if tank not in claimed}
    runs = tuple(
        replace(run, outlets=tuple(one for one in run.outlets if one.tank in flows[run.id]))
        for run in room.feeds
    )
    room = replace(room, feeds=runs)
    return {one.code: one for one in check_water(room, solve_water(room, flows))}


def fed(grams: float | str, more: str = "") -> str:
    amount = grams if isinstance(grams, str) else f"{grams} g/day"
    return f'[[stock]]\ntanks = "A1..A4"\nfeed = "{amount}"\n{more}\n'


def shown(finding: Finding, name: str) -> str:
    """A number of a finding as a reader sees it, as a plan takes it."""
    return words(dict(finding.numbers)[name]).replace("an hour", "1/h")


def minutes(said: str) -> str:
    """A printed time in minutes."""
    hours = re.search(r"(\d+) h", said)
    rest = re.search(r"(\d+) min", said)
    return str(60 * int(hours[1] if hours else 0) + int(rest[1] if rest else 0))


def share(said: str) -> float:
    return float(said.removesuffix(" %")) / 100.0


def mixed(finding: Finding) -> Parts:
    """The blend a finding names, as the water that comes from the tap; the tap's own then comes from nowhere."""
    names = re.findall(r"\{share(\d)\} (\w+)", finding.text + finding.remedy)
    told = {name: share(shown(finding, f"share{place}")) for place, name in names}
    parts = ", ".join(f'{name} = "{100 * one:.4g} %"' for name, one in told.items())
    waters = CLEAN.replace("[water.tap]", "[water.raw]\ncomes_from = []") + PURE
    blend = f'[water.vat]\ncomes_from = ["tap"]\nmix = {{ {parts.replace("tap =", "raw =")} }}\n'
    return {"water": waters + blend}


HARD = wants('general_hardness = ["3 °dH", "5 °dH"]')
NITRATE = wants('nitrate = "40 mg/L"')
Cure = Callable[[Finding], Parts]
ROW = """[feed.on]
from = "A3"
outlet = { kind = "small tube", bore = "4 mm", length = "1 m" }
program = [{ start = "04:00", minutes = 60, days = "daily" }]
tanks = "A1"
"""

UNLIKE = """[[stock]]
tanks = "A1..A2"
feed = "{} g/day"
[[stock]]
tanks = "A3..A4"
feed = "{} g/day"
"""
SECOND = """[feed.second]
from = "tap"
outlet = {{ kind = "compensating dripper", rate = "4 L/h" }}
program = [{{ start = "08:00", minutes = {}, days = "daily" }}]
tanks = "A3..A4"
"""

CASES: dict[str, tuple[str, Parts, Cure]] = {
    "01 write the water": ("WATER-01", {}, lambda _: {"water": CLEAN}),
    "02 say where it comes from": (
        "WATER-02", {"water": CLEAN.replace("[water.tap]", "[water.rain]\ncomes_from = []"), "fish": FISH},
        lambda _: {"water": CLEAN.replace("[water.tap]", '[water.rain]\ncomes_from = ["tap"]')},
    ),
    "04 one source one water": (
        "WATER-04", {"water": CLEAN + CLEAN.replace("[water.tap]", '[water.b]\ncomes_from = ["tap"]')},
        lambda _: {"water": CLEAN + CLEAN.replace("[water.tap]", "[water.b]\ncomes_from = []")},
    ),
    "05 mix": ("WATER-05", {"water": CLEAN + PURE, "wants": HARD}, mixed),
    "06 measure it": (
        "WATER-06", {"water": "\n".join(row for row in CLEAN.splitlines() if "conduct" not in row),
                     "wants": wants('conductivity = ["100 µS/cm", "700 µS/cm"]')},
        lambda _: {"water": CLEAN},
    ),
    "07 less carbonate hardness": (
        "WATER-07", {"water": CLEAN.replace("ph = 7.3", "ph = 8.3"), "wants": wants("ph = [6.5, 7.6]")},
        lambda one: {"water": CLEAN.replace('"12 °dH"', f'"{shown(one, "kept")}"')},
    ),
    "08 mix": ("WATER-08", {"water": CLEAN + PURE, "wants": HARD}, mixed),
    "09 a softer water": (
        "WATER-09", {"water": CLEAN, "wants": HARD}, lambda _: {"water": CLEAN + PURE},
    ),
    "10 say what it wants": (
        "WATER-10", {"water": CLEAN, "fish": FISH}, lambda _: {"wants": wants('nitrate = "80 mg/L"')},
    ),
    "12 the same litres over longer": (
        "WATER-12", {"water": CLEAN, "minutes": "60", "rate": "12"},
        lambda one: {"minutes": minutes(shown(one, "longer")),
                     "rate": f"{12 * 60 / float(minutes(shown(one, 'longer')))}"},
    ),
    "15 from the source": ("WATER-15", {"water": CLEAN, "more": ROW}, lambda _: {"more": ""}),
    "16 write what you have kept it in": (
        "WATER-16", {"water": CLEAN, "fish": FISH.replace("Danio rerio", "Aphyosemion australe")},
        lambda _: {"more": '[species."Aphyosemion australe"]\nph = [6.0, 9.0]\nhardness = ["1 °dH", "20 °dH"]\n'
                           'temperature = ["20 °C", "29 °C"]\n'},
    ),
    "17 name the species": (
        "WATER-17", {"water": CLEAN, "fish": FISH.replace('species = "Danio rerio"\n', "")}, lambda _: {"fish": FISH},
    ),
    "40 carbon": ("WATER-40", {"water": TAP, "minutes": "120"}, lambda _: {"feed": CARBON}),
    "40 treated": ("WATER-40", {"water": TAP, "minutes": "120"}, lambda _: {"water": CLEAN}),
    "41 carbon": ("WATER-41", {"water": TAP.replace("0.3", "0.1")}, lambda _: {"feed": CARBON}),
    "43 treated in a vat": (
        "WATER-43", {"water": TAP.replace('"chlorine"', '"chloramine"'), "feed": CARBON},
        lambda _: {"water": CLEAN.replace('"chlorine"', '"chloramine"')},
    ),
    "44 ask": (
        "WATER-44", {"water": TAP.replace('disinfectant = "chlorine"\n', "")}, lambda _: {"water": TAP},
    ),
    "50 sponge": ("WATER-50", {"water": CLEAN, "fish": fed(3.0)}, lambda one: {"media": shown(one, "media")}),
    "50 feed": ("WATER-50", {"water": CLEAN, "fish": fed(3.0)}, lambda one: {"fish": fed(shown(one, "feed"))}),
    "51 sponge": ("WATER-51", {"water": CLEAN, "fish": fed(0.4)}, lambda one: {"media": shown(one, "media")}),
    "51 feed": ("WATER-51", {"water": CLEAN, "fish": fed(1.0)}, lambda one: {"fish": fed(shown(one, "feed"))}),
    "51 feed, where the gas harms below the month's limit": (
        "WATER-51", {"water": CLEAN.replace('"12 °dH"', '"19 °dH"'), "fish": fed(0.35)},
        lambda one: {"fish": fed(shown(one, "feed"))},
    ),
    "51 sponge, with chloramine": (
        "WATER-51", {"water": TAP.replace('"chlorine"', '"chloramine"'), "fish": fed(0.4), "rate": "40"},
        lambda one: {"media": shown(one, "media")},
    ),
    "51 feed, with chloramine": (
        "WATER-51", {"water": TAP.replace('"chlorine"', '"chloramine"'), "fish": fed(0.4), "rate": "40"},
        lambda one: {"fish": fed(shown(one, "feed"))},
    ),
    "50 sponge, in tanks that differ": (
        "WATER-50", {"water": CLEAN, "fish": UNLIKE.format(2.0, 4.0)}, lambda one: {"media": shown(one, "media")},
    ),
    "51 sponge, in tanks that differ": (
        "WATER-51", {"water": CLEAN, "fish": UNLIKE.format(0.4, 0.45)}, lambda one: {"media": shown(one, "media")},
    ),
    "53 more water, in tanks that differ": (
        "WATER-53", {"water": SOFT, "fish": UNLIKE.format(0.7, 0.8), "media": "5 L"},
        lambda one: {"minutes": f"{60 * float(shown(one, 'times')):.0f}"},
    ),
    "55 two feeds": (
        "WATER-55", {"water": CLEAN, "fish": UNLIKE.format(0.5, 0.8), "wants": NITRATE, "more": SECOND.format(30)},
        lambda one: {"minutes": minutes(shown(one, "needed0")), "more": SECOND.format(minutes(shown(one, "needed1")))},
    ),
    "53 more water": (
        "WATER-53", {"water": SOFT, "fish": fed(0.5), "media": "5 L"},
        lambda one: {"minutes": f"{60 * float(shown(one, 'times')):.0f}"},
    ),
    "55 open longer": (
        "WATER-55", {"water": CLEAN, "fish": fed(0.5), "wants": NITRATE},
        lambda one: {"minutes": minutes(shown(one, "needed0"))},
    ),
    "55 open longer, where no zone wants anything": (
        "WATER-55", {"water": CLEAN, "fish": fed(0.9)}, lambda one: {"minutes": minutes(shown(one, "needed0"))},
    ),
    "56 weigh the feed": (
        "WATER-56", {"water": CLEAN, "fish": '[[stock]]\ntanks = "A1..A4"\nmass = "13 g"\n', "wants": NITRATE},
        lambda _: {"fish": fed(0.12, 'protein = "45 %"')},
    ),
    "57 a water with less": (
        "WATER-57", {"water": CLEAN, "fish": fed(0.1), "wants": wants('nitrate = "15 mg/L"')},
        lambda _: {"water": CLEAN.replace('"20 mg/L"', '"2 mg/L"')},
    ),
    "70 say the feed": (
        "WATER-70", {"water": CLEAN, "fish": '[[stock]]\ntanks = "A1..A4"\n'}, lambda _: {"fish": FISH},
    ),
    "71 say every tank": (
        "WATER-71", {"water": CLEAN, "fish": FISH.replace("A1..A4", "A1..A2")}, lambda _: {"fish": FISH},
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_the_remedy_cures(name: str):
    code, parts, cure = CASES[name]
    ill = found(parts)
    assert code in ill
    well = found({**parts, **cure(ill[code])})
    assert code not in well, (ill[code].remedy, ill[code].numbers)


def test_what_may_be_changed_at_a_stroke_keeps_to_both_limits():
    ill = found({"water": CLEAN})
    most = share(shown(ill["WATER-13"], "most"))
    assert 0.0 < most * 15.0 <= 2.0  # 25 °C, water of 10 °C
    gas = ill["WATER-14"]
    assert gas.value is not None
    assert 0.0 < share(shown(gas, "share")) * (gas.value.value - 1.0) <= 0.1


def test_a_filter_on_the_sponge_told_settles_no_ammonia_that_harms_and_none_takes_its_place():
    """The remedy of WATER-50 leaves no WATER-51 behind."""
    ill = found({"water": CLEAN, "fish": fed(3.0)})
    well = found({"water": CLEAN, "fish": fed(3.0), "media": shown(ill["WATER-50"], "media")})
    assert not {"WATER-50", "WATER-51"} & set(well)


def test_what_new_water_has_not_it_is_not_said_to_bring():
    finding = found({"water": CLEAN.replace('"12 °dH"', '"0 °dH"'), "fish": fed(0.3)})["WATER-53"]
    assert "{weekly}" not in finding.remedy
    assert finding.remedy.startswith("lime in the filter")


# --- oxygen ------------------------------------------------------------------------------------------------------

AIR = dict.fromkeys(("A1", "A2", "A3", "A4"), 2.0e-5)


def weighing(grams: float, feed_share: float = 0.02) -> str:
    return f'[[stock]]\ntanks = "A1..A4"\nmass = "{grams} g"\nfeed = "{feed_share * grams} g/day"\n'


def breathing(stock: str, air: dict[str, float]) -> dict[str, Finding]:
    room = oxygen_room(stock, exact=True)
    return {one.code: one for one in check_oxygen(room, solve_oxygen(room, air))}


@pytest.mark.parametrize(
    ("code", "grams", "air", "number"),
    [
        ("OXYGEN-01", 400.0, AIR, "kept"),
        ("OXYGEN-01", 60.0, {}, "kept"),
        ("OXYGEN-02", 60.0, AIR, "held"),
        ("OXYGEN-02", 60.0, AIR, "held_low"),
        ("OXYGEN-06", 26.0, AIR, "held_low"),
        ("OXYGEN-03", 20.0, AIR, "held_low"),
    ],
)
@pytest.mark.parametrize("feed_share", [0.0, 0.01, 0.03])
def test_the_grams_told_last(code: str, grams: float, air: dict[str, float], number: str, feed_share: float):
    for heavy in (grams, 1.1 * grams, 1.25 * grams):
        ill = breathing(weighing(heavy, feed_share), air)
        if code not in ill:
            continue
        kept = float(shown(ill[code], number).removesuffix(" g"))
        assert code not in breathing(weighing(kept, feed_share), air)
        return
    raise AssertionError(f"{code} is not said of any of these")
