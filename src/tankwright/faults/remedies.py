"""Changes that may mend a fault, each made and the same fault run again: only what helped is told.

    for one in tried(study, fault):
        one.words, one.attempt, one.after.first

A remedy is first tried at the very moment the fault was worst at; what helps there is held against every moment.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from tankwright.faults.model import Fault, Outcome, Setting, Story, Tried
from tankwright.faults.noticing import gap_from
from tankwright.faults.remedies_air import air_remedies
from tankwright.faults.remedies_alarm import alarm_remedies
from tankwright.faults.remedies_power import power_remedies
from tankwright.faults.remedies_water import water_remedies
from tankwright.faults.remedy import EQUIPMENT, Remedy
from tankwright.faults.simulate import badness, followed_for, outcome_from, settings_of, story_of, worst_story
from tankwright.room.model import Room
from tankwright.study import Study, work_out

__all__ = ["Remedy", "remedied", "remedies_for", "together", "tried"]

MOST: Final = 24
"""Remedies tried for one fault."""

MOST_BASES: Final = 3
"""Remedies that help and do not cure that are tried together with another."""

DEAREST: Final = EQUIPMENT


def remedies_for(study: Study, story: Story, before: Outcome) -> tuple[Remedy, ...]:
    """Everything that might mend a fault, the cheapest first, each once."""
    every = [
        *water_remedies(study, story, before),
        *alarm_remedies(study, story, before),
        *air_remedies(study, story, before),
        *power_remedies(study, story, before),
    ]
    unlike: dict[object, Remedy] = {}
    for one in every:
        unlike.setdefault(one.puts, one)
    return tuple(sorted(unlike.values(), key=lambda one: one.cost))[:MOST]


def tried(study: Study, fault: Fault, *, enough: bool = False) -> tuple[Tried, ...]:
    """Every change that helps against a fault, the best first; with `enough` the trying ends at the first that cures.

    What cures leaves no harm, or none before somebody notices. Where only dear changes do, or none, cheaper ones that
    help are made and tried again with each that may help against what harm is left.
    """
    story, before = worst_story(study, fault)
    if before.first is None:
        return ()
    alone = _best_of_same(list(_helping(study, fault, story, before, enough=enough)))
    both = _pairs(study, fault, story, before, alone, enough=enough)
    return tuple(sorted((*(told for _, told in alone), *both), key=_rank))


def _pairs(
    study: Study,
    fault: Fault,
    story: Story,
    before: Outcome,
    alone: list[tuple[Remedy, Tried]],
    *,
    enough: bool,
) -> Iterator[Tried]:
    """Pairs that cure at less cost than any single remedy does: the first found for each of the first few."""
    least = min((told.cost for _, told in alone if _cures(told)), default=DEAREST + 1)
    bases = [pair for pair in alone if not _cures(pair[1]) and pair[0].cost < least]
    for remedy, best in sorted(bases, key=lambda pair: (pair[0].cost, _left(pair[1])))[:MOST_BASES]:
        changed = remedied(study, remedy)
        if changed is None or remedy.cost >= least:
            continue
        left = _story_of(changed, fault, best.after)
        for more in remedies_for(changed, left, best.after):
            if max(more.cost, remedy.cost) >= least:
                continue
            told = _try(study, fault, story, before, together(remedy, more))
            if told is not None and _cures(told):
                least = told.cost
                yield told
                break
        if enough and least <= DEAREST:
            return


def together(first: Remedy, second: Remedy) -> Remedy:
    """Two remedies made as one; the numbers of the second get names of their own."""
    words = second.words
    for name, _ in second.numbers:
        words = words.replace(f"{{{name}}}", f"{{also_{name}}}")
    return Remedy(
        words=f"{first.words}; and {words}",
        numbers=(*first.numbers, *((f"also_{name}", number) for name, number in second.numbers)),
        puts=(*first.puts, *second.puts),
        cost=max(first.cost, second.cost),
        change=lambda room: second.change(first.change(room)),
        again=first.again | second.again,
    )


def _helping(
    study: Study, fault: Fault, story: Story, before: Outcome, *, enough: bool
) -> Iterator[tuple[Remedy, Tried]]:
    done: set[object] = set()
    for remedy in remedies_for(study, story, before):
        if _same(remedy) in done:
            continue  # the same with more of it cures already
        told = _try(study, fault, story, before, remedy)
        if told is not None:
            yield remedy, told
            if _cures(told):
                done.add(_same(remedy))
                if enough:
                    return


def _same(remedy: Remedy) -> object:
    """What remedies that differ only in how much of it share: runs so and so short, valves so and so quick."""
    graded = all(path[-1] in {"minutes", "shuts_after"} for path, _ in remedy.puts)
    return tuple(path for path, _ in remedy.puts) if graded else remedy.puts


def _best_of_same(alone: list[tuple[Remedy, Tried]]) -> list[tuple[Remedy, Tried]]:
    best: dict[object, tuple[Remedy, Tried]] = {}
    for pair in alone:
        known = best.get(_same(pair[0]))
        if known is None or _left(pair[1]) < _left(known[1]):
            best[_same(pair[0])] = pair
    return list(best.values())


def _try(study: Study, fault: Fault, story: Story, before: Outcome, remedy: Remedy) -> Tried | None:
    """What a fault does with a remedy made, at its worst moment then; None where that is no help."""
    changed = remedied(study, remedy)
    if changed is None:
        return None
    there = outcome_from(changed, _story_at(changed, fault, story.setting))
    if not _told(fault, remedy, before, there).helps:
        return None
    told = _told(fault, remedy, before, _anywhere(changed, fault, story.setting, there))
    return told if told.helps else None


def _cures(one: Tried) -> bool:
    """No harm left; or none before somebody notices, where there was."""
    return one.removes or (one.in_time and one.before.before_look)


def _left(one: Tried) -> tuple[float, ...]:
    """Sorts what was tried by the harm it leaves, the least first."""
    first = one.after.first
    return (
        not one.removes, not _cures(one), -(first.time if first is not None else 0.0), one.cost, one.after.floor,
    )  # fmt: skip


def remedied(study: Study, remedy: Remedy) -> Study | None:
    """The study of the room with a remedy made; only what rests on it is worked out again. None: it changes nothing."""
    room: Room = remedy.change(study.room)
    if room == study.room:
        return None
    if not remedy.again:
        return replace(study, room=room)
    again = frozenset(name for name in remedy.again if getattr(study, name) is not None)
    fresh = work_out(room, again, weather=study.weather, walk_through=False, known=study)
    if any(getattr(fresh, name) is None for name in again):
        return None
    worked = {name: getattr(fresh, name) for name in again}
    return replace(study, room=room, **worked)


def _story_at(changed: Study, fault: Fault, setting: Setting) -> Story:
    gap = gap_from(changed, setting.clock)
    return story_of(changed, fault, replace(setting, horizon=followed_for(changed, gap)))


def _story_of(changed: Study, fault: Fault, outcome: Outcome) -> Story:
    """The story an outcome is of."""
    setting = Setting(clock=outcome.clock, horizon=0.0, season=outcome.season)
    return _story_at(changed, fault, setting)


def _anywhere(changed: Study, fault: Fault, known: Setting, there: Outcome) -> Outcome:
    """The worst of every moment and weather; what comes at one of them is known."""
    others = [
        outcome_from(changed, story_of(changed, fault, one))
        for one in settings_of(changed, fault)
        if (one.clock, one.season) != (known.clock, known.season)
    ]
    return min((there, *others), key=badness)


def _told(fault: Fault, remedy: Remedy, before: Outcome, after: Outcome) -> Tried:
    return Tried(
        fault=fault.name,
        words=remedy.words,
        numbers=remedy.numbers,
        attempt=remedy.attempt,
        puts=remedy.puts,
        cost=remedy.cost,
        before=before,
        after=after,
    )


def _rank(one: Tried) -> tuple[float, ...]:
    first = one.after.first
    return (
        not one.removes,
        not one.in_time,
        one.cost,
        -(first.time if first is not None else 0.0),
        one.after.floor,
    )
