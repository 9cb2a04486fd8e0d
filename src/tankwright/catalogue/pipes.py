"""Inner diameters of pipes by the size and standard printed on them.

The same nominal size is a different pipe in another standard, so a size alone is never enough. Rows marked
"from memory" could not be read in print; their bore is shown as an assumption and should be measured.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

from tankwright.units import Metre, convert


@dataclass(frozen=True, slots=True, kw_only=True)
class PipeSize:
    """One pipe. `bore` is its mean inner diameter, `band` the least and most its limits allow.

    `size` is the size printed on it ("50 mm"), `standard` the key of its standard and class ("iso 6").
    """

    name: str
    size: str
    standard: str
    outer_diameter: Metre
    wall: Metre
    bore: Metre
    band: tuple[Metre, Metre]
    from_memory: bool
    source: str


def bore_of(text: str) -> PipeSize | None:
    """The pipe a text names, or None when it is not in the table.

    >>> size = bore_of("3/4 in schedule 40")
    >>> size.name, round(size.bore * 1000, 2)
    ('3/4 in ASTM D1785 schedule 40', 20.93)
    >>> round(bore_of("25 mm ISO PN10").bore * 1000, 2)
    21.95
    >>> bore_of("25 mm") is None
    True
    """
    if len(text) > 80:
        return None
    plain = " ".join(text.casefold().replace(",", ".").replace("″", '"').replace("¾", "3/4").split())
    size = _SIZE.match(plain)
    if size is None:
        return None
    number = (size["dn"] or size["number"]).replace("-", " ")
    unit = "mm" if size["dn"] else _UNITS[size["unit"]]
    standard = _standard(plain[size.end() :])
    return _BY_KEY.get((_tidy(number), unit, standard)) if standard else None


def pipe_sizes() -> tuple[PipeSize, ...]:
    """Every pipe of the table, for help pages and for suggesting a name."""
    return tuple(_BY_KEY.values())


_SIZE: Final = re.compile(
    r"(?:dn ?(?P<dn>\d{1,3})\b|(?:ø ?)?(?P<number>\d+ ?[- ] ?\d/\d|\d/\d|\d+(?:\.\d+)?) ?"
    r"(?P<unit>mm|inches|inch|in\b\.?|\"|''))"
)
_UNITS: Final = {"mm": "mm", "inches": "in", "inch": "in", "in": "in", "in.": "in", '"': "in", "''": "in"}
_CLASS: Final = re.compile(r"pn ?-?(\d+(?:\.\d+)?)")
_MEGAPASCAL: Final = re.compile(r"(\d+(?:\.\d+)?) ?mpa")
_BAR: Final = re.compile(r"(\d+(?:\.\d+)?) ?bar")


def _tidy(number: str) -> str:
    words = number.split()
    return " ".join(f"{float(word):g}" if "/" not in word else word for word in words)


def _standard(rest: str) -> str:  # noqa: PLR0912 - one line a standard
    """The key of a standard and class from what follows the size; "" when none is recognised."""
    words = rest.replace("/", " ").replace("-", " ").replace(":", " ")
    squeezed = words.replace(" ", "")
    if "d1785" in squeezed or "sch" in words:
        for schedule in ("40", "80"):
            if re.search(rf"(?:sch|schedule|sched)\.? ?{schedule}\b", words):
                return f"sch {schedule}"
        return ""
    pressure = _pressure_class(rest)
    if "1477" in words:
        return f"as1477 {pressure}" if pressure else ""
    if "1260" in words:
        return "as1260"
    if "1254" in words:
        return "as1254"
    if "1452" in words:
        return f"en1452 {pressure}" if pressure else ""
    if "4985" in words or "161" in words:
        return f"iso {pressure}" if pressure else ""
    if "1329" in words:
        return "en1329"
    if "1401" in words:
        return "en1401"
    if "push" in words:
        return "uk push-fit"
    if "5255" in words or "1455" in words or "solvent" in words or re.search(r"\buk\b", words):
        return "uk solvent"
    sdr = re.search(r"sdr ?(11|13\.6|17)\b", words)
    if "4130" in words or "11922" in words or sdr:
        return f"pe sdr {sdr[1]}" if sdr else ""
    if re.search(r"\biso\b", words) and pressure:
        return f"iso {pressure}"
    if re.search(r"\b(?:pe|ldpe|polyethylene|irrigation)\b", words):
        return "pe irrigation"
    return ""


def _pressure_class(rest: str) -> str:
    """The pressure class as a PN number, whether it was written as PN, MPa or bar."""
    if found := _CLASS.search(rest):
        return f"{float(found[1]):g}"
    if found := _MEGAPASCAL.search(rest):
        return f"{float(found[1]) * 10:g}"
    if found := _BAR.search(rest):
        return f"{float(found[1]):g}"
    return ""


_BY_KEY: Final[dict[tuple[str, str, str], PipeSize]] = {}


def _add(
    number: str, unit: str, standard: str, name: str, outer: tuple[float, float], wall: tuple[float, float],
    source: str,
) -> None:  # fmt: skip
    """One row, sizes in mm as they are printed: outer diameter and wall from their least to their most."""
    mean_outer, mean_wall = sum(outer) / 2.0, sum(wall) / 2.0
    _BY_KEY[(number, unit, standard)] = PipeSize(
        name=f"{number} {unit} {name}",
        size=f"{number} {unit}",
        standard=standard,
        outer_diameter=convert(mean_outer, "mm", "m"),
        wall=convert(mean_wall, "mm", "m"),
        bore=convert(mean_outer - 2.0 * mean_wall, "mm", "m"),
        band=(convert(outer[0] - 2.0 * wall[1], "mm", "m"), convert(outer[1] - 2.0 * wall[0], "mm", "m")),
        from_memory="from memory" in source,
        source=source,
    )


def _fill_inch() -> None:
    # outer diameter, its tolerance, least wall of schedule 40 and 80
    rows = (
        ("1/2", 21.34, 0.10, 2.77, 3.73),
        ("3/4", 26.67, 0.10, 2.87, 3.91),
        ("1", 33.40, 0.13, 3.38, 4.55),
        ("1 1/4", 42.16, 0.13, 3.56, 4.85),
        ("1 1/2", 48.26, 0.15, 3.68, 5.08),
        ("2", 60.32, 0.15, 3.91, 5.54),
        ("3", 88.90, 0.20, 5.49, 0.0),
        ("4", 114.30, 0.23, 6.02, 0.0),
    )
    chart = "ASTM D1785 by a pipe maker's chart, least wall"
    for number, outer, tolerance, *walls in rows:
        for schedule, wall in zip(("40", "80"), walls, strict=True):
            if wall:
                source = chart if outer < 80.0 else "ASTM D1785, from memory"
                limits = (outer - tolerance, outer + tolerance)
                name = f"ASTM D1785 schedule {schedule}"
                _add(number, "in", f"sch {schedule}", name, limits, (wall, wall), source)


def _fill_metric_pressure() -> None:
    # IS 4985:2000 (the ISO 161-1 series): outer diameter, then (least, most) wall for PN4, 6, 8, 10, 12.5
    none = (0.0, 0.0)
    rows = (
        (20, 20.3, none, none, none, (1.1, 1.5), (1.4, 1.8)),
        (25, 25.3, none, none, (1.2, 1.6), (1.4, 1.8), (1.7, 2.1)),
        (32, 32.3, none, none, (1.5, 1.9), (1.8, 2.2), (2.2, 2.7)),
        (40, 40.3, none, (1.4, 1.8), (1.8, 2.2), (2.2, 2.7), (2.8, 3.3)),
        (50, 50.3, none, (1.7, 2.1), (2.3, 2.8), (2.8, 3.3), (3.4, 4.0)),
        (63, 63.3, (1.5, 1.9), (2.2, 2.7), (2.8, 3.3), (3.3, 4.1), (4.3, 5.0)),
        (75, 75.3, (1.8, 2.2), (2.6, 3.1), (3.4, 4.0), (4.2, 4.9), (5.1, 5.9)),
        (90, 90.3, (2.1, 2.6), (3.1, 3.7), (4.0, 4.6), (5.0, 5.7), (6.1, 7.1)),
        (110, 110.4, (2.5, 3.0), (3.7, 4.3), (4.9, 5.6), (6.1, 7.1), (7.5, 8.7)),
    )  # fmt: skip
    source = "IS 4985:2000 by two pipe makers' tables"
    for number, most, *walls in rows:
        for pressure, wall in zip(("4", "6", "8", "10", "12.5"), walls, strict=True):
            if wall[0]:
                outer = (float(number), most)
                _add(f"{number}", "mm", f"iso {pressure}", f"ISO PN{pressure}", outer, wall, source)
    # EN ISO 1452-2, nominal wall of PN10 and PN16; 40 mm PN10 is 1.9 or 2.0 by two memories
    for number, ten, sixteen in (
        (20, 0.0, 1.5), (25, 0.0, 1.9), (32, 1.6, 2.4), (40, 1.95, 3.0), (50, 2.4, 3.7), (63, 3.0, 4.7),
        (75, 3.6, 5.6), (90, 4.3, 6.7),
    ):  # fmt: skip
        for pressure, least in (("10", ten), ("16", sixteen)):
            if least:
                outer, wall = (float(number), number + 0.3), (least, least + 0.4)
                source = "EN ISO 1452-2, from memory"
                _add(f"{number}", "mm", f"en1452 {pressure}", f"EN 1452 PN{pressure}", outer, wall, source)


def _fill_australian() -> None:
    # AS/NZS 1477 series 1, mean outer diameter; wall from t = p OD / (2 S + p) with S = 11 MPa
    source = "AS/NZS 1477, from memory; wall by its formula; measure it"
    for number, low, high in (
        (15, 21.2, 21.5), (20, 26.6, 26.9), (25, 33.4, 33.7), (32, 42.1, 42.4), (40, 48.1, 48.4),
        (50, 60.2, 60.5), (80, 88.7, 89.1),
    ):  # fmt: skip
        for pressure in (12, 18):
            least = pressure / 10.0 * (low + high) / 2.0 / (22.0 + pressure / 10.0)
            wall = (least, least * 1.35)  # a 20 mm class 12 pipe is sold with 2 mm, the formula gives 1.4
            _add(
                f"{number}",
                "mm",
                f"as1477 {pressure}",
                f"AS/NZS 1477 PN{pressure}",
                (low, high),
                wall,
                source,
            )
    source = "AS/NZS 1260 and AS 1254, from memory; measure it"
    for number, outer in ((40, 43.0), (50, 56.0), (65, 69.0), (80, 82.5), (100, 110.0)):
        limits, wall = (
            (outer - 0.3, outer + 0.3),
            (1.9 if number < 100 else 2.8, 2.6 if number < 100 else 3.4),
        )
        _add(f"{number}", "mm", "as1260", "AS/NZS 1260", limits, wall, source)
    _add("90", "mm", "as1254", "AS 1254", (89.8, 90.2), (1.9, 2.3), source)


def _fill_waste() -> None:
    source = "EN 1329-1, from memory; measure it"
    for number in (32, 40, 50, 75, 90, 110):
        outer = (float(number), number + 0.3)
        wall = (3.0, 3.5) if number < 110 else (3.2, 3.8)
        _add(f"{number}", "mm", "en1329", "EN 1329", outer, wall, source)
    source = "EN 1401-1 SN4 by a pipe maker's page"
    for number, least in ((110, 3.2), (125, 3.2), (160, 4.0)):
        outer, wall = (float(number), number + 0.4), (least, least + 0.5)
        _add(f"{number}", "mm", "en1401", "EN 1401 SN4", outer, wall, source)
    for key, name, sizes in (
        ("uk solvent", "UK solvent-weld waste", ((32, 36.3), (40, 43.0), (50, 56.0))),
        ("uk push-fit", "UK push-fit waste", ((32, 34.0), (40, 41.0), (50, 54.0))),
    ):
        source = "outer diameter by a merchant's size page; wall from memory; measure it"
        for number, diameter in sizes:
            limits = (diameter - 0.3, diameter + 0.3)
            _add(f"{number}", "mm", key, name, limits, (1.8, 2.4), source)


def _fill_polyethylene() -> None:
    source = "AS/NZS 4130, ISO 11922 by a pipe maker's chart, least wall"
    rows = {
        "17": ((32, 2.0), (40, 2.4), (50, 3.0), (63, 3.8)),
        "13.6": ((25, 2.0), (32, 2.4), (40, 3.0), (50, 3.7), (63, 4.7)),
        "11": ((20, 2.0), (25, 2.3), (32, 3.0), (40, 3.7), (50, 4.6), (63, 5.8)),
    }
    for ratio, sizes in rows.items():
        for number, least in sizes:
            outer, wall = (float(number), number + 0.3), (least, least * 1.1 + 0.1)
            _add(f"{number}", "mm", f"pe sdr {ratio}", f"PE SDR {ratio}", outer, wall, source)
    source = "drip irrigation pipe, common practice, from memory; measure it"
    for number, wall in (
        (12, (0.9, 1.1)),
        (16, (1.0, 1.4)),
        (20, (1.1, 1.5)),
        (25, (1.3, 2.1)),
        (32, (1.7, 2.5)),
    ):
        _add(f"{number}", "mm", "pe irrigation", "PE", (float(number), float(number)), wall, source)


_fill_inch()
_fill_metric_pressure()
_fill_australian()
_fill_waste()
_fill_polyethylene()
