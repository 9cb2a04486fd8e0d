"""One rack as its page shows it: its parts row by row, its uprights, water lines, and the sags read off it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from markupsafe import Markup

from tankwright.catalogue.sections import Section
from tankwright.catalogue.strength import allowed_stresses, post_capacity
from tankwright.drawing.colour import USE, step_for
from tankwright.drawing.rack_front_loads import draw_rack_loads
from tankwright.drawing.screen_svg import to_screen_svg
from tankwright.explain.rack_parts import beam_name, post_name
from tankwright.room.model import RackPlace
from tankwright.room.model_structure import Member
from tankwright.study import Study
from tankwright.systems.racks_beams import STRIP, damp_of
from tankwright.systems.racks_model import BeamResult, PostResult, RackStrength, SagCompared, TankTilt, Use
from tankwright.units import Kilogram, Metre
from tankwright.web.page import View
from tankwright.web.plan_values import plan_of

STRENGTH: Final = ("bending", "shear", "bearing")


def step_of(share: float | None) -> str:
    """The class of a share of what something may bear.

    >>> step_of(0.3), step_of(1.1), step_of(None)
    ('use-2', 'use-6', 'none')
    """
    return "none" if share is None else step_for(share, USE).fill.token


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """One share in the table: of what it may bear, and the working it opens."""

    share: float
    step: str
    working: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PartRow:
    """Bearers, pieces or boards that come to the same; `one` stands for them. `governs` is the use with the largest
    share; `cells` are the shares by check.
    """

    name: str
    one: BeamResult
    governs: Use | None
    cells: Mapping[str, Cell]
    named: str
    now: str
    later: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfRows:
    """The parts of one shelf, bearers first."""

    shelf: int
    height: Metre | None
    rows: tuple[PartRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PostRow:
    """One upright: `long` is the length it counts for where it uses most, `free` whether that is as if it stood free
    up to its highest loaded shelf.
    """

    post: PostResult
    cell: Cell | None
    allowed: float | None
    long: Metre
    free: bool
    foot: str
    upright: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TiltRow:
    """A tank out of level, and the workings of both figures."""

    tilt: TankTilt
    seen: bool
    now: str
    later: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SagRow:
    """A sag as the plan has it at `index` of its rack; `compared` is None where nothing could be held against it."""

    index: int
    shelf: int
    bearer: str
    sag: float
    day: str
    carried: float | None
    compared: SagCompared | None
    working: str


def rack_picture(view: View, study: Study, rack: RackPlace, strength: RackStrength) -> Markup:
    """The front of a rack under its tanks; drawn once for each state of the plan."""

    def make(_: object) -> str:
        drawn = draw_rack_loads(study.room, rack, strength, masses_of(study))
        return to_screen_svg(drawn, classes=("rack-loads",), name="loads")

    return Markup(view.made_once.keep(view.snapshot, ("rack loads", rack.id), make) or "")


def masses_of(study: Study) -> dict[str, Kilogram]:
    """Every tank, filled and furnished."""
    return {one.tank: one.total for one in study.load.tanks} if study.load is not None else {}


# --- parts -----------------------------------------------------------------------------------------------------------


def parts_of(rack: RackPlace, strength: RackStrength) -> tuple[ShelfRows, ...]:
    """The parts shelf by shelf, the highest first as one looks at the rack."""
    heights = dict(enumerate(rack.shelves, start=1))
    shelves = sorted({beam.shelf for beam in strength.beams}, reverse=True)
    return tuple(
        ShelfRows(
            shelf=shelf, height=heights.get(shelf),
            rows=tuple(_rows([beam for beam in strength.beams if beam.shelf == shelf], rack)),
        )
        for shelf in shelves
    )  # fmt: skip


def _rows(beams: list[BeamResult], rack: RackPlace) -> Iterator[PartRow]:
    alike: dict[tuple[object, ...], list[BeamResult]] = {}
    for beam in sorted(beams, key=lambda one: ("bearer", "end piece", "board").index(one.part)):
        uses = tuple((use.check, round(use.share, 4), round(use.allowed, 6)) for use in beam.uses)
        key = (
            beam.part,
            beam.bay if beam.part == "bearer" else 0,
            round(beam.span, 5),
            uses,
            round(beam.moment, 4),
        )
        alike.setdefault(key, []).append(beam)
    several = len(rack.uprights) > 2
    for those in alike.values():
        one = those[0]
        cells: dict[str, Cell] = {
            use.check: Cell(share=use.share, step=step_of(use.share), working=beam_name(one, use.check))
            for use in one.uses
        }
        yield PartRow(
            name=_name(those, several=several), one=one, governs=one.worst, cells=cells,
            named=beam_name(one, one.worst.check) if one.worst else "",
            now=beam_name(one, "now"), later=beam_name(one, "sag"),
        )  # fmt: skip


def _name(those: list[BeamResult], *, several: bool) -> str:
    """What alike parts are called: "bearers 1 and 4, bay 2".

    Bearers count from the front, bays and pieces from the left.
    """
    one = those[0]
    if one.part == "board":
        return "board, a strip of 1 m"
    numbers = [str(beam.index + 1) for beam in those]
    told = numbers[0] if len(numbers) == 1 else f"{', '.join(numbers[:-1])} and {numbers[-1]}"
    bay = f", bay {one.bay}" if one.part == "bearer" and several else ""
    return f"{one.part}{'s' if len(numbers) > 1 else ''} {told}{bay}"


def posts_of(strength: RackStrength) -> tuple[PostRow, ...]:
    """Every upright from the left, front before back."""
    rows = []
    for post in sorted(strength.posts, key=lambda one: (one.upright, one.side != "front")):
        worst = post.worst
        free = worst is not None and len(post.uses) > 1 and worst is post.uses[-1]
        name = post_name(post, "upright")
        rows.append(
            PostRow(
                post=post, cell=None if worst is None else Cell(
                    share=worst.share, step=step_of(worst.share), working=name),
                allowed=worst.allowed if worst else None, long=post.loose_length if free else post.free_length,
                free=free, foot=post_name(post, "foot"), upright=name,
            )
        )  # fmt: skip
    return tuple(rows)


@dataclass(frozen=True, slots=True, kw_only=True)
class BuiltRow:
    """One part of what a rack is built of: as its owner wrote it, its grade with the source of its strengths, the code
    it is judged by, what its weight is taken times, and what the strength of the table is taken times.
    """

    part: str
    text: str
    grade: str
    source: str
    note: str
    code: str
    times: float
    factors: tuple[tuple[str, float], ...]


def built_of(rack: RackPlace) -> tuple[BuiltRow, ...]:
    """What a rack is built of, part by part."""
    built = rack.built
    if built is None:
        return ()
    board = built.board
    flat = None if board is None else Member(
        text=board.name, section=Section(name=board.name, thin=board.thickness, wide=STRIP), grade=built.board_grade
    )  # fmt: skip
    named = (
        ("uprights", built.uprights), ("bearers", built.bearers), ("cross pieces", built.cross), ("board", flat),
    )  # fmt: skip
    return tuple(_built(part, member, damp_of(built)) for part, member in named if member is not None)


def _built(part: str, member: Member, damp: int) -> BuiltRow:
    grade, section = member.grade, member.section
    if grade is None or section is None:
        return BuiltRow(
            part=part, text=member.text, grade="", source="", note="", code="", times=1.0, factors=()
        )
    if part == "uprights":
        post = post_capacity(grade, section, free_length=1.0, service_class=damp)
        code, times, factors = post.code, post.load_factor, post.factors
    else:
        allowed = allowed_stresses(grade, section, service_class=damp, flat=part == "board")
        code, times, factors = allowed.code, allowed.load_factor, allowed.factors
    return BuiltRow(
        part=part, text=member.text, grade=grade.name, source=grade.source, note=grade.note, code=code, times=times,
        factors=tuple(factors),
    )  # fmt: skip


# --- water lines and sags --------------------------------------------------------------------------------------------


def tilts_of(strength: RackStrength, most: Metre) -> tuple[TiltRow, ...]:
    """Tanks out of level, the farthest first."""
    return tuple(
        TiltRow(
            tilt=one, seen=one.later > most, now=f"racks.{strength.rack}.tilt.{one.tank}.now",
            later=f"racks.{strength.rack}.tilt.{one.tank}.later",
        )
        for one in sorted(strength.tilts, key=lambda one: -round(one.later, 6))
    )  # fmt: skip


def sags_of(view: View, strength: RackStrength) -> tuple[SagRow, ...]:
    """The sags the plan has of a rack, as its text is now."""
    plan = plan_of(view)
    said = next((rack for rack in plan.rack if rack.id == strength.rack), None) if plan is not None else None
    rows = []
    for index, reading in enumerate(said.sag if said is not None else ()):
        found = next(
            (
                (number, one)
                for number, one in enumerate(strength.readings, start=1)
                if (one.shelf, one.bearer, one.read) == (reading.shelf, reading.bearer, reading.sag)
            ),
            None,
        )
        measured = reading.sag.measured_on
        rows.append(
            SagRow(
                index=index, shelf=reading.shelf, bearer=reading.bearer, sag=reading.sag.value,
                day=measured.isoformat() if measured is not None else "",
                carried=reading.days.value if reading.days is not None else None,
                compared=found[1] if found else None, working=f"racks.{strength.rack}.read.{found[0]}" if found else "",
            )
        )  # fmt: skip
    return tuple(rows)
