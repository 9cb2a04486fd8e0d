import dataclasses
from pathlib import Path

import pytest

from tankwright.catalogue import species
from tankwright.catalogue.species import (
    LENGTH_BASES,
    WATER_KINDS,
    YOUR_PLAN,
    Range,
    Species,
    all_species,
    find_species,
    species_of,
)
from tankwright.catalogue.tables import TableError, rows_of

NAMES = [one.name for one in all_species()]
LINES = Path(species.__file__).with_name("species.csv").read_text(encoding="utf-8").splitlines()
HEAD = next(place for place, line in enumerate(LINES) if not line.startswith("#"))


@pytest.mark.parametrize("name", NAMES)
def test_a_row_is_complete_ordered_and_possible(name):
    fish = find_species(name)
    assert fish.name == name
    assert name[0].isupper()
    assert len(name.split()) == 2
    assert fish.water_kind in WATER_KINDS
    assert 4.0 <= fish.ph.low <= fish.ph.high <= 9.5
    assert 0.0 <= fish.hardness.low < fish.hardness.high <= 0.6
    assert 278.0 < fish.temperature.low < fish.temperature.high <= 303.15
    assert 0.02 <= fish.length <= 0.2
    assert fish.length_basis in LENGTH_BASES
    assert bool(fish.note) == bool(fish.note_source)


@pytest.mark.parametrize("name", NAMES)
def test_every_value_says_where_it_was_read(name):
    fish = find_species(name)
    told = (fish.ph.source, fish.hardness.source, fish.temperature.source, fish.length_source)
    for source in told:
        assert source.startswith(("FishBase 2013", "FishBase page", "Alderton", "Wikipedia", "from memory"))
    assert not fish.ph.from_memory
    assert not fish.hardness.from_memory
    assert fish.temperature.from_memory == (fish.temperature.source == "from memory")


def test_temperatures_not_read_in_print_are_marked():
    from_memory = [one.name for one in all_species() if one.temperature.from_memory]
    assert len(from_memory) == 20
    assert "Danio rerio" in from_memory
    assert "Poecilia reticulata" not in from_memory


def test_a_species_is_found_by_any_of_its_names():
    medaka = find_species("Oryzias latipes")
    assert find_species("oryzias LATIPES") is medaka
    assert find_species(" Medaka ") is medaka
    assert find_species("Etroplus maculatus").name == "Pseudetroplus maculatus"
    assert find_species("") is None
    assert find_species("Oryzias") is None


def test_values_are_in_si_units():
    neon = find_species("neon tetra")
    assert (neon.temperature.low, neon.temperature.high) == (293.15, 299.15)
    assert neon.hardness.high == pytest.approx(2 * 0.0178481, rel=1e-5)  # 1 °dH is 17.848 mg/L of CaCO3
    assert neon.length == 0.022


def test_the_longer_sex_gives_the_length():
    assert find_species("guppy").length == 0.06
    assert "3.5 cm" in find_species("guppy").note


def test_the_owner_can_make_a_species_or_say_better():
    own = Species(name="Danio margaritatus", ph=Range(low=6.5, high=7.5, source=YOUR_PLAN))
    assert own.temperature is None
    assert not own.ph.from_memory
    warm = Range(low=295.15, high=300.15, source=YOUR_PLAN)
    better = dataclasses.replace(find_species("Danio rerio"), temperature=warm)
    assert better.temperature.source == YOUR_PLAN
    assert better.ph == find_species("Danio rerio").ph


def test_a_range_runs_upwards_and_has_a_source():
    with pytest.raises(ValueError, match="no range"):
        Range(low=7.0, high=6.0, source=YOUR_PLAN)
    with pytest.raises(ValueError, match="no range"):
        Range(low=float("nan"), high=6.0, source=YOUR_PLAN)
    with pytest.raises(ValueError, match="source"):
        Range(low=6.0, high=7.0, source="")


def _changed(column, cell):
    columns, cells = LINES[HEAD].split(","), LINES[HEAD + 1].split(",")
    row = dict(zip(columns, cells[: len(columns)], strict=False)) | {"note": "", "note_origin": ""}
    return [LINES[HEAD], ",".join((row | {column: cell}).values())]


@pytest.mark.parametrize(
    ("column", "cell"),
    [
        ("ph_low", "9"), ("ph_high", "15"), ("ph_low", ""), ("ph_origin", ""),
        ("hardness_low_dh", "-1"), ("hardness_high_dh", "4"), ("hardness_origin", ""),
        ("temperature_low_c", "-300"), ("temperature_high_c", "warm"), ("temperature_origin", ""),
        ("length_cm", ""), ("length_basis", "FL"), ("length_origin", ""), ("water_kind", "salty"),
        ("name", ""), ("note_origin", "FishBase"),
    ],
)  # fmt: skip
def test_a_line_that_cannot_be_right_is_refused(column, cell):
    assert rows_of(_changed("ph_low", "5"), "species.csv", species_of)
    with pytest.raises(TableError, match=r"species\.csv:2"):
        rows_of(_changed(column, cell), "species.csv", species_of)
