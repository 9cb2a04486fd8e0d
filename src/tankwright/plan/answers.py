"""What a keeper answers on the first evening, with a tape measure in hand, and what is wrong with an answer."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Final

from tankwright.units import Metre, QuantityError, parse_quantity


@dataclass(frozen=True, slots=True, kw_only=True)
class Answers:
    """What a keeper knows on the first evening, with a tape measure in hand; every length is a text with its unit.

    Places are measured from the west and from the south wall. Both distances "": not said, then nothing is written
    of where the water point or the socket is, and the drain goes into the south-east corner. `unmeasured` names the
    answers that nobody gave: they are written with the rest, and the text says which they are.
    """

    title: str = "Fish room"
    length: str = "4 m"
    width: str = "3 m"
    height: str = "2.4 m"
    door_from_west: str = "30 cm"
    door_width: str = "80 cm"
    water_from_west: str = ""
    water_from_south: str = ""
    drain_from_west: str = ""
    drain_from_south: str = ""
    socket_from_west: str = ""
    socket_from_south: str = ""
    tanks: int = 12
    tank_length: str = "60 cm"
    tank_depth: str = "30 cm"
    tank_height: str = "30 cm"
    display: str = "metric"
    unmeasured: tuple[str, ...] = ()


_USUAL_US: Final[Mapping[str, str]] = {
    "length": "13 ft", "width": "10 ft", "height": "8 ft", "door_from_west": "12 in", "door_width": "32 in",
    "tank_length": "24 in", "tank_depth": "12 in", "tank_height": "12 in",
}  # fmt: skip


def usual_answers(display: str = "metric") -> dict[str, str]:
    """What is taken for a question nobody answered, in round numbers of the units chosen.

    >>> usual_answers()["length"], usual_answers("US")["length"], usual_answers()["drain_from_west"]
    ('4 m', '13 ft', '')
    """
    usual = {item.name: str(item.default) for item in fields(Answers) if item.name != "unmeasured"}
    return {**usual, **(_USUAL_US if display == "US" else {}), "display": display}


def answers_from(given: Mapping[str, str]) -> Answers:
    """The answers given, and the usual ones for the rest. Those given must be free of mistakes.

    >>> answers_from({"title": "Shed", "tanks": "8"}).tanks
    8
    """
    said = {name: text.strip() for name, text in given.items() if text.strip()}
    full = {**usual_answers(said.get("display", "metric")), **said}
    tanks = int(full.pop("tanks"))
    unsaid = tuple(name for name, _ in QUESTIONS if name not in said and name != "title")
    return Answers(tanks=tanks, unmeasured=unsaid, **{name: full[name] for name in full if name in _TEXTS})


QUESTIONS: tuple[tuple[str, str], ...] = (
    ("title", "What do you call the room?"),
    ("length", "Inside length, west to east"),
    ("width", "Inside width, south to north"),
    ("height", "Floor to ceiling"),
    ("door_from_west", "Door in the south wall: from the west corner to its opening"),
    ("door_width", "Door: clear width"),
    ("water_from_west", "Where water comes in: from the west wall (Enter: not known yet)"),
    ("water_from_south", "Where water comes in: from the south wall"),
    ("drain_from_west", "Where water can leave: from the west wall (Enter: the south-east corner)"),
    ("drain_from_south", "Where water can leave: from the south wall"),
    ("socket_from_west", "Power outlet for the air pump: from the west wall (Enter: not known yet)"),
    ("socket_from_south", "Power outlet for the air pump: from the south wall"),
    ("tanks", "How many tanks do you wish for?"),
    ("tank_length", "One tank: outside length"),
    ("tank_depth", "One tank: outside depth, front to back"),
    ("tank_height", "One tank: outside height"),
)

PLACES: Final = ("water", "drain", "socket")
"""What has a place in the room: "<place>_from_west" and "<place>_from_south" are its answers."""

MOST_TANKS: Final = 200

_TEXTS: Final = frozenset(item.name for item in fields(Answers)) - {"tanks", "unmeasured"}
_ROOM: Final = ("length", "width", "height")
_DISTANCES: Final = (
    *(f"{place}_from_{wall}" for place in PLACES for wall in ("west", "south")),
    "door_from_west",
)


_BARE: Final = re.compile(r"\d{1,4}([.,]\d{1,4})?", re.ASCII)
_LONG: Final = 6.0  # a number up to this was meant in metres or feet, one above it in centimetres or inches
_UNITS: Final = {"metric": ("m", "cm"), "US": ("ft", "in")}


def mistake_in_answer(name: str, text: str, display: str = "metric") -> str:
    """What is wrong with one answer, as a sentence, or "" when it will do. `display` picks the unit of an example.

    >>> mistake_in_answer("length", "4 m"), mistake_in_answer("tanks", "12")
    ('', '')
    """
    if name == "title":
        shown = "".join(letter for letter in text if letter.isprintable()).strip()
        return "" if 0 < len(shown) <= 80 else "a name of 1 to 80 letters is wanted"
    if name == "tanks":
        count = text.strip()
        good = count.isascii() and count.isdigit() and len(count) < 5 and 1 <= int(count) <= MOST_TANKS
        return "" if good else f"a whole number from 1 to {MOST_TANKS} is wanted"
    if name == "display":
        return "" if text in ("metric", "US") else "metric or US is wanted"
    if text.strip() == "" and name in _DISTANCES and name != "door_from_west":
        return ""  # not said
    if _BARE.fullmatch(text.strip()):
        large, small = _UNITS["US" if display == "US" else "metric"]
        long = name in _ROOM or float(text.replace(",", ".")) <= _LONG
        return f'"{text.strip()}" has no unit; try "{text.strip()} {large if long else small}"'
    try:
        value = parse_quantity(text, "length").value
    except QuantityError as error:
        return f"{error.text}; wanted {error.wanted}" + (f"; try {error.attempt}" if error.attempt else "")
    if name in _DISTANCES:
        return "" if 0.0 <= value <= 100.0 else "a distance from a wall of the room is wanted, 0 or more"
    return "" if 0.05 <= value <= 100.0 else "that is not the size of a room, a door or a tank"


def mistakes_in_answers(given: Mapping[str, str], *, half: bool = True) -> dict[str, str]:
    """What is wrong with the answers given, by name: each for itself, and against the size of the room.

    Answers left out, or empty, are taken as usual and never wrong. With `half` a place of which only one distance
    is said is a mistake too.

    >>> mistakes_in_answers({"length": "3 m", "drain_from_west": "4 m", "drain_from_south": "10 cm"})
    {'drain_from_west': 'that is outside the room; wanted 0 to 3 m'}
    >>> mistakes_in_answers({"water_from_west": "1 m"})
    {'water_from_south': 'the other distance is wanted too, from the south wall'}
    """
    said = {name: text.strip() for name, text in given.items() if text.strip()}
    known = dict(QUESTIONS) | {"display": ""}
    display = said["display"] if said.get("display") in _UNITS else "metric"
    wrong = {
        name: problem for name, text in said.items()
        if name in known and (problem := mistake_in_answer(name, text, display))
    }  # fmt: skip
    full = {**usual_answers(display), **{name: text for name, text in said.items() if name not in wrong}}
    sides = {"west": "length", "south": "width"}
    for place in PLACES:
        for wall, side in sides.items():
            name = f"{place}_from_{wall}"
            other = f"{place}_from_{'south' if wall == 'west' else 'west'}"
            if (
                name in said
                and name not in wrong
                and side not in wrong
                and metres(said[name]) > metres(full[side])
            ):
                wrong[name] = f"that is outside the room; wanted 0 to {full[side]}"
            elif half and name not in said and other in said:
                wrong[name] = f"the other distance is wanted too, from the {wall} wall"
    door = ("door_from_west", "door_width")
    if any(name in said for name in door) and not any(name in wrong for name in (*door, "length")):
        reach = sum(metres(full[name]) for name in door)
        if reach > metres(full["length"]) + 1e-9:
            name = "door_width" if "door_width" in said else "door_from_west"
            wrong[name] = f"the door would reach past the end of its wall; the wall is {full['length']} long"
    return wrong


def place_of(answers: Answers, place: str) -> tuple[float, float] | None:
    """Where something of `PLACES` is, in metres from the west and the south wall; None when nobody said.

    >>> place_of(Answers(drain_from_west="3.9 m", drain_from_south="10 cm"), "drain")
    (3.9, 0.1)
    """
    west, south = (getattr(answers, f"{place}_from_{wall}") for wall in ("west", "south"))
    return (metres(west), metres(south)) if west and south else None


def metres(text: str) -> Metre:
    """The length a text says. Raises QuantityError for one `mistake_in_answer` refuses.

    >>> metres("80 cm")
    0.8
    """
    return parse_quantity(text, "length").value


_NAMES: Final[Mapping[str, str]] = {
    "length": "length of the room", "width": "width of the room", "height": "height of the room",
    "door_from_west": "place of the door", "door_width": "width of the door", "water_from_west": "place of the water",
    "drain_from_west": "place of the drain", "socket_from_west": "place of the power outlet",
    "tanks": "number of tanks", "tank_length": "length of a tank", "tank_depth": "depth of a tank",
    "tank_height": "height of a tank",
}  # fmt: skip


def unmeasured_words(answers: Answers) -> tuple[str, ...]:
    """What nobody measured yet, in words.

    >>> unmeasured_words(answers_from({"length": "4 m", "width": "3 m", "height": "2.4 m", "tanks": "9"}))[0]
    'place of the door'
    """
    return tuple(_NAMES[name] for name in answers.unmeasured if name in _NAMES)
