"""`tankwright log`: what happened at a tank, written into its logbook from the command line."""

from __future__ import annotations

import getpass
import re
import sys
from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Final

import click

from tankwright.cli.the_log import NOT_DONE, or_leave, tell
from tankwright.display import printable
from tankwright.finding import Finding
from tankwright.husbandry.facts import water_tested
from tankwright.husbandry.records import Draft, Event, Observed
from tankwright.logbook.outcome import Recorded, Refused
from tankwright.workspace.deeds import DEEDS, Asked
from tankwright.workspace.entries import SCALES, EntryBook, read_value
from tankwright.workspace.entries_before import place_of
from tankwright.workspace.entry_values import EntryKind
from tankwright.workspace.event_words import event_words
from tankwright.workspace.keeping import Hand, do, wrong_value
from tankwright.workspace.keeping_seen import went_wrong
from tankwright.workspace.laid_out import log_in_step
from tankwright.workspace.log import RoomLog
from tankwright.workspace.naming import WrongError, place_named

if TYPE_CHECKING:
    from tankwright.logbook.store import Logbook

RECORDED, REFUSED = 0, 1

WORDS: Final[Mapping[str, tuple[str, str]]] = {
    "arrived": ("arrived", "N"), "born": ("born", "N [LOW-HIGH]"), "count": ("counted", "N"),
    "guess": ("guessed", "N LOW-HIGH"), "died": ("died", "[N]"), "culled": ("culled", "N"), "sold": ("sold", "[N]"),
    "given": ("given", "[N]"), "used": ("used", "[N]"), "escaped": ("escaped", "[N]"),
    "move": ("moved", "[N] --to TANK"), "split": ("split", "N [--to TANK]"), "merge": ("merged", ""),
    "pair": ("set", "MALES+FEMALES"), "part": ("parted", ""), "spawn": ("spawned", "[EGGS [LOW-HIGH]]"),
    "measured": ("measured", "LENGTH or MASS"), "note": ("noted", "WORDS"), "incident": ("incident", "WORDS"),
    "void": ("struck", "NUMBER REASON"), "correct": ("corrected", "NUMBER N REASON"), "called": ("called", "NAME"),
    "place": ("place", "outside, vat or tank"), "gone": ("gone", ""), "line": ("line", "NAME --species S"),
}  # fmt: skip
"""Each word of the grammar: the deed it is, and what comes after it."""

_WHOLE: Final = {"note": "note", "incident": "what", "measured": "value", "called": "to", "line": "line"}
"""Words after which all that follows is one text, with the field it is."""

_TAPS: Final = ("looked", "fed")
_LIST: Final = ", ".join([*WORDS, *_TAPS, *(one for one in SCALES if SCALES[one].needed)])


@click.command("log", epilog=f"WHAT is one of: {_LIST}.")
@click.argument("plan", type=click.Path(path_type=Path))
@click.argument("tank")
@click.argument("what")
@click.argument("words", nargs=-1)
@click.option(
    "--stock", default="", help="Which fish, when several stocks live there; what new ones are called."
)
@click.option("--to", "to", default="", help="The tank fish go to.")
@click.option(
    "--at", "at", default="", help='When: "19:30", "yesterday 19:30", "2026-08-02 19:30"; now by default.'
)
@click.option("--note", default="", help="A few words beside.")
@click.option("--who", default="", help="Whose entry it is; your name on this computer by default.")
@click.option("--line", default="", help="The line of fish that come.")
@click.option("--species", default="", help="Their species, which opens a line that is not known yet.")
@click.option("--from", "--by", "whom", default="", help="From whom they came, or to whom they went.")
@click.option("--label", default="", help="What a new stock or a breeding set is called.")
@click.option(
    "--parents", default="", help="The breeding set of a spawn or of young, when there are several."
)
@click.option("--price", default="", help="What they cost or brought, all together.")
@click.option("--currency", default="", help="In what, such as EUR.")
@click.option("--cause", default="", help="Of what they died.")
@click.option("--photo", type=click.Path(path_type=Path, dir_okay=False), help="A picture of an incident.")
@click.option("--knowing", is_flag=True, help="Lines that are kept apart are mixed on purpose.")
def command(
    plan: Path,
    tank: str,
    what: str,
    words: tuple[str, ...],
    *,
    at: str,
    who: str,
    photo: Path | None,
    knowing: bool,
    **said: str,
) -> None:
    """Write down WHAT happened in TANK of PLAN.

    \b
    tankwright log room.toml A3 arrived 12 --line Creek --species "Danio rerio" --from "a friend"
    tankwright log room.toml A3 count 11
    tankwright log room.toml A3 move 4 --to A4
    tankwright log room.toml A3 ph 7.2 --at "yesterday 19:30"
    tankwright log room.toml A3 void 214 wrong tank

    Exit code: 0 it stands in the book, 1 it was refused and why, 2 the plan or its logbook cannot be had.
    """
    if not plan.is_file():
        click.echo(printable(f"{plan}: there is no such plan"), err=True)
        sys.exit(NOT_DONE)
    maker = who.strip() or _name()
    fields = said | {"called": said["label"] or said["stock"], "knowing": "1" if knowing else ""}
    with or_leave():
        log = log_in_step(plan)
        outcome = _done(log, tank, what.casefold(), words, fields, at=at, who=maker, photo=photo)
        if isinstance(outcome, Refused):
            tell(outcome.findings)
            sys.exit(REFUSED)
        _print(log, outcome.events)
    sys.exit(RECORDED)


