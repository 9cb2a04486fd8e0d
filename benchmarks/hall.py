"""A generated hatchery hall, for speed: racks in rows along the length of a hall, as large as wanted."""

from __future__ import annotations

from math import ceil

TANKS_A_RACK = 12


def hall_plan(tanks: int = 600) -> str:
    """The plan text of a hall with so many tanks: double rows of racks, a drain, feed and air ring for each row."""
    racks = ceil(tanks / TANKS_A_RACK)
    rows = max(2, 2 * ceil((racks / 6) ** 0.5 / 2))
    in_row = ceil(racks / rows)
    length, width = in_row * 2.6 + 2.0, rows * 1.5 + 1.5
    text = [
        'title = "Hatchery hall"',
        "[people]",
        'looks = ["07:00", "12:00", "17:00"]',
        'longest_absence = "16 h"',
        "[room.hall]",
        f'size = {{ length = "{length:.2f} m", width = "{width:.2f} m", height = "3.5 m" }}',
        'doors = [{ wall = "west", from_south = "0.2 m", width = "1.2 m", swing = "out" }]',
        "[water_point.main]",
        'room = "hall"',
        'pressure = "4 bar"',
        'flow = "120 L/min"',
        "[tank_kind.cell]",
        'outside = ["60 cm", "40 cm", "35 cm"]',
        'glass = { sides = "6 mm", base = "6 mm", temper = "annealed" }',
        'hole = { pane = "back", diameter = "29 mm", from_left = "75 mm", below_rim = "70 mm" }',
        'overflow = { elbow_reach = "34 mm", water_below_rim = "45 mm", bore = "16 mm" }',
        "[rack_kind.bay]",
        'length = "250 cm"',
        'depth = "50 cm"',
        'shelves = ["30 cm", "95 cm", "160 cm"]',
        'uprights_at = ["0 cm", "122.5 cm", "245 cm"]',
        "[pump.blower]",
        f'curve = [["0 kPa", "{tanks * 3} L/min"], ["10 kPa", "{tanks * 2.4:.0f} L/min"], ["20 kPa", "{tanks} L/min"]]',
        'height = "2.8 m"',
    ]
    number = made = 0
    for row in range(rows):
        names = []
        y = 0.8 + row * 1.5 + (0.45 if row % 2 else 0.0)
        for place in range(in_row):
            if made >= tanks:
                break
            number += 1
            name = f"R{number:03d}"
            names.append(name)
            text += [
                "[[rack]]",
                f'id = "{name}"',
                'kind = "bay"',
                'room = "hall"',
                f'at = ["{1.0 + place * 2.6:.2f} m", "{y:.2f} m"]',
                f'facing = "{"north" if row % 2 else "south"}"',
            ]
            for shelf in range(3):
                here = min(4, tanks - made)
                if here <= 0:
                    break
                first = shelf * 4 + 1
                ids = f"{name}-{first:02d}..{name}-{first + here - 1:02d}"
                text.append(f'shelf.{shelf + 1} = [{{ kind = "cell", ids = "{ids}" }}]')
                made += here
        if not names:
            continue
        listed = ", ".join(f'"{name}"' for name in names)
        text += [
            f"[outfall.o{row}]",
            'room = "hall"',
            f'at = ["{length - 0.2:.2f} m", "{y:.2f} m"]',
            'height = "5 cm"',
            f"[drain.d{row}]",
            f'to = "o{row}"',
            f"behind = [{listed}]",
            'pipe = "90 mm ISO 0.6 MPa"',
            'fall = "1:100"',
            "vented = true",
            f"[feed.f{row}]",
            'from = "main"',
            'pipe = "25 mm ISO 1.0 MPa"',
            f"racks = [{listed}]",
            'outlet = { kind = "compensating dripper", rate = "4 L/h", at_pressure = "0.8 bar" }',
            'program = [{ start = "02:00", minutes = 60 }]',
        ]
    text += [
        "[air.ring]",
        'pump = "blower"',
        'pipe = "63 mm ISO 0.6 MPa"',
        'around = "hall"',
        'height = "2.7 m"',
        f"taps = {ceil(tanks * 1.1)}",
    ]
    return "\n".join(text) + "\n"


if __name__ == "__main__":
    print(hall_plan())
