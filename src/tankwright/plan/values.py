"""One value of a plan's text at a time: texts, numbers, dates, lists and inline tables, with their places.

A value that cannot be read is a `BrokenError` that says what was found, what was wanted and what to try; the
statement reader in `plan.positions` makes it a finding and goes on with the next statement.
"""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_right
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, time
from typing import Final, NamedTuple

from tankwright.plan.placed import PlacedInteger, PlacedList, PlacedNumber, PlacedTable, PlacedText
from tankwright.units import clip

Path = tuple[str | int, ...]
DEEPEST: Final = 12
BLANK: Final = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
SPACE: Final = re.compile(r"[ \t]*")
LINE_END: Final = re.compile(r"[ \t]*(?:#[^\n]*)?(?:\r?\n|\Z)")
_BARE_KEY: Final = re.compile(r"[A-Za-z0-9_-]+")
_TEXT: Final = re.compile(r'"(?:[^"\\\n]|\\.)*"|\'[^\'\n]*\'')
_LONG_TEXT: Final = re.compile(r'"""(?:[^\\]|\\.)*?"{3,5}|\'\'\'.*?\'{3,5}', re.DOTALL)
_TOKEN: Final = re.compile(r"\d{4}-\d\d-\d\d \d\d:[^\s,\]}#]+|[^\s,\]}#\[{=]+", re.ASCII)
_INTEGER: Final = re.compile(r"[+-]?(?:0|[1-9]\d{0,17})", re.ASCII)
STATEMENT: Final = re.compile(
    r"[ \t]*(?:\[{1,2}[ \t]*[A-Za-z0-9_\"'-][^\[\],={}]*\]{1,2}[ \t]*(?:#.*)?$"
    r"|(?:[A-Za-z0-9_-]+|\"[^\"\n]*\"|'[^'\n]*')(?:[ \t]*\.[ \t]*[A-Za-z0-9_\"'-]+)*[ \t]*=)",
    re.MULTILINE,
)
_UNSURE_WORDS: Final = {
    "true": "true",
    "yes": "true",
    "on": "true",
    "false": "false",
    "no": "false",
    "off": "false",
}


class Span(NamedTuple):
    """Where a value stands: its line, and the text from `start` up to `end`."""

    line: int
    start: int
    end: int


class BrokenError(Exception):
    """A statement that cannot be read, and where."""

    def __init__(
        self, place: int, text: str, *, found: str = "", wanted: str = "", attempt: str = ""
    ) -> None:
        super().__init__(text)
        self.place = place
        self.text = text
        self.found = found
        self.wanted = wanted
        self.attempt = attempt


@dataclass(slots=True)
class Source:
    """A text and its lines."""

    text: str
    line_starts: list[int] = field(init=False)

    def __post_init__(self) -> None:
        self.line_starts = [0, *(one.end() for one in re.finditer("\n", self.text))]

    def line(self, place: int) -> int:
        """The line a place is on, counted from 1."""
        return bisect_right(self.line_starts, place)

    def line_text(self, line: int) -> str:
        """A line without its indent, clipped for a message."""
        start = self.line_starts[line - 1]
        return clip(self.text[start : self.end_of_line(start)].strip(), 80)

    def end_of_line(self, place: int) -> int:
        """The place where the line of `place` ends."""
        end = self.text.find("\n", place)
        end = len(self.text) if end < 0 else end
        return end - 1 if self.text[end - 1 : end] == "\r" else end

    def past(self, pattern: re.Pattern[str], place: int) -> int:
        """The place behind what a pattern matches, or `place`."""
        match = pattern.match(self.text, place)
        return match.end() if match else place


Say = Callable[[int, str, str, str, str], None]
"""Reports a mistake that does not break its statement: line, text, found, wanted, attempt."""


