"""Alarms, second ways out, cut-offs and reserves of the laid-out room."""

import pytest

from tankwright.systems.feed import solve_feed

from .test_powers_and_people import POWER, RACK

FEED = """
[water_point.tap]
room = "cellar"
at = ["1 m", "1 m"]
pressure = "3 bar"
flow = "12 L/min"
[vat.butt]
room = "cellar"
volume = "200 L"
low_level_cutoff = "20 L"
[feed.drip]
from = "tap"
outlet = { kind = "tap", rate = "60 L/h", at_pressure = "1 bar" }
"""


def alarm(watches, more=""):
    return f'[[alarm]]\nid = "one"\nwatches = "{watches}"\nreaches = "me"\n{more}\n'


def test_an_alarm_that_says_nothing_more_watches_everything_of_its_kind_with_assumed_values(lay):
    laid = lay(RACK + alarm("level"))
    (one,) = laid.room.alarms
    assert (one.of, one.names, one.low) == ("tank", ("A1", "A2", "A3"), None)
    assert (one.high.key, one.within.key, one.battery_backed) == ("alarm.too_high", "alarm.within", False)
    assert {known.key for known in laid.room.assumed} >= {"alarm.too_high", "alarm.within"}
    laid = lay(RACK + alarm("power"))
    assert [one.code for one in laid.findings] == ["LAYOUT-147"]
    assert lay(RACK + alarm("power", "battery_backed = true")).findings == ()
    (power,) = laid.room.alarms
    assert (power.of, power.names, power.low, power.high) == ("supply", (), None, None)


@pytest.mark.parametrize(
    ("watches", "more", "of", "names", "low", "high"),
    [
        ("floor water", 'where = "cellar"\ndepth = "3 mm"', "space", ("cellar",), None, 0.003),
        ("level", 'where = "A1..A2"\ntoo_low = "5 cm"', "tank", ("A1", "A2"), -0.05, None),
        (
            "level",
            'where = "A"\ntoo_high = "1 cm"\ntoo_low = "5 cm"',
            "tank",
            ("A1", "A2", "A3"),
            -0.05,
            0.01,
        ),
        ("level", 'where = "butt"\ntoo_low = "5 cm"', "vat", ("butt",), -0.05, None),
        ("temperature", 'where = "cellar"\ntoo_cold = "15 °C"', "space", ("cellar",), 288.15, None),
        ("power", 'where = "air"', "board", ("air",), None, None),
        ("power", 'where = "life"', "circuit", ("life",), None, None),
    ],
)
def test_an_alarm_watches_what_it_names(lay, watches, more, of, names, low, high):
    (one,) = lay(RACK + POWER + FEED + alarm(watches, more)).room.alarms
    assert (one.of, one.names) == (of, names)
    assert (one.low and one.low.value) == (low and pytest.approx(low))
    assert (one.high and one.high.value) == (high and pytest.approx(high))


def test_a_temperature_alarm_without_a_threshold_calls_some_degrees_off_what_each_tank_is_to_have(lay):
    (one,) = lay(RACK + alarm("temperature")).room.alarms
    assert one.of_wanted
    assert (one.low.value, one.low.band, one.high.value) == (-2.0, (-3.0, -1.0), 2.0)


def test_a_second_way_out_stands_above_the_first_and_one_tank_may_have_its_own(lay):
    kind = '\n[tank_kind.cube.second_overflow]\nabove_lip = "12 mm"\nto = "own hose"\n'
    own = '[tank.A2]\nsecond_overflow = { bore = "20 mm", above_lip = "8 mm" }\nfloat_cutoff = "5 mm"\n'
    first, second, _ = lay(RACK + kind + own).room.tanks
    assert first.second_overflow.lip == pytest.approx(first.overflow.lip + 0.012)
    assert (first.second_overflow.to, first.second_overflow.bore.value) == ("own hose", 0.016)
    assert (second.second_overflow.to, second.second_overflow.bore.value) == ("drain", 0.020)
    assert second.second_overflow.lip == pytest.approx(second.overflow.lip + 0.008)
    assert (first.float_cutoff, second.float_cutoff.value) == (None, pytest.approx(0.005))