def _name() -> str:
    try:
        return getpass.getuser()
    except (OSError, KeyError):  # no name on this computer
        return "keeper"


def _done(
    log: RoomLog, tank: str, what: str, words: Sequence[str], fields: dict[str, str], *, at: str, who: str,
    photo: Path | None,
) -> Recorded | Refused:  # fmt: skip
    try:
        moment = moment_typed(at, datetime.now().astimezone())
        hand = Hand(log=log, who=who, at=moment, note=fields["note"].strip())
        if log.room is None:  # the plan cannot be read: no tank is turned away
            place_of(log.book, tank, log.now())
        tap = next((one for one in SCALES if one == what and (SCALES[one].needed or one in _TAPS)), None)
        if tap is not None:
            return _tapped(log, tank, tap, words, hand)
        if what == "incident" and photo is not None:
            return _pictured(hand, tank, " ".join(words), photo)
        if what not in WORDS:
            raise WrongError(wrong_value("log", f'cannot be of "{what[:40]}"', wanted=_LIST))
        said = fields | _said(what, words)
        return DEEDS[WORDS[what][0]](
            Hand(log=log, who=who, at=None if what in {"void", "correct", "called"} else moment, note=said["note"]),
            tank, Asked(said),
        )  # fmt: skip
    except WrongError as wrong:
        return Refused(findings=wrong.findings)
    except OSError as error:
        return Refused(findings=(wrong_value("logbook", f"cannot be written: {error.strerror or error}"),))


def _tapped(log: RoomLog, tank: str, kind: EntryKind, words: Sequence[str], hand: Hand) -> Recorded | Refused:
    """A water test, a look or a feeding. A kit that lies between two steps is read as both: "3-4"."""
    between = re.fullmatch(r"(\d+(?:[.,]\d+)?) ?(?:-|to|\.\.) ?(\d+(?:[.,]\d+)?)(.*)", " ".join(words))
    if SCALES[kind].needed and between is not None:
        return _between(tank, kind, between.groups(), hand)
    read = read_value(kind, " ".join(words) if SCALES[kind].needed else "")
    if isinstance(read, Finding):
        return Refused(findings=(read,))
    note = hand.note if SCALES[kind].needed else " ".join([*words, hand.note]).strip()
    stored = EntryBook(log.folder, log=log).add(
        key="",
        tank=tank,
        kind=kind,
        who=hand.who,
        happened=hand.moment,
        value=read[0],
        unit=read[1],
        note=note,
    )
    if isinstance(stored, Finding):
        return Refused(findings=(stored,))
    from tankwright.logbook.listing import event_numbered  # noqa: PLC0415 - brings the database along

    event = event_numbered(log.book, stored.entry.id)
    return Recorded(events=() if event is None else (event,))


def _between(tank: str, kind: EntryKind, typed: Sequence[str], hand: Hand) -> Recorded | Refused:
    """A test that lies between two numbers."""
    ends = [read_value(kind, f"{typed[place]} {typed[2]}") for place in (0, 1)]
    wrong = next((one for one in ends if isinstance(one, Finding)), None)
    if wrong is not None:
        return Refused(findings=(wrong,))
    (low, unit), (high, _) = (one for one in ends if not isinstance(one, Finding))
    if low is not None and high is not None and low > high:
        low, high = high, low

    def make(book: Logbook, at: datetime) -> list[Draft]:
        read = Observed(quantity=kind, value=None, low=low, high=high, unit=unit)
        return [water_tested(place_named(book, tank).id, at, [read], note=hand.note)]

    return do(hand, make)


