"""Bearers, the pieces that carry those in the middle, and boards of a rack under what stands on them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise
from typing import Final

from tankwright.catalogue.sections import Section
from tankwright.catalogue.strength import Allowed, allowed_stresses, later_factor, stiffness_in_use
from tankwright.origin import Known
from tankwright.physics.beam_solver import BeamAnswer, simple_beam
from tankwright.physics.beams import bearing_stress, bending_stress
from tankwright.physics.ranges import OutsideValidRange
from tankwright.room.assumed import assumed
from tankwright.room.model import RackBuilt, RackPlace, Room
from tankwright.room.model_structure import Member
from tankwright.systems.racks_loads import WAYS, Grid, Standing, patches_of
from tankwright.systems.racks_model import BeamResult, Patch, Use
from tankwright.units import Dimensionless, Metre, Newton, Pascal

PLACES: Final = (0.25, 0.35, 0.45, 0.5, 0.55, 0.65, 0.75)
"""Along a span, where the worse of two loads is told."""

STEPS: Final = 24
"""Into how many pieces a bearer's sag is drawn."""

STRIP: Final[Metre] = 1.0
"""Width of the strip of a board that is worked out."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Laws:
    """What every rack of a room is held to: the most a bearer may sag of its span, how long its end rests on a block,
    and the clear distance of cross pieces where a rack says none.
    """

    sag_share: Known
    end_length: Known
    cross_every: Known


def laws_of(room: Room) -> Laws:
    """What every rack of a room is held to."""
    return Laws(
        sag_share=assumed(room, "racks.sag_share"),
        end_length=assumed(room, "racks.end_length"),
        cross_every=assumed(room, "buy.cross_every"),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """A member with what it may bear in its damp: None for what is not known of it."""

    member: Member
    section: Section
    allowed: Allowed | None
    stiffness: Pascal | None
    creep: Dimensionless | None

    @property
    def bending_stiffness(self) -> float | None:
        """E I as it lies on edge."""
        return self.stiffness * self.section.second_moment if self.stiffness else None

    @property
    def shear_stiffness(self) -> float | None:
        """G A over the shape factor of a rectangle."""
        grade = self.member.grade
        return grade.shear_stiffness * self.section.area / 1.2 if grade and grade.shear_stiffness else None


def bar_of(
    member: Member | None, service_class: int, *, flat: bool = False, unheld: Metre = 0.0
) -> Bar | None:
    """A member ready to be judged; None where its sizes are not known. `unheld` is how far nothing holds its top."""
    if member is None or member.section is None:
        return None
    grade, section = member.grade, member.section
    if grade is None:
        return Bar(member=member, section=section, allowed=None, stiffness=None, creep=None)
    try:
        allowed = allowed_stresses(
            grade, section, service_class=service_class, flat=flat, unheld_length=unheld
        )
    except OutsideValidRange:  # said where the rack is put together
        allowed = None
    return Bar(
        member=member,
        section=section,
        allowed=allowed,
        stiffness=stiffness_in_use(grade, service_class),
        creep=later_factor(grade, service_class),
    )


def damp_of(built: RackBuilt | None) -> int:
    """The service class of a rack's timber; steel does not mind."""
    return int(built.service_class.value) if built and built.service_class else 2


def bearer_bar(built: RackBuilt, grid: Grid) -> Bar | None:
    """A rack's bearers ready to be judged; a board that is screwed to them keeps them upright."""
    return bar_of(built.bearers, damp_of(built), unheld=0.0 if built.board else max(grid.spans))


def beams_of(
    rack: RackPlace, built: RackBuilt, grid: Grid, shelves: Mapping[int, Sequence[Standing]], laws: Laws
) -> tuple[BeamResult, ...]:
    """Every bearer, end piece and board of a rack, shelf by shelf; what its owner says nothing of is left out."""
    damp = damp_of(built)
    bearers = bearer_bar(built, grid)
    ends = bar_of(built.cross or built.bearers, damp)
    found: list[BeamResult] = []
    for shelf, standing in shelves.items():
        if bearers is not None:
            of_shelf = list(_bearers(rack, shelf, grid, standing, bearers, built, laws))
            found += of_shelf
            if ends is not None and len(grid.bearers) > 2:
                found += _end_pieces(rack, shelf, grid, of_shelf, ends, laws)
        board = _board(rack, shelf, grid, standing, built, damp, laws)
        if board is not None:
            found.append(board)
    return tuple(found)