def test_a_second_lip_over_the_rim_is_told_and_left_out(lay):
    laid = lay(RACK + '[tank.A2]\nsecond_overflow = { above_lip = "42 mm" }\n')
    assert [one.code for one in laid.findings] == ["LAYOUT-146"]
    assert laid.room.tanks[1].second_overflow is None


def test_what_shuts_a_feed_is_kept_with_it(lay):
    more = (
        'limit = "2 L/min"\nshuts_after = "90 min"\nshuts_after_volume = "50 L"\noff_without_power = false\n'
        "shuts_on_floor_water = true\n"
    )
    (run,) = lay(RACK + FEED + more).room.feeds
    assert run.limit.value == pytest.approx(2 / 6e4)
    assert (run.shuts_after.value, run.shuts_after_volume.value) == (5400.0, pytest.approx(0.05))
    assert (run.off_without_power, run.shuts_on_floor_water, run.low_level_cutoff) == (False, True, None)
    (plain,) = lay(RACK + FEED).room.feeds
    assert plain.off_without_power
    (vat,) = lay(RACK + FEED.replace('"tap"\noutlet', '"butt"\noutlet')).room.feeds
    assert vat.low_level_cutoff.value == pytest.approx(0.02)


@pytest.mark.parametrize("source", ["tap", "butt"])
@pytest.mark.parametrize("limit", [0.3, 1.0, 30.0])
def test_no_more_than_its_limit_passes_a_limiter_and_less_is_not_touched(lay, source, limit):
    text = RACK + FEED.replace('"tap"\noutlet', f'"{source}"\noutlet').replace(
        'volume = "200 L"', 'volume = "200 L"\nheight = "2.1 m"'
    )
    (free,) = solve_feed(lay(text).room).runs
    (held,) = solve_feed(lay(text + f'limit = "{limit} L/min"\n').room).runs
    least = min(limit / 6e4, free.total_flow)
    assert held.total_flow == pytest.approx(least, rel=1.1e-3)  # a limiter's curve falls by a thousandth
    assert held.total_flow <= least * (1 + 1e-5)  # what the solver is left with


def test_looks_of_a_helper_are_told_apart(lay):
    room = lay(RACK + '[people]\nlooks = ["18:30", "06:45"]\nhelper_looks = ["12:00", "12:00"]').room
    assert (room.looks, room.helper_looks) == ((24300.0, 66600.0), (43200.0,))


def test_a_heater_says_where_it_ends_and_what_cuts_it_out(lay):
    heater = '[tank.A1]\nheater = { power = "50 W", top_above_base = "20 cm", cuts_out_at = "29 °C" }\n'
    life = lay(RACK + heater + "[climate]\n").room.lives[0]
    assert (life.heater.top.value, life.heater.cuts_out_at.value) == (
        pytest.approx(0.2),
        pytest.approx(302.15),
    )


def test_a_reserve_keeps_boards_and_single_loads(lay):
    backup = '[power.backup]\nbattery = { capacity = "100 Ah", count = 2 }\nkeeps = ["air", "lamp"]\n'
    laid = lay(RACK + POWER + backup)
    kept = laid.room.power.backup
    assert (kept.boards, kept.loads, kept.by_itself, kept.generator) == (
        ("air",),
        (("lights", "lamp"),),
        False,
        None,
    )
    assert (kept.battery.capacity.value, kept.battery.count) == (pytest.approx(360_000.0), 2)
    assert kept.battery.peukert.key == "battery.peukert"
    assert lay(RACK + POWER).room.power.backup is None


def test_what_the_owner_says_for_the_whole_room_is_kept_though_nothing_used_it(lay):
    room = lay(RACK + '[assume]\npeople.look_gap = "8 h"\n').room
    assert [(one.key, one.value) for one in room.own] == [("people.look_gap", 28800.0)]