def _pictured(hand: Hand, tank: str, what: str, photo: Path) -> Recorded | Refused:
    kept = hand.log.pictures.keep(photo.read_bytes())
    if isinstance(kept, Finding):
        return Refused(findings=(kept,))
    return went_wrong(hand, tank, what or "a picture", photo=kept)


def _said(what: str, words: Sequence[str]) -> dict[str, str]:
    """What the words after WHAT say, as fields of its deed. Raises WrongError for what is not its grammar.

    >>> _said("guess", ["200", "150-260"]), _said("pair", ["1+2"])
    ({'value': '200', 'low': '150', 'high': '260'}, {'males': '1', 'females': '2'})
    """
    rest = list(words)
    if what in _WHOLE:
        return {_WHOLE[what]: " ".join(rest)}
    match what:
        case "void":
            return {"event": _first(what, rest), "reason": " ".join(rest)}
        case "correct":
            return {"event": _first(what, rest), "value": _first(what, rest), "reason": " ".join(rest)}
        case "place":
            return {"sort": _first(what, rest)}
        case "pair":
            read = re.fullmatch(r"(\d{1,4})\+(\d{1,4})", "".join(rest))
            if read is None:
                raise WrongError(wrong_value(what, "does not say how many males and females", wanted="1+2"))
            return {"males": read[1], "females": read[2]}
        case _:
            return _numbers(what, rest)


def _numbers(what: str, rest: list[str]) -> dict[str, str]:
    """A number with its bounds, or none."""
    said: dict[str, str] = {}
    if rest and (bounds := re.fullmatch(r"(\d{1,7})(?:-|to|\.\.)(\d{1,7})", rest[-1])):
        rest.pop()
        said = {"low": bounds[1], "high": bounds[2]}
    if rest:
        said = {"value": rest.pop(0), **said}
    if rest:
        raise WrongError(
            wrong_value(what, f'does not take "{rest[0][:40]}"', wanted=WORDS[what][1] or "nothing more")
        )
    return said


def _first(what: str, rest: list[str]) -> str:
    if not rest:
        raise WrongError(wrong_value(what, "says too little", wanted=WORDS[what][1]))
    return rest.pop(0)


def moment_typed(text: str, now: datetime) -> datetime | None:
    """A moment as one types it, by the clock of the house of which `now` is; None for "", which is now.

    >>> moment_typed("yesterday 19:30", datetime.fromisoformat("2026-08-02T08:00+02:00")).isoformat()
    '2026-08-01T19:30:00+02:00'
    """
    asked = text.strip().casefold()
    if not asked:
        return None
    day = now
    for word, back in (("today", 0), ("yesterday", 1)):
        if asked.startswith(word):
            day, asked = now - timedelta(days=back), asked.removeprefix(word).strip()
    clock = re.fullmatch(r"([01]?\d|2[0-3]):([0-5]\d)", asked)
    if clock is not None:
        return day.replace(hour=int(clock[1]), minute=int(clock[2]), second=0, microsecond=0)
    if not asked:
        return day.replace(hour=12, minute=0, second=0, microsecond=0)
    try:
        read = datetime.fromisoformat(asked.upper())
    except ValueError:
        raise WrongError(wrong_value(
            "moment", f'cannot be "{text.strip()[:40]}"', wanted='"19:30", "yesterday 19:30" or "2026-08-02 19:30"'
        )) from None  # fmt: skip
    if re.fullmatch(r"\d{4}-\d{2}-\d{2}", asked):
        read = read.replace(hour=12)
    return read if read.tzinfo is not None else read.replace(tzinfo=now.tzinfo)


def _print(log: RoomLog, events: Sequence[Event]) -> None:
    from tankwright.logbook.listing import labels_of  # noqa: PLC0415 - brings the database along

    labels = labels_of(log.book, events)
    for one in events:
        place = labels.get(one.place, "")
        at = f"{one.happened.astimezone():%Y-%m-%d %H:%M}"
        said = f"voided: {one.reason}" if one.kind == "voided" else event_words(one, labels)
        click.echo(printable(f"{one.serial:>6}  {at}  {place:<6}  {said}"))
