"""What the tool says about the air: each code once when it must speak, and silence when all is well."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tankwright.checks.air import check_air
from tankwright.display import sentence
from tankwright.finding import Finding, Severity
from tankwright.origin import Known, Origin
from tankwright.room.model import Room, ZonePlace
from tankwright.systems.air import solve_air

from ..systems.air_rooms import make_pump, make_ring, make_tank, turned

TANKS = tuple(make_tank(f"A{i}", water=0.26 + 0.03 * (i % 3)) for i in range(12))
STRONG = make_pump(curve=((0.0, 60.0), (4000.0, 20.0), (8000.0, 2.0)), highest=None)


def judged(room: Room) -> dict[str, Finding]:
    return {finding.code: finding for finding in check_air(room, solve_air(room))}


def good_room(**changes: object) -> Room:
    arguments: dict[str, object] = {"taps": 48, "height": 2.2, "tap": {"bore": 0.001, "wanted": 0.6}}
    arguments.update(changes)
    return make_ring(TANKS, **arguments)  # type: ignore[arg-type]


def test_a_good_room_has_no_problem_and_no_warning():
    found = judged(good_room(pumps=(make_pump(curve=((0, 60), (6e3, 20), (12e3, 1)), highest=None),)))
    loud = {code for code, one in found.items() if one.severity in (Severity.PROBLEM, Severity.WARNING)}
    assert loud - {"AIR-18"} == set(), found


def test_a_room_without_air_has_nothing_to_be_judged():
    assert check_air(Room(title="", display="metric", spaces=(), racks=(), tanks=TANKS), solve_air(
        Room(title="", display="metric", spaces=(), racks=(), tanks=TANKS))) == ()  # fmt: skip


def test_a_silent_deep_tank_is_a_problem_that_names_it():
    deep = make_tank("deep", height=0.66, water=0.62)
    weak = make_pump(curve=((0.0, 20.0), (3000.0, 10.0), (4500.0, 1.0)), highest=None)
    found = judged(make_ring((deep, *TANKS), taps=52, pumps=(weak,)))["AIR-02"]
    assert found.severity is Severity.PROBLEM
    assert "deep" in found.places
    assert found.value.value < found.limit.value
    assert "{" not in sentence(found.text, found.numbers)


@pytest.mark.parametrize(
    ("wanted", "severity"), [(2.5, Severity.PROBLEM), (1.0, Severity.WARNING), (0.4, None)]
)
def test_short_air_is_a_problem_below_half_and_a_warning_below_nine_tenths(wanted, severity):
    little = make_pump(curve=((0.0, 12.0), (3500.0, 9.0), (6000.0, 1.0)), highest=None)
    same = tuple(make_tank(f"A{i}") for i in range(12))
    found = judged(make_ring(same, taps=48, pumps=(little,), tap={"wanted": wanted})).get("AIR-01")
    assert (found.severity if found else None) is severity
    if found:
        assert (found.value.value < 0.5) is (severity is Severity.PROBLEM)


def test_open_spare_taps_that_take_the_air_are_named():
    found = judged(good_room(open_spare=20, tap={"bore": 0.002}))
    assert found["AIR-06"].severity is Severity.WARNING
    assert found["AIR-06"].value.value > 0.2


def test_a_pump_above_its_limit_is_told_how_much_to_let_off():
    found = judged(good_room(pumps=(make_pump(highest=4e3),), tap={"bore": 0.0006}))["AIR-03"]
    assert found.severity is Severity.PROBLEM
    assert dict(found.numbers)["bleed"].value > 0.0


def test_a_pump_below_its_least_pressure_is_a_warning():
    found = judged(good_room(pumps=(make_pump(lowest=15e3),), open_spare=10))["AIR-03"]
    assert found.severity is Severity.WARNING


def test_a_curve_used_beyond_its_points_is_marked_extrapolated():
    room = good_room(pumps=(make_pump(curve=((0.0, 60.0), (1000.0, 58.0))),))
    assert "extrapolated" in judged(room)["AIR-04"].text


def test_the_bleed_after_setting_is_asked_for_unless_a_relief_valve_is_there():
    assert "AIR-05" in judged(good_room(pumps=(make_pump(highest=10e3),)))
    assert "AIR-05" not in judged(good_room(pumps=(make_pump(highest=10e3),), relief=9e3))


def test_what_all_taps_shut_would_do_to_a_limited_pump_is_a_note():
    # 12 tanks of 0.6 L/min take 7 of the 70 L/min it gives at 10 kPa; of 4.6 L/min, all it gives at 18 kPa
    assert judged(good_room(pumps=(make_pump(highest=10e3),)))["AIR-05"].severity is Severity.WARNING
    many = make_ring(TANKS, taps=48, pumps=(make_pump(highest=18e3),), tap={"wanted": 4.6})
    note = judged(many)["AIR-05"]
    assert note.severity is Severity.NOTE
    assert dict(note.numbers)["dead_end"].value > 18e3
    assert "AIR-05" not in judged(good_room(pumps=(make_pump(curve=((0, 8), (20e3, 1)), highest=None),)))


def test_a_relief_valve_that_never_shuts_is_a_note():
    assert judged(good_room(relief=4e3))["AIR-16"].severity is Severity.NOTE


def test_water_running_back_is_a_problem_with_litres_and_minutes():
    found = judged(good_room(height=0.7))["AIR-07"]
    assert found.severity is Severity.PROBLEM
    assert {"head", "volume", "flow", "time", "all"} <= dict(found.numbers).keys()
    assert len(found.places) == 12


def test_a_pump_under_a_ring_just_above_the_water_is_a_warning():
    room = good_room(height=0.95, pumps=(make_pump(height=0.2),))
    found = judged(room)
    assert "AIR-07" not in found
    assert found["AIR-17"].severity is Severity.WARNING


def test_air_that_runs_too_fast_in_a_thin_ring_is_named():
    tanks = tuple(make_tank(f"B{i}") for i in range(40))
    found = judged(make_ring(tanks, taps=40, ring_bore=0.008))
    assert found["AIR-08"].value.value > 15.0
    assert "AIR-11" in found


def test_a_pump_that_has_nothing_left_says_so():
    found = judged(make_ring(TANKS, taps=48, pumps=(make_pump(curve=((0, 12), (4e3, 4))),)))
    assert found["AIR-09"].severity is Severity.WARNING


@pytest.mark.parametrize("pumps", [(), (make_pump(reserve=True),)])
def test_a_run_without_a_pump_is_not_computed_and_never_looks_fine(pumps):
    found = judged(good_room(pumps=pumps))
    assert found["AIR-10"].severity is Severity.NOT_COMPUTED
    assert set(found) == {"AIR-10"}


def test_a_quarantine_on_the_same_ring_is_a_problem():
    sick = make_tank("Q1", zone="quarantine")
    room = make_ring((*TANKS, sick), taps=52, zones=(ZonePlace(id="quarantine", quarantine=True),))
    found = judged(room)["AIR-12"]
    assert found.severity is Severity.PROBLEM
    assert found.places == ("Q1",)


def test_tanks_left_without_a_tap_are_listed():
    room = good_room()
    found = judged(replace(room, tanks=(*room.tanks, make_tank("Z9"))))["AIR-13"]
    assert found.places == ("Z9",)


def test_taps_on_pipe_that_leads_nowhere_are_a_problem():
    room = good_room()
    run = room.airs[0]
    lost = replace(run.taps[0], node="island")
    cut = replace(run, nodes=(*run.nodes, ("island", (9, 9, 2))), taps=(lost, *run.taps[1:]))
    assert judged(replace(room, airs=(cut,)))["AIR-14"].places == ("A0",)


def test_uneven_open_taps_are_told_their_settings():
    deep = make_tank("deep", height=0.7, water=0.6)
    room = make_ring((deep, *TANKS), taps=52, pumps=(make_pump(curve=((0, 80), (8e3, 60), (9e3, 0))),))
    found = judged(room)["AIR-15"]
    assert dict(found.numbers)["high"].value > dict(found.numbers)["low"].value


def test_a_fallen_tube_that_starves_others_is_a_warning():
    tight = make_pump(curve=((0.0, 16.0), (3000.0, 14.0), (5000.0, 8.0)), highest=None)
    found = judged(make_ring(TANKS, taps=48, pumps=(tight,), tap={"bore": 0.0025}))
    assert found["AIR-18"].severity is Severity.WARNING


def test_a_reserve_too_weak_for_the_room_is_a_warning():
    reserve = make_pump("small", curve=((0.0, 5.0), (2000.0, 1.0)), reserve=True)
    room = good_room(pumps=(make_pump(), reserve))
    subjects = [one.subject for one in check_air(room, solve_air(room)) if one.code == "AIR-19"]
    assert subjects == ["air ring, reserve small alone"]


def test_every_number_named_in_a_text_is_there():
    rooms = [good_room(), good_room(height=0.7, open_spare=20), good_room(pumps=(make_pump(highest=4e3),))]
    for room in rooms:
        for finding in check_air(room, solve_air(room)):
            for text in (finding.text, finding.remedy, finding.reason):
                assert "{" not in sentence(text, finding.numbers), (finding.code, text)
            assert finding.reason
            assert finding.remedy


def test_a_pump_whose_curve_ends_below_what_it_is_allowed_is_not_told_it_may_not_go_further():
    # the curve ends at 20 kPa and would come to rest near 42 kPa: 25 kPa is the maker's limit, not 20 kPa
    taps = {"wanted": 4.6}
    note = judged(make_ring(TANKS, taps=48, pumps=(make_pump(highest=25e3),), tap=taps))["AIR-05"]
    assert note.severity is Severity.NOTE
    assert dict(note.numbers)["limit"].value == 25e3
    assert "AIR-05" not in judged(make_ring(TANKS, taps=48, pumps=(make_pump(highest=60e3),), tap=taps))
    little = judged(make_ring(TANKS, taps=48, pumps=(make_pump(highest=60e3),), tap={"wanted": 0.6}))[
        "AIR-05"
    ]
    assert "where its curve ends" in little.text


def test_a_verdict_names_the_roughness_only_where_the_ring_loses_something():
    guess = Known(1.5e-6, Origin.ASSUMED, key="feed.roughness", band=(1e-6, 7e-6))

    def named(**changes: object) -> tuple[str, ...]:
        room = good_room(open_spare=20, tap={"bore": 0.002}, **changes)
        return judged(replace(room, airs=(replace(room.airs[0], roughness=guess),)))["AIR-06"].rests_on

    assert "feed.roughness" not in named()
    assert "feed.roughness" in named(ring_bore=0.008)


def test_taps_that_all_stand_alike_are_not_given_a_range():
    room = good_room()
    result = solve_air(room)
    run = result.runs[0]

    def told(openings: tuple[float, float]) -> str:
        taps = tuple(
            replace(tap, opening=openings[i % 2], flow=(1e-5, 2.5e-5)[i % 2], wanted=1e-5)
            for i, tap in enumerate(one for one in run.taps if one.tank)
        )
        said = check_air(room, replace(result, runs=(replace(run, taps=taps),)))
        return next(one.text for one in said if one.code == "AIR-15")

    assert "some {high} open" in told((0.117, 0.121))
    assert "between {low} and {high} open" in told((0.10, 0.14))


def test_a_pump_held_shut_by_a_stronger_one_is_named_and_sets_no_limit_to_it():
    strong, weak = (
        make_pump(highest=None),
        make_pump("weak", curve=((0, 8), (2e3, 3), (2.2e3, 0)), highest=None),
    )
    found = judged(good_room(pumps=(strong, weak)))
    assert found["AIR-20"].subject == "pump weak"
    assert found["AIR-20"].severity is Severity.WARNING
    assert dict(found["AIR-05"].numbers)["limit"].value == 20e3  # where the strong one's curve ends
    assert "AIR-20" not in judged(good_room(pumps=(strong, make_pump("twin", highest=None))))


def test_a_curve_that_begins_above_the_working_point_asks_for_fewer_open_taps():
    begins = make_pump(curve=((12e3, 40.0), (20e3, 10.0)), highest=None)
    told = judged(good_room(pumps=(begins,), tap={"bore": 0.002}))["AIR-04"]
    assert "begins at" in told.text
    assert "shut taps" in told.remedy


def test_a_tap_shut_by_the_plan_is_told_as_a_tank_without_air():
    finding = judged(turned(good_room(), {"A3": 0.0}))["AIR-13"]
    assert sentence(finding.text, finding.numbers) == "reaches all tanks but 1: A3"
    assert finding.remedy == "open the taps that are shut, or leave it if they are meant to stand still"
    assert "AIR-10" not in judged(turned(good_room(), {"A3": 0.0}))


def test_a_tank_short_of_air_by_its_own_tap_is_told_to_open_it():
    room = good_room(pumps=(make_pump(curve=((0, 60), (6e3, 20), (12e3, 1)), highest=None),))
    finding = judged(turned(room, {"A3": 0.05}))["AIR-01"]
    assert finding.places == ("A3",)
    assert finding.remedy == "open the tap of A3 wider: the ring holds what it needs fully open"


def test_with_taps_turned_back_unevenness_is_not_told_of_open_taps():
    deep = make_tank("deep", height=0.7, water=0.6)
    room = make_ring((deep, *TANKS), taps=52, pumps=(make_pump(curve=((0, 80), (8e3, 60), (9e3, 0))),))
    texts = [judged(turned(room, {"A3": share}))["AIR-15"].text for share in (0.5, 1.0)]
    assert texts[0].startswith("as the taps stand ")
    assert texts[1].startswith("with every tap fully open ")


def test_a_pump_against_shut_taps_is_told_to_stand_outside_its_curve():
    found = judged(turned(good_room(pumps=(STRONG,)), {tank.id: 0.0 for tank in TANKS}))
    assert found["AIR-04"].remedy.endswith("open taps until the pressure lies on the curve")
    assert found["AIR-13"].places == tuple(tank.id for tank in TANKS)
