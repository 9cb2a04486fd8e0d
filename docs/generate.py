"""Writes the reference pages that are made from the program itself; a test fails when one is out of date."""

from __future__ import annotations

import ast
import importlib
import inspect
import json
import re
import types
import typing
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, get_args, get_origin

from click.testing import CliRunner

from tankwright import physics
from tankwright.catalogue.assumptions import ASSUMPTIONS
from tankwright.catalogue.grades import all_grades
from tankwright.catalogue.materials import Fact, all_materials
from tankwright.catalogue.openings import all_opening_kinds
from tankwright.catalogue.species import Range, all_species
from tankwright.catalogue.threads import all_threads
from tankwright.cli.draw import all_drawings, drawn
from tankwright.cli.main import COMMANDS, main
from tankwright.display import words
from tankwright.faults.judging import RULES as FAULT_RULES
from tankwright.finding import Number
from tankwright.formulas import shelf, shown_unit
from tankwright.origin import Known
from tankwright.plan import models
from tankwright.plan.quantities import PlanTable
from tankwright.takeoff.ends import End, families, mates, read_end
from tankwright.takeoff.fittings import all_fittings
from tankwright.units import convert
from tankwright.web.api.described import DESCRIPTION
from tankwright.web.api.listing import HOST, Operation, kind_of, shapes, subjects
from tankwright.web.api.problems import KINDS
from tankwright.web.api.shared import PREFIX
from tankwright.workspace.opened import open_plan

HERE = Path(__file__).parent / "reference"
SOURCE = Path(__file__).parents[1] / "src" / "tankwright"
IMAGES = Path(__file__).parent / "images"
EXAMPLES = Path(__file__).parent.parent / "examples"


def _kind(annotation: Any) -> str:
    origin = get_origin(annotation)
    if annotation is Known:
        return "a text with a unit"
    if annotation is type(None):
        return ""
    if origin is typing.Annotated:
        return _kind(get_args(annotation)[0])
    if origin in (typing.Union, types.UnionType):
        return " or ".join(part for part in map(_kind, get_args(annotation)) if part)
    if origin is typing.Literal:
        return ", ".join(f"`{item}`" for item in get_args(annotation))
    if origin is tuple:
        inner = [_kind(item) for item in get_args(annotation) if item is not ...]
        return f"a list of {inner[0]}" if ... in get_args(annotation) else f"[{', '.join(inner)}]"
    if origin is dict:
        return f"tables by name: {_kind(get_args(annotation)[1])}"
    if isinstance(annotation, type) and issubclass(annotation, PlanTable):
        return f"[{annotation.__name__}](#{annotation.__name__.lower()})"
    return {str: "a text", int: "a whole number", float: "a number", bool: "true or false"}.get(
        annotation, str(annotation)
    )


def plan_page() -> str:
    """Every key of the plan, from the models."""
    tables = [
        item for item in (getattr(models, name) for name in models.__all__) if issubclass(item, PlanTable)
    ]
    tables = [item for item in tables if item is not PlanTable]
    tables.sort(key=lambda item: item is not models.Plan)
    hints = {item: typing.get_type_hints(item, include_extras=True) for item in tables}
    lines = ["# The plan, key by key", "", "Made from the plan models; a star marks what must be given.", ""]
    for table in tables:
        lines += [f"## {table.__name__}", "", "| key | what it takes | what it is |", "|---|---|---|"]
        for name, field in table.model_fields.items():
            alias = field.validation_alias
            shown = alias.choices[0] if alias is not None and hasattr(alias, "choices") else name
            star = " *" if field.is_required() else ""
            lines.append(f"| `{shown}`{star} | {_kind(hints[table][name])} | {field.description or ''} |")
        lines.append("")
    return "\n".join(lines).rstrip() + "\n"


def assumptions_page() -> str:
    """Every default with its band."""
    lines = [
        "# Assumptions",
        "",
        "What the plan does not say is taken from this table. Replace one for the whole room under `[assume]`",
        'in the plan, for example `air.tap_bore = "1.5 mm"`, or for one thing by writing it in its table.',
        "",
        "| key | what | default | band | why | source | measure with |",
        "|---|---|---|---|---|---|---|",
    ]
    for row in ASSUMPTIONS.values():
        value, low, high = (words(Number(end, row.dimension)) for end in (row.value, row.low, row.high))
        lines.append(
            f"| `{row.key}` | {row.what} | {value} | {low} to {high} | {row.reason} | {row.source} | {row.measure} |"
        )
    return "\n".join(lines) + "\n"


def species_page() -> str:
    """Every species of the catalogue, with where each value was read."""
    lines = [
        "# Species",
        "",
        "What books and data banks report of some commonly bred fish, made from `catalogue/species.csv`; no verdict on",
        "yours. A range in italics is from memory, not read in print. Length is the longest adult reported; SL is",
        "measured without the tail fin, TL with it.",
        "",
        "| species | in the trade | water | pH | hardness | temperature | length | of its breeding |",
        "|---|---|---|---|---|---|---|---|",
    ]
    for one in all_species():
        cells = [f"*{one.name}*", one.trade_name, one.water_kind]
        for dimension, told in (("ph", one.ph), ("hardness", one.hardness), ("temperature", one.temperature)):
            cells.append(_banded(told, dimension) + f" ({told.source})" if told else "")
        length = words(Number(one.length, "length")) if one.length else ""
        cells.append(f"{length} {one.length_basis}".rstrip() + f" ({one.length_source})")
        cells.append(f"{one.note} ({one.note_source})" if one.note else "")
        lines.append(f"| {' | '.join(cells)} |")
    return "\n".join(lines) + "\n"


def _banded(told: Range | Fact, dimension: str) -> str:
    low, high = (words(Number(end, dimension)) for end in (told.low, told.high))
    shown = low if low == high else f"{low} to {high}"
    return f"*{shown}*" if told.from_memory else shown


