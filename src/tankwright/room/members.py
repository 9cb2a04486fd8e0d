"""Bars of a rack or a floor: what their owner wrote, and what the tables or the owner know of them."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final

from tankwright.catalogue.grades import Grade, find_grade, nearest_grades
from tankwright.catalogue.sections import BoardName, Section, read_section
from tankwright.plan.models import OwnSection
from tankwright.plan.suggest import nearest
from tankwright.room.mistakes import UNKNOWN_GRADE, UNREADABLE_SECTION, Mistakes
from tankwright.room.model_structure import Member

_NOTHING: Final = re.compile(
    r"(?<![\d.,])0+(?:[.,]0+)?\s*(?:mm|cm|in)?\s*[x×]|[x×]\s*0+(?:[.,]0+)?\s*(?:mm|cm|in)?(?![\d.,a-z])"
)
_LEAST, _MOST = 0.001, 2.0  # m, a side of a bar; what lies outside was mistyped


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """Where a bar was written: whose it is, which key, and on which line; `strict` where a text that cannot be read
    or a grade nobody knows is a mistake of the plan, and not only a word of a sentence.
    """

    subject: str
    key: str
    line: int | None
    strict: bool = True


class Members:
    """Reads bars, once each: a section the owner describes under [section] comes before the tables.

    >>> members = Members({}, Mistakes())
    >>> asked = Asked(subject="rack kind low", key="bearers", line=3)
    >>> members.read("45 mm x 95 mm C24", asked).section.wide
    0.095
    """

    def __init__(self, own: Mapping[str, OwnSection], mistakes: Mistakes) -> None:
        self._own = own
        self._mistakes = mistakes

    def read(self, text: str, asked: Asked) -> Member:
        """A bar by its text: one of the owner's own sections by its name, or sizes and a grade."""
        own = self._own.get(text)
        if own is not None:
            return self._described(text, own)
        section = read_section(text)
        if section is not None and (section.thin < _LEAST or section.wide > _MOST):
            self._say_unreadable(text, asked, "of a size no bar has")
            return Member(text=text, section=None, grade=None)
        if section is None:
            self._say_unreadable(text, asked)
            return Member(text=text, section=None, grade=None)
        return Member(text=text, section=section, grade=self.grade(section.grade, asked))

    def grade(self, text: str, asked: Asked) -> Grade | None:
        """A grade by its name; None where none is written or known."""
        found = find_grade(text) if text.strip() else None
        if found is None and text.strip() and asked.strict:
            close = next(iter(nearest_grades(text, count=1)), "")
            self._mistakes.say(
                UNKNOWN_GRADE,
                asked.subject,
                f"names a grade for its {asked.key} that is not in the table",
                line=asked.line,
                reason="without its strengths nothing of it is worked out",
                remedy="write a grade of the table, or describe it under [section] with its strengths and their source",
                found=f'"{text.strip()}"',
                wanted='a grade with a published table: "C24", "MGP10", "SPF No.2", "S235"',
                attempt=f'"{close}"' if close else "",
            )
        return found

    def board(self, board: BoardName | None, asked: Asked) -> Grade | None:
        """What is known of a board's kind."""
        return None if board is None else self.grade(board.name, replace(asked, strict=False))

    def _described(self, name: str, own: OwnSection) -> Member:
        grade = self.grade(own.grade or "", Asked(subject=f"section {name}", key="grade", line=own.line))
        said = {
            key: known.value
            for key in ("stiffness", "bending", "shear", "compression", "compression_across")
            if (known := getattr(own, key)) is not None
        }
        if said:
            base = grade or Grade(name=name, route="own")
            grade = replace(
                base, **said, name=name, route=base.route, source=own.source or "the owner's word"
            )
        return Member(
            text=name,
            section=Section(
                name=name,
                thin=own.thin.value,
                wide=own.wide.value,
                grade=own.grade or "",
                own_area=own.area.value if own.area else None,
                own_second_moment=own.second_moment.value if own.second_moment else None,
                own_section_modulus=own.section_modulus.value if own.section_modulus else None,
            ),
            grade=grade,
        )

    def _say_unreadable(self, text: str, asked: Asked, why: str = "") -> None:
        if not asked.strict:
            return
        close = nearest(text, tuple(self._own))
        why = why or ("of no size" if _NOTHING.search(text) else "whose section cannot be read")
        self._mistakes.say(
            UNREADABLE_SECTION,
            asked.subject,
            f"has {asked.key} {why}",
            line=asked.line,
            reason="nothing of what rests on it is worked out",
            remedy="write its two sizes and its grade, a tube's wall third and under half its side, or the name of a"
            " section described under [section]",
            found=f'"{text}"',
            wanted='sizes and a grade: "45 mm x 95 mm C24", "2x4 SPF No.2", "40 mm x 40 mm x 2 mm S235"',
            attempt=f'"{close}"' if close else "",
        )
