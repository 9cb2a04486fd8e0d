"""The shapes of what comes out, each key described, units at the end of the names."""

from __future__ import annotations

import json
from datetime import datetime
from pathlib import Path
from typing import Annotated, Any, Final

from pydantic import (
    AfterValidator,
    BaseModel,
    ConfigDict,
    Field,
    WithJsonSchema,
)

from tankwright import report
from tankwright.workspace.jobs import State

CHECK_SCHEMA: Final[dict[str, Any]] = json.loads(
    (Path(report.__file__).parent / "check.schema.json").read_text(encoding="utf-8")
)
"""The schema of `check --json`, of which whole results, findings, tanks and assumptions here are the same."""

YEAR_SCHEMA: Final[dict[str, Any]] = json.loads(
    (Path(report.__file__).parent / "year.schema.json").read_text(encoding="utf-8")
)
"""The schema of `year --json`, which the year here is the same as."""

_PARTS: Final = CHECK_SCHEMA["properties"]


class _Told(BaseModel):
    model_config = ConfigDict(frozen=True)


FindingShape = Annotated[dict[str, object], WithJsonSchema(_PARTS["findings"]["items"])]
TankShape = Annotated[dict[str, object], WithJsonSchema(_PARTS["tanks"]["items"])]
AssumptionShape = Annotated[dict[str, object], WithJsonSchema(_PARTS["assumptions"]["items"])]
KnownShape = Annotated[
    dict[str, object] | None, WithJsonSchema(_PARTS["tanks"]["items"]["properties"]["level"])
]
NumberShape = Annotated[
    dict[str, object] | None, WithJsonSchema(_PARTS["findings"]["items"]["properties"]["value"])
]


