"""The rack sheet: what every bearer, upright and foot bears, beside what it may; a picture of each rack."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from tankwright.documents.model import Block, Cell, Paragraph, Sheet, Table, columns
from tankwright.drawing.paper import Paper
from tankwright.drawing.rack_front_loads import CAUTION
from tankwright.drawing.strength_sheets import rack_sheets
from tankwright.finding import Number
from tankwright.study import Study
from tankwright.systems.racks_model import BeamResult, PostResult, RacksResult, RackStrength

ASKED: Final = (
    "Asked of whoever is licensed to judge: do these sections carry this for years in damp air, how are bearers fixed "
    "to uprights, what keeps each rack from leaning sideways, and how is it tied to which wall?"
)


def rack_sheet(study: Study, *, paper: Paper = "A4") -> Sheet | None:
    """Every rack of a study; None where racks were not worked out or there are none."""
    result = study.racks
    if result is None or not (result.racks or result.not_computed):
        return None
    blocks = (*_tables(study, result), *rack_sheets(study, paper=paper))
    return Sheet(name="rack-loads", title="Racks under their tanks", part="loads", blocks=blocks)


def _tables(study: Study, result: RacksResult) -> Iterator[Block]:
    yield Paragraph(text=CAUTION, caution=True)
    yield Paragraph(text=ASKED)
    yield Table(
        title="Racks",
        note="Tips: the level pull forward at its highest loaded shelf that begins to tip it, with only that shelf "
        "full. Sways: the level push a frame out of plumb has to bear.",
        columns=columns(
            "rack", "built of*", "uses most", "in", "of its rating", "tips at", "sways", "leans",
            "would do for bearers*"
        ),
        rows=tuple(_rack(study, one) for one in result.racks),
        file="rack-strength",
    )  # fmt: skip
    beams = tuple(beam for rack in result.racks for beam in rack.beams)
    if beams:
        yield Table(
            title="Bearers and boards",
            note="Of each shelf and bay the one that uses the most; sags as it stands and after years of creep.",
            columns=columns(
                "rack", "shelf", "bay", "part", "section*", "span", "uses", "in", "sags now", "sags later"
            ),
            rows=tuple(_beam(one) for one in _ruling(beams)),
            file="bearers",
        )
    posts = tuple(post for rack in result.racks for post in rack.posts)
    if posts:
        yield Table(
            title="Uprights and feet",
            columns=columns("rack", "upright", "foot", "section*", "comes down", "uses", "in", "free length"),
            rows=tuple(_post(one) for one in posts),
            file="uprights",
        )
    readings = [(one, reading) for one in result.racks for reading in one.readings]
    if readings:
        yield Table(
            title="Sags that were read",
            columns=columns("rack", "shelf", "bearer", "read", "worked out", "read over worked out"),
            rows=tuple(
                (
                    one.rack, reading.shelf, reading.bearer, Number(reading.read.value, "length"),
                    Number(reading.expected, "length"), Number(reading.share, "share"),
                )
                for one, reading in readings
            ),
            file="sags-read",
        )  # fmt: skip
    if result.not_computed:
        yield Table(
            title="Not computed",
            columns=columns("what", "why*", "what to do*"),
            rows=tuple(result.not_computed),
        )


def _rack(study: Study, one: RackStrength) -> tuple[Cell, ...]:
    place = next((rack for rack in study.room.racks if rack.id == one.rack), None)
    built = place.built if place is not None else None
    texts = (
        ()
        if built is None
        else tuple(part.text for part in (built.uprights, built.bearers) if part is not None)
    )
    worst = one.worst
    leans = "not said" if one.leans is None else "yes" if one.leans else "no"
    return (
        one.rack, ", ".join(dict.fromkeys(texts)) or None, None if worst is None else Number(worst.share, "share"),
        None if worst is None else worst.check,
        None if one.rated_share is None else Number(one.rated_share, "share"),
        None if one.tip_worst is None else Number(one.tip_worst, "force"), Number(one.sway_push, "force"), leans,
        one.would_hold or None,
    )  # fmt: skip


def _ruling(beams: tuple[BeamResult, ...]) -> tuple[BeamResult, ...]:
    """Of each shelf, bay and part the beam that uses the most of its strength."""
    found: dict[tuple[str, int, int, str], BeamResult] = {}
    for one in beams:
        key = (one.rack, one.shelf, one.bay, one.part)
        if key not in found or _use(one) > _use(found[key]):
            found[key] = one
    return tuple(found.values())


def _use(beam: BeamResult) -> float:
    return beam.worst.share if beam.worst is not None else -1.0


def _beam(one: BeamResult) -> tuple[Cell, ...]:
    worst = one.worst
    return (
        one.rack, one.shelf, one.bay, one.part, None if one.member is None else one.member.text,
        Number(one.span, "length"), None if worst is None else Number(worst.share, "share"),
        None if worst is None else worst.check, None if one.sag_now is None else Number(one.sag_now, "length"),
        None if one.sag_later is None else Number(one.sag_later, "length"),
    )  # fmt: skip


def _post(one: PostResult) -> tuple[Cell, ...]:
    worst = one.worst
    return (
        one.rack, one.upright + 1, one.side, None if one.member is None else one.member.text,
        Number(one.force, "force"), None if worst is None else Number(worst.share, "share"),
        None if worst is None else worst.check, Number(one.free_length, "length"),
    )  # fmt: skip
