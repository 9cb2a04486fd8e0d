"""What follows from the plan: the room, whole results, findings, workings, drawings.

Each is of the newest plan that could be laid out, as on the pages, or of the revision asked for; the ETag says which.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import replace
from typing import Annotated, Any, Final, Literal

from fastapi import APIRouter, Path, Query, Request
from starlette.responses import Response

from tankwright.catalogue.assumptions import ASSUMPTIONS
from tankwright.display import sentence
from tankwright.drawing.layers import draw_results
from tankwright.drawing.results import RoomLayer
from tankwright.drawing.sheet import Paper, draw_room
from tankwright.drawing.svg import to_svg
from tankwright.explain.all import nearest_workings
from tankwright.explain.model import Working as Explained
from tankwright.finding import Severity
from tankwright.report.finding import json_finding, json_number
from tankwright.report.whole import json_known, json_tank, json_whole
from tankwright.room.model import RackPlace
from tankwright.room.model import Room as LaidRoom
from tankwright.sensitivity import Consequence
from tankwright.web.api.asking import Looker, knows
from tankwright.web.api.described import COMPUTED, UNCHANGED
from tankwright.web.api.plan import display_of
from tankwright.web.api.problems import ProblemError, mistakes
from tankwright.web.api.shapes import Findings, Rack, Room, Working, WorkingInput, WorkingName, WorkingNames
from tankwright.web.api.shared import LARGEST_NUMBER, PREFIX, Here, Shared
from tankwright.workspace.live import Snapshot
from tankwright.workspace.opened import Opened

router = APIRouter(tags=["room"])
System = Literal["air", "drain", "feed", "heat", "layout", "load", "oxygen", "plan", "power", "study"]
OfNumber = Annotated[
    int | None,
    Query(ge=1, le=LARGEST_NUMBER, description="of this revision; of the newest that could be laid out when left out"),
]  # fmt: skip


class SvgResponse(Response):
    """An SVG file."""

    media_type = "image/svg+xml"


class Chosen:
    """The state of the plan that is asked for: its number, and what follows from it."""

    def __init__(self, here: Shared, number: int | None) -> None:
        now = here.live.snapshot
        opened = now.read if number is None else here.live.opened_at(number)
        if number is None and now.good is not None:
            opened, self.number = now.good, now.good_number or now.number
        else:
            self.number = number or now.number
        if opened is None:
            raise ProblemError("not-found", f"There is no revision {number}, or its lines are damaged.")
        if not self.number:
            raise ProblemError("no-plan")
        self.opened: Opened = opened
        self._of: Snapshot = replace(now, good=opened)
        self.headers = {"ETag": f'"{self.number}"', "Cache-Control": "private, no-cache"}

    @property
    def snapshot(self) -> Snapshot:
        """The state as what is drawn and worked out once is kept by."""
        return self._of

    @property
    def room(self) -> LaidRoom:
        """Its room; ProblemError when it has none."""
        if self.opened.room is None:
            display = display_of(self._of)
            found = mistakes((*self.opened.mistakes, *self.opened.findings), display)
            raise ProblemError("not-worked-out", mistakes=found, more={"number": self.number})
        return self.opened.room

    def answer(self, body: bytes | str, media: str = "application/json", **headers: str) -> Response:
        """A response that says which state it is of."""
        return Response(body, headers={**self.headers, **headers}, media_type=media)

    def unchanged(self, request: Request) -> Response | None:
        """304 when the asker has it already."""
        return (
            Response(status_code=304, headers=self.headers) if knows(request, self.headers["ETag"]) else None
        )


def _untried(opened: Opened) -> tuple[Consequence, ...]:
    """The assumptions in use, said to be untried: to try them is a job."""
    return tuple(
        Consequence(assumption=ASSUMPTIONS[one.key], known=one, weight=0.0, shift=0.0, verdicts=(), tried=False)
        for one in (opened.room.assumed if opened.room else ())
    )  # fmt: skip


def _whole(opened: Opened) -> bytes:
    whole = json_whole(opened.room, opened.study, opened.mistakes + opened.findings, _untried(opened))
    return json.dumps(whole, ensure_ascii=False, allow_nan=False, separators=(",", ":")).encode(
        "utf-8", "replace"
    )


_RESULTS: Final[Mapping[int | str, dict[str, Any]]] = {
    **COMPUTED,
    **UNCHANGED,
    200: {
        **UNCHANGED[200],
        "description": "The whole results, of the same shape as `tankwright check --json`",
        "content": {"application/json": {"schema": {"$ref": "#/components/schemas/Results"}}},
    },
}


@router.get("/results", responses=dict(_RESULTS))
def whole_results(request: Request, here: Here, _: Looker, number: OfNumber = None) -> Response:
    """Everything that was worked out, as `tankwright check --json` gives it.

    Assumptions are listed untried (`tried` false); to rank them is a job. `Content-Location` names the revision.
    """
    chosen = Chosen(here, number)
    unchanged = chosen.unchanged(request)
    if unchanged is not None:
        return unchanged
    body = here.made_once.keep(chosen.snapshot, "api results", _whole) or b""
    place = f"{PREFIX}/results?number={chosen.number}"
    return chosen.answer(body, **{"Content-Location": place})


@router.get("/room", response_model=Room, responses={**COMPUTED, **UNCHANGED})
def read_room(request: Request, here: Here, _: Looker, number: OfNumber = None) -> object:
    """Racks and tanks where they stand, in metres from the room's south-west corner on its floor."""
    chosen = Chosen(here, number)
    room = chosen.room
    unchanged = chosen.unchanged(request)
    if unchanged is not None:
        return unchanged
    told = Room(
        number=chosen.number, title=room.title, racks=[_rack(one) for one in room.racks],
        tanks=[json_tank(one) for one in room.tanks],
    )  # fmt: skip
    return chosen.answer(told.model_dump_json(by_alias=True))