def materials_page() -> str:
    """Every material, window and door of the catalogue, with bands and sources."""
    lines = [
        "# Materials, windows and doors",
        "",
        "Made from `catalogue/materials.csv` and `catalogue/openings.csv`. Each cell is the value and its band; what",
        "is in italics is from memory, not read in print, and so are the bands. What the maker says goes first.",
        "",
        "| material | also | conductivity | density | specific heat, J/(kg K) | vapour, times still air |",
        "|---|---|---|---|---|---|",
    ]
    for one in all_materials():
        cells = [one.name, ", ".join(one.other_names)]
        cells.append(_valued(one.conductivity, "thermal_conductivity") + f" ({one.conductivity.source})")
        cells.append(_valued(one.density, "density") + f" ({one.density.source})")
        cells.append(_valued(one.specific_heat, "number"))
        cells.append(_valued(one.vapour_factor, "number") + f" ({one.vapour_factor.source})")
        lines.append(f"| {' | '.join(cells)} |")
    lines += [
        "",
        "| window or door | also | heat transmittance | share of the sun let in |",
        "|---|---|---|---|",
    ]
    for kind in all_opening_kinds():
        cells = [kind.name, ", ".join(kind.other_names)]
        cells.append(_valued(kind.transmittance, "thermal_transmittance") + f" ({kind.transmittance.source})")
        cells.append(_valued(kind.sun_share, "share"))
        lines.append(f"| {' | '.join(cells)} |")
    return "\n".join(lines) + "\n"


def grades_page() -> str:
    """Every grade of timber, board and steel of the catalogue, with its source."""
    lines = [
        "# Grades of timber, boards and steel",
        "",
        "What `rack_kind` and `section` may name, made from `catalogue/timber.csv`. EN 338 and AS 1720.1 tell the",
        "strength that 95 of 100 pieces reach, the NDS reference values with a reserve of their own, steel its yield:",
        "as they stand here they are not to be set beside each other. What a bar may bear for good is worked out by",
        "the code of its grade, see [the formulas](formulas.md). A source in italics is from memory, not from print:",
        "the stamp on the piece and the maker's sheet go first. An empty cell is not known, and what needs it is not",
        "computed.",
        "",
        "| grade | also | code | up to | bending | shear | pushed along | across | stiffness | low | source | |",
        "|---|---|---|---|---|---|---|---|---|---|---|---|",
    ]
    for one in all_grades():
        stresses = (
            one.bending, one.shear, one.compression, one.compression_across, one.stiffness, one.stiffness_low
        )  # fmt: skip
        shown = ["" if value is None else words(Number(value, "stress")) for value in stresses]
        up_to = "" if one.up_to is None else f"{convert(one.up_to, 'm', 'mm'):g} mm"
        cells = [one.name, ", ".join(one.other_names), one.route, up_to, *shown]
        lines.append(f"| {' | '.join([*cells, _from_memory(one.source), one.note])} |")
    return "\n".join(lines) + "\n"


def fittings_page() -> str:
    """Families of ends, threads and every fitting of the catalogue, with sources."""
    lines = [
        "# Ends, threads and fittings",
        "",
        "What `tankwright chain` and the parts list know, made from `catalogue/pipes.py`, `catalogue/threads.csv` and",
        "`catalogue/fittings.csv`. A size means nothing without its family: only ends of one family go together.",
        "What is in italics is from memory or a rule of thumb, not read in print: hold the parts together before you",
        "cut or glue.",
        "",
        "## Families of pipe",
        "",
        "| family | what it is | joined by | sizes and outer diameters | source |",
        "|---|---|---|---|---|",
    ]
    for family in families().values():
        sizes = ", ".join(
            f"{size} ({convert(outer, 'm', 'mm'):.1f} mm)" for size, outer in family.sizes.items()
        )
        way = "solvent cement" if family.weld else "push-fit, compression or barbs"
        lines.append(f"| {family.name} | {family.about} | {way} | {sizes} | {_from_memory(family.source)} |")
    lines += ["", "In inches under another name:"]
    others = families()["ASTM"].others.items()
    lines[-1] += (
        " " + ", ".join(f"{size} {standard} is {inch} ASTM" for (standard, size), inch in others) + "."
    )
    lines += [
        "",
        "## Threads",
        "",
        "BSP is one form under four letters: G is parallel, R tapered outside, Rp parallel inside, Rc tapered inside.",
        "Outer is the pipe of NPT and the major diameter of the others; the gauge length is what goes in by hand.",
        "",
        "| thread | threads an inch | outer | minor | gauge length | source |",
        "|---|---|---|---|---|---|",
    ]
    for thread in all_threads():
        measures = (thread.outer, thread.minor, thread.gauge_length)
        cells = ["" if one is None else f"{convert(one, 'm', 'mm'):.2f} mm" for one in measures]
        name = f"{thread.size} {thread.system}"
        source = _from_memory(thread.source)
        lines.append(f"| {name} | {thread.threads_per_inch:g} | {' | '.join(cells)} | {source} |")
    lines += ["", "## What goes on what", "", "| one end | the other | |", "|---|---|---|"]
    for one, other in MATED:
        lines.append(f"| {one} | {other} | {_mated(one, other)} |")
    fittings = all_fittings()
    lines += [
        "",
        "## Fittings",
        "",
        f"{len(fittings)} fittings. From the middle of one to where a piece stops in it is what that piece is cut",
        "shorter by.",
        "*All measures but the sockets of ISO and ASTM pipe are rules of thumb, and those are from memory.*",
        "",
        "| fitting | ends | turn | bore | goes in | middle to stop |",
        "|---|---|---|---|---|---|",
    ]
    for one in fittings:
        turn = f"{convert(one.turn, 'rad', 'deg'):.0f}°" if one.turn else ""
        bore = f"{convert(one.bore, 'm', 'mm'):g} mm" if one.bore else ""
        runs = [
            ", ".join(f"{convert(x, 'm', 'mm'):g}" for x in told) + " mm"
            for told in (one.depths, one.take_ups)
        ]
        ends = "; ".join(end.words for end in one.ends)
        lines.append(f"| {one.key} | {ends} | {turn} | {bore} | {' | '.join(runs)} |")
    return "\n".join(lines) + "\n"