def bearers_of(
    rack: RackPlace, built: RackBuilt, grid: Grid, shelves: Mapping[int, Sequence[Standing]], laws: Laws
) -> tuple[BeamResult, ...]:
    """The bearers alone, for trying other sections."""
    bar = bearer_bar(built, grid)
    if bar is None:
        return ()
    return tuple(
        beam
        for shelf, standing in shelves.items()
        for beam in _bearers(rack, shelf, grid, standing, bar, built, laws)
    )


def _bearers(
    rack: RackPlace, shelf: int, grid: Grid, standing: Sequence[Standing], bar: Bar, built: RackBuilt, laws: Laws
) -> Iterator[BeamResult]:  # fmt: skip
    ways = WAYS if len(grid.bearers) > 2 else WAYS[:1]
    for bay, span in enumerate(grid.spans):
        for index in range(len(grid.bearers)):
            carried = [patches_of(grid, bay, index, standing, way) for way in ways]
            patches = max(carried, key=lambda one: _about_most(span, one)) if len(ways) > 1 else carried[0]
            answer = _solved(span, patches, (), bar)
            yield _result(
                BeamResult(
                    rack=rack.id, shelf=shelf, bay=bay + 1, index=index, part="bearer", member=bar.member, span=span,
                    patches=patches, moment=0.0, shear=0.0, reactions=(0.0, 0.0), sag_now=None, sag_later=None,
                    uses=(), curve=(),
                ),
                answer, bar, laws, on_blocks=built.bearers_rest in ("notch", "block"),
            )  # fmt: skip


def _end_pieces(
    rack: RackPlace, shelf: int, grid: Grid, bearers: Sequence[BeamResult], bar: Bar, laws: Laws
) -> Iterator[BeamResult]:
    """At every upright, under the ends of the bearers that lie between the outermost."""
    first, last = grid.bearers[0], grid.bearers[-1]
    inner = range(1, len(grid.bearers) - 1)
    for upright in range(len(grid.uprights)):
        points: list[tuple[Metre, Newton]] = []
        for index in inner:
            come = sum(
                beam.reactions[0] if beam.bay == upright + 1 else beam.reactions[1]
                for beam in bearers
                if beam.index == index and beam.bay in (upright, upright + 1)
            )
            points.append((round(grid.bearers[index] - first, 9), round(come, 6)))
        span = last - first
        yield _result(
            BeamResult(
                rack=rack.id, shelf=shelf, bay=max(upright, 1), index=upright, part="end piece", member=bar.member,
                span=span, patches=tuple(_short(points)), moment=0.0, shear=0.0, reactions=(0.0, 0.0), sag_now=None,
                sag_later=None, uses=(), curve=(),
            ),
            _solved(span, (), points, bar), bar, laws, on_blocks=False,
        )  # fmt: skip


def _short(points: Sequence[tuple[Metre, Newton]]) -> Iterator[Patch]:
    """Point loads as patches of a centimetre, for those who draw them."""
    for at, force in points:
        yield Patch(start=at - 0.005, end=at + 0.005, load=force / 0.01, tank="")


def _board(
    rack: RackPlace, shelf: int, grid: Grid, standing: Sequence[Standing], built: RackBuilt, damp: int, laws: Laws
) -> BeamResult | None:  # fmt: skip
    """A strip one metre wide of the board under the heaviest footprint, between its nearest supports; freely laid."""
    if built.board is None:
        return None
    pressures = [
        (one.weight / ((one.along[1] - one.along[0]) * (one.deep[1] - one.deep[0])), one.tank)
        for one in standing
        if one.tank
    ]
    if not pressures:
        return None
    pressure, tank = max(pressures)
    thin = built.bearers.section.thin if built.bearers and built.bearers.section else 0.0
    span = min(after - before for before, after in pairwise(grid.bearers)) - thin
    if built.material == "timber" and len(grid.bearers) == 2:
        span = min(span, (built.cross_every or laws.cross_every).value)
    if span <= 0.0:
        return None
    strip = Section(name=built.board.name, thin=built.board.thickness, wide=STRIP)
    bar = bar_of(Member(text=built.board.name, section=strip, grade=built.board_grade), damp, flat=True)
    if bar is None:
        return None
    patches = (Patch(start=0.0, end=span, load=pressure * STRIP, tank=tank),)
    stiffness = bar.stiffness * strip.second_moment_flat if bar.stiffness else None
    answer = _beam(span, ((0.0, span, pressure * STRIP),), (), (stiffness or 1.0, None), 1)
    return _result(
        BeamResult(
            rack=rack.id, shelf=shelf, bay=1, index=0, part="board", member=bar.member, span=span, patches=patches,
            moment=0.0, shear=0.0, reactions=(0.0, 0.0), sag_now=None, sag_later=None, uses=(), curve=(),
        ),
        answer, bar, laws, on_blocks=False,
    )  # fmt: skip