def _kept(moment: datetime) -> datetime:
    """To the millisecond, as the files keep it: told before and after a restart alike."""
    return moment.replace(microsecond=moment.microsecond // 1000 * 1000)


Moment = Annotated[datetime, AfterValidator(_kept)]


# --- refusals ---


class Mistake(_Told):
    """One thing that is wrong, and what to do about it."""

    code: str = Field(description="permanent code, as in the list of findings", examples=["PLAN-021"])
    severity: str = Field(description="problem, warning, note or not computed")
    subject: str = Field(description="what it is about")
    text: str = Field(description="what is wrong, in words")
    found: str = Field(description='what stands or came there; "" when that is not one thing')
    wanted: str = Field(description="what would do")
    attempt: str = Field(alias="try", description="something to try instead")
    line: int | None = Field(description="line of the plan's text")


class Problem(_Told):
    """A refusal (RFC 9457). `mistakes` are there with 422 and where a plan cannot be worked out."""

    type: str = Field(description="kind of refusal", examples=["/api#refused"])
    title: str = Field(description="the kind in words")
    status: int = Field(description="the status again")
    detail: str = Field(description="what it means here")
    mistakes: list[Mistake] = Field(default=[], description="what is wrong, one by one")
    number: int | None = Field(default=None, description="number of the plan now")


class OldRevision(Problem):
    """The change was made from an old revision; nothing was done."""

    yours: str = Field(description="the value as you wanted it, or your change in words")
    theirs: str = Field(description="the value that stands there now, or what was changed meanwhile")
    number: int = Field(description="the revision to send the change to again")


# --- the plan ---


class PlanState(_Told):
    """The plan as it stands."""

    number: int = Field(description="number of the revision; 0 while there is no plan", examples=[41])
    text: str = Field(description="the whole text, TOML")
    hash: str = Field(description="name of the text: alike for alike texts")
    at: Moment = Field(description="when it was made, UTC")
    who: str = Field(description='who made it; "" for another program')
    what: str = Field(description="what was changed, in words")
    mistakes: list[Mistake] = Field(description="what is wrong with the text")
    trouble: Mistake | None = Field(description="what is wrong with the file itself, if anything is")
    good_number: int | None = Field(
        description="the newest revision that could be laid out, which results are of"
    )
    undo_steps: int = Field(description="how many steps can be taken back")
    redo_steps: int = Field(description="how many can be done again")


class Value(_Told):
    """One value of the plan."""

    number: int = Field(description="number of the plan it was read in")
    pointer: str = Field(description="where it stands")
    typed: str = Field(description="as a person would type it", examples=["1.75 m"])
    toml: str = Field(description="as it is written", examples=['"1.75 m"'])
    line: int | None = Field(description="line of the text")


class Written(_Told):
    """A change that stands. The same key gives the same answer again, with `repeated` true."""

    number: int = Field(
        description="the revision it made; one that changed nothing gives the one that stands"
    )
    repeated: bool = Field(description="true when the key had come before and nothing was done again")
    hash: str = Field(description="name of the text of that revision")
    at: Moment = Field(description="when it was made, UTC")
    who: str = Field(description="who made it")
    what: str = Field(description="what was changed, in words")
    mistakes: list[Mistake] = Field(description="what is wrong with the text of that revision")


# --- the room and its results ---


class Rack(_Told):
    """One rack where it stands."""

    id: str = Field(description="its id in the plan")
    kind: str = Field(description="its kind in the plan")
    room: str = Field(description="the room it stands in")
    zone: str = Field(description='its zone; "" for none')
    facing: str = Field(description="the wall it looks at")
    island: bool = Field(description="true when it stands free")
    corner_m: list[float] = Field(description="x (east), y (north), z (up) of its lowest south-west corner")
    opposite_corner_m: list[float] = Field(description="the corner opposite")
    length_m: float = Field(description="along its front")
    depth_m: float = Field(description="from its front to its back")
    shelves_m: list[float] = Field(description="heights of its shelves over the floor, lowest first")
    line: int | None = Field(description="line of the plan")


class Room(_Told):
    """Racks and tanks where they stand."""

    number: int = Field(description="revision this is of")
    title: str = Field(description="the room's name")
    racks: list[Rack] = Field(description="every rack")
    tanks: list[TankShape] = Field(description="every tank, as in the whole results")


class Findings(_Told):
    """What the plan and its room have to say, worst first."""

    number: int = Field(description="revision this is of")
    findings: list[FindingShape] = Field(description="those asked for, as in the whole results")
    words: list[str] = Field(description="the same as sentences with their numbers in the plan's units")


class WorkingName(_Told):
    """A number that can be explained."""

    name: str = Field(description="its name", examples=["A3.air"])
    title: str = Field(description="what it is")
    number: NumberShape = Field(description="the number, in the SI unit beside it")


class WorkingNames(_Told):
    """The numbers that can be explained."""

    number: int = Field(description="revision this is of")
    workings: list[WorkingName] = Field(description="those asked for")


class WorkingInput(_Told):
    """One input of a working."""

    name: str = Field(description="what it is")
    number: NumberShape = Field(description="the number, in the SI unit beside it")
    known: KnownShape = Field(
        description="how it is known: given, measured, derived or assumed; null when computed"
    )
    see: str = Field(description='name of its own working; "" when it has none')


class Working(_Told):
    """How one number came about."""

    name: str = Field(description="its name")
    title: str = Field(description="what it is")
    number: NumberShape = Field(description="the number, in the SI unit beside it")
    formula: str = Field(description="the formula")
    inputs: list[WorkingInput] = Field(description="what went in")
    source: str = Field(description="where the formula comes from")
    note: str = Field(description="what else to know")


# --- history ---


class Revision(_Told):
    """One state of the plan's text and how it came about."""

    number: int = Field(description="from 1, without gaps")
    at: Moment = Field(description="when, UTC")
    kind: str = Field(description="begin, edit, undo, redo, restore or outside")
    who: str = Field(description='who; "" for another program')
    what: str = Field(description="what was changed, in words")
    hash: str = Field(description="name of its text")
    of: int | None = Field(description="of undo, redo and restore: the number whose text stands again")


class Revisions(_Told):
    """Some revisions, newest first."""

    revisions: list[Revision] = Field(description="newest first")
    next_before: int | None = Field(description="ask with before= this for the next ones; null at the end")


class RevisionText(Revision):
    """One revision with its text."""

    text: str = Field(description="the whole text")


class FigureChanged(_Told):
    """A figure of a layer, before and after."""

    layer: str = Field(description="the layer that shows it")
    name: str = Field(description="what it is")
    old: str = Field(description='in words; "" where it was not')
    new: str = Field(description='in words; "" where it is no more')


class TankShifted(_Told):
    """A tank that stands elsewhere."""

    tank: str = Field(description="its id")
    old_middle_m: list[float] = Field(description="its middle before: x, y, z")
    new_middle_m: list[float] = Field(description="and after")
    old_rack: str = Field(description="its rack before")
    new_rack: str = Field(description="and after")
    old_shelf: int = Field(description="its shelf before, from 0")
    new_shelf: int = Field(description="and after")


class Compared(_Told):
    """What changed between two revisions."""

    a: int = Field(description="the one")
    b: int = Field(description="the other")
    text_lines: list[str] = Field(description='" ", "-" or "+" and a line; "@" where lines are left out')
    comparable: bool = Field(
        description="false when one of the two has no room: then figures and tanks say nothing"
    )
    figures: list[FigureChanged] = Field(description="figures that changed")
    findings_gone: list[FindingShape] = Field(description="findings of a that b has not")
    findings_come: list[FindingShape] = Field(description="findings of b that a had not")
    tanks_moved: list[TankShifted] = Field(description="tanks that stand elsewhere")
    tanks_added: list[str] = Field(description="tanks there were not")
    tanks_removed: list[str] = Field(description="tanks there are no more")


# --- logbook and jobs ---


class Entry(_Told):
    """One entry of the logbook."""

    id: int = Field(description="its number among all that was recorded, growing")
    tank: str = Field(description="which tank")
    kind: str = Field(description="what")
    value: float | None = Field(description="the number")
    unit: str = Field(description='its unit; "" for a bare number or none')
    note: str = Field(description="words")
    happened: Moment = Field(description="when it happened, UTC")
    recorded: Moment = Field(description="when it came here, UTC")
    who: str = Field(description="who made it")
    undoes: int | None = Field(description="the entry this takes back")
    taken_back: bool = Field(description="true when a later entry took it back")


class EntryKept(Entry):
    """An entry that stands in the book."""

    said: str = Field(description='what its sender should know, such as that its clock is ahead; mostly ""')

    repeated: bool = Field(description="true when the key had come before and nothing was stored again")


class Entries(_Told):
    """Some entries, newest first."""

    entries: list[Entry] = Field(description="those asked for, the last stored first")
    next_before: int | None = Field(description="ask with before= this for the next ones; null at the end")


class Job(_Told):
    """Slow work, as far as it is."""

    id: str = Field(description="its name", examples=["assumptions-41"])
    kind: str = Field(description="what")
    number: int = Field(description="the revision it is about")
    state: State = Field(description="where it is")
    done: int = Field(description="trials behind it")
    of: int = Field(description="trials in all; 0 before the first")
    result: list[AssumptionShape] | None = Field(
        description="of assumptions, weightiest first, when it is done; a year is at `/year` then"
    )


class JobList(_Told):
    """The jobs there are."""

    jobs: list[Job] = Field(description="the one asked for last first")