MATED = (
    ("50 mm ISO pipe", "50 mm ISO socket"),
    ("40 mm ISO pipe", "40 mm EN 1329 socket"),
    ("20 mm AS/NZS 1477 pipe", "3/4 in ASTM socket"),
    ("20 mm AS/NZS 1477 pipe", "20 mm ISO socket"),
    ("32 mm UK push-fit pipe", "32 mm UK solvent socket"),
    ("32 mm UK push-fit pipe", "32 mm UK compression socket"),
    ("16 mm PE pipe", "16 mm PE barb"),
    ("13 mm hose", "1/2 in barb"),
    ("13 mm hose", "16 mm barb"),
    ("1/2 in BSP G male", "1/2 in BSP G female"),
    ("1/2 in BSP R male", "1/2 in BSP Rp female"),
    ("1/2 in BSP R male", "1/2 in BSP G female"),
    ("1/2 in BSP G male", "1/2 in BSP Rc female"),
    ("1/2 in NPT male", "1/2 in NPT female"),
    ("1/2 in BSP R male", "1/2 in NPT female"),
    ("1 in BSP R male", "1 in NPT female"),
    ("3/4 in GHT male", "3/4 in GHT female"),
    ("3/4 in GHT male", "3/4 in BSP G female"),
)


def _mated(one: str, other: str) -> str:
    a, b = read_end(one), read_end(other)
    assert isinstance(a, End), one
    assert isinstance(b, End), other
    mating = mates(a, b)
    if not mating.ok:
        return f"never: {mating.never}"
    return f"{mating.joint}: {mating.how}" + (f"; take care: {mating.warn}" if mating.warn else "")


def _from_memory(source: str) -> str:
    return f"*{source}*" if "from memory" in source else source


def _valued(told: Fact, dimension: str) -> str:
    value = words(Number(told.value, dimension))
    shown = f"*{value}*" if told.from_memory else value
    return shown if told.low == told.high else f"{shown}, {_banded(told, dimension)}"


def formulas_page() -> str:
    """Every formula of the shelf with its inputs, ranges and source."""
    lines = [
        "# Formulas",
        "",
        "Every public function of `tankwright.physics`, as `tankwright formula` lists it. This page is",
        "generated from the functions themselves. Ranges and defaults are in SI units; inputs may be written",
        "in any unit.",
    ]
    subject = ""
    for formula in sorted(shelf(), key=lambda one: (one.subject, one.name)):
        if formula.subject != subject:
            subject = formula.subject
            about = inspect.getdoc(importlib.import_module(f"{physics.__name__}.{subject}")) or ""
            lines += ["", f"## {subject.capitalize()}", "", " ".join(about.split("\n\n")[0].split())]
            if formula.caution:
                lines += ["", f"**Caution:** {formula.caution}"]
        lines += ["", f"### {formula.name}", "", formula.summary]
        lines += ["", formula.help] if formula.help else []
        lines += ["", f"Gives: {shown_unit(formula.unit)}", ""]
        lines += ["| input | unit | meaning | range | default |", "|---|---|---|---|---|"]
        for item in formula.inputs:
            default = "" if item.default is None else f"{item.default:g}"
            shown = f"{item.low:g} to {item.high:g}"
            lines.append(
                f"| `{item.name}` | {shown_unit(item.unit)} | {item.meaning} | {shown} | {default} |"
            )
        lines += ["", f"Source: {formula.source}"]
    return "\n".join(lines) + "\n"


def commands_page() -> str:
    """The help of every command, as printed."""
    runner = CliRunner()
    lines = ["# Commands", ""]
    for name in ("", *sorted(COMMANDS)):
        words_ = [name, "--help"] if name else ["--help"]
        shown = runner.invoke(main, words_, prog_name="tankwright", terminal_width=100)
        lines += [f"## tankwright {name}".rstrip(), "", "```", shown.output.rstrip(), "```", ""]
    return "\n".join(lines).rstrip() + "\n"


