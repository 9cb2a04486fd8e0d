"""What is written down while one run is counted, and the pieces of pipe between its fittings."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from tankwright.finding import Finding, Number, Severity
from tankwright.takeoff.bridging import Bridged
from tankwright.takeoff.counted import Counted
from tankwright.takeoff.model import Article, Joint, Kind, Need, SoldBy
from tankwright.units import CubicMetre, Metre

FINE = 1e-9
"""m, less than any arithmetic of lengths leaves."""

NAMED = 6
"""Places a finding names one by one; the others are counted."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """A pipe piece as it is cut. `asked` is what the drawn way leaves between its two fittings; where that is less
    than the shortest that can be joined, `length` is that shortest. `between` are the two in words, `way` is from
    the middle of one to that of the other."""

    mark: str
    length: Metre
    asked: Metre
    between: tuple[str, ...]
    way: Metre


@dataclass(slots=True, kw_only=True)
class Tally:
    """The list of one run.

    `marked_as` stands before the numbers on its pieces: its name, where nothing else is called so. `length` is of its
    way, `taken_up` what its fittings take of it. `pipes` are its pipes' articles by size and standard; `cement` and
    `tape` are what its joints use up. `words` say where a node is, by its id. `crowded` are couplings that found no
    room beside what is drilled. `apart` says what can be done where two fittings stand too close, with the numbers
    of `apart_by`.
    """

    system: str
    run: str
    line: int | None
    marked_as: str = ""
    length: Metre = 0.0
    taken_up: Metre = 0.0
    pieces: list[Piece] = field(default_factory=list)
    stubs: list[Metre] = field(default_factory=list)
    pipes: dict[str, str] = field(default_factory=dict)
    cement: CubicMetre = 0.0
    tape: Metre = 0.0
    words: dict[str, str] = field(default_factory=dict)
    crowded: list[str] = field(default_factory=list)
    apart: str = "set the two {missing} further apart, or lead the pipe with one fitting less"
    apart_by: tuple[tuple[str, Number], ...] = ()
    _coupled: int = 0
    _marked: int = 0
    _articles: dict[str, Article] = field(default_factory=dict)
    _needs: list[Need] = field(default_factory=list)
    _joints: dict[str, Joint] = field(default_factory=dict)
    _findings: list[Finding] = field(default_factory=list)
    _apart: dict[tuple[str, str], list[str]] = field(default_factory=dict)

    @property
    def subject(self) -> str:
        """The run as findings name it."""
        return f"{self.system} {self.run}"

    def article(
        self,
        key: str,
        kind: Kind,
        sold_by: SoldBy = "piece",
        *,
        source: str = "",
        note: str = "",
        rests_on: tuple[str, ...] = (),
    ) -> str:
        """An article by its key, written down the first time."""
        if key not in self._articles:
            self._articles[key] = Article(
                key=key, kind=kind, sold_by=sold_by, source=source, note=note, rests_on=rests_on
            )
        return key

    def need(  # noqa: PLR0913 - a need has as many sides
        self,
        article: str,
        where: str,
        count: int = 1,
        *,
        places: tuple[str, ...] = (),
        length: Metre | None = None,
        volume: CubicMetre | None = None,
        mark: str = "",
        joint: str = "",
        rests_on: tuple[str, ...] = (),
        line: int | None = None,
    ) -> None:
        """So many of an article for one place."""
        self._needs.append(
            Need(
                article=article,
                count=count,
                system=self.system,
                where=where,
                places=(self.run, *places),
                length=length,
                volume=volume,
                mark=mark,
                joint=joint,
                rests_on=rests_on,
                line=self.line if line is None else line,
            )
        )

    def joint(self, node: str, ends: Iterable[str], articles: Iterable[str], why: str = "") -> None:
        """One joint, or more of it; `why` says what is missing when it cannot be made."""
        known = self._joints.get(node)
        whys = [one for one in (known.why if known else "", why) if one]
        self._joints[node] = Joint(
            node=node,
            system=self.system,
            ends=(*(known.ends if known else ()), *ends),
            articles=(*(known.articles if known else ()), *articles),
            made=not whys,
            why="; ".join(dict.fromkeys(whys)),
        )

    def called(self, node: str) -> str:
        """Where a node is, in words; its id where nobody gave it any."""
        return self.words.get(node, node)

    def coupling(self) -> tuple[str, str]:
        """The node of the next coupling in this run, and its name."""
        self._coupled += 1
        return f"{self.run}.coupling {self._coupled}", f"coupling {self._coupled}"

    def mark(self) -> str:
        """What is written on the next piece of this run."""
        self._marked += 1
        return f"{self.marked_as or self.run} {self._marked}"

    def piece(
        self,
        pipe: str,
        asked: Metre,
        least: Metre,
        between: tuple[str, ...],
        *,
        way: Metre,
        rests_on: tuple[str, ...] = (),
    ) -> None:
        """A piece between two fittings, never shorter than they need to be joined at all."""
        length = max(asked, least)
        mark = self.mark()
        self.pieces.append(Piece(mark=mark, length=length, asked=asked, between=between, way=way))
        where = f"{self.subject}, from {between[0]} to {between[1]}"
        self.need(pipe, where, length=length, mark=mark, rests_on=rests_on)

    def stub(self, pipe: str, length: Metre, at: str) -> None:
        """A shortest piece between two fittings of one joint; it lies in what the joint takes up."""
        mark = self.mark()
        self.stubs.append(length)
        where = f"{self.subject}, between the fittings at {self.called(at)}"
        self.need(pipe, where, length=length, mark=mark, joint=at)

    def find(  # noqa: PLR0913 - a finding has as many sides
        self,
        code: str,
        severity: Severity,
        text: str,
        *,
        numbers: tuple[tuple[str, Number], ...] = (),
        reason: str = "",
        remedy: str = "",
        places: tuple[str, ...] = (),
        rests_on: tuple[str, ...] = (),
        source: str = "",
    ) -> None:
        """Something the list has to say of this run."""
        self._findings.append(
            Finding(
                code=code,
                severity=severity,
                subject=self.subject,
                text=text,
                numbers=numbers,
                reason=reason,
                remedy=remedy,
                places=(self.run, *places),
                rests_on=rests_on,
                source=source,
                line=self.line,
            )
        )

    def unjoined(self, why: str, remedy: str, node: str) -> None:
        """A joint that cannot be made; those with one cause are said together."""
        self._apart.setdefault((why, remedy), []).append(node)

    def counted(self) -> Counted:
        """All of it, with what is said of the run as a whole."""
        for (why, remedy), nodes in self._apart.items():
            self.find(
                "PART-01",
                Severity.WARNING,
                f"cannot be joined at {listed(self.called(node) for node in nodes)}: {why}",
                reason="what joins the ends there is not counted, so the list is short of it",
                remedy=remedy,
            )
        self._too_short()
        self._too_crowded()
        self._used_up()
        return Counted(
            needs=tuple(self._needs),
            articles=tuple(self._articles.values()),
            joints=tuple(self._joints.values()),
            findings=tuple(self._findings),
        )

    def bent(self, bridged: Bridged) -> None:
        """Short ways that bent pipe makes by itself."""
        if not bridged.ways:
            return
        self.find(
            "PART-11",
            Severity.NOTE,
            f"is bent aside by up to {{aside}} at {listed(self.called(spot) for spot in bridged.spots)}: two fittings "
            "have no room on that way, so one takes what leads on behind it",
            numbers=(("aside", Number(max(bridged.ways), "length")),),
            reason="soft pipe leans so far by itself, and a joint less is a leak less",
            remedy="clip it where it stands straight again",
        )

    def _used_up(self) -> None:
        if self.cement:
            key = self.article("solvent cement", "glue", "volume", note="made for the plastic of the pipe")
            self.need(key, f"the sockets of {self.subject}", volume=self.cement)
        if self.tape:
            self.need(
                self.article("thread tape", "glue", "metre"),
                f"the threads of {self.subject}",
                length=self.tape,
            )

    def short(self) -> Piece | None:
        """The piece that is most too short for the fittings at its ends."""
        return max(
            (one for one in self.pieces if one.length > one.asked + FINE),
            key=lambda one: one.length - one.asked,
            default=None,
        )

    def _too_short(self) -> None:
        worst = self.short()
        if worst is None:
            return
        marks = [one.mark for one in self.pieces if one.length > one.asked + FINE]
        missing = worst.length - worst.asked
        self.find(
            "PART-02",
            Severity.WARNING,
            f"has fittings closer to each other than they can be joined, at {listed(marks)}: "
            f"from {worst.between[0]} to {worst.between[1]} it is {{way}} where they need {{needed}}",
            numbers=(
                ("missing", Number(missing, "length")),
                ("way", Number(worst.way, "length")),
                ("needed", Number(worst.way + missing, "length")),
                ("pieces", Number(float(len(marks)), "number")),
                *self.apart_by,
            ),
            reason="a pipe must fill the sockets at both its ends; these pieces are listed at that length",
            remedy=self.apart,
        )

    def _too_crowded(self) -> None:
        if self.crowded:
            self.find(
                "PART-10",
                Severity.WARNING,
                f"has no room for {listed(self.crowded)} between what is drilled or clamped on the pipe there",
                reason="a stick ends there, and a coupling is longer than the pipe between two taps",
                remedy="leave the tap out that it would meet, or buy longer sticks and write them in [[buy.sold]]",
            )


def listed(names: Iterable[str]) -> str:
    """Names in a row, the first few of many.

    >>> listed(["a", "b", "a"]), listed(list("abcdefgh"))
    ('a and b', 'a, b, c, d, e, f and 2 more')
    """
    once = list(dict.fromkeys(names))
    if len(once) > NAMED:
        once = [*once[:NAMED], f"{len(once) - NAMED} more"]
    return once[0] if len(once) == 1 else f"{', '.join(once[:-1])} and {once[-1]}" if once else ""
