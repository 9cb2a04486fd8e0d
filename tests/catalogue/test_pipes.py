import csv
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tankwright.catalogue.pipes import bore_of, pipe_sizes

OUTSIDE = Path(__file__).parents[1] / "published" / "pipe_outer_diameters.csv"
PRINTED = list(csv.DictReader(OUTSIDE.read_text("utf-8").splitlines()[1:]))

# ASTM D1785 schedule 40, inner diameter in mm from the chart's outer diameter and least wall, two decimals
SCHEDULE_40 = {
    "1/2": 15.80, "3/4": 20.93, "1": 26.64, "1 1/4": 35.04, "1 1/2": 40.90, "2": 52.50, "3": 77.92, "4": 102.26,
}  # fmt: skip


@pytest.mark.parametrize("size", SCHEDULE_40)
def test_schedule_40_bores_are_those_of_the_chart(size):
    assert round(bore_of(f"{size} in schedule 40").bore * 1000, 2) == SCHEDULE_40[size]


@pytest.mark.parametrize("row", PRINTED, ids=lambda row: row["size"])
@pytest.mark.parametrize("schedule", [40, 80])
def test_an_inch_pipe_is_as_thick_outside_as_printed(row, schedule):
    least, most = float(row["astm_least"]), float(row["astm_most"])
    pipe = bore_of(f"{row['size']} in schedule {schedule}")
    assert pipe.outer_diameter * 1000 == pytest.approx((least + most) / 2, abs=1e-9)
    wall = pipe.wall * 1000
    assert pipe.band == pytest.approx(((least - 2 * wall) / 1000, (most - 2 * wall) / 1000), abs=1e-12)


# its nominal size, and the inch size of BS 3505 it has the outside of
@pytest.mark.parametrize(
    ("number", "inch"), [(15, "1/2"), (20, "3/4"), (25, "1"), (32, "1 1/4"), (40, "1 1/2"), (50, "2")]
)
def test_australian_pressure_pipe_is_as_thick_outside_as_british_inch_pipe(number, inch):
    row = next(one for one in PRINTED if one["size"] == inch)
    pipe = bore_of(f"{number} mm AS/NZS 1477 PN12")
    assert float(row["bs_least"]) <= round(pipe.outer_diameter * 1000, 2) <= float(row["bs_most"])
    assert pipe.from_memory  # and so the program says


# text, mean inner diameter in mm: mean outer diameter less two mean walls of IS 4985:2000
METRIC = {
    "20 mm ISO PN10": 20.15 - 2 * 1.3,
    "25 mm ISO 1.0 MPa": 25.15 - 2 * 1.6,
    "40 mm IS 4985 PN6": 40.15 - 2 * 1.6,
    "50 mm ISO 0.6 MPa": 50.15 - 2 * 1.9,
    "63 mm ISO PN 8": 63.15 - 2 * 3.05,
    "110 mm ISO PN4": 110.2 - 2 * 2.75,
}


@pytest.mark.parametrize("text", METRIC)
def test_metric_pressure_pipe_is_its_mean_outside_less_two_mean_walls(text):
    assert bore_of(text).bore * 1000 == pytest.approx(METRIC[text], abs=1e-9)
    assert not bore_of(text).from_memory


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ('3/4" sch 40 PVC', "3/4 in ASTM D1785 schedule 40"),
        ("1-1/2 inch Schedule 80", "1 1/2 in ASTM D1785 schedule 80"),
        ("2 in. ASTM D1785 sch. 40", "2 in ASTM D1785 schedule 40"),
        ("DN20 AS/NZS 1477 PN12", "20 mm AS/NZS 1477 PN12"),
        ("40mm UK waste", "40 mm UK solvent-weld waste"),
        ("32 mm push-fit waste", "32 mm UK push-fit waste"),
        ("16 mm PE", "16 mm PE"),
        ("25 mm PE SDR 11", "25 mm PE SDR 11"),
        ("50 mm EN 1329", "50 mm EN 1329"),
        ("50.0 mm en 1452-2 pn 10", "50 mm EN 1452 PN10"),
    ],
)
def test_pipes_are_read_as_people_write_them(text, name):
    assert bore_of(text).name == name


@pytest.mark.parametrize(
    "text", ["", "25 mm", "PN10", "25 mm ISO", "20 mm AS/NZS 1477", "7 mm ISO PN10", "x" * 500]
)
def test_a_size_without_a_standard_and_class_is_not_guessed(text):
    assert bore_of(text) is None


def test_the_same_number_is_another_pipe_in_another_standard():
    bores = {bore_of(text).bore for text in ("20 mm ISO PN10", "DN20 AS/NZS 1477 PN12", "20 mm EN 1452 PN16")}
    assert len(bores) == 3
    # a consumer page on Australian pressure pipe gives 27 mm outside, 23 mm inside for "20 mm" class 12, whole mm
    australian = bore_of("DN20 AS/NZS 1477 PN12")
    assert round(australian.outer_diameter * 1000) == 27
    assert australian.band[0] * 1000 <= 23.0 <= australian.band[1] * 1000


def test_every_row_can_be_asked_for_by_its_own_name_and_lies_in_its_band():
    for size in pipe_sizes():
        assert bore_of(size.name) == size
        assert 0 < size.band[0] <= size.bore <= size.band[1] < size.outer_diameter
        assert size.source


@given(st.text(max_size=90))
def test_no_text_raises(text):
    bore_of(text)