ELSEWHERE = {
    "ROUND-01": "A number read when work was done is unusual: its sender is asked once whether it is as read.",
    "ROUND-02": "A number is wanted for a task and what was typed is none, or one is typed where none is read.",
    "ROUND-03": "Work that was ticked off is not known or was stopped, or nothing was ticked at all.",
    "ROUND-04": "A box of a printed round holds what it does not take: a number for a tick, or what was not due.",
    "ROUND-05": "A sheet is typed back for a time before it was printed, after it expired, or still to come.",
    "ROUND-06": "A cell of a printed round was typed in before and said something else; the first stands.",
    "ROUND-07": "A field of a form around the round cannot be read: days, ranges, places, a treatment, spares.",
    "ROUND-08": "The water of a brine-shrimp hatch is outside the range its times are known for.",
    "ROUND-09": "Fish leave a place where a treatment runs or its withdrawal is not over.",
    "ROUND-10": "Fewer spare parts are kept than there should be.",
    "ROUND-12": "Water changes, or the drip, have thinned the dose of a treatment that runs.",
    "ROUND-13": "Initials given on a shared tablet are of nobody in the list of people.",
    "PAPER-01": "There is no paper of that name, or nothing it could be listed by.",
    "PAPER-02": "A paper is of one line, and none is named, or none of that name is kept.",
    "PAPER-03": "A paper is of one brood, and none is named, none is called so, or several are.",
    "PAPER-04": "A day of a paper cannot be read.",
    "PAPER-05": "The first day of a paper lies after its last.",
    "PAPER-06": "A day of a paper is still to come.",
    "PAPER-07": "Nothing was ever entered, so there is nothing to put on paper.",
    "PAPER-09": "The line or the brood of a paper was not there yet on the day it is asked for.",
    "PROOF-01": "A file of readings is empty, or no value is filled in yet.",
    "PROOF-02": "A file of readings lacks the column point or value, or has more rows than are read.",
    "PROOF-03": "A row of readings has more cells than there are columns: a decimal comma without quotes.",
    "PROOF-04": "A reading is of a point the plan does not have; the nearest is proposed.",
    "PROOF-05": "A point was read twice in one file.",
    "PROOF-06": "The date of a reading cannot be read; the reading counts without it.",
    "PROOF-07": "A reading has no unit.",
    "PROOF-08": "A reading is no quantity of the kind its point takes.",
    "PROOF-09": "A reading cannot be: below nothing, above the rim, or beyond all reason.",
    "PROOF-11": "A reading could not be kept: the folder beside the plan cannot be written.",
    "PROOF-12": "A reading was sent without a key or a moment, or one that is not there was to be taken back.",
    "PROOF-20": "There are not enough readings of one run or rack to tell a pattern.",
    "PROOF-21": "All air of a ring is low, or high: its pump, a leak, its relief valve.",
    "PROOF-22": "All outlets of a feed are low, or high: its pressure or its filter.",
    "PROOF-23": "One outlet alone is low: its tap, tube, sponge or dripper.",
    "PROOF-24": "Flows fall off along a pipe: where, and whether at one place or evenly.",
    "PROOF-25": "One outlet alone is high, or takes from its neighbours.",
    "PROOF-26": "One tank's level is off: its elbow, strainer or hose.",
    "PROOF-27": "Levels of a rack run off along it: the rack is not level.",
    "PROOF-28": "Many readings of a run are off, each in its own way.",
    "PROOF-29": "All levels are off alike.",
    "PROOF-30": "Readings could not be fitted, and why; no value is given.",
    "PROOF-31": "Readings were left out of a fit because all others contradict them.",
    "PROOF-32": "Readings scatter more than their tolerances say; uncertainties were widened.",
    "PROOF-33": "A fitted value lies outside the band it was assumed to lie in.",
    "PROOF-34": "Readings ask for a value beyond what is possible; it stays as assumed.",
    "PROOF-35": "A pressure is off.",
    "PROOF-36": "The fall of a drain or the water in it is off.",
    "PROOF-37": "An overflow clears slower or faster than expected.",
    "PROOF-38": "A heater warms its room more or less than expected.",
    "PROOF-39": "A residual current device trips late.",
    "FRY-01": "Tanks for fry run out in more ways the weeks may go than is put up with: in which week, decide by when.",
    "FRY-02": "Coming spawns that are better not raised, so that the chance to run out stays within the limit.",
    "FRY-03": "Broods that are there need more tanks than there are, whatever spawns.",
    "FRY-04": "No tank is free for fry.",
    "FRY-05": "The water of a tank is not known, so it is not counted as free for fry.",
    "FRY-06": "No own brood of a line tells how many hatch, live and grow; the wide default is taken.",
    "FRY-07": "How many fry a litre holds is a common rule, not the keeper's own.",
    "FRY-08": "Past weeks lay in the forecast's band less or more often than they should.",
    "FRY-09": "A breeding set has gone quiet by its own intervals.",
    "FRY-10": "A rule of fry space cannot be read, typed or in its file.",
    "FRY-11": "Rules of fry space could not be kept: the folder beside the plan cannot be written.",
    "TREND-01": "A water test is past what harms fish.",
    "TREND-02": "A water test is past what the tank's zone wants, or what is usual.",
    "TREND-03": "The alkalinity of a tank falls by every line through its tests, and may come to a limit within two.",
    "TREND-04": "The alkalinity of a tank falls for certain; its limit is far.",
    "TREND-05": "A water test lies outside what is usual of its own tank.",
    "TREND-06": "The weighted mean of a tank's tests has left what is usual of it.",
    "TREND-07": "Ammonia was tested without a pH and a temperature near it, so its poisonous share is not known.",
    "TREND-08": "Ammonia is too much at the tank's own pH and temperature.",
    "TREND-09": "The nitrate that is tested lies outside the band the plan's feed and drip lead to.",
    "TREND-10": "A water test has no limit that is known; it is told with the way it goes.",
    "TREND-11": "The newest test is so old that nothing is known of today.",
    "TREND-12": "The tests of a tank took a new level on a day nobody noted anything of.",
    "TREND-13": "A water test is within its limits; it is told with the way it goes.",
    "TREND-14": "A water test may really be past a limit: its kit cannot tell.",
    "TREND-15": "A water test is left out: its unit is unknown, or it cannot be.",
    "GLASS-90": "A hole was tried at a place where its tank cannot be laid out; nothing was worked out or written.",
    "LINE-01": "A stock is its own ancestor; it and all that come from it are not worked out.",
    "LINE-02": "A brood is not younger than a parent of it.",
    "LINE-03": "A brood was born before the set it came from was put together.",
    "LINE-04": "A set brings lines together that are kept apart.",
    "LINE-05": "A stock stands under one line and comes from another.",
    "LINE-06": "The shares that members of a set may have of its young cannot all be so.",
    "LINE-07": "A set or an origin names something of which nothing is known; it is taken for founders.",
    "LINE-08": "A line adds more inbreeding a generation than it should, by the recursion.",
    "LINE-09": "A line is bred from fewer fish than it must be.",
    "LINE-10": "A line is to have a new generation by a day that is near or past.",
    "LINE-11": "A line has few generations left before inbreeding passes the limit.",
    "LINE-12": "Nobody knows how the founders of a line are related; its inbreeding is told for both.",
    "LINE-13": "A set has a parent nobody knows.",
    "LINE-14": "The shares of an origin are not a whole.",
    "LINE-20": "A set that was typed in cannot be; nothing of it was recorded.",
    "SHUT-01": "A quarantine was to be opened before its days had gone by, without a reason.",
    "SHUT-02": "A quarantine is opened before its days have gone by; its reason is written down.",
    "SHUT-03": "The clock of a quarantine began again: fish came to its water, or water was joined to it.",
    "SHUT-04": "Water of other tanks could come to a quarantine if something went wrong.",
    "SHUT-05": "Water of tanks that are not shut off comes to a quarantine.",
    "SHUT-06": "A tool went on wet from what is shut off to something else.",
    "SHUT-07": "A tool that is kept for one zone was used in another.",
    "SHUT-08": "Fish were taken out of a quarantine, and nobody wrote why.",
    "SHUT-09": "Zones are said to be cleaner than each other in a circle.",
    "SHUT-10": "The days of a quarantine have gone by.",
    "SHUT-11": "A quarantine has no net or siphon of its own.",
    "SHUT-12": "What was typed on the page of quarantines cannot be read, or cannot be so.",
    "TRACE-01": "Contacts were asked of a tank the logbook does not have.",
    "TRACE-02": "A trace goes back beyond the logbook's beginning.",
    "TRACE-03": "A tool in a trace was never written down; it counts as wet for a day.",
    "TRACE-04": "Hands were looked for only in the newest entries of a long time.",
    "API-01": "A field of what was sent to the JSON API is missing, unknown or of a wrong kind.",
    "BASKET-01": "A price list is no table, or its columns are not those of one.",
    "BASKET-02": "A line of a price list cannot be read.",
    "BASKET-03": "Prices are in two currencies; nothing here knows a rate.",
    "BASKET-04": "A pack, bag or roll does not say how much it holds.",
    "BASKET-05": "An offer is called almost like something that is wanted, and is not taken for it.",
    "BASKET-06": "The same is offered twice by one shop; the later price counts, undated the dearer one.",
    "BASKET-07": "The day of a price cannot be read, or is still to come.",
    "BASKET-08": "A line of a price list names no shop.",
    "BASKET-09": "No shop lists an article that is wanted; it is not in the total.",
    "BASKET-10": "The basket is not proved the cheapest; how much could be saved at most is told.",
    "BASKET-11": "An article is wanted in a number that cannot be.",
    "BASKET-12": "A list of what is wanted cannot be read, or a line of it.",
    "BOOK-01": "An entry could not be written to the disk; nothing of it was kept.",
    "BOOK-02": "There is no such entry to take back.",
    "BOOK-03": "The value of an entry cannot be read, or its kind is not known.",
    "BOOK-04": "The room holds no tank of this name.",
    "LOG-09": "What was recorded could not be written: the disk is full or cannot be written; nothing of it was kept.",
    "LOG-10": "The logbook cannot be opened: no database, that of something else, or damaged; it was left as it is.",
    "LOG-11": "The logbook is of a newer program; it was left as it is.",
    "LOG-12": "The logbook or its folder may only be read: it can be looked at, and nothing recorded.",
    "LOG-13": "Another program has held the logbook for longer than it should; nothing was kept.",
    "LOG-30": "An entry holds a sign or a number that could not be kept and given back as it was.",
    "LOG-31": "The logbook could not be backed up.",
    "LOG-32": "The logbook was changed from outside: from which number on its seals do not fit.",
    "LOG-33": "A picture is too large, is none that is kept, or could not be written.",
    "LOG-34": "What was to be put back is no backup, is damaged, or is of a newer program.",
    "LOG-35": "An export of a logbook is cut off, was changed, or is none; nothing was taken in.",
    "LOG-36": "An export of a logbook was written by a newer program; nothing was taken in.",
    "LOG-37": "Two logbooks tell one event, or one submission, in two ways; both are kept where they can be.",
    "LOG-38": "After two logbooks became one, two places, stocks or lines have one name.",
    "LOG-25": "A tank has fish in the logbook and is not in the plan any more: renamed there, or taken out too early.",
    "LOG-26": "No tank, fish, line, breeding set or event of that name is in the logbook.",
    "LOG-27": "Several stocks live in a tank, and it is not said which is meant.",
    "LOG-28": "A deed cannot be as it was asked: a number, a bound, a name, a place it goes to.",
    "LOG-29": "Lines that are kept apart would be mixed; what is mixed cannot be parted again.",
    "LOG-01": "An event lacks a detail that its kind needs, or has one that nothing of its kind has.",
    "LOG-02": "The fish of an event do not come to nothing: those that go are not those that come.",
    "LOG-03": "An event lies ahead of now.",
    "LOG-04": "An event names a place, stock, line or other thing the logbook does not have.",
    "LOG-05": "An event that is to be voided is not in the logbook.",
    "LOG-06": "A voiding was to be voided; what is so is written as a new event.",
    "LOG-07": "An event that is to be voided was voided before.",
    "LOG-08": "A name is borne by another place, stock or line.",
    "LOG-14": "A detail of an event has a value of another sort.",
    "LOG-15": "An event is of something that is closed.",
    "LOG-16": "What an event makes or changes has details of another sort.",
    "LOG-17": "A stock would be no younger than fish it comes from.",
    "LOG-18": "A stock would be its own forebear.",
    "LOG-19": "What made a place, stock or line cannot be taken back while other events are of it.",
    "LOG-20": "A place, stock or line is called nothing.",
    "LEDGER-01": "More fish would leave a place than there are; it says what there was.",
    "LEDGER-02": "A number of fish is missing, or cannot be.",
    "LEDGER-03": "Fish of an event go a way that its kind has not.",
    "LEDGER-04": "What is to be closed still has fish.",
    "TAKE-01": "A file that was to be brought in is no table, is damaged, or has no rows under a head.",
    "TAKE-02": "A table that was to be brought in is too large to be read at once.",
    "TAKE-03": "A table has merged cells; only the first of each holds the value, the others are read as empty.",
    "TAKE-04": "A row of a table was not understood, and why; it was left out.",
    "TAKE-05": "A table lacks a column that its rows cannot be read without.",
    "BUILD-01": "No day of any week has time to work in, so there is no calendar of the build.",
    "BUILD-02": "Tanks are heavier than those who build can lift together.",
    "BUILD-03": "Pieces of work take more people than build.",
    "BUILD-04": "A hole is to be drilled in toughened glass: there is no task for it.",
    "BUILD-05": "The table of solvent cement does not reach to this pipe or this room; its longest wait was taken.",
    "BUILD-06": "The build is not done within twenty years.",
    "BUILD-07": "What is marked done is no task of the plan any more.",
    "BUILD-08": "A task is marked done on a day that is still to come; it is not counted.",
    "BUILD-09": "A task is marked done before what must come before it.",
    "BUILD-10": "A delivery of the plan is nothing that is ordered; its time was not counted.",
    "BUILD-11": "A mark of the build could not be written to the disk; nothing of it was kept.",
    "BUILD-12": "A tick of the build names no task of the plan, or a day that is none; nothing of it was kept.",
    "FIT-01": "A text is no end of a pipe, hose or fitting.",
    "FIT-02": "An end does not say its standard, or a tube whether its bore or its outside is meant.",
    "FIT-03": "A size is not one of the standard's, as far as the table goes.",
    "FIT-04": "A thread does not say whether it is male or female, or says what it cannot be.",
    "FIT-05": "No chain of fittings: nothing in the table goes on one of the two ends.",
    "FIT-06": "No chain of fittings: what can be reached from one end and from the other does not meet.",
    "FIT-07": "No chain of fittings within the limits on bore, turns and joints.",
    "FIT-08": "Fittings without a bore were left out of a search that asks for one.",
    "FIT-09": "Fittings without a price were left out of a search by price.",
    "FIT-10": "A shop's table of fittings cannot be read as a table, or lacks the column that names them.",
    "FIT-11": "A line of a shop's table of fittings cannot be what it says.",
    "CUT-01": "A piece is longer than every stick it could be cut from; a joint that would do is told.",
    "CUT-02": "The table of pieces cannot be read, or holds none.",
    "CUT-03": "The length of a piece cannot be read, or cannot be.",
    "CUT-04": "How many of a piece are wanted cannot be read, or cannot be.",
    "CUT-05": "There are more pieces, lengths or kinds of stock than are cut in one job.",
    "CUT-06": "A stock, an offcut, the saw cut or the trim cannot be read, or cannot be.",
    "CUT-07": "Some stocks have a price and some have none.",
    "CUT-08": "The stock on hand does not hold all pieces, and none can be bought.",
    "CUT-09": "A column of the table of pieces is missing, double or not known, or a row has too many cells.",
    "CUT-10": "The plan of cuts is not proved the best; how far off it may be is told.",
    "CUT-11": "Lengths without a common measure were rounded, pieces up and sticks down.",
    "CUT-12": "A piece is no longer than the saw cut is wide.",
    "FIT-12": "The least bore asked of a chain is not more than nothing.",
    "LIVE-01": "The plan's file is gone; nothing is written until it is back or an older state is taken.",
    "LIVE-02": "A change could not be written to the disk; the plan is as it was.",
    "LIVE-03": "There is nothing to take back, or to do again.",
    "LIVE-04": "There is no revision of this number.",
    "LIVE-05": "A plan is there already; a first one is not written over it.",
    "LIVE-06": "The plan's file holds no text that can be read.",
    "LIVE-07": "A fault of the program: the change was not done.",
    "PART-01": "A joint of pipes or hoses cannot be made: the dead end is named.",
    "PART-02": "Two fittings stand closer than they can be joined; the piece is listed at the shortest that holds.",
    "PART-03": "Hoses join the drain beside their holes, so that each has room.",
    "PART-04": "A pipe turns by an angle that no fitting has.",
    "PART-05": "What bulkheads have on their dry side is assumed.",
    "PART-06": "What a feed's source, filters and valves have at their ends is assumed.",
    "PART-07": "Hoses of drilled tanks are not counted: no drain takes them.",
    "PART-08": "The pipe to another outfall is not counted: its way is not drawn.",
    "PART-09": "The adapter at a pump's port is counted in a size nobody said.",
    "PART-10": "A coupling, where a stick of pipe ends, has no room between taps.",
    "PART-11": "Soft pipe is bent over a way too short for two fittings.",
    "PART-41": "Tanks that stand are counted, and not bought, nor what is theirs.",
    "PART-42": "A tank is glued from panes whose thickness nobody gave.",
    "PART-43": "Bulkheads are counted for a hole that nobody measured.",
    "PART-44": "Filter media are not counted: the plan does not say how much there is.",
    "PART-51": "A rack is not counted: nothing says what it is made of.",
    "PART-52": "A rack is counted by what a sentence says it is made of.",
    "PART-53": "A section or a board of a rack cannot be read.",
    "PART-54": "Nothing is said of a part of a rack, so none are counted.",
    "PART-55": "A rack has no brace across its back counted.",
    "PART-56": "Board and bearers are thicker than the shelf is laid out.",
    "PART-61": "Boards, lights and circuits are not counted: the plan names none.",
    "PART-62": "Cables are not counted: nothing says where the circuits come from.",
    "PART-63": "The cable to a board is not counted: the plan does not say on which rack it is.",
    "PART-64": "What hangs on the supply is listed for asking an electrician, not for wiring.",
    "PART-65": "Loads are counted as the pump, heater or machine they are.",
    "PART-66": "Heaters of tanks hang on no board, and there are not enough outlets for them.",
    "PART-71": "Layers of a shell are taken as standing.",
    "PART-72": "Walls, roof or floor are not counted: no layers are said.",
    "PART-73": "What holds a lining is not counted.",
    "PART-90": "An article stands twice among what the plan says is sold; the second is not looked at.",
    "PART-91": "Nobody says in which lengths or sheets an article is sold; a usual size was taken.",
    "PART-92": "The plan says how something is sold that the room does not take.",
    "PART-93": "A price list or a table of fittings beside the plan cannot be read.",
    "PRICE-01": "A price list could not be written to the disk.",
    "PRICE-02": "What was sent is no table of prices.",
    "PRICE-03": "A line of a price list cannot be read.",
    "SET-01": "A setting could not be written to the disk.",
    "SET-02": "The file of settings is damaged; nobody is let in from the network until it is mended.",
    "SET-03": "A setting is not one that can be had.",
    "SHEET-01": "A piece fits on no sheet, however it is turned.",
    "SHEET-02": "A size, a count or a price of sheets and their pieces cannot be.",
    "SHEET-03": "The sheets on hand do not hold all pieces.",
    "SHEET-04": "A size of sheet has no price; the plan has the least area instead.",
    "SHEET-05": "The plan of sheets is not proved the best; what is not ruled out is told.",
    "STUDY-01": "A system was left out: a published formula does not reach as far as this plan asks.",
    "VERIFY-01": "EPANET is not installed, or refused the network; nothing was compared.",
    "VERIFY-02": "SWMM is not installed, or refused the drain; nothing was compared.",
    "WEATHER-01": "A weather file cannot be read: it is not there, or may not be opened.",
    "WEATHER-02": "A weather file is too large to be one year of hours.",
    "WEATHER-03": "A weather file is empty.",
    "WEATHER-04": "A file is no weather file of a kind that can be read.",
    "WEATHER-05": "Where the weather is from cannot be read, or cannot be.",
    "WEATHER-06": "A line of weather has too few columns, or the file lacks one that is needed.",
    "WEATHER-07": "A value of the weather is no number.",
    "WEATHER-08": "A value of the weather cannot be believed.",
    "WEATHER-09": "A line names no hour of the year.",
    "WEATHER-10": "An hour stands there twice.",
    "WEATHER-11": "Hours are missing.",
    "WEATHER-12": "Values are missing for longer than can be filled.",
    "WEATHER-13": "A short gap was filled by a straight line.",
    "WEATHER-14": "The 29th of February was left out, so that the year has 8760 hours.",
    "WEATHER-15": "The file is in another encoding than usual, or in one that cannot be read.",
    "WEATHER-16": "Numbers are written with a decimal comma.",
    "WEATHER-17": "A whole column is missing or always the same.",
    "WEATHER-18": "Humidity over 100 % was taken as 100 %.",
    "WEATHER-19": "The sun shines at night: place or time zone do not fit.",
    "WEATHER-20": "The file has fewer columns than usual, none of those that are needed.",
    "WEATHER-21": "A weather file does not stand beside the plan or below it, and is not read.",
    "FORMULA-01": "No formula has this name.",
    "FORMULA-02": "The formula has no input of this name.",
    "FORMULA-03": "An input is missing.",
    "FORMULA-04": "An input cannot be read.",
    "FORMULA-05": "An input lies outside the range in which the formula holds.",
    "FORMULA-06": "The answer cannot be given in this unit.",
    "FORMULA-07": "The inputs together lie outside the range in which the formula holds.",
    "FORMULA-08": "The inputs together give no finite number.",
    "WISH-01": "The plan has no [wish]: the most tanks of any kind, on any rack, along the walls, are looked for.",
    "WISH-02": "A kind of tank fits on no shelf of any rack there is a place for; its measures, or what a check says.",
    "WISH-03": "A number of tanks that is wished for cannot be had, alone or with the rest; with the most that fit.",
    "WISH-04": "The litres that are wished for cannot be had; with the most that fit.",
    "WISH-05": "The room has no place for any rack that could hold one of the tanks.",
    "WISH-06": "The best that was found is not proved the best; with the bound that nothing passes.",
    "WISH-07": "The least cost is sought, and a tank or a rack has no price.",
    "WISH-08": "How many places for racks were tried, and how fine they lie.",
    "WISH-09": "There are too many ways to fill a shelf; those that fill it best were looked at.",
    "WISH-10": "Nothing was found that meets the wish, can be walked to and passes the checks.",
    "WISH-11": "The plan has no kind of tank or of rack to arrange.",
    "WISH-12": "A kind of rack has no place in the room.",
    "WISH-13": "A proposal that was to be taken is not known any more, as after a new start of the program.",
}
CODE = re.compile(r"[A-Z]+-\d{2,3}")


