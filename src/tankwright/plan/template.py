"""A commented plan to start from, made from a few answers; it reads without mistakes and can be checked at once."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import floor

from tankwright.plan.answers import Answers, metres, unmeasured_words

_MOST_SHELVES = 2
_END, _GAP, _BEHIND, _UPRIGHT = 0.15, 0.01, 0.08, 0.03
_LOWEST_SHELF, _CLEAR = 0.35, 0.30
_FALL_IN_HAND = 0.20


def _quoted(text: str) -> str:
    kept = "".join(letter for letter in text if letter.isprintable())
    return '"' + kept.replace("\\", "\\\\").replace('"', '\\"') + '"'


@dataclass(frozen=True, slots=True)
class _Stand:
    wall: str
    key: str
    start: float


def _stands(answers: Answers, rack_length: float, rack_depth: float) -> list[_Stand]:
    """Places along the north wall, then the east, then south of the room east of the door."""
    length, width = metres(answers.length), metres(answers.width)
    stands = []
    for number in range(floor((length - 2 * _END + 0.1) / (rack_length + 0.1))):
        stands.append(_Stand("north", "from_west", _END + number * (rack_length + 0.1)))
    door_end = metres(answers.door_from_west) + metres(answers.door_width) + 0.3
    deep = rack_depth + _BEHIND
    if width - 2 * deep >= 0.7:
        for number in range(max(0, floor((length - _END - door_end + 0.1) / (rack_length + 0.1)))):
            stands.append(_Stand("south", "from_west", door_end + number * (rack_length + 0.1)))
    return stands


def _names() -> Iterator[str]:
    """Names of racks: A, B ... Z, AA, AB ... without Q, which people keep for quarantine."""
    letters = "ABCDEFGHIJKLMNOPRSTUVWXYZ"
    yield from letters
    for first in letters:
        yield from (first + second for second in letters)


def _fall(answers: Answers) -> int:
    """A drain that falls 1 in this many: steep where the room is short enough for it."""
    reach = metres(answers.length) + metres(answers.width)
    return next((fall for fall in (50, 100) if reach / fall <= 1.5 * _FALL_IN_HAND), 200)


def _shelves(answers: Answers, tank_height: float, fall: int) -> list[float]:
    """Heights of the shelves: the lowest over the drain, the highest rim a hand below the ceiling."""
    reach = metres(answers.length) + metres(answers.width)
    lowest = _LOWEST_SHELF + max(0.0, reach / fall - _FALL_IN_HAND)
    heights = [lowest + number * (tank_height + _CLEAR) for number in range(_MOST_SHELVES)]
    ceiling = metres(answers.height) - _CLEAR
    return heights[:1] + [height for height in heights[1:] if height + tank_height <= ceiling]


def commented_plan(answers: Answers) -> str:
    """The text of a plan for these answers. Raises QuantityError for an answer `mistake_in_answer` refuses.

    >>> commented_plan(Answers(title="Shed")).splitlines()[3]
    'title = "Shed"'
    """
    tank_length, tank_depth, tank_height = (
        metres(text) for text in (answers.tank_length, answers.tank_depth, answers.tank_height)
    )
    rack_depth = tank_depth + 0.10
    wall = metres(answers.length) - 2 * _END - 2 * _UPRIGHT
    across = max(1, min(3, floor((wall + _GAP) / (tank_length + _GAP))))
    rack_length = across * tank_length + (across - 1) * _GAP + 2 * _UPRIGHT
    fall = _fall(answers)
    shelves = _shelves(answers, tank_height, fall)
    lines = _head(answers)
    lines += _kinds(answers, rack_length, rack_depth, shelves)
    left = answers.tanks
    used: list[tuple[str, str]] = []
    for name, stand in zip(_names(), _stands(answers, rack_length, rack_depth), strict=False):
        if left <= 0:
            break
        lines += [
            "[[rack]]",
            f'id = "{name}"',
            'kind = "plain"',
            'room = "room"',
            f'wall = "{stand.wall}"',
            f'{stand.key} = "{stand.start * 100:.0f} cm"',
            f'off_wall = "{_BEHIND * 100:.0f} cm"                   # drain and hoses run here',
        ]
        number = 1
        for shelf in range(1, len(shelves) + 1):
            here = min(across, left)
            if here <= 0:
                break
            ids = f"{name}{number}" if here == 1 else f"{name}{number}..{name}{number + here - 1}"
            lines.append(f'shelf.{shelf} = [{{ kind = "plain", ids = "{ids}", from_left = "3 cm" }}]')
            number += here
            left -= here
        lines.append("")
        used.append((name, stand.wall))
    if used:
        lines += [
            "# One tank that is not as its kind: its elbow turned, its air tap half open.",
            f"# [tank.{used[0][0]}1]",
            '# overflow = { angle = "35 deg" }',
            '# air_opening = "50 %"',
            "",
        ]
    if left > 0:
        lines += [f"# {left} of the tanks you wished for found no place along the north and south walls.", ""]
    if used:
        lines += _systems(answers, used, answers.tanks - left, fall, shelves[-1] + tank_height)
    return "\n".join(lines) + "\n"


def _at(answers: Answers, place: str) -> list[str]:
    west, south = (getattr(answers, f"{place}_from_{wall}") for wall in ("west", "south"))
    return [f"at = [{_quoted(west)}, {_quoted(south)}]"] if west and south else []


def _head(answers: Answers) -> list[str]:
    unsure = unmeasured_words(answers)
    return [
        "# Your room. Every number has its unit in the text; metric, US and UK may be mixed.",
        "# What you leave out is assumed, and `tankwright check` lists what was assumed and what to measure.",
        "",
        *(
            []
            if not unsure
            else ["# Not measured yet, taken as usual:", *(f"# - {one}" for one in unsure), ""]
        ),
        f"title = {_quoted(answers.title)}",
        f'display = "{answers.display}"                    # or "US"',
        "",
        "[people]",
        'looks = ["07:00", "19:00"]            # when someone sees every tank',
        'longest_absence = "48 h"',
        "",
        "# Positions are measured from the south-west corner: x to the east, y to the north.",
        "[room.room]",
        f"size = {{ length = {_quoted(answers.length)}, width = {_quoted(answers.width)}, "
        f"height = {_quoted(answers.height)} }}",
        'floor = "slab"                        # slab, timber, tiles on slab, other',
        f'doors = [{{ wall = "south", from_west = {_quoted(answers.door_from_west)}, '
        f'width = {_quoted(answers.door_width)}, swing = "out" }}]',
        "",
        "[water_point.tap]",
        'room = "room"',
        *_at(answers, "water"),
        '# pressure = "3 bar"                  # put a gauge on it; until then it is assumed',
        "",
        "[outfall.drain]                       # where water can leave",
        'room = "room"',
        *(_at(answers, "drain") or [f'at = ["{metres(answers.length) - 0.10:.2f} m", "0.10 m"]']),
        'height = "-2 cm"                      # the height the pipe must reach, from the floor',
        'to = "sewer, trapped"',
        "",
    ]


def _kinds(answers: Answers, rack_length: float, rack_depth: float, shelves: list[float]) -> list[str]:
    return [
        "[tank_kind.plain]",
        f"outside = [{_quoted(answers.tank_length)}, {_quoted(answers.tank_depth)}, {_quoted(answers.tank_height)}]"
        "   # length, depth, height",
        '# glass = { sides = "5 mm", base = "6 mm", temper = "annealed" }   # a caliper; never drill toughened glass',
        'hole = { pane = "back", from_left = "75 mm", below_rim = "65 mm" }  # diameter: measure your fitting',
        'overflow = { kind = "elbow", water_below_rim = "40 mm" }',
        "",
        "[rack_kind.plain]",
        f'length = "{rack_length * 100:.0f} cm"',
        f'depth = "{rack_depth * 100:.0f} cm"',
        "shelves = [" + ", ".join(f'"{height * 100:.0f} cm"' for height in shelves) + "]",
        "",
    ]


def _systems(
    answers: Answers, used: list[tuple[str, str]], tanks: int, fall: int, highest_rim: float
) -> list[str]:
    lines: list[str] = []
    for wall in ("north", "south"):
        names = [name for name, of in used if of == wall]
        if names:
            behind = ", ".join(f'"{name}"' for name in names)
            lines += [
                f"[drain.{wall}]",
                'to = "drain"',
                f"behind = [{behind}]              # in the order the water passes them",
                'pipe = "50 mm ISO 0.6 MPa"',
                f'fall = "1:{fall}"',
                "vented = true",
                'hose = { bore = "13 mm" }',
                "",
            ]
    ceiling = metres(answers.height)
    ring = min(max(2.05, highest_rim + 0.10), ceiling - 0.15)  # over the water, so that none runs back
    taps = max(8, round(tanks * 1.5))
    return [
        *lines,
        "[feed.drip]",
        'from = "tap"',
        'pipe = "16 mm PE"',
        'filters = [{ name = "carbon", loss = "0.2 bar", at_flow = "5 L/min", carbon = true }]',
        'outlet = { kind = "compensating dripper", rate = "2 L/h", at_pressure = "1 bar" }',
        'ends = "above rim"',
        'program = [{ start = "02:00", minutes = 60, days = "daily" }]',
        "",
        "[air.ring]",
        'pump = "pump"',
        'pipe = "25 mm ISO 1.0 MPa"',
        'around = "room"',
        f'height = "{ring:.2f} m"',
        f"taps = {taps}",
        'tap = { bore = "2 mm" }',
        'diffuser = { kind = "sponge", flow_wanted = "1 L/min" }',
        "",
        "[pump.pump]                           # copy the curve from the data sheet: pressure and flow",
        f'curve = [["0 kPa", "{tanks * 2 + 10:.0f} L/min"], '
        f'["10 kPa", "{tanks * 1.5 + 7:.0f} L/min"], ["20 kPa", "{tanks * 0.3:.1f} L/min"]]',
        'power = "40 W"',
        f'height = "{ring + 0.05:.2f} m"',
        'room = "room"',
        *([f"{at}   # by the power outlet" for at in _at(answers, "socket")]),
        "",
        "# Mains near water: a licensed electrician and your local code decide.",
        "[power]",
        'circuits = { life = { breaker = "10 A", rcd = "30 mA" }, light = { breaker = "10 A", rcd = "30 mA" } }',
        "boards = [",
        '  { id = "air", circuit = "life", outlets = 2, height = "1.9 m", drip_loop = true, '
        'loads = [{ name = "air pump", power = "40 W", does = "air", pump = "pump" }] },',
        "]",
        *_life(used[0][0]),
    ]


def _life(rack: str) -> list[str]:
    """Water, fish and warmth as comments: guessed by us they would be forty assumptions on the first day."""
    return [
        "",
        "# Take the # away, table by table, once you know: what is said here is worked out and judged.",
        "# [water.tap]                         # the supplier's sheet, a drop test, a thermometer under the tap",
        '# winter = "8 °C"',
        '# summer = "17 °C"',
        "# ph = 7.6",
        '# general_hardness = "12 °dH"',
        '# carbonate_hardness = "8 °dH"',
        '# chlorine = "0.5 mg/L"               # total chlorine; disinfectant = "chloramine" is another matter',
        '# nitrate = "10 mg/L"',
        "# [zone.main]",
        '# wants = { temperature = ["23 °C", "26 °C"], general_hardness = ["5 °dH", "15 °dH"], nitrate = "40 mg/L" }',
        "# [[stock]]                           # so much in each of these tanks",
        f'# tanks = "{rack}1"',
        '# species = "Poecilia reticulata"',
        "# count = 20",
        '# each = "0.6 g"                      # or length = "3 cm"',
        '# feed = "0.3 g/day"',
        "# [room.room.shell]",
        '# walls = { to = "outside", layers = [{ material = "plasterboard", thickness = "12.5 mm" }, '
        '{ material = "EPS", thickness = "5 cm" }, { material = "brick", thickness = "24 cm" }] }',
        '# roof = { to = "indoors", transmittance = "0.4 W/(m2 K)" }',
        "# [climate]",
        '# weather = "my_town.epw"             # an EPW or TMY3 file beside this one; without it a stand-in year',
        "# energy_price = 0.30                 # for a kWh",
        '# currency = "EUR"',
        "# [climate.room.room]",
        '# heat_to = "24 °C"',
        '# heater = { power = "1000 W" }',
        "",
        "## What calls when nobody looks, and what runs on in a power cut: `tankwright faults` reckons with them.",
        "# [[alarm]]",
        '# id = "floor"',
        '# watches = "floor water"              # floor water, level, temperature, air pressure, power',
        '# where = "room"',
        '# reaches = "my phone"',
        '# within = "30 min"                    # until somebody is there',
        "# battery_backed = true",
        "# [power.backup]",
        '# battery = { capacity = "100 Ah", voltage = "12 V" }',
        '# keeps = ["air"]                      # boards or loads',
    ]
