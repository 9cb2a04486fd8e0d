from pathlib import Path

import pytest

from tankwright.catalogue.tables import TableError, rows_of
from tankwright.catalogue.threads import all_threads, find_thread, thread_of
from tankwright.units import convert

PUBLISHED = Path(__file__).parents[1] / "published"
BSP_PITCH = 0.0005  # mm, half of the last printed figure


def rows(name):
    lines = (PUBLISHED / name).read_text("utf-8").splitlines()
    return rows_of(lines, name, dict)


@pytest.mark.parametrize("row", rows("threads_npt.csv"), ids=lambda row: row["size"])
def test_npt_is_as_printed(row):
    # ASME B1.20.1 by stored tables
    thread = find_thread("NPT", f"{row['size']} in")
    assert thread.threads_per_inch == float(row["threads"])
    shown = {
        "outer": thread.outer,
        "l1": thread.gauge_length,
        "e0": thread.pitch_end,
        "e1": thread.pitch_gauge,
    }
    for name, value in shown.items():
        assert convert(value, "m", "in") == pytest.approx(float(row[name]), abs=1e-9), name


@pytest.mark.parametrize("row", rows("threads_npt.csv"), ids=lambda row: row["size"])
def test_npt_holds_its_own_taper(row):
    # E1 = E0 + L1/16: what a misprinted table does not; E0 = D - (0.05 D + 1.1) / n by the same standard, from memory
    e0, l1, e1, outer = (float(row[name]) for name in ("e0", "l1", "e1", "outer"))
    assert round(e0 + l1 / 16.0 + 1e-9, 5) == e1
    assert e0 == pytest.approx(
        outer - (0.05 * outer + 1.1) / float(row["threads"]), abs=6e-6
    )  # last figure printed


@pytest.mark.parametrize("row", rows("threads_bsp.csv"), ids=lambda row: row["size"])
def test_bsp_is_as_printed(row):
    # ISO 228-1 and ISO 7-1 by stored tables
    thread = find_thread("BSP", f"{row['size']} in")
    assert thread.threads_per_inch == float(row["threads"])
    shown = {"major": thread.outer, "minor": thread.minor, "gauge_length": thread.gauge_length}
    for name, value in shown.items():
        assert convert(value, "m", "mm") == pytest.approx(float(row[name]), abs=1e-9), name
    assert 25.4 / thread.threads_per_inch == pytest.approx(float(row["pitch"]), abs=BSP_PITCH)
    # a 55 degree thread is 0.640327 pitches deep (ISO 228-1)
    assert float(row["major"]) - 2 * 0.640327 * 25.4 / float(row["threads"]) == pytest.approx(
        float(row["minor"]),
        abs=0.003,  # that of 3/4 is printed with two decimals, 24.12 for 24.117
    )


def test_only_at_half_and_three_quarter_do_bsp_and_npt_have_as_many_threads_an_inch():
    alike = [
        npt.size
        for npt in all_threads()
        if npt.system == "NPT" and npt.threads_per_inch == find_thread("BSP", npt.size).threads_per_inch
    ]
    assert alike == ["1/2 in", "3/4 in"]


def test_what_could_not_be_read_in_print_says_so():
    assert find_thread("GHT", "3/4 in").from_memory
    assert not find_thread("NPT", "1/2 in").from_memory
    assert find_thread("NPT", "9 in") is None


@pytest.mark.parametrize(
    "line",
    ["NPT,1 in,0,in,1,,,,,a", "NPT,1 in,14,in,,,,,,a", "NPT,1 in,14,in,1,,,,,", "NPT,1 in,x,in,1,,,,,a"],
)
def test_a_thread_that_cannot_be_is_refused(line):
    head = "system,size,threads_per_inch,unit,outer,minor,gauge_length,pitch_end,pitch_gauge,source"
    with pytest.raises(TableError, match=r"x\.csv:2"):
        rows_of([head, line], "x.csv", thread_of)