def _literals(node: ast.AST) -> list[str]:
    texts = (
        one.value for one in ast.walk(node) if isinstance(one, ast.Constant) and isinstance(one.value, str)
    )
    return [text for text in texts if CODE.fullmatch(text)]


def judged() -> dict[str, str]:
    """Each code of a check with the sentence that is true when all is well."""
    found: dict[str, str] = {}
    for file in sorted((SOURCE / "checks").glob("*.py")):
        for node in ast.parse(file.read_text(encoding="utf-8")).body:
            said = ast.get_docstring(node) if isinstance(node, ast.FunctionDef) else None
            for code in _literals(node):
                sentence = re.sub(
                    r"^[A-Z]+-\d\d[^:]*: ", "", (said or "").split("\n\n")[0].replace("\n", " ")
                )
                found.setdefault(code, sentence[:1].upper() + sentence[1:])
    for system in ("AIR", "FEED"):
        found[f"{system}-10"] = f"Every {system.lower()} run of the plan could be computed."
    found["DRAIN-90"] = "Every drain run of the plan could be computed."
    found["POWER-14"] = "(Always told.) Mains near water can kill; the local code and an electrician decide."
    found["LAYOUT-19"] = (
        "The elbow, turned as said, and the level said agree; what one of them gives is told."
    )
    return found


