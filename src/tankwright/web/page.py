"""What a page is, and what it is given: one reader's look at one state of the plan."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from hashlib import sha256
from itertools import groupby
from typing import Final, Literal
from urllib.parse import quote, urlencode

from markupsafe import Markup

from tankwright.display import words, words_in_column
from tankwright.documents.kept import Books
from tankwright.documents.papers.kept import KeptPapers
from tankwright.drawing.results import LAYERS, LOG_LAYERS, DrawnResults, Layer, LogLayer
from tankwright.explain.model import Working
from tankwright.finding import Finding, Number, Severity
from tankwright.plan.changes import current_value
from tankwright.room.model import Room
from tankwright.study import Study
from tankwright.web.access import KEEPER, Person, may
from tankwright.web.made import MadeOnce, assumed_under
from tankwright.web.pointer import from_pointer, to_pointer
from tankwright.workspace.build_marks import BuildMarks
from tankwright.workspace.entries import EntryBook
from tankwright.workspace.jobs import Jobs
from tankwright.workspace.live import LivePlan, Snapshot
from tankwright.workspace.log import RoomLog
from tankwright.workspace.log_layers import LogLayerMade, layers_of_log, made_of_log
from tankwright.workspace.opened import Opened
from tankwright.workspace.prices import PriceBook
from tankwright.workspace.settings import SettingsBook

A_HALL: Final = 200
"""Tanks from which on a room is a hall: what takes long there is done when it is asked for."""

Group = Literal["room", "system", "plan", "build", "life", "settings", ""]


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """One page. `path` may hold names in braces ("/tank/{tank}"); `show` gives the template what it needs
    besides the view. `group` is where the bar lists it ("" not at all); `layer` the drawing's layer beside it;
    `needs` what a reader must be allowed to open it; `workings` further numbers of its own that can be opened."""

    name: str
    path: str
    title: str
    template: str
    show: Callable[[View], Mapping[str, object]]
    group: Group = ""
    layer: Layer | None = None
    needs: str = "look"
    workings: Callable[[View], Mapping[str, Working]] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldError:
    """What was wrong with one field: what was typed, why it will not do, and what stands there by now when
    somebody else changed it meanwhile. `sent` are all fields of its form."""

    typed: str
    text: str
    wanted: str = ""
    attempt: str = ""
    theirs: str | None = None
    sent: Mapping[str, str] = field(default_factory=dict)


class View:
    """One reader's look at one state of the plan: everything a page may use."""

    def __init__(  # noqa: PLR0913 - everything a page may use, by name
        self,
        *,
        page: Page,
        live: LivePlan,
        made_once: MadeOnce,
        person: Person | None,
        params: Mapping[str, str] | None = None,
        query: Mapping[str, str] | None = None,
        errors: Mapping[str, FieldError] | None = None,
        path: str = "/",
        settings: SettingsBook | None = None,
        prices: PriceBook | None = None,
        entries: EntryBook | None = None,
        log: RoomLog | None = None,
        jobs: Jobs | None = None,
        marks: BuildMarks | None = None,
        books: Books | None = None,
        papers: KeptPapers | None = None,
    ) -> None:
        self.page = page
        self.live = live
        self.snapshot: Snapshot = live.snapshot  # one state for the whole page, whatever happens meanwhile
        self.made_once = made_once
        self.person = person
        self.params = dict(params or {})
        self.query = dict(query or {})
        self.errors = dict(errors or {})
        self.path = path
        self.settings = settings
        self.prices = prices
        self.jobs = jobs
        self.books = books
        self.papers = papers
        self.marks = marks if marks is not None else BuildMarks(live.path)
        self.log = log if log is not None else RoomLog(live.path)
        self.entries = entries if entries is not None else EntryBook(live.path, log=self.log)

    @property
    def book(self) -> str:
        """A name for this plan's folder that tells nothing of where it stands: what a browser keeps for one plan must
        not be sent to another that is served under the same address."""
        return sha256(str(self.live.folder).encode("utf-8", "replace")).hexdigest()[:10]

    # --- the room ------------------------------------------------------------------------------------------

    @cached_property
    def is_current(self) -> bool:
        """False when the drawing shows the last good plan because the text has mistakes."""
        return self.snapshot.good is self.snapshot.read

    @property
    def room(self) -> Room | None:
        """The room of the last good plan."""
        return self.snapshot.good.room if self.snapshot.good else None

    @property
    def study(self) -> Study | None:
        """The study of the last good plan."""
        return self.snapshot.good.study if self.snapshot.good else None

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What the room shows, worst first."""
        return self.snapshot.good.findings if self.snapshot.good else ()

    def findings_of(self, system: str) -> tuple[Finding, ...]:
        """The findings of one system, or of a layer of the logbook, worst first."""
        kept = next((one for one in LOG_LAYERS if one == system), None)
        if kept is not None:
            return self.of_log(kept).findings
        return tuple(one for one in self.findings if one.code.startswith(f"{system.upper()}-"))

    @property
    def mistakes(self) -> tuple[Finding, ...]:
        """What is wrong with the text as it is now."""
        return self.snapshot.read.mistakes

    @property
    def display(self) -> str:
        """The reader's units: "metric" or "US"."""
        return self.room.display if self.room else "metric"

    @property
    def title(self) -> str:
        """The room's name."""
        return self.room.title if self.room else "Fish room"

    @cached_property
    def layer(self) -> Layer:
        """The layer of the drawing: the URL's, or the page's, or air."""
        asked = self.query.get("layer")
        return next((layer for layer in self.layers if layer == asked), self.page.layer or "air")

    @cached_property
    def layers(self) -> tuple[Layer, ...]:
        """What the drawing can show: the systems, and what the logbook says where there is one."""
        return (*LAYERS, *layers_of_log(self.log))

    def results(self, layer: Layer | None = None) -> DrawnResults:
        """What the drawing shows of one layer."""
        asked = layer or self.layer
        kept = next((one for one in LOG_LAYERS if one == asked), None)
        return self.made_once.results(self.snapshot, asked) if kept is None else self.of_log(kept).results

    @cached_property
    def log_state(self) -> tuple[int, int]:
        """What everything made from the logbook is kept by: what was recorded last, and the minute, since ages grow."""
        book = self.log.kept
        return book.newest_serial() if book is not None else 0, int(self.log.now().timestamp() // 60)

    def of_log(self, layer: LogLayer) -> LogLayerMade:
        """What the logbook says on a layer, as of now."""

        def make(good: Opened) -> LogLayerMade:
            if good.room is None:
                return LogLayerMade(results=DrawnResults(layer=layer))
            return made_of_log(self.log, good.room, layer, self.log.now())

        made = self.made_once.keep(self.snapshot, ("log layer", layer, *self.log_state), make)
        return made if made is not None else LogLayerMade(results=DrawnResults(layer=layer))

    # --- numbers -------------------------------------------------------------------------------------------

    def words(self, value: float, dimension: str) -> str:
        """A number in the reader's units."""
        return words(Number(value, dimension), self.display)

    @cached_property
    def workings(self) -> Mapping[str, Working]:
        """The working behind every number, by name."""
        known = self.made_once.workings(self.snapshot)
        return known if self.page.workings is None else {**known, **self.page.workings(self)}

    @property
    def why(self) -> Working | None:
        """The working the URL asks for."""
        name = self.query.get("why")
        return self.workings.get(name) if name else None

    def figure(self, name: str, otherwise: str = "not computed") -> Markup:
        """A computed figure that opens its working, marked when it stands on an assumption."""
        working = self.workings.get(name)
        if working is None:
            return Markup('<span class="none" data-figure="{}">{}</span>').format(name, otherwise)
        return self._linked(name, words(working.number, self.display))

    def number(
        self, value: float | None, dimension: str, working: str = "", largest: float | None = None
    ) -> Markup:
        """A number in the reader's units, linked to its working when there is one.

        With the `largest` of its column it stands in that one's unit, so that the column can be compared.
        """
        if value is None:
            return Markup('<span class="none">{}</span>').format("not computed")
        told = self.words(value, dimension)
        if largest is not None:
            told = words_in_column(Number(value, dimension), largest, self.display)
        return self._linked(working, told) if working in self.workings else _figure_words(told)

    def opening(self, name: str, text: str) -> Markup:
        """A sentence or a figure that opens a working; as it is when there is none of that name."""
        if name not in self.workings:
            return Markup("{}").format(text)
        return self._opens(name, text, assumed=bool(self._stands_on(name)))

    def headline(self, name: str, text: str) -> Markup:
        """A live figure that opens its working; "" for one that has none.

        A hall has thousands of workings, so for one link they are not all made: there a figure counts as standing
        on something assumed as soon as the room does.
        """
        room = self.room
        if not name or room is None:
            return Markup("{}").format(text)
        if len(room.tanks) < A_HALL:
            return self.opening(name, text)
        return self._opens(name, text, assumed=bool(room.assumed))

    def _opens(self, name: str, text: str, *, assumed: bool) -> Markup:
        return Markup('<a class="num{}" href="{}" data-figure="{}">{}</a>').format(
            " assumed" if assumed else "", self.url(why=name) + "#why", name, text
        )

    def _stands_on(self, name: str) -> frozenset[str]:
        """Keys of the assumptions a number rests on; of one that only this page knows, through its own workings."""
        if self.page.workings is None or name in self.made_once.workings(self.snapshot):
            return self.made_once.stands_on(self.snapshot, name)
        return assumed_under(self.workings, name)

    def _linked(self, name: str, text: str) -> Markup:
        stands_on = self._stands_on(name)
        title = Markup(' title="{} assumed"').format(len(stands_on)) if stands_on else ""
        return Markup('<a class="num{}" href="{}" data-figure="{}"{}>{}</a>').format(
            " assumed" if stands_on else "", self.url(why=name) + "#why", name, title, _figure_words(text)
        )

    # --- fields --------------------------------------------------------------------------------------------

    def value(self, *path: str | int) -> str | None:
        """How a value stands in the plan's text, or None when it does not."""
        return current_value(self.snapshot.text, path)

    def value_at(self, pointer: str) -> str | None:
        """The same by its pointer ("/air/ring/height")."""
        return current_value(self.snapshot.text, from_pointer(pointer))

    def pointer(self, *path: str | int) -> str:
        """The name of a value in forms and in the API. Source: RFC 6901, JSON Pointer."""
        return to_pointer(path)

    # --- places --------------------------------------------------------------------------------------------

    def url(self, page_path: str | None = None, **query: str | int | None) -> str:
        """The address of a page, or of this one with parts of its query changed; None drops a part."""
        if page_path is None:
            base = self.path.partition("?")[0]
            kept: dict[str, str] = {key: value for key, value in self.query.items() if key not in query}
        else:
            base, kept = page_path, {}
        kept |= {key: str(value) for key, value in query.items() if value is not None}
        asked = urlencode(kept, quote_via=quote, safe="/")
        return f"{base}?{asked}" if asked else base

    def tank_url(self, tank: str) -> str:
        """Where the drawing's tank leads: this page with the tank chosen."""
        return self.url(at=tank, why=None)

    def may(self, what: str) -> bool:
        """True when this reader may do that."""
        return self.person is not None and may(self.person, what)

    @property
    def is_logged_in(self) -> bool:
        """True when this reader came in with a name and a password, and so can log out."""
        return self.person is not None and self.person is not KEEPER

    def count(self, severity: str) -> int:
        """How many findings of that severity."""
        return sum(finding.severity is Severity(severity) for finding in self.findings)


def _figure_words(text: str) -> Markup:
    """Figures bold and their units quiet: "1.5 L/min" as two parts, "5 ft 7 1/8 in" as four."""
    words_ = text.split(" ")
    if not _is_number(words_[0]):
        return Markup("<b>{}</b>").format(text)
    parts = [
        Markup("<b>{}</b>" if is_number else '<span class="unit">{}</span>').format(" ".join(some))
        for is_number, some in groupby(words_, key=_is_number)
    ]
    return Markup(" ").join(parts)


def _is_number(word: str) -> bool:
    return any(letter.isdecimal() for letter in word)  # the raised digit of "m³" is none