@dataclass(slots=True, kw_only=True)
class ValueReader:
    """Reads values out of a source; fills in where each stands and which tables and lists are closed."""

    source: Source
    say: Say
    spans: dict[Path, Span] = field(default_factory=dict)
    closed: set[Path] = field(default_factory=set)

    def keys(self, place: int) -> tuple[list[str], int]:
        """A dotted key and the place behind it."""
        keys: list[str] = []
        while True:
            place = self.source.past(SPACE, place)
            bare = _BARE_KEY.match(self.source.text, place)
            quoted = None if bare else _TEXT.match(self.source.text, place)
            if bare:
                keys.append(bare[0])
                place = bare.end()
            elif quoted:
                keys.append(str(self._decode(quoted[0], place)))
                place = quoted.end()
            else:
                found = self.source.line_text(self.source.line(place))
                raise BrokenError(
                    place, "a line does not start with a key", found=found, wanted="key = value or [heading]"
                )
            after = self.source.past(SPACE, place)
            if not self.source.text.startswith(".", after):
                return keys, place
            place = after + 1
            if len(keys) >= DEEPEST:
                found = self.source.line_text(self.source.line(place))
                raise BrokenError(
                    place, "a key has too many dots", found=found, wanted=f"at most {DEEPEST} parts"
                )

    def value(self, place: int, path: Path, depth: int = 0) -> tuple[object, int]:
        """The value that starts at a place, and the place behind it."""
        sign = self.source.text[place : place + 1]
        if depth > DEEPEST:
            found = self.source.line_text(self.source.line(place))
            wanted = f"at most {DEEPEST} brackets within each other"
            raise BrokenError(place, "brackets are nested too deeply", found=found, wanted=wanted)
        if sign == "[":
            return self._array(place, path, depth)
        if sign == "{":
            return self._inline_table(place, path, depth)
        if sign in ('"', "'") and sign:
            return self._text_value(place, sign)
        token = _TOKEN.match(self.source.text, place)
        if token is None:
            raise BrokenError(
                place,
                "a key has no value",
                found=self.source.line_text(self.source.line(place)),
                wanted="key = value",
            )
        line = self.source.line(place)
        if _INTEGER.fullmatch(token[0]):
            return PlacedInteger(int(token[0]), line), token.end()
        return self._placed(self._decode(token[0], place, path), line), token.end()

    def _text_value(self, place: int, sign: str) -> tuple[object, int]:
        line = self.source.line(place)
        if self.source.text.startswith(sign * 3, place):
            match = _LONG_TEXT.match(self.source.text, place)
        else:
            match = _TEXT.match(self.source.text, place)
        if match is None:
            found = self.source.line_text(line)
            raise BrokenError(
                place, f"a text is not closed with {sign}", found=found, wanted=f"a text between two {sign}"
            )
        raw = match[0]
        plain = "\\" not in raw and raw.isprintable() and not raw.startswith(sign * 3)
        return PlacedText(raw[1:-1] if plain else str(self._decode(raw, place)), line), match.end()

    def _array(self, place: int, path: Path, depth: int) -> tuple[object, int]:
        made = PlacedList(self.source.line(place))
        self.closed.add(path)
        start, place = place, self.source.past(BLANK, place + 1)
        while not self.source.text.startswith("]", place):
            inner = (*path, len(made))
            self._refuse_new_statement(start, place, "]")
            value, after = self.value(place, inner, depth + 1)
            self.spans[inner] = Span(self.source.line(place), place, after)
            made.append(value)
            place = self._separator(start, place, after, "]", inner)
        return made, place + 1

    def _inline_table(self, place: int, path: Path, depth: int) -> tuple[object, int]:
        made = PlacedTable(self.source.line(place))
        self.closed.add(path)
        start, place = place, self.source.past(BLANK, place + 1)
        broken_over = "\n" in self.source.text[start:place]
        while not self.source.text.startswith("}", place):
            self._refuse_end(start, place, "}")
            line = self.source.line(place)
            keys, after = self.keys(place)
            after = self.source.past(SPACE, after)
            if not self.source.text.startswith("=", after):
                found = self.source.line_text(line)
                raise BrokenError(
                    after, f'"{clip(".".join(keys))}" has no "="', found=found, wanted="{ key = value }"
                )
            value_start = self.source.past(SPACE, after + 1)
            inner: Path = (*path, *keys)
            value, after = self.value(value_start, inner, depth + 1)
            table = made
            for key in keys[:-1]:
                next_table = table.setdefault(key, PlacedTable(line))
                if not isinstance(next_table, PlacedTable):
                    raise self.clash(place, inner)
                table.key_lines.setdefault(key, line)
                table = next_table
            if keys[-1] in table:
                where = f", first on line {table.key_lines[keys[-1]]}"
                text = f'"{clip(".".join(keys))}" is written twice{where}'
                self.say(line, text, self.source.line_text(line), "each key once", "")
            else:
                table[keys[-1]] = value
                table.key_lines[keys[-1]] = line
                self.spans[inner] = Span(line, value_start, after)
            place = self._separator(start, value_start, after, "}", inner)
            broken_over = broken_over or "\n" in self.source.text[after:place]
        if broken_over:
            found = self.source.line_text(self.source.line(start))
            wanted = "{ ... } on one line; only a list [ ... ] may run over several"
            self.say(self.source.line(start), "an inline table runs over several lines", found, wanted, "")
        return made, place + 1

    def _separator(self, start: int, value_start: int, after: int, closing: str, path: Path) -> int:
        """The place of the next item, or of the closing bracket."""
        place = self.source.past(BLANK, after)
        if self.source.text.startswith(",", place):
            return self.source.past(BLANK, place + 1)
        if self.source.text.startswith(closing, place):
            return place
        self._refuse_new_statement(start, place, closing)
        self._refuse_end(start, place, closing)
        key = ".".join(str(one) for one in path if isinstance(one, str)).rpartition(".")[2]
        if self.source.text[value_start] not in "\"'[{":
            raise self.unquoted(value_start, key, closing)
        found = self.source.line_text(self.source.line(value_start))
        raise BrokenError(
            place,
            "a comma is missing between two values",
            found=found,
            wanted="values with a comma between them",
        )

    def _refuse_end(self, start: int, place: int, closing: str) -> None:
        if place >= len(self.source.text):
            found = self.source.line_text(self.source.line(start))
            raise BrokenError(
                start, f"a bracket is not closed with {closing}", found=found, wanted=f"a closing {closing}"
            )

    def _refuse_new_statement(self, start: int, place: int, closing: str) -> None:
        """A key or heading at the start of a later line means the bracket was never closed."""
        self._refuse_end(start, place, closing)
        line = self.source.line(place)
        if line == self.source.line(start) or closing == "}":
            return
        if (
            STATEMENT.match(self.source.text, self.source.line_starts[line - 1])
            and self.source.text[place] != "{"
        ):
            found = self.source.line_text(self.source.line(start))
            raise BrokenError(
                place, f"a bracket is not closed with {closing}", found=found, wanted=f"a closing {closing}"
            )

    def unquoted(self, start: int, key: str, closing: str = "") -> BrokenError:
        """What to say when a bare word or number with a unit stands where a text belongs."""
        line = self.source.line_text(self.source.line(start))
        end = self.source.end_of_line(start)
        raw = re.split(r"\s*[,\]}#]" if closing else r"\s*#", self.source.text[start:end])[0].strip()
        if raw[:1] in "\"'[{":
            return BrokenError(start, "something follows a value", found=line, wanted="one value on a line")
        bare = raw.strip("“”„«»‘’`")
        attempt = quote_bare_words(line) if closing else f'{key} = "{clip(bare)}"'
        word = _UNSURE_WORDS.get(bare.lower())
        if word:
            attempt = f"{key} = {word}"
            return BrokenError(
                start, f'"{bare}" is not a word of TOML', found=line, wanted="true or false", attempt=attempt
            )
        text = f'"{clip(bare)}" stands without quotes'
        return BrokenError(start, text, found=line, wanted="a text between quotes", attempt=attempt)

    def clash(self, place: int, path: Path) -> BrokenError:
        """What to say when a key is used as something it already is not."""
        name = ".".join(str(one) for one in path)
        first = self.spans.get(path)
        where = f" (line {first.line})" if first else ""
        found = self.source.line_text(self.source.line(place))
        text = f'"{clip(name)}" is already something else{where}'
        return BrokenError(place, text, found=found, wanted="each key once")

    def _decode(self, raw: str, place: int, path: Path = ()) -> object:
        try:
            return tomllib.loads(f"v = {raw}")["v"]
        except (ValueError, KeyError, RecursionError):
            if raw[:1] in "\"'":
                found = self.source.line_text(self.source.line(place))
                raise BrokenError(place, "a text holds a sign that TOML does not take", found=found,
                              wanted="plain letters; a backslash is written twice") from None  # fmt: skip
            nested = path[-1:] and isinstance(path[-1], int)
            key = next((str(one) for one in reversed(path) if isinstance(one, str)), "")
            within = (
                bool(nested) or path in self.closed or "{" in self.source.line_text(self.source.line(place))
            )
            raise self.unquoted(place, key, "]" if within else "") from None

    def _placed(self, value: object, line: int) -> object:
        if isinstance(value, float):
            return PlacedNumber(value, line)
        if isinstance(value, int) and not isinstance(value, bool):
            return PlacedInteger(value, line)
        return value if isinstance(value, (bool, date, time)) else PlacedText(str(value), line)


def quote_bare_words(line: str) -> str:
    """A line with quotes put around every bare number with a unit.

    >>> quote_bare_words('outside = [90 cm, "38 cm", 38]')
    'outside = ["90 cm", "38 cm", 38]'
    """
    return re.sub(
        r"(?<=[\[,=])(\s*)([+-]?[\d.][\d.]*\s*[^\s\"'\[\]{},=#\d][^\"'\[\]{},=#]*?)(?=\s*[,\]}])",
        r'\1"\2"',
        line,
    )