def laid_out() -> dict[str, str]:
    """Each code of the laying out, by the name it has in the program."""
    tree = ast.parse((SOURCE / "room" / "mistakes.py").read_text(encoding="utf-8"))
    return {
        code: node.target.id.replace("_", " ").capitalize() + "."
        for node in tree.body
        if isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name)
        for code in _literals(node)
    }


def findings_page() -> str:
    """Every code of a finding."""
    lines = [
        "# Findings, code by code",
        "",
        "A code never changes its meaning and is never used again for another. Mistakes in the text of a plan have",
        "codes of their own: [mistakes in a plan](plan-mistakes.md). `tankwright check --all` shows notes too.",
        "",
        "## Judgements of the room",
        "",
        "The sentence is what holds when all is well; the finding comes when it does not, or when it cannot be told.",
        "",
        "| code | what holds when all is well |",
        "|---|---|",
        *(f"| {code} | {text} |" for code, text in sorted({**judged(), **FAULT_RULES}.items())),
        "",
        "## What cannot be laid out",
        "",
        "| code | what is the matter |",
        "|---|---|",
        *(f"| {code} | {text} |" for code, text in sorted(laid_out().items())),
        "",
        "## Elsewhere",
        "",
        "| code | what is the matter |",
        "|---|---|",
        *(f"| {code} | {text} |" for code, text in sorted(ELSEWHERE.items())),
    ]
    return "\n".join(lines) + "\n"


