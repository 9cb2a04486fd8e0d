import math

import pytest
from ht.insulation import Cp_material, k_material, rho_material

from tankwright.catalogue.materials import Fact, all_materials, find_material, material_of
from tankwright.catalogue.tables import TableError, rows_of

MATERIALS = [one.name for one in all_materials()]


@pytest.mark.parametrize("name", MATERIALS)
def test_a_row_is_complete_and_possible(name):
    found = find_material(name)
    facts = (found.conductivity, found.density, found.specific_heat, found.vapour_factor)
    for fact in facts:
        assert 0 < fact.low <= fact.value <= fact.high
        assert math.isfinite(fact.high)
        assert fact.from_memory == ("from memory" in fact.source)
    assert found.conductivity.low < found.conductivity.high
    assert 0.015 < found.conductivity.value < 250  # between an evacuated panel and aluminium
    assert 5 < found.density.value < 9000
    assert 400 <= found.specific_heat.value <= 2500  # metals to timber
    assert 1 <= found.vapour_factor.value <= 1e6


def test_the_better_a_board_insulates_the_lighter_it_is():
    for light, heavy in (
        ("EPS", "softwood"),
        ("softwood", "brick"),
        ("brick", "concrete"),
        ("concrete", "steel"),
    ):
        assert find_material(light).conductivity.value < find_material(heavy).conductivity.value
        assert find_material(light).density.value < find_material(heavy).density.value


def test_a_material_is_found_by_any_of_its_names():
    assert find_material(" Drywall") is find_material("PLASTERBOARD")
    assert find_material("glass wool") is find_material("mineral wool")
    assert find_material("unobtainium") is None


# our name -> theirs, and what is typed from their tables: nothing may have slipped
THEIRS = {
    "EPS": "Expanded polystyrene, molded beads",
    "PIR": "Polyisocyanurate, aged, unfaced",
    "mineral wool": "Mineral fiber",
    "cellular glass": "Cellular glass",
    "plasterboard": "Gypsum, plasterboard",
    "plaster": "Plasters and renders, gypsum plastering, 1300 kg/m^3",
    "concrete": "Concrete, medium density 2200 kg/m^3",
    "reinforced concrete": "Concrete, reinforced with 1% steel",
    "aerated concrete": "Concrete, Aerated concrete (oven-dried)",
    "OSB": "Wood, oriented strand board",
    "plywood": "Wood, plywood 500 kg/m^3",
    "softwood": "Timber, 500 kg/m^3",
    "chipboard": "Wood, particleboard, 600 kg/m^3",
    "MDF": "Wood, fibreboard, 600 kg/m^3",
    "glass": "Glass, soda lime",
    "steel": "Metals, steel",
    "aluminium": "Metals, aluminium alloys",
    "acrylic": "Plastics, polymethylmethacrylate (PMMA)",
    "PVC": "Plastics, Polyvinylchloride (PVC)",
    "clay soil": "Solids, clay or silt",
    "sand and gravel": "Solids, sand and gravel",
}  # fmt: skip


@pytest.mark.parametrize("name", THEIRS)
def test_what_was_typed_from_the_tables_of_the_ht_package_is_what_they_hold(name):
    ours, theirs = find_material(name), THEIRS[name]
    assert "the ht package" in ours.conductivity.source
    assert ours.conductivity.value == k_material(theirs)
    assert ours.density.value == rho_material(theirs)
    if name != "PIR":  # theirs has no specific heat for the unfaced board
        assert ours.specific_heat.value == Cp_material(theirs)


# our name, theirs, the share by which our value, from another source, is above theirs
OTHERWISE = [
    ("facing brick", "Brick, fired clay, 1760 kg/m^3", -0.013),  # EN ISO 6946 against ASHRAE
    ("brick", "Brick, fired clay, 1600 kg/m^3", -0.012),  # the Spanish code against ASHRAE
    (
        "XPS",
        "Expanded polystyrene, extruded",
        0.308,
    ),  # a design value of aged board against one fresh with gas
    ("plasterboard", "Gypsum or plaster board", 0.5625),  # EN 12524 board of 900 kg/m3, ASHRAE's weighs 640
    ("softwood", "Southern yellow pine", 0.0),  # EN 12524 against ASHRAE, both of 500 kg/m3
    ("particleboard", "Particleboard, medium density", 0.037),  # EN 12524 against ASHRAE
]


