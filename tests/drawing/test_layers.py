"""From worked-out examples to drawings: every layer, every example."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from tankwright.display import words
from tankwright.drawing.layers import draw_results
from tankwright.drawing.long_section import draw_long_section
from tankwright.drawing.model import Arc, Bounds, Group, Rectangle, Text, bounds, walk
from tankwright.drawing.results import LAYERS, Layer
from tankwright.drawing.sheet import draw_room
from tankwright.drawing.svg import identifier, to_svg
from tankwright.finding import Finding, Number, Severity
from tankwright.plan.reading import read_plan_file
from tankwright.room.layout import lay_out
from tankwright.study import Study, work_out

EXAMPLES = Path(__file__).parents[2] / "examples"
NAMES = ("cellar.toml", "cellar_mended.toml", "garage.toml")


@cache
def _study(name: str) -> Study:
    plan = read_plan_file(EXAMPLES / name).plan
    assert plan is not None
    room = lay_out(plan).room
    assert room is not None
    return work_out(room)


@pytest.mark.parametrize("layer", LAYERS)
@pytest.mark.parametrize("name", NAMES)
def test_every_layer_of_every_example_fits_its_page_and_names_every_tank(name: str, layer: Layer) -> None:
    study = _study(name)
    drawing = draw_room(study.room, draw_results(study, (), layer), plan_name=name)
    for shape in walk(drawing.parts):
        left, top, right, bottom = bounds(shape)
        assert -1e-6 <= left <= right <= drawing.width + 1e-6, shape
        assert -1e-6 <= top <= bottom <= drawing.height + 1e-6, shape
    root = ET.fromstring(to_svg(drawing))
    ids = {element.get("id") for element in root.iter()}
    assert {identifier("front", tank.id) for tank in study.room.tanks} <= ids
    assert {identifier("plan", tank.id) for tank in study.room.tanks} <= ids


def test_the_air_layer_shows_what_was_solved() -> None:
    study = _study("cellar_mended.toml")
    assert study.air is not None
    drawn = draw_results(study, (), "air")
    for one in study.air.tanks:
        shown = drawn.tank(one.tank)
        assert shown is not None
        assert shown.share == one.share
        assert shown.title.endswith("of the air it needs")


def test_a_system_that_was_not_run_leaves_its_layer_without_data() -> None:
    room = _study("garage.toml").room
    empty = work_out(room, frozenset())
    for layer in ("air", "feed", "drain", "load"):
        drawn = draw_results(empty, (), layer)
        assert drawn.scale != "none"  # coloured, so that a missing number is hatched and not plain
        assert drawn.tanks == ()


def test_the_worst_finding_of_the_layer_marks_a_place_and_notes_do_not() -> None:
    study = _study("garage.toml")
    name = study.room.tanks[0].id

    def finding(code: str, severity: Severity) -> Finding:
        return Finding(code=code, severity=severity, subject=name, text="", places=(name,))

    mixed = (
        finding("AIR-98", Severity.NOT_COMPUTED),
        finding("AIR-99", Severity.WARNING),
        finding("LOAD-99", Severity.PROBLEM),
        finding("AIR-97", Severity.NOTE),
    )
    marks = draw_results(study, mixed, "air").marks
    assert [(one.place, one.severity, one.title) for one in marks] == [
        (name, Severity.WARNING, "warning AIR-99")
    ]
    assert draw_results(study, mixed[3:], "air").marks == ()


@pytest.mark.parametrize("name", NAMES)
def test_the_section_of_every_drain_fits_its_page_and_names_its_tanks(name: str) -> None:
    study = _study(name)
    results = draw_results(study, (), "drain")
    for run in study.room.drains:
        drawing = draw_long_section(study.room, run, results, plan_name=name)
        ET.fromstring(to_svg(drawing))
        for shape in walk(drawing.parts):
            left, top, right, bottom = bounds(shape)
            assert -1e-6 <= left <= right <= drawing.width + 1e-6, shape
            assert -1e-6 <= top <= bottom <= drawing.height + 1e-6, shape
        written = " ".join(one.text for one in walk(drawing.parts) if isinstance(one, Text))
        for node in run.nodes:
            assert all(tank in written for tank in node.tanks)


def test_a_section_without_results_shows_no_water() -> None:
    study = _study("garage.toml")
    run = study.room.drains[0]
    dry = work_out(study.room, frozenset())

    def shapes(of: Study) -> int:
        drawing = draw_long_section(of.room, run, draw_results(of, (), "drain"))
        pipe = next(
            one for one in walk(drawing.parts) if isinstance(one, Group) and one.id.startswith("section-")
        )
        return len(pipe.parts)

    assert shapes(study) > shapes(dry)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("layer", ["air", "feed"])
def test_pipes_show_the_flow_that_was_solved(name: str, layer: Layer) -> None:
    study = _study(name)
    drawn = draw_results(study, (), layer)
    system = study.air if layer == "air" else study.feed
    assert system is not None
    assert system.runs
    shown = {pipe.id: pipe for pipe in drawn.pipes}
    for run in system.runs:
        flows = {key: flow for key, flow in run.solution.pipe_flows.items() if key in shown}
        most = max(abs(flow) for flow in flows.values())
        for key, flow in flows.items():
            assert shown[key].share == pytest.approx(flow / most)
            kind = "air_flow" if layer == "air" else "flow"
            assert shown[key].label == words(Number(abs(flow), kind), study.room.display)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("layer", LAYERS)
def test_flow_is_written_on_the_air_and_feed_layers_alone_and_never_over_a_rack(
    name: str, layer: Layer
) -> None:
    study = _study(name)
    results = draw_results(study, (), layer)
    drawing = draw_room(study.room, results, plan_name=name)
    runs = {identifier(kind, run.id) for kind, some in (("air", study.room.airs), ("feed", study.room.feeds))
            for run in some}  # fmt: skip
    groups = [one for one in walk(drawing.parts) if isinstance(one, Group) and one.id in runs]
    plates = [part for group in groups for part in group.parts if isinstance(part, Rectangle) and part.radius]
    assert bool(plates) == (layer in ("air", "feed"))
    assert len(plates) < 20
    boxes = [bounds(plate) for plate in plates]
    racks = [
        bounds(part.parts[0])
        for part in walk(drawing.parts)
        if isinstance(part, Group) and part.id.startswith("plan-rack-")
    ]
    for number, box in enumerate(boxes):
        for other in boxes[:number]:
            assert _apart(box, other, 0.0)
        for rack in racks:
            assert _apart(box, rack, 1.0)  # mm; a label may lie on the rack's frame, not on its tanks


def _apart(first: Bounds, second: Bounds, spare: float) -> bool:
    return (
        first[0] > second[2] - spare - 0.3 or second[0] > first[2] - spare - 0.3
        or first[1] > second[3] - spare - 0.3 or second[1] > first[3] - spare - 0.3
    )  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_doors_that_open_outwards_do_not_sweep_over_the_fronts(name: str) -> None:
    study = _study(name)
    drawing = draw_room(study.room, draw_results(study, (), "layout"), plan_name=name)
    groups = [one for one in walk(drawing.parts) if isinstance(one, Group)]
    rooms = {identifier("room", space.id) for space in study.room.spaces}
    sweeps = [
        bounds(part) for one in groups if one.id in rooms for part in one.parts if isinstance(part, Arc)
    ]
    fronts = [bounds(one) for one in groups if one.id.startswith("front-rack-")]
    assert sweeps
    assert len(fronts) == len(study.room.racks)
    assert all(_apart(sweep, front, 0.3) for sweep in sweeps for front in fronts)


@pytest.mark.parametrize("name", NAMES)
def test_a_drain_tells_once_how_full_it_is_on_a_piece_that_reads_so(name: str) -> None:
    study = _study(name)
    assert study.drain is not None
    drawn = draw_results(study, (), "drain")
    for run in study.drain.runs:
        here = [one for one in drawn.segments if one.drain == run.run]
        labelled = [one for one in here if one.label]
        assert len(labelled) == 1
        most = max(one.full for one in here if one.full is not None)
        assert labelled[0].label == words(Number(most, "share"), study.room.display)


@pytest.mark.parametrize("name", NAMES)
def test_the_table_of_a_section_is_legible(name: str) -> None:
    study = _study(name)
    for run in study.room.drains:
        drawing = draw_long_section(study.room, run, draw_results(study, (), "drain"))
        upright = [one for one in walk(drawing.parts) if isinstance(one, Text) and one.turn]
        assert upright
        assert min(one.size for one in upright) > 1.6  # mm


@pytest.mark.parametrize("layer", LAYERS)
def test_the_legend_names_only_pipes_that_the_layer_shows(layer: Layer) -> None:
    study = _study("cellar.toml")
    drawing = draw_room(study.room, draw_results(study, (), layer))
    written = {one.text for one in walk(drawing.parts) if isinstance(one, Text)}
    assert ("air ring and taps" in written) == (layer in ("layout", "air"))
    assert ("feed and an outlet" in written) == (layer in ("layout", "feed"))
    assert ("drain, wider where fuller" in written) == (layer == "drain")
    assert ("wider where more flows" in written) == (layer in ("air", "feed"))