def check_json_page() -> str:
    """The keys of `check --json`, from its schema."""
    schema = json.loads((SOURCE / "report" / "check.schema.json").read_text(encoding="utf-8"))
    lines = [
        "# `tankwright check --json`, key by key",
        "",
        f"{schema['description']} The same as a JSON Schema, which the tests hold every example against:",
        "`src/tankwright/report/check.schema.json`. `[]` is each of a list, `*` each of a table by name.",
        "",
        "| key | what it is |",
        "|---|---|",
        *_keys(schema, ""),
        "",
        "## A solved network",
        "",
        "| key | what it is |",
        "|---|---|",
        *_keys(schema["$defs"]["network"], ""),
    ]
    return "\n".join(lines) + "\n"


def cut_json_page() -> str:
    """The keys of `cut --json`, from its schema."""
    schema = json.loads((SOURCE / "report" / "cut.schema.json").read_text(encoding="utf-8"))
    lines = [
        "# `tankwright cut --json`, key by key",
        "",
        f"{schema['description']} The same as a JSON Schema, which the tests hold plans against:",
        "`src/tankwright/report/cut.schema.json`. `[]` is each of a list.",
        "Findings are as in [`tankwright check --json`](check-json.md).",
        "",
        "| key | what it is |",
        "|---|---|",
        *_keys(schema, ""),
    ]
    return "\n".join(lines) + "\n"