@pytest.mark.parametrize(("name", "theirs", "above"), OTHERWISE)
def test_another_source_disagrees_by_what_is_said_and_lies_in_the_band(name, theirs, above):
    ours, other = find_material(name).conductivity, k_material(theirs)
    assert ours.value / other - 1 == pytest.approx(above, abs=6e-4)
    assert ours.low <= other <= ours.high


def _resistance(*layers):
    return sum(thickness / find_material(name).conductivity.value for name, thickness in layers)


def test_the_wall_of_the_spanish_code_has_its_published_transmittance():
    # CTE DB-HE, worked wall: U 0.80369 W/(m2 K); its polystyrene is of 0.0375, ours of 0.0355 (in our band)
    layers = (("brick", 0.11), ("light mortar", 0.01), ("hollow brick", 0.03), ("gypsum plaster", 0.01))
    assert find_material("EPS").conductivity.low <= 0.0375 <= find_material("EPS").conductivity.high
    total = 0.04 + _resistance(*layers) + 0.03 / 0.0375 + 0.13
    assert round(1 / total, 5) == 0.80369
    published = {"brick": 10, "light mortar": 10, "hollow brick": 10, "gypsum plaster": 6}
    assert {name: find_material(name).vapour_factor.value for name in published} == published
    assert find_material("EPS").vapour_factor.low == 20  # as there


def test_the_timber_wall_of_en_iso_6946_has_its_transmittance():
    # U 0.295 W/(m2 K), wool of 0.038 (in our band) over 85 % of the wall, stud over 15 %; combined method
    wool, stud = 0.14 / 0.038, _resistance(("timber stud", 0.14))
    rest = (
        0.04
        + 0.18
        + 0.13
        + _resistance(("facing brick", 0.102), ("plywood", 0.009), ("plasterboard", 0.0125))
    )
    upper = 1 / (0.85 / (rest + wool) + 0.15 / (rest + stud))
    lower = rest + 1 / (0.85 / wool + 0.15 / stud)
    assert round(2 / (upper + lower), 3) == 0.295
    assert find_material("mineral wool").conductivity.high >= 0.038


def test_a_number_outside_its_band_or_without_a_source_is_refused():
    with pytest.raises(ValueError, match="does not lie"):
        Fact(value=3.0, low=1.0, high=2.0, source="x")
    with pytest.raises(ValueError, match="does not lie"):
        Fact(value=float("nan"), low=1.0, high=2.0, source="x")
    with pytest.raises(ValueError, match="source"):
        Fact(value=1.0, low=1.0, high=2.0, source="")


COLUMNS = {
    "name": "cork", "other_names": "", "conductivity_w_mk": "0.05", "conductivity_low_w_mk": "0.04",
    "conductivity_high_w_mk": "0.06", "conductivity_source": "s", "density_kg_m3": "200",
    "density_low_kg_m3": "100", "density_high_kg_m3": "300", "specific_heat_j_kgk": "1500",
    "specific_heat_low_j_kgk": "1400", "specific_heat_high_j_kgk": "1600", "capacity_source": "s",
    "vapour_factor": "10", "vapour_factor_low": "5", "vapour_factor_high": "20", "vapour_source": "s",
}  # fmt: skip


@pytest.mark.parametrize(
    ("column", "cell"),
    [("name", ""), ("conductivity_low_w_mk", "0"), ("conductivity_low_w_mk", "0.055"), ("density_kg_m3", "x"),
     ("vapour_factor_low", "0.5"), ("vapour_source", ""), ("specific_heat_low_j_kgk", "0")],
)  # fmt: skip
def test_a_line_that_cannot_be_right_is_refused(column, cell):
    def lines(cells):
        return [",".join(cells), ",".join(cells.values())]

    assert rows_of(lines(COLUMNS), "m.csv", material_of)
    with pytest.raises(TableError, match=r"m\.csv:2"):
        rows_of(lines(COLUMNS | {column: cell}), "m.csv", material_of)