def _rack(rack: RackPlace) -> Rack:
    box = rack.box
    return Rack(
        id=rack.id, kind=rack.kind, room=rack.room, zone=rack.zone, facing=rack.facing, island=rack.island,
        corner_m=[box.x0, box.y0, box.z0], opposite_corner_m=[box.x1, box.y1, box.z1], length_m=rack.length,
        depth_m=rack.depth, shelves_m=list(rack.shelves), line=rack.line,
    )  # fmt: skip


@router.get("/findings", response_model=Findings, responses={**COMPUTED, **UNCHANGED})
def read_findings(
    request: Request,
    here: Here,
    _: Looker,
    system: Annotated[System | None, Query(description="only of this system")] = None,
    severity: Annotated[Severity | None, Query(description="only of this severity")] = None,
    place: Annotated[
        str | None,
        Query(min_length=1, max_length=80, description="only about this tank, rack or other thing"),
    ] = None,
    number: OfNumber = None,
) -> object:
    """What the plan and its room have to say, worst first."""
    chosen = Chosen(here, number)
    unchanged = chosen.unchanged(request)
    if unchanged is not None:
        return unchanged
    display = display_of(chosen.snapshot)
    found = [
        one for one in chosen.opened.mistakes + chosen.opened.findings
        if (system is None or one.code.startswith(f"{system.upper()}-"))
        and (severity is None or one.severity is severity)
        and (place is None or place in one.places)
    ]  # fmt: skip
    told = Findings(
        number=chosen.number, findings=[json_finding(one) for one in found],
        words=[f"{one.subject}: {sentence(one.text, one.numbers, display)}" for one in found],
    )  # fmt: skip
    return chosen.answer(told.model_dump_json(by_alias=True))


def _workings(here: Shared, chosen: Chosen) -> Mapping[str, Explained]:
    _ = chosen.room
    return here.made_once.workings(chosen.snapshot)


@router.get("/workings", response_model=WorkingNames, responses={**COMPUTED, **UNCHANGED})
def list_workings(
    request: Request,
    here: Here,
    _: Looker,
    begins: Annotated[
        str, Query(max_length=80, description='only names that begin so: "A3.", "drain."')
    ] = "",
    number: OfNumber = None,
) -> object:
    """The numbers whose working can be shown."""
    chosen = Chosen(here, number)
    known = _workings(here, chosen)
    unchanged = chosen.unchanged(request)
    if unchanged is not None:
        return unchanged
    names = [
        WorkingName(name=one.name, title=one.title, number=json_number(one.number))
        for one in known.values()
        if one.name.startswith(begins)
    ]
    return chosen.answer(WorkingNames(number=chosen.number, workings=names).model_dump_json(by_alias=True))


@router.get("/workings/{name:path}", response_model=Working, responses={**COMPUTED, **UNCHANGED})
def read_working(
    request: Request,
    here: Here,
    _: Looker,
    name: Annotated[str, Path(min_length=1, max_length=200, description="its name", examples=["A3.air"])],
    number: OfNumber = None,
) -> object:
    """How one number came about: formula, inputs and how each is known, source."""
    chosen = Chosen(here, number)
    known = _workings(here, chosen)
    working = known.get(name)
    if working is None:
        near = ", ".join(nearest_workings(dict(known), name)[:5])
        raise ProblemError(
            "not-found", "There is no working of that name." + (f" Near it: {near}." if near else "")
        )
    unchanged = chosen.unchanged(request)
    if unchanged is not None:
        return unchanged
    told = Working(
        name=working.name, title=working.title, number=json_number(working.number), formula=working.formula,
        inputs=[
            WorkingInput(name=one.name, number=json_number(one.number), see=one.see,
                         known=None if one.known is None else json_known(one.known))
            for one in working.inputs
        ],
        source=working.source, note=working.note,
    )  # fmt: skip
    return chosen.answer(told.model_dump_json(by_alias=True))


_SVG: Final[Mapping[int | str, dict[str, Any]]] = {
    **COMPUTED,
    **UNCHANGED,
    200: {
        **UNCHANGED[200],
        "description": "The sheet; one unit of the drawing is a millimetre on paper",
        "content": {SvgResponse.media_type: {"schema": {"type": "string"}}},
    },
}


@router.get("/drawings/{layer}", response_class=SvgResponse, responses=dict(_SVG))
def draw_layer(
    request: Request,
    here: Here,
    _: Looker,
    layer: Annotated[RoomLayer, Path(description="which results colour it")],
    paper: Annotated[
        Paper | None, Query(description="fit on this sheet; as large as needed when left out")
    ] = None,
    scale: Annotated[
        int | None,
        Query(ge=1, le=1000, description="20 for 1:20; the largest usual one that fits when left out"),
    ] = None,
    number: OfNumber = None,
) -> Response:
    """The room to scale as an SVG file, as `tankwright draw` writes it."""
    chosen = Chosen(here, number)
    _room = chosen.room
    unchanged = chosen.unchanged(request)
    if unchanged is not None:
        return unchanged

    def make(opened: Opened) -> str:
        study = opened.study
        if study is None:
            return ""
        results = draw_results(study, opened.findings, layer)
        return to_svg(draw_room(study.room, results, plan_name=opened.path.name, scale=scale, paper=paper))

    drawn = here.made_once.keep(chosen.snapshot, ("api sheet", layer, paper, scale), make)
    if not drawn:
        raise ProblemError("not-worked-out", more={"number": chosen.number})
    return chosen.answer(drawn, SvgResponse.media_type)