def build_json_page() -> str:
    """The keys of `build --json`, from its schema."""
    schema = json.loads((SOURCE / "report" / "build.schema.json").read_text(encoding="utf-8"))
    lines = [
        "# `tankwright build --json`, key by key",
        "",
        f"{schema['description']} The same as a JSON Schema, which the tests hold examples against:",
        "`src/tankwright/report/build.schema.json`. `[]` is each of a list, `*` each of a table by name.",
        "Findings are as in [`tankwright check --json`](check-json.md).",
        "",
        "| key | what it is |",
        "|---|---|",
        *(row for row in _keys(schema, "") if not row.startswith("| `findings[].")),
    ]
    return "\n".join(lines) + "\n"


def year_json_page() -> str:
    """The keys of `year --json`, from its schema."""
    schema = json.loads((SOURCE / "report" / "year.schema.json").read_text(encoding="utf-8"))
    lines = [
        "# `tankwright year --json`, key by key",
        "",
        f"{schema['description']} The same as a JSON Schema, which the tests hold a year against:",
        "`src/tankwright/report/year.schema.json`. `[]` is each of a list, `*` each of a table by name.",
        "Findings are as in [`tankwright check --json`](check-json.md).",
        "",
        "| key | what it is |",
        "|---|---|",
        *(row for row in _keys(schema, "") if not row.startswith("| `findings[].")),
        "",
        "## A measure",
        "",
        "| key | what it is |",
        "|---|---|",
        *_keys(schema["$defs"]["measure"], ""),
    ]
    return "\n".join(lines) + "\n"


def _keys(schema: dict[str, Any], above: str) -> list[str]:
    rows: list[str] = []
    inner = [(f"{above}.{key}" if above else key, one) for key, one in schema.get("properties", {}).items()]
    inner += [(above + "[]", schema["items"])] if isinstance(schema.get("items"), dict) else []
    by_name = schema.get("additionalProperties")
    inner += [(above + ".*", by_name)] if isinstance(by_name, dict) else []
    for key, one in inner:
        kinds = one.get("type", one["$ref"].rpartition("/")[2] if "$ref" in one else "")
        kind = (
            kinds if isinstance(kinds, str) else " or ".join(sorted(kinds, key=lambda name: name == "null"))
        )
        about = f"{kind}; {one['description']}" if "description" in one else kind
        if kind or about:
            rows.append(f"| `{key}` | {about} |")
        rows += _keys(one, key)
    return rows


def api_page() -> str:
    """The operations, refusals and shapes of the API, from its own description."""
    lines = [
        "# The API",
        "",
        f"Under `{PREFIX}`; made from its own description, which the program serves at `{PREFIX}/openapi.json`. The",
        f"page `/api` of the app shows the same. Examples are for this machine, `{HOST}`.",
        "",
        DESCRIPTION.strip(),
        "",
        "Whole results have the shape of [`tankwright check --json`](check-json.md); so have findings, tanks and",
        "assumptions wherever they stand here.",
    ]
    for subject in subjects():
        lines += ["", f"## {subject.name.capitalize()}", "", subject.about]
        for one in subject.operations:
            lines += _api_operation(one)
    lines += ["", "## Refusals", "", "The `type` of a problem object is `/api#` and the name here.", ""]
    lines += ["| name | status | title | what it means |", "|---|---|---|---|"]
    lines += [
        f"| `{name}` | {kind.status} | {kind.title} | {kind.means} |"
        for name, kind in sorted(KINDS.items(), key=lambda one: (one[1].status, one[0]))
    ]
    lines += ["", "## Shapes"]
    for name, shape in shapes().items():
        lines += _api_shape(name, shape)
    return "\n".join(lines) + "\n"


def _api_operation(one: Operation) -> Iterator[str]:
    yield from ("", f"### {one.method} {one.path}", "", one.about, "", "```", one.example, "```")
    if one.given:
        yield from ("", "| takes | in | kind | what it is |", "|---|---|---|---|")
        for part in one.given:
            star = " *" if part.needed else ""
            yield f"| `{part.name}`{star} | {part.place} | {_cell(part.kind)} | {_cell(part.about)} |"
    yield from ("", f"Answers {one.shape}; statuses {', '.join(one.answers)}.")


def _api_shape(name: str, shape: Mapping[str, Any]) -> Iterator[str]:
    yield from ("", f"### {name}", "")
    if "enum" in shape:
        yield f"{kind_of(shape)}."
        return
    yield from (
        " ".join(str(shape.get("description", "")).split()),
        "",
        "| key | kind | what it is |",
        "|---|---|---|",
    )
    for key, part in shape["properties"].items():
        yield f"| `{key}` | {_cell(kind_of(part))} | {_cell(part.get('description', ''))} |"


def _cell(text: str) -> str:
    return " ".join(text.replace("|", "\\|").split())


PAGES = {
    "api.md": api_page,
    "findings.md": findings_page,
    "check-json.md": check_json_page,
    "build-json.md": build_json_page,
    "cut-json.md": cut_json_page,
    "year-json.md": year_json_page,
    "plan.md": plan_page,
    "assumptions.md": assumptions_page,
    "species.md": species_page,
    "materials.md": materials_page,
    "grades.md": grades_page,
    "fittings.md": fittings_page,
    "commands.md": commands_page,
    "formulas.md": formulas_page,
}


def pictures() -> dict[str, str]:
    """The drawings the pages show, by file name."""
    cellar, mended = (open_plan(EXAMPLES / f"{name}.toml") for name in ("cellar", "cellar_mended"))
    sections = all_drawings(mended)
    return {
        "cellar_air.svg": drawn(cellar, "air"),
        "cellar_mended_drain_section.svg": sections["cellar_mended_section_main.svg"],
    }


if __name__ == "__main__":
    HERE.mkdir(exist_ok=True)
    for name, page in PAGES.items():
        (HERE / name).write_text(page(), encoding="utf-8")
    IMAGES.mkdir(exist_ok=True)
    for name, picture in pictures().items():
        (IMAGES / name).write_text(picture, encoding="utf-8")
