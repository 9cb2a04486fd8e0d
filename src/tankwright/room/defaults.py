"""The one place where the layout takes a value the plan does not give; each assumption used is remembered."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from tankwright.catalogue.assumptions import ASSUMPTIONS
from tankwright.catalogue.pipes import bore_of, pipe_sizes
from tankwright.origin import Known, Origin, derived
from tankwright.plan.placed import MeasuredText, line_of
from tankwright.plan.suggest import listed, nearest
from tankwright.room.mistakes import (
    UNKNOWN_ASSUMPTION,
    UNKNOWN_PIPE,
    UNREADABLE_ASSUMPTION,
    Mistakes,
)
from tankwright.units import DIMENSIONS, QuantityError, parse_quantity


class Defaults:
    """Takes values from the plan, from a trial, from `[assume]`, or from the table, in that order.

    >>> defaults = Defaults({"tank.gap": "2 cm"}, {"hose.slack": 1.6}, Mistakes())
    >>> defaults.take("tank.gap", None).origin, defaults.take("hose.slack", None).value
    (<Origin.GIVEN: 'given'>, 1.6)
    >>> [known.key for known in defaults.used()]
    ['hose.slack']
    """

    def __init__(self, assume: Mapping[str, str], trial: Mapping[str, float], mistakes: Mistakes) -> None:
        self._trial = trial
        self._mistakes = mistakes
        self._own: dict[str, Known] = {}
        self._used: dict[str, Known] = {}
        self._pipes: dict[str, Known | None] = {}
        for key, text in assume.items():
            self._read(key, text)

    def take(self, key: str, given: Known | None = None) -> Known:
        """The given value, or what stands in for it."""
        if given is not None:
            return given
        known = self._used.get(key) or (None if key in self._trial else self._own.get(key))
        if known is None:
            known = ASSUMPTIONS[key].known(self._trial.get(key))
            self._used[key] = known
        return known

    def corrected(self, known: Known, key: str) -> Known:
        """A value times the share that readings of the room gave it: as it is where nobody has measured that.

        >>> Defaults({}, {"feed.rate_share": 0.9}, Mistakes()).corrected(derived(2.0), "feed.rate_share").value
        1.8
        """
        share = self._own.get(key)
        if key in self._trial:
            share = ASSUMPTIONS[key].known(self._trial[key])
        if share is None:
            return known
        return replace(
            share, value=share.value * known.value, band=None, key="", reason="corrected by readings"
        )

    def bore(self, key: str, bore: Known | None, pipe: str | None, subject: str, line: int | None) -> Known:
        """The inner diameter of a pipe: said, from its size and standard, or assumed under `key`."""
        if bore is not None:
            return bore
        if pipe is not None:
            known = self._pipe(pipe, subject, line)
            if known is not None:
                return known
        return self.take(key)

    def used(self) -> tuple[Known, ...]:
        """Every assumption taken so far, once."""
        return tuple(self._used.values())

    def own(self) -> tuple[Known, ...]:
        """Every assumption the owner says otherwise for the whole room, used or not."""
        return tuple(self._own.values())

    def _pipe(self, text: str, subject: str, line: int | None) -> Known | None:
        if text in self._pipes:
            return self._pipes[text]
        size = bore_of(text)
        known: Known | None = None
        if size is None:
            close = nearest(" ".join(text.split()), tuple(one.name for one in pipe_sizes()))
            self._mistakes.say(
                UNKNOWN_PIPE,
                subject,
                "names a pipe that is not in the table",
                line=line,
                reason="without its inner diameter the flow through it rests on an assumption",
                remedy='measure it and write bore = "..." beside it, or name size and standard',
                found=f'"{text}"',
                wanted='a size and a standard: "50 mm EN 1452 PN10", "3/4 in schedule 40"',
                attempt=f'"{close}"' if close else "",
            )
        elif size.from_memory:
            share = self.take("pipe.bore_share")
            known = scaled(share, size.bore, f"{size.name}, {size.source}")
        else:
            known = Known(
                size.bore, Origin.DERIVED, line=line, band=size.band, reason=f"{size.name}, {size.source}"
            )
        self._pipes[text] = known
        return known

    def _read(self, key: str, text: str) -> None:
        subject = f"assumption {key}"
        line = line_of(text)
        assumption = ASSUMPTIONS.get(key)
        if assumption is None:
            close = nearest(key, ASSUMPTIONS)
            self._mistakes.say(
                UNKNOWN_ASSUMPTION,
                subject,
                "is no assumption of the tool, so nothing uses it",
                line=line,
                remedy="write one of the keys that are listed with a plan's assumptions",
                found=key,
                wanted=close or listed(ASSUMPTIONS),
                attempt=f'"{close}" = "{text}"' if close else "",
            )
            return
        value = self._number(subject, text, assumption.dimension, line)
        if value is None:
            return
        if not isinstance(text, MeasuredText):
            self._own[key] = Known(value, Origin.GIVEN, line=line, key=key, reason="said for the whole room")
            return
        band = None
        if text.plus_minus is not None:
            error = self._number(subject, text.plus_minus, error_dimension(assumption.dimension), line)
            band = None if error is None else (max(value - error, 0.0), value + error)
        self._own[key] = Known(
            value, Origin.MEASURED, line=line, measured_on=text.measured, key=key, band=band,
            reason="measured in this room",
        )  # fmt: skip

    def _number(self, subject: str, text: str, dimension: str, line: int | None) -> float | None:
        if dimension not in DIMENSIONS:
            try:
                value = float(text.replace(",", "."))
            except ValueError:
                value = -1.0
            if 0.0 < value < 1e6:
                return value
            found, wanted, attempt = f'"{text}"', "a plain number above zero", ""
        else:
            try:
                value = parse_quantity(text, dimension).value
            except QuantityError as error:
                found, wanted, attempt = f'"{text}"', error.wanted, error.attempt
            else:
                if value > 0.0:
                    return value
                found, wanted, attempt = f'"{text}"', "more than zero", ""
        self._mistakes.say(
            UNREADABLE_ASSUMPTION,
            subject,
            "cannot be read, so the default stands",
            line=line,
            remedy="write a number with its unit",
            found=found,
            wanted=wanted,
            attempt=attempt,
        )
        return None


def error_dimension(dimension: str) -> str:
    """The kind of quantity an error of another is: that of a temperature is a difference.

    >>> error_dimension("temperature"), error_dimension("length")
    ('temperature_difference', 'length')
    """
    return "temperature_difference" if dimension == "temperature" else dimension


def scaled(known: Known, factor: float, reason: str = "") -> Known:
    """A value that is a fixed multiple of another: it is as well known as that one.

    >>> scaled(Known(1.2, Origin.ASSUMED, key="hose.slack", band=(1.0, 1.5)), 2.0).band
    (2.0, 3.0)
    """
    reason = reason or known.reason
    if known.origin is not Origin.ASSUMED:
        return derived(known.value * factor, reason)
    band = None if known.band is None else (known.band[0] * factor, known.band[1] * factor)
    return replace(known, value=known.value * factor, band=band, reason=reason)
