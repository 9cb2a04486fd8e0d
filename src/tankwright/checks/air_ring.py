"""Judgement on the ring itself: what it loses, how fast its air runs, how many more taps it can carry."""

from __future__ import annotations

from collections.abc import Iterator

from tankwright.checks.air_shared import SHORT, SOLVED, fed_taps, rests_on
from tankwright.finding import Finding, Number, Severity
from tankwright.room.model import AirRun
from tankwright.systems.air_model import AirRunResult

FASTEST = 15.0
HEADER_SHARE = 0.1
HANDBOOK = "a pump maker's sewage aeration handbook"


def ring_loses_little(run: AirRun, solved: AirRunResult) -> Iterator[Finding]:
    """AIR-11: along the ring less than a tenth is lost of what taps, tubes and diffusers take."""
    losses = solved.losses
    if losses.outlet is None or losses.header <= HEADER_SHARE * losses.outlet:
        return
    yield Finding(
        code="AIR-11",
        severity=Severity.WARNING if losses.header > losses.outlet else Severity.NOTE,
        subject=f"air {run.id}",
        text="the ring itself loses {header} to its farthest tap, against {outlet} in tap, tube and diffuser",
        numbers=(
            ("header", Number(losses.header, "pressure")),
            ("outlet", Number(losses.outlet, "pressure")),
        ),
        value=Number(losses.header / losses.outlet, "share"),
        limit=Number(HEADER_SHARE, "share"),
        reason="a ring that loses much gives the near tanks more than the far ones, and no tap setting lasts",
        remedy="a wider pipe, or a second way from the pump to the far side",
        source=HANDBOOK,
        line=run.line,
        rests_on=rests_on(run, solved),
    )


def air_runs_slowly_enough(run: AirRun, solved: AirRunResult) -> Iterator[Finding]:
    """AIR-08: nowhere in lead and ring does the air run faster than 15 m/s."""
    if solved.losses.fastest > FASTEST:
        yield Finding(
            code="AIR-08",
            severity=Severity.WARNING,
            subject=f"air {run.id}",
            text=f"air runs at {{speed}} in {solved.losses.fastest_pipe}",
            numbers=(("speed", Number(solved.losses.fastest, "speed")),),
            value=Number(solved.losses.fastest, "speed"),
            limit=Number(FASTEST, "speed"),
            reason="fast air whistles and costs pressure with the square of its speed",
            remedy="a wider bore there",
            source=HANDBOOK + " (10 to 15 m/s)",
            line=run.line,
            rests_on=rests_on(run, solved),
        )


def room_for_more_taps(run: AirRun, solved: AirRunResult) -> Iterator[Finding]:
    """AIR-09: the pump can carry at least one more tank."""
    if solved.more_taps != 0:
        return
    enough = all((tap.set_flow or 0.0) >= SHORT * (tap.wanted or 0.0) for tap in fed_taps(solved))
    yield Finding(
        code="AIR-09",
        severity=Severity.NOTE if enough else Severity.WARNING,
        subject=f"air {run.id}",
        text="the pump has nothing left for another tank, even with every tap set to its target"
        if enough
        else "the pump cannot give every tank its target, however the taps are set",
        reason="a pump loses flow as it ages, and one fallen tube takes the air of many tanks",
        remedy="a stronger pump, or a second one in parallel",
        source=SOLVED,
        line=run.line,
        rests_on=rests_on(run, solved),
    )