def _about_most(span: Metre, patches: Sequence[Patch]) -> float:
    """Largest moment at a few places, enough to tell which of two loads is the worse."""
    total = 0.0
    for place in PLACES:
        x, moment = place * span, 0.0
        for one in patches:
            middle, weight = (one.start + one.end) / 2.0, one.load * (one.end - one.start)
            left_of_x = max(min(one.end, x) - one.start, 0.0)
            moment += weight * (1.0 - middle / span) * x
            moment -= one.load * left_of_x * (x - one.start - left_of_x / 2.0)
        total = max(total, moment)
    return total


def _solved(
    span: Metre, patches: Sequence[Patch], points: Sequence[tuple[Metre, Newton]], bar: Bar
) -> BeamAnswer:
    return _beam(
        span,
        tuple((one.start, one.end, one.load) for one in patches),
        tuple(points),
        (bar.bending_stiffness or 1.0, bar.shear_stiffness if bar.bending_stiffness else None),
        STEPS,
    )


@lru_cache(maxsize=512)
def _beam(
    span: Metre,
    patches: tuple[tuple[Metre, Metre, float], ...],
    points: tuple[tuple[Metre, Newton], ...],
    stiff: tuple[float, float | None],
    steps: int,
) -> BeamAnswer:
    """Racks of a room are much alike, and each is worked out for many trials of what is assumed."""
    return simple_beam(
        span=span,
        patches=patches,
        points=points,
        bending_stiffness=stiff[0],
        shear_stiffness=stiff[1],
        steps=steps,
    )


def _result(beam: BeamResult, answer: BeamAnswer, bar: Bar, laws: Laws, *, on_blocks: bool) -> BeamResult:
    known = bar.stiffness is not None
    sag = answer.sag if known else None
    later = sag * bar.creep if sag is not None and bar.creep is not None else None
    left, right = answer.reactions[0], answer.reactions[-1]
    done = replace(
        beam,
        moment=answer.moment,
        shear=answer.shear,
        reactions=(left, right),
        sag_now=sag,
        sag_later=later,
        curve=answer.curve if known and beam.part == "bearer" else (),
    )
    return replace(done, uses=tuple(_uses(done, bar, laws, on_blocks=on_blocks)))


def _uses(beam: BeamResult, bar: Bar, laws: Laws, *, on_blocks: bool) -> Iterator[Use]:
    allowed, section = bar.allowed, bar.section
    if allowed is not None:
        flat = beam.part == "board"
        modulus = section.section_modulus_flat if flat else section.section_modulus
        demands: list[tuple[str, Pascal, Pascal | None]] = [
            ("bending", bending_stress(moment=beam.moment, section_modulus=modulus), allowed.bending),
            ("shear", abs(beam.shear) / section.shear_area, allowed.shear),
        ]
        if on_blocks:
            end = bearing_stress(force=max(beam.reactions), width=section.thin, length=laws.end_length.value)
            demands.append(("bearing", end, allowed.bearing))
        for check, demand, limit in demands:
            if limit is not None:
                yield Use(check=check, demand=demand, allowed=limit, share=demand / limit, dimension="stress")  # type: ignore[arg-type]  # one of the words above
    if beam.sag_later is not None:
        most = beam.span * laws.sag_share.value
        yield Use(
            check="sag", demand=beam.sag_later, allowed=most, share=beam.sag_later / most, dimension="length"
        )
