"""Single tanks that are not as their kind: what the plan says of one tank alone, and what of it leads nowhere."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from tankwright.finding import Severity
from tankwright.plan.models import Overflow, Plan, TankException, TankOverflow
from tankwright.room.defaults import Defaults
from tankwright.room.kinds import KindFacts, MouthOfKind, filled_below_rim, mouth_of
from tankwright.room.mistakes import (
    NO_ELBOW_TO_TURN,
    NO_HOSE_TO_CHANGE,
    NO_TAP_TO_TURN,
    OVERFLOW_WITHOUT_HOLE,
    Mistakes,
)
from tankwright.room.model import AirRun, Tank
from tankwright.room.tank_glass import HoleOfKind

NOT_AS_MEANT = "nothing is changed by it, so the result is not what was meant"


def facts_of_one(
    tank: str, own: TankException | None, facts: KindFacts, defaults: Defaults, mistakes: Mistakes
) -> KindFacts:
    """The facts of a tank's kind with its own overflow in them; as they are when it has none."""
    said = own.overflow if own else None
    if own is None or said is None:
        return facts
    subject, line = f"tank {tank}", said.line or own.line
    if facts.hole is None or facts.mouth is None:
        mistakes.say(
            OVERFLOW_WITHOUT_HOLE,
            subject,
            "has an overflow but no hole for it to stand in",
            line=line,
            reason="it is laid out as a tank that is not drilled",
            remedy="add hole = { ... } to its kind, or take the overflow out",
        )
        if said.water_below_rim is None:
            return facts
        return facts.filled_to(*filled_below_rim(said.water_below_rim, facts.height, facts.base), None)
    mouth = _mouth(subject, said, line, facts, facts.hole, facts.mouth, defaults, mistakes)
    return facts.filled_to(mouth.lip_up, mouth.level, mouth)


def _mouth(
    subject: str,
    said: TankOverflow,
    line: int | None,
    facts: KindFacts,
    hole: HoleOfKind,
    before: MouthOfKind,
    defaults: Defaults,
    mistakes: Mistakes,
) -> MouthOfKind:
    if before.standpipe and (said.angle is not None or said.elbow_reach is not None):
        mistakes.say(
            NO_ELBOW_TO_TURN,
            subject,
            "is to have its elbow turned or changed, but its kind has a standpipe",
            severity=Severity.WARNING,
            line=line,
            reason=NOT_AS_MEANT,
            remedy='say water_below_rim, or give its kind overflow = { kind = "elbow" }',
        )
    kind = facts.table.overflow or Overflow()
    angle, below = kind.angle, kind.water_below_rim
    if said.angle is not None and not before.standpipe:
        angle, below = said.angle, said.water_below_rim
    elif said.water_below_rim is not None:
        angle, below = None, said.water_below_rim
    elif angle is not None:
        below = None  # a kind that says both is told so once, as a kind; its angle is used
    elif said.elbow_reach is None and said.bore is None:
        return replace(before, open_share=said.strainer_open or before.open_share, line=line)
    merged = Overflow(
        kind="standpipe" if before.standpipe else "elbow",
        elbow_reach=said.elbow_reach or kind.elbow_reach,
        angle=angle,
        water_below_rim=below,
        bore=said.bore or kind.bore,
        strainer_open=said.strainer_open or kind.strainer_open,
    )
    return mouth_of(subject, facts.table, merged, hole, before.standpipe, line, defaults, mistakes)


def say_what_leads_nowhere(
    plan: Plan, tanks: Mapping[str, Tank], airs: Sequence[AirRun] | None, mistakes: Mistakes
) -> None:
    """Say which tanks have a hose of their own and no drain, or an air opening and no tap. `airs` None: not laid."""
    tapped = None if airs is None else {tap.tank for run in airs for tap in run.taps}
    for name, own in plan.tank.items():
        tank = tanks.get(name)
        if tank is None:
            continue
        if own.hose is not None and tank.hose is None:
            mistakes.say(
                NO_HOSE_TO_CHANGE,
                f"tank {name}",
                "has a hose of its own, but no drain takes its water",
                severity=Severity.WARNING,
                line=own.hose.line or own.line,
                places=(name,),
                reason=NOT_AS_MEANT,
                remedy="drill its kind and name its rack in a drain, or take the hose out",
            )
        if own.air_opening is not None and tapped is not None and name not in tapped:
            mistakes.say(
                NO_TAP_TO_TURN,
                f"tank {name}",
                "is to have its air tap turned, but no tap feeds it",
                severity=Severity.WARNING,
                line=own.air_opening.line or own.line,
                places=(name,),
                reason=NOT_AS_MEANT,
                remedy="let an air ring serve it, or take air_opening out",
            )
