"""Work given out to so many hands, evening by evening: what is most urgent first, what is begun is finished first."""

from __future__ import annotations

import heapq
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final

from tankwright.building.calendar import Calendar
from tankwright.units import Second

LEAST_LEFT: Final[Second] = 20 * 60.0
"""Nobody begins a piece of work with less of the evening left, or to leave less for the next, unless it fits or the
evening has just begun. Common practice, no source."""
_HARDLY: Final[Second] = 1e-3
_LOOKED_AT: Final = 40  # jobs looked at once no hand is free; another than the builders waits for none


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """A task as hands see it. `work` is its working time with its `people` at it; `before` are (task, seconds that
    must pass after its end). No job is begun before `release`. The lowest `urgency` goes first."""

    id: str
    work: Second
    people: int
    release: Second
    before: tuple[tuple[str, Second], ...] = ()
    urgency: float = 0.0


@dataclass(slots=True)
class Turn:
    """When a job was worked on, and the job that it waited for."""

    start: Second
    end: Second = 0.0
    spans: list[tuple[Second, Second]] = field(default_factory=list)
    held_by: str = ""


def give_out(jobs: Sequence[Job], calendar: Calendar, hands: int) -> dict[str, Turn] | None:
    """When each job is done; None when the calendar ends before the work does.

    Jobs name only jobs of the list, and no ring. A job that takes more people than there are is done with all of them.
    """
    return _Floor(jobs, calendar, hands).run()


class _Floor:
    """The work as it goes on."""

    def __init__(self, jobs: Sequence[Job], calendar: Calendar, hands: int) -> None:
        self.jobs = {job.id: job for job in jobs}
        self.calendar = calendar
        self.free = hands
        self.people = {job.id: min(job.people, hands) for job in jobs}
        self.left = {job.id: job.work for job in jobs}
        self.turns: dict[str, Turn] = {}
        self.running: list[str] = []
        self.missing = {job.id: len(job.before) for job in jobs}
        self.next: dict[str, list[tuple[str, Second]]] = {job.id: [] for job in jobs}
        for job in jobs:
            for earlier, lag in job.before:
                self.next[earlier].append((job.id, lag))
        self.can = {job.id: (job.release, "") for job in jobs}
        self.coming: list[tuple[Second, str]] = [
            (job.release, job.id) for job in jobs if not self.missing[job.id]
        ]
        heapq.heapify(self.coming)
        self.waiting: list[tuple[float, int, str]] = []
        self.place = {job.id: number for number, job in enumerate(jobs)}

    def run(self) -> dict[str, Turn] | None:
        now = min((job.release for job in self.jobs.values()), default=0.0)
        freed = ""
        while len(self.turns) < len(self.jobs) or self.running:
            window = self.calendar.window_after(now)
            if window is None:
                return None
            fresh, (now, end) = window[0] > now, window
            while self.coming and self.coming[0][0] <= now + _HARDLY:
                one = heapq.heappop(self.coming)[1]
                heapq.heappush(self.waiting, (self.jobs[one].urgency, self.place[one], one))
            self._begin(now, end, freed, fresh=fresh)
            until = end
            if self.running:
                until = min(until, now + min(self.left[one] for one in self.running))
            if self.coming:
                until = min(until, max(self.coming[0][0], now))
            freed = self._work(now, until) or freed
            now = until
        return self.turns

    def _begin(self, now: Second, end: Second, freed: str, *, fresh: bool) -> None:
        """Give free hands what is most urgent; while it waits for more hands, what is done before they come."""
        aside: list[tuple[float, int, str]] = []
        gap = end - now
        while self.waiting:
            entry = heapq.heappop(self.waiting)
            one = entry[2]
            people, work = self.people[one], self.left[one]
            left = end - now
            fits = work <= left or fresh or (left >= LEAST_LEFT and work - left >= LEAST_LEFT)
            if people <= self.free and fits and (not aside or work <= gap or not people):
                self.free -= people
                release, by = self.can[one]
                late = self.calendar.worked(now) - self.calendar.worked(release) > _HARDLY
                self.turns[one] = Turn(start=now, held_by=(freed or by) if late else by)
                self.running.append(one)
                continue
            if people > self.free and not aside:
                gap = self._gap(people)
            aside.append(entry)
            if not self.free and len(aside) > _LOOKED_AT:
                break
        for entry in aside:
            heapq.heappush(self.waiting, entry)

    def _gap(self, people: int) -> Second:
        """Working time until so many hands are free."""
        free = self.free
        for one in sorted(self.running, key=self.left.__getitem__):
            free += self.people[one]
            if free >= people:
                return self.left[one]
        return 0.0

    def _work(self, now: Second, until: Second) -> str:
        """All that runs goes on until then; the last job that was finished."""
        finished = ""
        for one in tuple(self.running):
            turn = self.turns[one]
            if turn.spans and turn.spans[-1][1] >= now - _HARDLY:
                turn.spans[-1] = (turn.spans[-1][0], until)
            else:
                turn.spans.append((now, until))
            self.left[one] -= until - now
            if self.left[one] <= _HARDLY:
                self._finish(one, until)
                finished = one
        return finished

    def _finish(self, one: str, at: Second) -> None:
        self.running.remove(one)
        self.free += self.people[one]
        self.turns[one].end = at
        for later, lag in self.next[one]:
            if at + lag >= self.can[later][0]:
                self.can[later] = (at + lag, one)
            self.missing[later] -= 1
            if not self.missing[later]:
                heapq.heappush(self.coming, (self.can[later][0], later))
